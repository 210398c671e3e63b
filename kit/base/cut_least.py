"""The way to the least cuts: exact search for few bearers, integer programmes for many."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kit.base.cut_patterns import Pattern, all_patterns, fewest_bars, first_fit, next_total_mm
from kit.base.cut_programme import (
    Choice,
    Programme,
    fewest_cuts,
    fewest_pieces,
    least_bought,
    patterns_for_length,
    patterns_for_pieces,
)
from kit.base.cut_search import search_cuts
from kit.base.effort import Effort
from kit.job import Refusal, refuse

#: Placements that the exact search may try before the integer programme takes over.
MOST_PLACEMENTS = 40_000
#: More patterns than this are generated instead of listed.
MOST_LISTED = 300
#: Rounds in which patterns are generated.
MOST_ROUNDS = 20

_SAME_MM = 1e-6  # two totals of bars, against the solver's own tolerance


@dataclass(frozen=True)
class Bar:
    """A bought length and the pieces that come out of it, as indices."""

    stock_mm: float
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Found:
    """Bars, and what is known of them."""

    bars: tuple[Bar, ...]
    least_mm: float
    pieces_proven: bool

    @property
    def bought_mm(self) -> float:
        """Total bought length [mm]."""
        return math.fsum(bar.stock_mm for bar in self.bars)

    @property
    def order(self) -> tuple[float, int, int]:
        """What is made least, in this order: bought length, pieces, bars."""
        return round(self.bought_mm, 6), sum(len(b.pieces) for b in self.bars), len(self.bars)


def least_cuts(programme: Programme, steps: float) -> Found:
    """Find the plan that buys least, then has the fewest pieces, then the fewest bars.

    Parameters
    ----------
    programme : Programme
        What is to be cut; at least one bearer.
    steps : float
        Of the integer programmes together, as `kit.base.effort` counts them.

    Returns
    -------
    Found
        The bars, and what is proven of them.

    Raises
    ------
    Refusal
        Joints of neighbours cannot be kept apart.
    """
    length = math.fsum(line.length_mm for line in programme.lines)
    least = next_total_mm(programme.stock_mm, length - _SAME_MM)
    reached = search_cuts(programme, least, MOST_PLACEMENTS)
    if reached.made:
        found = _found(programme, _by_bar(reached.made))
        return replace(found, least_mm=reached.least_mm, pieces_proven=True)
    start = _fewest_pieces(programme, Effort(0.05 * steps))
    found = _from_pieces(programme, start.pieces)
    fewest = len(start.pieces) if start.proven else len(programme.lines)  # a bound in either case
    known = Known(found, reached.least_mm, fewest, (), False)
    if found.bought_mm > known.least_mm + _SAME_MM or not _none_better(programme, known):
        patterns, complete, least = _patterns(programme, found, known.least_mm)
        known = Known(found, least, fewest, patterns, complete)
        known = _improve(programme, known, steps)
    return replace(
        known.found,
        least_mm=min(known.least_mm, known.found.bought_mm),
        pieces_proven=known.found.pieces_proven or _none_better(programme, known),
    )


def _by_bar(made: Sequence[tuple[int, int]]) -> list[list[int]]:
    bars: dict[int, list[int]] = {}
    for piece, bar in made:
        bars.setdefault(bar, []).append(piece)
    return list(bars.values())


def _fewest_pieces(programme: Programme, effort: Effort) -> Choice:
    whole = {
        piece.line: i
        for i, piece in enumerate(programme.pieces)
        if (piece.left, piece.right) == (0, len(programme.lines[piece.line].cuts_mm) - 1)
    }
    if len(whole) == len(programme.lines):
        return Choice(tuple(whole.values()), (), float(len(whole)), proven=True)
    choice = fewest_pieces(programme, effort)
    if not choice.pieces:
        raise _refused(programme, choice.proven)
    return choice


def _refused(programme: Programme, proven: bool) -> Refusal:
    joined = [line.name for line in programme.lines if line.length_mm > programme.stock_mm[-1]]
    found = (
        "no way to keep the joints of neighbours one stack apart"
        if proven
        else ("no way found in the steps allowed to keep the joints of neighbours one stack apart")
    )
    return refuse(
        f"bearers {', '.join(joined)}",
        found,
        f"a longer stock length than {programme.stock_mm[-1]:g} mm in bearer.stock_mm, or more"
        " stacks to join over",
    )


def _none_better(programme: Programme, known: Known) -> bool:
    """Whether as few pieces as can be come out of as few bars as the bought length can be."""
    bars = fewest_bars(programme.stock_mm, known.found.bought_mm)
    return known.found.order[1:] == (known.fewest, bars)


@dataclass(frozen=True)
class Known:
    """What is known while the integer programmes run.

    Parameters
    ----------
    found : Found
        The best plan so far.
    least_mm : float
        No less can be bought [mm].
    fewest : int
        No fewer pieces can be made of what the best plan buys.
    patterns : tuple of Pattern
        Patterns to choose from.
    complete : bool
        Whether no other pattern can be of use.
    """

    found: Found
    least_mm: float
    fewest: int
    patterns: tuple[Pattern, ...]
    complete: bool


def _improve(programme: Programme, known: Known, steps: float) -> Known:
    """Try the least totals one by one, then whatever is least, then fewer pieces of it."""
    for share in (0.3, 0.1, 0.05):
        known, settled = _at_total(programme, known, known.least_mm, Effort(share * steps))
        if known.found.bought_mm <= known.least_mm + _SAME_MM:
            return known
        if not settled:
            break
    choice = least_bought(programme, known.patterns, known.least_mm, Effort(0.3 * steps))
    found, least = _better(programme, known.found, choice), known.least_mm
    if known.complete and choice.bound > least:
        least = next_total_mm(programme.stock_mm, choice.bound - _SAME_MM)
    known = replace(known, found=found, least_mm=least)
    return _at_total(programme, known, known.found.bought_mm, Effort(0.25 * steps))[0]


def _at_total(
    programme: Programme, known: Known, total_mm: float, effort: Effort
) -> tuple[Known, bool]:
    """Look for the fewest pieces of a total; also say whether the total is settled."""
    fewest = float(known.fewest)
    if not known.complete:
        patterns, bound = patterns_for_pieces(programme, known.patterns, total_mm, MOST_ROUNDS)
        known = replace(known, patterns=patterns)
        fewest = max(fewest, bound if programme.is_exact else 0.0)
    choice = fewest_cuts(programme, known.patterns, total_mm, effort)
    found = _better(programme, known.found, choice)
    if known.complete and math.isinf(choice.bound) and not choice.pieces:
        least = next_total_mm(programme.stock_mm, total_mm + 10 * _SAME_MM)
        return replace(known, found=found, least_mm=least), True
    if known.complete and choice.proven and total_mm <= known.least_mm + _SAME_MM:
        found = replace(found, pieces_proven=True)
    if not choice.pieces:  # a bound for this total need not hold for a larger one
        return replace(known, found=found), False
    return replace(known, found=found, fewest=math.ceil(fewest - 1e-6)), True


def _patterns(
    programme: Programme, found: Found, least_mm: float
) -> tuple[tuple[Pattern, ...], bool, float]:
    """Return patterns, whether they are complete, and the lower bound that they prove [mm]."""
    if programme.is_exact and (listed := all_patterns(programme.cutting, MOST_LISTED)):
        return listed, True, least_mm
    slots = programme.slots
    start = [programme.cutting.fill(k) for k in range(len(programme.cutting.lengths_mm))]
    for bar in found.bars:
        used = sorted(slots[i] for i in bar.pieces)
        lengths = [programme.cutting.lengths_mm[k] for k in used]
        start.append(Pattern(programme.cutting.shortest_bar_mm(lengths), tuple(used)))
    patterns, bound = patterns_for_length(programme, start, least_mm, MOST_ROUNDS)
    return patterns, False, bound if programme.is_exact else least_mm


def _from_pieces(programme: Programme, pieces: Sequence[int]) -> Found:
    bars = first_fit(programme.cutting, [programme.slots[i] for i in pieces])
    return _found(programme, [[pieces[i] for i in bar] for bar in bars])


def _better(programme: Programme, found: Found, choice: Choice) -> Found:
    """Give each piece, longest first, the next slot, longest first; keep the better plan."""
    if not choice.pieces:
        return found
    slots = sorted((k, bar) for bar, p in enumerate(choice.patterns) for k in p.slots)
    longest = sorted(choice.pieces, key=lambda i: (programme.slots[i], i))
    made = [(piece, bar) for piece, (_, bar) in zip(longest, slots, strict=False)]
    return min(found, _found(programme, _by_bar(made)), key=lambda one: one.order)


def _found(programme: Programme, bars: Sequence[Sequence[int]]) -> Found:
    pieces, bar_mm = programme.pieces, programme.cutting.shortest_bar_mm
    return Found(
        tuple(Bar(bar_mm([pieces[i].length_mm for i in bar]), tuple(sorted(bar))) for bar in bars),
        0.0,
        False,
    )
