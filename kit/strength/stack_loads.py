"""What each stack carries, the pieces of bearer over it taken together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kit.strength.bearers import CASES, PieceAtRest
from kit.strength.pieces import Alone


@dataclass(frozen=True)
class StackLoad:
    """What one stack carries.

    Parameters
    ----------
    support, bearer : str
        Its name, and that of the bearer on it.
    error_mm : float
        How much too high its top is [mm].
    laid_n, empty_n, full_n : float
        What it carries under the bearer alone, with the units on it, with the units full [N].
    idle_pieces : tuple of int
        Pieces of bearer that do not bear on it though the units are full; units, counted along
        all runs from 1, where they stand on it with no bearer between.
    gap_mm : float
        The largest gap over it then [mm]; 0 where all bear.
    """

    support: str
    bearer: str
    error_mm: float
    laid_n: float
    empty_n: float
    full_n: float
    idle_pieces: tuple[int, ...]
    gap_mm: float

    @property
    def idle(self) -> bool:
        """Whether some piece of bearer does not bear on it."""
        return bool(self.idle_pieces)


def stack_loads(
    laid: Sequence[PieceAtRest], alone: Sequence[Alone], error_mm: Mapping[str, float]
) -> tuple[StackLoad, ...]:
    """Gather what each stack carries; one under a joint carries both pieces.

    Parameters
    ----------
    laid : sequence of PieceAtRest
        From `kit.strength.bearers.lay_bearers`.
    alone : sequence of Alone
        Bearers that a single stack carries.
    error_mm : mapping of str to float
        How much too high the top of each stack is, by its name [mm].

    Returns
    -------
    tuple of StackLoad
        In the order of ``error_mm``.
    """
    under: dict[str, list[tuple[PieceAtRest, int]]] = {}
    for one in laid:
        for place, name in enumerate(one.piece.supports):
            under.setdefault(name, []).append((one, place))
    found = {name: _stack_load(name, pieces) for name, pieces in under.items()}
    found |= {one.support: _of_alone(one, error_mm[one.support]) for one in alone}
    return tuple(found[name] for name in error_mm)


def _of_alone(one: Alone, error_mm: float) -> StackLoad:
    empty = one.own_n + one.units_n
    full = empty + one.stored_n + one.people_n
    return StackLoad(one.support, one.bearer, error_mm, one.own_n, empty, full, (), 0.0)


def _stack_load(name: str, pieces: Sequence[tuple[PieceAtRest, int]]) -> StackLoad:
    first, at = pieces[0]
    carried = {
        case: sum(float(one.cases[case].line.reactions_n[place]) for one, place in pieces)
        for case in CASES
    }
    idle = [
        (one.piece.number, float(one.cases["full"].gaps_mm[place]))
        for one, place in pieces
        if not one.cases["full"].carries[place]
    ]
    return StackLoad(
        name,
        first.piece.bearer,
        float(first.tops_mm[at]),
        carried["laid"],
        carried["empty"],
        carried["full"],
        tuple(number for number, _ in idle),
        max((gap for _, gap in idle), default=0.0),
    )
