"""Each piece of bearer laid on its stacks: what carries, what is idle, what rocks.

Stacks do not give; what differs is only how high their tops came out. Before a bearer is screwed
down it lies on whatever is highest, and bends only as far as its load bends it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from kit.job import Refusal
from kit.strength.beam import Floats, Loads
from kit.strength.contact import Rest, rest_on
from kit.strength.pieces import Piece, Pieces
from kit.strength.timber import GAMMA_G, GAMMA_Q, Duration, kdef, psi2

#: A hand that presses on the end of a bearer, to feel whether it rocks [N] (common practice, no
#: source).
HAND_N = 50.0

#: Groups of loads, and how many times each weighs.
Weights = Mapping[str, float]

#: The bearer by itself; with the units on it; with the units full.
CASES: Mapping[str, Weights] = {
    "laid": {"own": 1.0},
    "empty": {"own": 1.0, "units": 1.0},
    "full": {"own": 1.0, "units": 1.0, "stored": 1.0, "people": 1.0},
}

#: EN 1990, Eq. 6.10, every variable load taken as leading; with the longest load first.
DESIGN: tuple[tuple[Duration, Weights], ...] = (
    ("permanent", {"own": GAMMA_G, "units": GAMMA_G}),
    ("long", {"own": GAMMA_G, "units": GAMMA_G, "stored": GAMMA_Q}),
    ("medium", {"own": GAMMA_G, "units": GAMMA_G, "stored": GAMMA_Q, "people": GAMMA_Q}),
)

#: A gap over an idle stack, or under an end that rocks, that is let pass: about a sheet of paper
#: [mm] (common practice, no source).
IDLE_MM = 0.1

#: Less than this no gap has changed [mm].
_SEEN_MM = 1e-6

#: Places between two stacks at which a line is looked at.
_PER_SPAN = 24


@dataclass(frozen=True)
class Rocking:
    """A piece that rocks on one stack.

    Parameters
    ----------
    support : str
        The stack that it rocks on.
    left, right : str
        The stacks under its ends.
    left_mm, right_mm : float
        Gap over each of them while a hand presses on the other [mm].
    shims : tuple of (stack, gap)
        What brings its ends to bear as it lies untouched, balanced or on one of them [mm].
    """

    support: str
    left: str
    right: str
    left_mm: float
    right_mm: float
    shims: tuple[tuple[str, float], ...]

    @property
    def worst_mm(self) -> float:
        """The larger of both gaps [mm]."""
        return max(self.left_mm, self.right_mm)


@dataclass(frozen=True)
class Span:
    """What happens between two neighbouring stacks that carry.

    Parameters
    ----------
    left, right : str
        The stacks.
    length_mm : float
        From one to the other [mm].
    sag_mm : float
        How far the bearer strays from the straight line between them at most, all loads on it
        and after creep [mm].
    """

    left: str
    right: str
    length_mm: float
    sag_mm: float


@dataclass(frozen=True)
class PieceAtRest:
    """One piece of bearer on its stacks.

    Parameters
    ----------
    piece : Piece
        The piece as a beam.
    tops_mm : array of shape (stacks,)
        How much too high the top of each stack is [mm].
    cases : mapping of str to Rest
        At rest under the loads of each of `CASES`.
    design : tuple of (load duration, Rest)
        At rest under the loads of each of `DESIGN` that says something of its own.
    settled : Rest
        Under all loads, with the creep of the timber.
    rocking : tuple of Rocking
        Empty where it does not rock.
    """

    piece: Piece
    tops_mm: Floats
    cases: Mapping[str, Rest]
    design: tuple[tuple[Duration, Rest], ...]
    settled: Rest
    rocking: tuple[Rocking, ...]

    @property
    def idle(self) -> tuple[tuple[str, float], ...]:
        """Stacks that carry nothing though the units are full, and the gap over each [mm]."""
        full = self.cases["full"]
        return tuple(
            (name, float(gap))
            for name, gap, carries in zip(
                self.piece.supports, full.gaps_mm, full.carries, strict=True
            )
            if not carries
        )

    def line_mm(self, places_mm: Floats, case: str = "full") -> Floats:
        """Return how high the piece lies against the level that was meant [mm]."""
        return self.cases[case].line.height_mm(places_mm)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """Between stacks that carry, under all loads and after creep."""
        carrying = np.flatnonzero(self.settled.carries)
        places = np.array(self.piece.beam.supports_mm)
        share = np.linspace(0.0, 1.0, _PER_SPAN + 1)
        left, right = places[carrying[:-1], None], places[carrying[1:], None]
        heights = self.settled.line.height_mm(left + share * (right - left))
        chords = heights[:, :1] + share * (heights[:, -1:] - heights[:, :1])
        sags = np.abs(heights - chords).max(axis=1)
        names = [self.piece.supports[one] for one in carrying]
        lengths = (right - left).ravel()
        return tuple(
            Span(*ends, length, sag)
            for ends, length, sag in zip(
                pairwise(names), lengths.tolist(), sags.tolist(), strict=True
            )
        )


def lay_bearers(
    pieces: Pieces, error_mm: Mapping[str, float], service_class: int
) -> tuple[PieceAtRest, ...]:
    """Lay every piece of bearer on its stacks.

    Parameters
    ----------
    pieces : Pieces
        From `kit.strength.pieces.bearer_pieces`.
    error_mm : mapping of str to float
        How much too high the top of each stack is, by its name [mm].
    service_class : int
        Of the room, 1 to 3, for creep.

    Returns
    -------
    tuple of PieceAtRest
        In the order of the pieces.

    Raises
    ------
    Refusal
        Where a piece would tip off its stacks.
    """
    creep = kdef(service_class)
    return tuple(_named(piece, error_mm, creep) for piece in pieces.pieces)


def _named(piece: Piece, error_mm: Mapping[str, float], creep: float) -> PieceAtRest:
    try:
        return _at_rest(piece, error_mm, creep)
    except Refusal as refusal:
        raise Refusal(
            *(replace(one, where=f"bearer {piece.name}") for one in refusal.problems)
        ) from refusal


def _at_rest(piece: Piece, error_mm: Mapping[str, float], creep: float) -> PieceAtRest:
    tops = np.array([error_mm[name] for name in piece.supports], dtype=float)
    cases = {name: lie(piece, tops, weights) for name, weights in CASES.items()}
    # What lies there for years bends the timber further: EN 1995-1-1, 2.2.3, as more load.
    settling = {
        "own": 1 + creep,
        "units": 1 + creep,
        "stored": 1 + psi2("stored") * creep,
        "people": 1 + psi2("rooms") * creep,
    }
    rocking = _rocking(piece, tops, cases, "laid") or _rocking(piece, tops, cases, "full")
    return PieceAtRest(
        piece,
        tops,
        cases,
        tuple((duration, lie(piece, tops, weights)) for duration, weights in _telling(piece)),
        lie(piece, tops, settling),
        rocking,
    )


def _telling(piece: Piece) -> list[tuple[Duration, Weights]]:
    """Return the design cases that do not repeat the one before."""
    has = {"long": bool(piece.stored.points), "medium": bool(piece.people.points)}
    return [case for case in DESIGN if has.get(case[0], True)]


def lie(piece: Piece, tops_mm: Floats, weights: Weights, hand: Sequence[float] = ()) -> Rest:
    """Lay one piece on its stacks.

    Parameters
    ----------
    piece : Piece
    tops_mm : array of shape (stacks,)
        How much too high the top of each stack is [mm].
    weights : mapping of str to float
        Groups of loads (own, units, stored, people), and how many times each weighs.
    hand : sequence of float
        Stacks over which a hand presses, by their places [mm].

    Returns
    -------
    Rest
    """
    loads, pressed = Loads(), np.zeros(len(tops_mm))
    for name, factor in weights.items():
        loads = loads + getattr(piece, name).scaled(factor)
        pressed = pressed + factor * piece.pressed_n[name]
    for place in hand:
        loads = loads + Loads(points=((place, HAND_N),))
        pressed = pressed - HAND_N * (np.array(piece.beam.supports_mm) == place)
    return rest_on(piece.beam.frame, loads, pressed, tops_mm)


def _rocking(
    piece: Piece, tops: Floats, cases: Mapping[str, Rest], case: str
) -> tuple[Rocking, ...]:
    """Press on one end, then on the other: it rocks where each lifts the other end.

    And where only one stack carries both times: that is the one it rocks on.
    """
    names, places = piece.supports, piece.beam.supports_mm
    if len(names) < 3 or all(cases[case].carries[end] for end in (0, -1)):
        return ()
    left = lie(piece, tops, CASES[case], places[:1])
    right = lie(piece, tops, CASES[case], places[-1:])
    both = [
        name
        for name, one, other in zip(names, left.carries, right.carries, strict=True)
        if one and other
    ]
    if left.carries[-1] or right.carries[0] or len(both) != 1:
        return ()
    gaps = float(right.gaps_mm[0]), float(left.gaps_mm[-1])
    lies = cases[case].gaps_mm
    # Where a press at one end draws the other down too, it bends over two stacks and lies firm.
    drawn_down = gaps[0] < lies[0] - _SEEN_MM or gaps[1] < lies[-1] - _SEEN_MM
    if drawn_down or max(gaps) <= IDLE_MM:
        return ()
    shims = tuple((names[end], float(lies[end])) for end in (0, -1) if lies[end] > 0)
    return (Rocking(both[0], names[0], names[-1], *gaps, shims),)


def tops_under(
    laid: Sequence[PieceAtRest], bearer: str, places_mm: Sequence[float]
) -> dict[float, float]:
    """Return how high a bearer lies at places of its run, units full [mm].

    Parameters
    ----------
    laid : sequence of PieceAtRest
        From `lay_bearers`.
    bearer : str
        Its name.
    places_mm : sequence of float
        Along the run; beyond the bearer's end, that of its end [mm].

    Returns
    -------
    dict of float to float
        Height against the level that was meant by place; empty for a bearer on one stack.
    """
    of_bearer = [one for one in laid if one.piece.bearer == bearer]
    found: dict[float, float] = {}
    for number, one in enumerate(of_bearer):
        beam, last = one.piece.beam, number == len(of_bearer) - 1
        on_it = [x for x in places_mm if x not in found and (last or x <= beam.end_mm)]
        inside = [min(max(x, beam.start_mm), beam.end_mm) for x in on_it]
        found |= dict(zip(on_it, one.line_mm(np.array(inside)).tolist(), strict=True))
    return found
