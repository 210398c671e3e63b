"""Exact search for the cuts of a few bearers: total by total, piece by piece, bar by bar.

With every bar opened and few pieces more than bars, nearly every bar holds one piece and its
offcut is waste. The waste that a total allows is small, so that few branches live.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from kit.base.cut_patterns import next_total_mm
from kit.base.cut_programme import Programme

_CLOSED_MM = 1e-9
_SAME_MM = 1e-6
_FINEST_MM = 1e-4  # totals of bars differ by more where they are told apart at all
_MOST_PIECES = 100  # beyond this the programme with patterns is the better way


class _SpentError(Exception):
    """The steps that were granted are used up."""


@dataclass
class Walk:
    """The place of the search: what is made, what is open, what is left.

    Parameters
    ----------
    programme : Programme
        What is to be cut.
    steps : int
        Placements that may still be tried.
    """

    programme: Programme
    steps: int
    made: list[tuple[int, int]] = field(default_factory=list)
    spare_mm: list[float] = field(default_factory=list)
    barred: dict[tuple[int, int], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        lines, programme = self.programme.lines, self.programme
        self.onward: list[list[list[int]]] = [[[] for _ in line.cuts_mm] for line in lines]
        for index in sorted(
            range(len(programme.pieces)), key=lambda i: -programme.pieces[i].length_mm
        ):
            piece = programme.pieces[index]
            self.onward[piece.line][piece.left].append(index)
        self.facing: dict[tuple[int, int], list[tuple[int, int]]] = {}
        for one, other in programme.facing:
            self.facing.setdefault(one, []).append(other)
            self.facing.setdefault(other, []).append(one)
        self.fewest = [self._fewest(line) for line in range(len(lines))]
        self.after = [sum(few[0] for few in self.fewest[i + 1 :]) for i in range(len(lines))]
        self.shortest_mm = min(piece.length_mm for piece in programme.pieces) + programme.kerf_mm

    @property
    def least_pieces(self) -> int:
        """Least number of pieces of all bearers, whatever their joints face."""
        return self.fewest[0][0] + self.after[0]

    def _fewest(self, line: int) -> list[int]:
        """Return the least number of pieces from each place of a bearer to its end."""
        steps = [0] * len(self.onward[line])
        for place in range(len(steps) - 2, -1, -1):
            onward = (self.programme.pieces[i].right for i in self.onward[line][place])
            steps[place] = 1 + min(steps[right] for right in onward)
        return steps

    def find(self, bars_mm: Sequence[float], pieces: int, waste_mm: float) -> bool:
        """Whether so many pieces out of just these bars tile the bearers."""
        self.made, self.spare_mm, self.barred = [], [], {}
        closed = [bars_mm.count(stock) for stock in self.programme.stock_mm]
        return self._go(0, 0, closed, pieces, waste_mm + _SAME_MM)

    def _go(self, line: int, place: int, closed: list[int], left: int, waste_mm: float) -> bool:
        if self.fewest[line][place] == 0:
            if line + 1 == len(self.fewest):
                return not any(closed)
            line, place = line + 1, 0
        if self.fewest[line][place] + self.after[line] > left:
            return False
        for index in self.onward[line][place]:
            joint = (line, self.programme.pieces[index].right)
            if self.barred.get(joint):
                continue
            self._bar(joint, 1)
            if self._put(index, joint, closed, left, waste_mm):
                return True
            self._bar(joint, -1)
        return False

    def _bar(self, joint: tuple[int, int], by: int) -> None:
        for other in self.facing.get(joint, ()):
            self.barred[other] = self.barred.get(other, 0) + by

    def _put(
        self, index: int, to: tuple[int, int], closed: list[int], left: int, waste_mm: float
    ) -> bool:
        length, spare = self.programme.pieces[index].length_mm, self.spare_mm
        topping = left - 1 - sum(closed)  # pieces that need not open a bar
        if topping >= 0:
            take = length + self.programme.kerf_mm
            for bar in _unlike(spare, take):
                before, spare[bar] = spare[bar], spare[bar] - take
                self.made.append((index, bar))
                if self._lives(topping, waste_mm) and self._go(*to, closed, left - 1, waste_mm):
                    return True
                self.made.pop()
                spare[bar] = before
        for kind, stock in enumerate(self.programme.stock_mm):
            if closed[kind] and length <= stock + _CLOSED_MM:
                closed[kind] -= 1
                self.made.append((index, len(spare)))
                spare.append(stock - length)
                lives = self._lives(topping + 1, waste_mm)
                if lives and self._go(*to, closed, left - 1, waste_mm):
                    return True
                spare.pop()
                self.made.pop()
                closed[kind] += 1
        return False

    def _lives(self, topping: int, waste_mm: float) -> bool:
        """Whether the offcuts that can no longer be used stay within the waste allowed."""
        self.steps -= 1
        if self.steps < 0:
            raise _SpentError
        used = sorted(one for one in self.spare_mm if one >= self.shortest_mm - _CLOSED_MM)
        kept = used[: max(len(used) - topping, 0)]
        return sum(self.spare_mm) - sum(used) + sum(kept) <= waste_mm


def _unlike(spare_mm: Sequence[float], take_mm: float) -> Iterator[int]:
    """Yield the bars with room, one of each spare length."""
    seen: set[float] = set()
    for bar, spare in enumerate(spare_mm):
        if take_mm <= spare + _CLOSED_MM and round(spare, 6) not in seen:
            seen.add(round(spare, 6))
            yield bar


def bars_adding_to(stock_mm: Sequence[float], total_mm: float) -> list[tuple[float, ...]]:
    """List the choices of bars that add up to a total, fewest bars first."""
    if total_mm < -_SAME_MM or not stock_mm:
        return []
    if total_mm < _SAME_MM:
        return [()]
    with_longest = bars_adding_to(stock_mm, total_mm - stock_mm[-1])
    found = [(*bars, stock_mm[-1]) for bars in with_longest]
    return sorted(
        found + bars_adding_to(stock_mm[:-1], total_mm), key=lambda bars: (len(bars), bars)
    )


@dataclass(frozen=True)
class Reached:
    """How far the search came.

    Parameters
    ----------
    made : tuple of (int, int)
        Pieces and the bar of each, the best there is; empty where the steps were used up.
    least_mm : float
        No less can be bought [mm].
    """

    made: tuple[tuple[int, int], ...]
    least_mm: float


def search_cuts(programme: Programme, least_mm: float, steps: int) -> Reached:
    """Search totals of bars, then numbers of pieces, then of bars, each from the least up.

    Parameters
    ----------
    programme : Programme
        What is to be cut.
    least_mm : float
        Known lower bound of the bought length: a total of whole bars [mm].
    steps : int
        Placements that may be tried; the cost is bounded by them, and the same call gives the
        same answer.

    Returns
    -------
    Reached
        The best plan where the search came to its end.
    """
    walk = Walk(programme, steps)
    most = sum(len(line.cuts_mm) - 1 for line in programme.lines)
    total = least_mm
    try:
        while total <= most * programme.stock_mm[-1] and walk.least_pieces <= _MOST_PIECES:
            if _cut_from(walk, total, most):
                return Reached(tuple(walk.made), total)
            following = next_total_mm(programme.stock_mm, total + 10 * _SAME_MM)
            if following < total + _FINEST_MM:
                break  # too many totals to go through
            total = following
    except _SpentError:  # the total that was being tried is all that is known: no less will do
        return Reached((), total)
    return Reached((), total)


def _cut_from(walk: Walk, total_mm: float, most: int) -> bool:
    programme = walk.programme
    choices = bars_adding_to(programme.stock_mm, total_mm)
    spare = total_mm - sum(line.length_mm for line in programme.lines)
    for pieces in range(walk.least_pieces, most + 1):
        for bars in choices:
            waste = spare - (pieces - len(bars)) * programme.kerf_mm
            if waste > -_SAME_MM and len(bars) <= pieces and walk.find(bars, pieces, waste):
                return True
    return False
