"""Units that stand on stacks with no bearer, taken as stiff: what they hang over, what carries."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kit.base.checks import CLOSED_MM, Check
from kit.base.datum import Datum
from kit.base.layout import GRAVITY_N_PER_KG, Layout
from kit.base.panel_loads import panel_loads
from kit.job import Job, Stock
from kit.strength.bearer_checks import shim_words
from kit.strength.bearers import IDLE_MM
from kit.strength.bearing import pressure
from kit.strength.bearing_checks import design_loads
from kit.strength.carry import standing_of
from kit.strength.furniture import Consequence, subject_of
from kit.strength.joists import JoistWork, NoJoists
from kit.strength.on_boards import Design, board_check, greatest_n
from kit.strength.pieces import Alone, Apart
from kit.strength.stack_loads import StackLoad, stack_loads
from kit.strength.stiff import Prop, StiffUnit, stiff_units
from kit.strength.unit_work import UnitStand, stand_on
from kit.strength.whole import Strength, whole, with_mass

IDLE = "stack idle under a stiff unit"
PRESSURE = "pressure on packer, unit stiff"
BOARD = "bearing on board, unit stiff"

_RIGID = "rigid carcass, contact only (sum of this kit)"
_GREATER = f"the greater of its share by width and of the share under a stiff unit; {_RIGID}"


def carry_stiff(
    job: Job,
    layout: Layout,
    apart: Apart,
    joists: JoistWork | NoJoists,
    datum: Datum,
    error_mm: Mapping[str, float],
    cautions: Iterable[str],
) -> Strength:
    """Work out what carries units that stand stiff on stacks of known errors.

    Parameters
    ----------
    job, layout, joists, datum : Job, Layout, JoistWork or NoJoists, Datum
        As for `kit.strength.carry.carry`.
    apart : Apart
        From `kit.strength.direct.loads_apart`.
    error_mm : mapping of str to float
        How much too high each stack is [mm].
    cautions : iterable of str
        What this way of building calls for.

    Returns
    -------
    Strength
        Units lean with the plane that they rest in; wind and taper are of the stacks under their
        four corners, which is what a carcass that gives in the end takes up. With settlement
        they lean by that plane and by what lift and joists add under the corners. The loads of
        ``stacks`` are those of all stacks bearing; idle and gap_mm are of the stiff units.
    """
    stiff, several = stiff_units(layout, error_mm), len(layout.frames) > 1
    corners = _tops(stiff, lambda _, prop: error_mm[prop.support])
    plane = _tops(stiff, lambda one, prop: one.height_mm(prop.x_mm, prop.y_mm))
    uneven, leaning = (
        stand_on(layout, tops, joists, layout.supports, datum.front_lift_mm)
        for tops in (corners, plane)
    )
    stand = [_with_lean(*both) for both in zip(uneven, leaning, strict=True)]
    checks = (
        *idle_checks(stiff, several_runs=several),
        *with_mass(layout, stack_checks(job, layout, apart, stiff)),
    )
    said = (*_idle_cautions(stiff, several_runs=several), *cautions)
    carrying = ((), idle_stacks(stack_loads((), apart.alone, error_mm), stiff))
    standing = standing_of(layout, stand)
    found = whole(job, layout, datum, joists, standing, carrying, checks, said)
    return replace(found, greatest_n=max(full_loads_n(stiff).values()))


def full_loads_n(stiff: Iterable[StiffUnit]) -> dict[str, float]:
    """Return what each stack carries of the full units as they stand, stiff, by its name [N]."""
    found: dict[str, float] = {}
    for one in stiff:
        unit = one.placed.unit
        weight = (unit.mass_kg + unit.contents_kg) * GRAVITY_N_PER_KG
        for prop, share in zip(one.props, one.rest.shares.tolist(), strict=True):
            found[prop.support] = found.get(prop.support, 0.0) + weight * share
    return found


def _tops(
    stiff: Iterable[StiffUnit], height_mm: Callable[[StiffUnit, Prop], float]
) -> Callable[[str, float], float]:
    """Return how high each side stands, by its row and its place along the run [mm]."""
    found = {(prop.row, prop.x_mm): height_mm(one, prop) for one in stiff for prop in one.props}

    def top_mm(row: str, place: float) -> float:
        return found[row, place]

    return top_mm


def _with_lean(uneven: UnitStand, leaning: UnitStand) -> UnitStand:
    """Return how a unit winds over its stacks and leans with its plane; it hangs over no row."""
    return replace(
        leaning,
        consequence=_leaning(uneven.consequence, leaning.consequence),
        settled=_leaning(uneven.settled, leaning.settled),
    )


def _leaning(uneven: Consequence, leaning: Consequence) -> Consequence:
    return replace(uneven, lean_along_mm=leaning.lean_along_mm, lean_out_mm=leaning.lean_out_mm)


def idle_under(one: StiffUnit) -> dict[str, float]:
    """Return the stacks under a unit that carry nothing of it, and the gap over each [mm]."""
    carried: dict[str, float] = {}
    gaps: dict[str, float] = {}
    for prop, gap, share in zip(
        one.props, one.rest.gaps_mm.tolist(), one.rest.shares.tolist(), strict=True
    ):
        carried[prop.support] = carried.get(prop.support, 0.0) + share
        gaps[prop.support] = min(gaps.get(prop.support, gap), gap)
    return {name: gaps[name] for name, share in carried.items() if share < CLOSED_MM}


def _stands(one: StiffUnit) -> str:
    """Say on which stacks a unit stands, and whether it rocks there."""
    idle = idle_under(one)
    on = list(dict.fromkeys(p.support for p in one.props if p.support not in idle))
    return f"balances on {' and '.join(on)}" if len(on) < 3 else f"stands on {', '.join(on)}"


def idle_checks(stiff: Iterable[StiffUnit], *, several_runs: bool) -> Iterator[Check]:
    """Yield over how large a gap each unit hangs, taken as stiff: over which stacks, what shims."""
    for one in stiff:
        idle = idle_under(one)
        gap = max(idle.values(), default=0.0)
        said = "; ".join(
            (*(f"{name}: {shim_words(over)}" for name, over in idle.items()), _stands(one))
        )
        name = subject_of(one.placed, several_runs=several_runs)
        yield Check(
            IDLE,
            f"{name}: {', '.join(idle)}" if idle else name,
            gap,
            IDLE_MM,
            "mm",
            "refer" if gap > IDLE_MM + CLOSED_MM else "ok",
            f"{said}; {_RIGID}",
        )


def _idle_cautions(stiff: Iterable[StiffUnit], *, several_runs: bool) -> Iterator[str]:
    """Say which units hang over which stacks by more than is let pass, and by how much."""
    said = []
    for one in stiff:
        over = [f"{name} by {gap:.2f} mm" for name, gap in idle_under(one).items() if gap > IDLE_MM]
        if over:
            unit = subject_of(one.placed, several_runs=several_runs)
            said.append(f"{unit} over {', '.join(over)}")
    if said:
        yield f"A stiff unit hangs over stacks until these are shimmed: {'; '.join(said)}."


def idle_stacks(stacks: Iterable[StackLoad], stiff: Sequence[StiffUnit]) -> tuple[StackLoad, ...]:
    """Return the loads of stacks with those told idle that some unit hangs over.

    Parameters
    ----------
    stacks : iterable of StackLoad
        What each carries with all of them bearing.
    stiff : sequence of StiffUnit
        The units; their numbers from 1 stand for the pieces of bearer.
    """
    over = [(number, idle_under(one)) for number, one in enumerate(stiff, start=1)]
    return tuple(
        replace(
            stack,
            idle_pieces=tuple(number for number, idle in over if stack.support in idle),
            gap_mm=max((idle.get(stack.support, 0.0) for _, idle in over), default=0.0),
        )
        for stack in stacks
    )


@dataclass(frozen=True)
class _Pressed:
    """What one side or division puts on a stack: all stacks bearing, and its unit stiff."""

    prop: Prop
    by_width: Alone
    stiff: Alone

    @property
    def greatest_n(self) -> float:
        """The greater of both design forces [N]."""
        return max(greatest_n(design_loads(one)) for one in (self.by_width, self.stiff))


def stack_checks(
    job: Job, layout: Layout, apart: Apart, stiff: Sequence[StiffUnit]
) -> Iterator[Check]:
    """Yield row by row what packers and boards bear under units that may be stiff.

    Parameters
    ----------
    job, layout : Job, Layout
        Floor, stock, packers.
    apart : Apart
        What each stack carries when all bear.
    stiff : sequence of StiffUnit
        The units on the stacks' errors.
    """
    pressed = list(_pressed(layout, stiff))
    for row in layout.rows:
        of_row = [one for one in pressed if one.prop.row == row.name]
        yield _packer_check(row.name, of_row, layout.packer_size_mm[1], job.stock)
        if job.floor.kind == "boarded":
            alone = [one for one in apart.alone if one.bearer == row.name]
            design = {one.support: _greater(one, of_row) for one in alone}
            sizes = dict.fromkeys(design, layout.packer_size_mm)
            service_class = job.room.service_class
            yield board_check(BOARD, row.name, design, sizes, job.floor, service_class, _GREATER)


def _pressed(layout: Layout, stiff: Sequence[StiffUnit]) -> Iterator[_Pressed]:
    by_width = {
        (row.name, load.unit, load.x_mm): load
        for row in layout.rows
        for load in panel_loads(layout, row)
    }
    for one in stiff:
        unit = one.placed.unit
        stored = unit.contents_kg if unit.contents_are == "stored" else 0.0
        masses = (unit.mass_kg, stored, unit.contents_kg - stored)
        for prop, share in zip(one.props, one.rest.shares.tolist(), strict=True):
            load = by_width[prop.row, unit.name, prop.x_mm]
            own, kept, people = (share * mass * GRAVITY_N_PER_KG for mass in masses)
            yield _Pressed(
                prop,
                Alone(prop.row, prop.support, 0.0, load.own_n, load.stored_n, load.people_n),
                Alone(prop.row, prop.support, 0.0, own, kept, people),
            )


def _greater(alone: Alone, of_row: Iterable[_Pressed]) -> Design:
    """Return the design forces on a stack, each the greater of all bearing and units stiff [N]."""
    found = dict(design_loads(alone))
    stiff = dict.fromkeys(found, 0.0)
    for one in of_row:
        if one.prop.support == alone.support:
            for duration, force in design_loads(one.stiff):
                stiff[duration] += force
    return [(duration, max(force, stiff[duration])) for duration, force in found.items()]


def _packer_check(row: str, pressed: Sequence[_Pressed], across_mm: float, stock: Stock) -> Check:
    """Judge the pressure of a side's edge on its packer, by what the job says that it bears."""
    values = [pressure(one.greatest_n, one.prop.thickness_mm, across_mm) for one in pressed]
    worst = max(range(len(values)), key=values.__getitem__)
    value, one = values[worst], pressed[worst]
    said = f"{one.greatest_n:.0f} N on the side's edge; {_GREATER}"
    where, limit = f"{row}: {one.prop.support}", stock.packer_bears_n_per_mm2
    if limit is None:
        why = f"no stock.packer_bears_n_per_mm2 given: ask the packers' maker; {said}"
        return Check(PRESSURE, where, value, math.nan, "N/mm2", "not_checked", why)
    verdict = "ok" if value <= limit + CLOSED_MM else "refer"
    source = f"stock.packer_bears_n_per_mm2, against design loads (EN 1990 Eq. 6.10); {said}"
    return Check(PRESSURE, where, value, limit, "N/mm2", verdict, source)
