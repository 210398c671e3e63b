"""Units that stand on their supports with no bearer between: each side on what is under it."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from kit.base.checks import Check
from kit.base.datum import Datum
from kit.base.layout import Layout
from kit.base.panel_loads import PanelLoad, panel_loads
from kit.base.runs import Row
from kit.base.supports import Stand
from kit.job import Job
from kit.strength.carry import standing_of
from kit.strength.furniture import Together
from kit.strength.joists import JoistWork, NoJoists
from kit.strength.pieces import Alone, Apart
from kit.strength.stack_loads import stack_loads
from kit.strength.unit_work import UnitStand, stand_on
from kit.strength.whole import Strength, whole, with_mass
from kit.strength.within import on_one_surface, together_within


def loads_apart(layout: Layout, own_n: Mapping[str, float] | None = None) -> Apart:
    """Bring each side's and division's load down on the support under it, or on two by the lever.

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
        (`kit.base.panel_loads.panel_loads`). What stands over a no-go area comes down on the two
        supports that bridge it, by the lever; no other panel bridges.
    """
    own = own_n or {}
    found = []
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        names = [str(name) for name in layout.on_bearer(row.name)["support"]]
        on = _panels_on(row, stands)
        parts: list[list[tuple[PanelLoad, float]]] = [[] for _ in stands]
        for load in panel_loads(layout, row):
            for number, share in on[load.x_mm]:
                parts[number].append((load, share))
        found += [
            Alone(row.name, name, own.get(name, 0.0), *_sums(of_stand))
            for name, of_stand in zip(names, parts, strict=True)
        ]
    return Apart(tuple(found))


def _sums(parts: Sequence[tuple[PanelLoad, float]]) -> tuple[float, float, float]:
    """Return what parts of panels' loads come to: of units, stored, people [N]."""
    return (
        math.fsum(share * load.own_n for load, share in parts),
        math.fsum(share * load.stored_n for load, share in parts),
        math.fsum(share * load.people_n for load, share in parts),
    )


def _panels_on(row: Row, stands: Sequence[Stand]) -> dict[float, tuple[tuple[int, float], ...]]:
    """Return the supports that each panel of a row stands on, by its centre line along the run.

    The one under it; across a no-go area its two neighbours, by the lever. As (index, share).
    """
    right_on = {line: number for number, stand in enumerate(stands) for line in stand.lines}
    places = [stand.x_mm for stand in stands]
    lines = [panel.x_mm for _, panel in row.panels]
    return {
        line: ((right_on[line], 1.0),) if line in right_on else _lever(line, places)
        for line in lines
    }


def _lever(line_mm: float, places_mm: Sequence[float]) -> tuple[tuple[int, float], ...]:
    """Return how a panel between two supports comes down on both, as (index, share)."""
    after = bisect_right(places_mm, line_mm)
    if after in (0, len(places_mm)):
        return ((max(after - 1, 0), 1.0),)
    low, high = places_mm[after - 1], places_mm[after]
    forward = (line_mm - low) / (high - low)
    return ((after - 1, 1.0 - forward), (after, forward))


@dataclass(frozen=True)
class Tops:
    """How far the tops that units stand on are off the level that was meant.

    Parameters
    ----------
    error_mm : mapping of str to float
        Of each support, known in advance, positive = high [mm].
    within_mm : float
        How far each may be off besides, either way, by the way it is set [mm].
    surface_mm : mapping of str to (along, out)
        Where all tops of a run lie on one surface, how far it reaches along the run and out into
        the room [mm]; empty where each is off by itself.
    """

    error_mm: Mapping[str, float]
    within_mm: float = 0.0
    surface_mm: Mapping[str, tuple[float, float]] = field(default_factory=dict)


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
        Where the tops may be off either way, lean, wind and gaps are what 95 of 100 units keep
        within, on one surface what none exceeds, without sign: the settled figures have none of
        it.
    """
    stand = stand_on(
        layout, _tops(layout, tops.error_mm), joists, layout.supports, datum.front_lift_mm
    )
    standing = standing_of(layout, stand)
    if tops.within_mm:
        standing = replace(standing, now=_set_by_hand(layout, stand, tops), either_way=True)
    stacks = stack_loads((), apart.alone, tops.error_mm)
    found = whole(
        job, layout, datum, joists, standing, ((), stacks), with_mass(layout, checks), cautions
    )
    return replace(found, within_mm=tops.within_mm, one_surface=bool(tops.surface_mm))


def _set_by_hand(layout: Layout, stand: Sequence[UnitStand], tops: Tops) -> Together:
    if tops.surface_mm:
        return on_one_surface(layout, stand, tops.within_mm, tops.surface_mm)
    return together_within(layout, stand, tops.within_mm)


def _tops(layout: Layout, error_mm: Mapping[str, float]) -> Callable[[str, float], float]:
    """Return how far a side is off, by its row and its place along the run [mm].

    Across a no-go area it is off as the straight line between its two supports is.
    """
    under: dict[tuple[str, float], float] = {}
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        errors = [error_mm[str(name)] for name in layout.on_bearer(row.name)["support"]]
        for line, parts in _panels_on(row, stands).items():
            under[row.name, line] = math.fsum(share * errors[number] for number, share in parts)

    def top_mm(bearer: str, place: float) -> float:
        return under[bearer, place]

    return top_mm
