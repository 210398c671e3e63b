"""Adjustable screw feet, no bearer: each side and division stands on its own feet."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

import pandas as pd

from kit.base.bill import Bill, Item, price_of, step
from kit.base.checks import height_check, plinth_checks, set_level_check
from kit.base.clearance import clearance_table
from kit.base.datum import Datum
from kit.base.feet_choice import choose_kinds
from kit.base.feet_kinds import Kinds
from kit.base.feet_level import choose_level
from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.base.runs import Floats
from kit.base.stack_plan import without_stacks
from kit.ground import look_under
from kit.job import Base, Foot, Job, Refusal
from kit.methods.apart import UNDERSIDE_APART, window_apart
from kit.methods.feet_words import (
    CAUTIONS,
    overload,
    prices_left_out,
    short_of_travel,
    unpriced,
)
from kit.methods.method import (
    Lie,
    Made,
    as_expected,
    bill_of,
    lift_of,
    no_screws,
    no_stacks,
    plinth_of,
    put_together,
    with_targets,
)
from kit.parts import Answer, Ground, Survey, Traits
from kit.strength.direct import Tops, carry_apart, loads_apart
from kit.strength.foot_checks import (
    TRAVEL_LEFT_MM,
    FootAt,
    foot_checks,
    foot_name,
    full_n,
    idle_loads_n,
    travel_checks,
)
from kit.strength.pieces import Apart
from kit.strength.whole import Strength
from kit.threads import one_thread


class Feet:
    """Adjustable screw feet."""

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out a foot near each end of each side and division, whole under its own unit."""
        there = [foot for foot in base.feet if foot.count != 0]
        # Where none is in stock the level is refused, which says so.
        plate = max(foot.plate_mm for foot in there or base.feet)
        try:
            return _lay_out(job, base, plate)
        except Refusal as refusal:
            if not _stands(job, base, _SMALLEST_PLATE_MM):
                raise
            smaller = (
                f", or feet of a smaller feet.plate_mm than {plate:g} mm, the largest in stock"
            )
            raise Refusal(
                *(replace(one, allowed=one.allowed + smaller) for one in refusal.problems)
            ) from refusal

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor along the rows of feet."""
        return look_under(job, survey, layout, base, UNDERSIDE_APART, before=before)

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the level with the least cost of feet, then most travel left, then the lowest.

        Where some level leaves every foot `TRAVEL_LEFT_MM` either way, only such levels count.
        """
        window, lift = window_apart(job, base, ground, lie, "least room"), lift_of(base, ground)
        names, rest = ground.supports["support"].tolist(), _rest_mm(ground, lie, lift)
        low, high = window.low.datum_mm, window.high.datum_mm
        level = choose_level(base, names, rest, low, high)
        with suppress(Refusal):  # no such level: the floor asks for all the travel that there is
            kept = choose_level(_with_reserve(base), names, rest, low, high)
            level = replace(level, datum_mm=kept.datum_mm)
        plan = without_stacks(
            level.datum_mm,
            len(ground.supports),
            level.feasible,
            level.binding_low,
            level.binding_high,
        )
        return Datum(window, plan, lie.high_point_mm, 0.0, lift)

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count feet by kind, and the work on them."""
        del screws  # no screw enters the floor
        kinds, rest = _kinds(base, ground, lie, datum)
        used, units = Counter(_chosen(kinds, rest, datum)), len(ground.layout.units)
        bill = bill_of(
            (_item(foot, used[kind]) for kind, foot in enumerate(base.feet)),
            (
                step(job.rates, "foot_min", "fit and set a foot", used.total(), "foot"),
                step(job.rates, "level_unit_min", "set and level a unit by itself", units, "unit"),
            ),
        )
        # What the base costs at least hangs on their prices too.
        asked = (_item(base.feet[kind], 0) for kind in unpriced(kinds) if not used[kind])
        return replace(bill, items=(*bill.items, *asked))

    @one_thread
    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Choose level and feet over a known floor, and check them."""
        lie = as_expected(ground)
        datum = self.set_level(job, base, ground, lie)
        supports = with_targets(ground, datum)
        screws = no_screws()
        clearance = clearance_table(ground.known, datum.datum_mm, datum.front_lift_mm)
        plinth = plinth_of(job, base, ground, datum)
        kinds, rest = _kinds(base, ground, lie, datum)
        feet = _feet_at(base, supports, _chosen(kinds, rest, datum))
        within = max(foot.kind.set_within_mm for foot in feet)
        cautions = (*short_of_travel(feet), *prices_left_out(base, kinds), *CAUTIONS)
        made = Made(
            datum=datum,
            supports=supports,
            stacks=no_stacks(),
            screws=screws,
            clearance=clearance,
            plinth=plinth,
            strength=_strength(job, ground, datum, feet, cautions),
            bill=self.bill(job, base, ground, lie, datum, screws),
            traits=_traits(feet, within, clearance),
            checks=(
                height_check(base, datum),
                set_level_check("feet.set_within_mm", within, base),
                *plinth_checks(job, base, ground.layout, plinth),
                *travel_checks(feet),
            ),
            details={"feet.csv": _table(feet, loads_apart(ground.layout))},
        )
        return put_together(job, survey, ground, base, made)


def _strength(
    job: Job, ground: Ground, datum: Datum, feet: Sequence[FootAt], cautions: Sequence[str]
) -> Strength:
    """Work out what the feet carry, and how the units stand on them."""
    layout = ground.layout
    apart = loads_apart(layout)
    carried = tuple(foot_checks(layout, apart, feet, job.floor, job.room.service_class))
    within = max(foot.kind.set_within_mm for foot in feet)
    tops = Tops({foot.support: 0.0 for foot in feet}, within)
    said = (*overload(carried), *cautions)
    found = carry_apart(job, layout, apart, ground.joists, datum, tops, carried, said)
    # Set by hand, any three feet of a stiff unit may carry all of it.
    return replace(found, greatest_n=max(idle_loads_n(layout).values()))


#: The smallest plate that is to be had: what does not stand on it either hangs on no plate [mm]
#: (common practice, no source).
_SMALLEST_PLATE_MM = 20.0


def _lay_out(job: Job, base: Base, plate_mm: float) -> Layout:
    footing = Footing(plate_mm, (plate_mm, plate_mm), joined=False, shared=False)
    return lay_out(job, base, footing)


def _stands(job: Job, base: Base, plate_mm: float) -> bool:
    """Tell whether feet with such plates find their places."""
    try:
        _lay_out(job, base, plate_mm)
    except Refusal:
        return False
    return True


def _rest_mm(ground: Ground, lie: Lie, lift_mm: float) -> Floats:
    """Return the floor under each foot less its lift [mm]."""
    rest: Floats = lie.supports_mm - lift_mm * ground.supports["lift_share"].to_numpy(dtype=float)
    return rest


def _kinds(base: Base, ground: Ground, lie: Lie, datum: Datum) -> tuple[Kinds, Floats]:
    """Return the kinds in use over this floor, and the floor under each foot [mm].

    With the travel that is kept in reserve taken off where that leaves a kind for each foot.
    """
    rest = _rest_mm(ground, lie, datum.front_lift_mm)
    window = datum.window.low.datum_mm, datum.window.high.datum_mm
    kept = Kinds.within(_with_reserve(base).feet, rest, window)
    if choose_kinds(kept, rest, datum.datum_mm) is not None:
        return kept, rest
    return Kinds.within(base.feet, rest, window), rest


def _with_reserve(base: Base) -> Base:
    """Return a base whose feet are not used to the ends of their travel.

    For a floor that lies otherwise than expected, goes down, or a unit that is set anew.
    """
    feet = tuple(_kept(foot) for foot in base.feet)
    return base.model_copy(update={"feet": feet})


def _kept(foot: Foot) -> Foot:
    """Return a foot without the ends of its travel; one that has no more than those is not used."""
    low, high = foot.low_mm + TRAVEL_LEFT_MM, foot.high_mm - TRAVEL_LEFT_MM
    travel = {"low_mm": low, "high_mm": high} if low <= high else {"count": 0}
    return foot.model_copy(update=travel)


def _chosen(kinds: Kinds, rest_mm: Floats, datum: Datum) -> tuple[int, ...]:
    """Return the kind of each foot at a level that was chosen over this floor."""
    chosen = choose_kinds(kinds, rest_mm, datum.datum_mm)
    if chosen is None:  # a defect of whoever asks: the level is of another floor
        raise RuntimeError(f"no feet for all places at a level of {datum.datum_mm:.1f} mm")
    return chosen.kinds


def _item(foot: Foot, count: int) -> Item:
    name = f"screw foot, {foot_name(foot)}"
    return Item(name, foot.high_mm, count, foot.count, price_of(foot.price))


def _feet_at(base: Base, supports: pd.DataFrame, kinds: Sequence[int]) -> list[FootAt]:
    columns = (supports["support"], supports["bearer"], supports["target_mm"], kinds)
    return [
        FootAt(str(name), str(row), base.feet[kind], float(height))
        for name, row, height, kind in zip(*columns, strict=True)
    ]


def _table(feet: Sequence[FootAt], apart: Apart) -> pd.DataFrame:
    loads = {one.support: full_n(one) for one in apart.alone}
    return pd.DataFrame(
        {
            "support": [foot.support for foot in feet],
            "kind": [foot.name for foot in feet],
            "low_mm": [foot.kind.low_mm for foot in feet],
            "high_mm": [foot.kind.high_mm for foot in feet],
            "set_mm": [foot.set_mm for foot in feet],
            "up_left_mm": [foot.up_left_mm for foot in feet],
            "down_left_mm": [foot.down_left_mm for foot in feet],
            "load_N": [loads[foot.support] for foot in feet],
            "bears_N": [math.nan if f.kind.bears_n is None else f.kind.bears_n for f in feet],
        }
    )


def _traits(feet: Sequence[FootAt], within_mm: float, clearance: pd.DataFrame) -> Traits:
    return Traits(
        level_error_mm=within_mm,
        fixing_line_mm=0.0,
        floor_screws=0,
        room_under_mm=float(clearance["least_mm"].min()),
        adjust_up_mm=min(foot.up_left_mm for foot in feet),
        adjust_down_mm=min(foot.down_left_mm for foot in feet),
    )


FEET = Feet()
