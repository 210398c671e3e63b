"""Units that stand on their supports with no bearer between: each side on what is under it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kit.base.checks import Check
from kit.base.datum import Datum
from kit.base.layout import Layout
from kit.base.panel_loads import PanelLoad, panel_loads
from kit.job import Job
from kit.strength.carry import standing_of
from kit.strength.joists import JoistWork, NoJoists
from kit.strength.pieces import Alone, Apart
from kit.strength.stack_loads import stack_loads
from kit.strength.unit_work import stand_on
from kit.strength.whole import Strength, whole, with_mass
from kit.strength.within import together_within


def loads_apart(layout: Layout, own_n: Mapping[str, float] | None = None) -> Apart:
    """Bring each side's and division's load down on the support under it.

    Parameters
    ----------
    layout : Layout
        Units and supports.
    own_n : mapping of str to float, optional
        What weighs on a support besides the units, a frame for example, by its name [N].

    Returns
    -------
    Apart
        Units share their load out to panels by tributary width and to rows as rigid bodies
        (`kit.base.panel_loads.panel_loads`); no panel bridges to another.
    """
    own = own_n or {}
    found = []
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        names = [str(name) for name in layout.on_bearer(row.name)["support"]]
        loads = panel_loads(layout, row)
        shares = [list(_on(stand.lines, loads)) for stand in stands]
        for name, of_stand in zip(names, shares, strict=True):
            found.append(
                Alone(
                    row.name,
                    name,
                    own.get(name, 0.0),
                    math.fsum(load.own_n for load in of_stand),
                    math.fsum(load.stored_n for load in of_stand),
                    math.fsum(load.people_n for load in of_stand),
                )
            )
    return Apart(tuple(found))


def _on(lines: Sequence[float], loads: Sequence[PanelLoad]) -> Iterator[PanelLoad]:
    return (load for load in loads if load.x_mm in lines)


@dataclass(frozen=True)
class Tops:
    """How far the tops that units stand on are off the level that was meant.

    Parameters
    ----------
    error_mm : mapping of str to float
        Of each support, known in advance, positive = high [mm].
    within_mm : float
        How far each may be off besides, either way, by the way it is set [mm].
    """

    error_mm: Mapping[str, float]
    within_mm: float = 0.0


def carry_apart(
    job: Job,
    layout: Layout,
    apart: Apart,
    joists: JoistWork | NoJoists,
    datum: Datum,
    tops: Tops,
    checks: Iterable[Check],
    cautions: Iterable[str] = (),
) -> Strength:
    """Work out what carries units that stand on their supports, and how they stand there.

    Parameters
    ----------
    job, layout, joists, datum : Job, Layout, JoistWork or NoJoists, Datum
        As for `kit.strength.carry.carry`.
    apart : Apart
        From `loads_apart`.
    tops : Tops
        How far the supports are off.
    checks, cautions : iterables of Check, of str
        What this method asks of the supports; the subject of a check begins with the row's name.

    Returns
    -------
    Strength
        Where the tops may be off either way, lean, wind and gaps are the worst that can come of
        it, without sign: the settled figures have none of it.
    """
    stand = stand_on(
        layout, _tops(layout, tops.error_mm), joists, layout.supports, datum.front_lift_mm
    )
    standing = standing_of(layout, stand)
    if tops.within_mm:
        standing = replace(standing, now=together_within(layout, stand, tops.within_mm))
    stacks = stack_loads((), apart.alone, tops.error_mm)
    return whole(
        job, layout, datum, joists, standing, ((), stacks), with_mass(layout, checks), cautions
    )


def _tops(layout: Layout, error_mm: Mapping[str, float]) -> Callable[[str, float], float]:
    """Return how far a side is off, by its row and its place along the run [mm]."""
    under = {
        (row.name, line): error_mm[str(name)]
        for row, stands in zip(layout.rows, layout.stands, strict=True)
        for name, stand in zip(layout.on_bearer(row.name)["support"], stands, strict=True)
        for line in stand.lines
    }

    def top_mm(bearer: str, place: float) -> float:
        return under[bearer, place]

    return top_mm
