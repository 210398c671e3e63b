"""Adjustable screw feet, no bearer: each side and division stands on its own feet."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pandas as pd

from kit.base.bill import Bill, Item, price_of, step
from kit.base.checks import Check, height_check, plinth_checks
from kit.base.clearance import clearance_table
from kit.base.cuts import CutPlan
from kit.base.datum import Datum, Needs, height_window
from kit.base.feet_kinds import choose_kinds
from kit.base.feet_level import choose_level
from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.base.runs import Floats
from kit.base.stack_plan import without_stacks
from kit.ground import Underside, look_under
from kit.job import Base, Job, refuse
from kit.methods.method import (
    Lie,
    Made,
    as_expected,
    bill_of,
    lift_of,
    no_cutting,
    no_screws,
    no_stacks,
    plinth_of,
    put_together,
    under_lie,
    with_targets,
)
from kit.parts import Answer, Ground, Survey, Traits
from kit.strength.direct import Tops, carry_apart, loads_apart
from kit.strength.foot_checks import (
    LOAD,
    LOAD_IDLE,
    FootAt,
    foot_checks,
    foot_name,
    full_n,
    idle_loads_n,
    travel_checks,
)
from kit.strength.pieces import Apart
from kit.threads import one_thread


class Feet:
    """Adjustable screw feet."""

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out a foot near each end of each side and division, whole under its own unit."""
        plate = max(foot.plate_mm for foot in base.feet)
        footing = Footing(plate, (plate, plate), joined=False, shared=False)
        return lay_out(job, base, footing)

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor along the rows of feet."""
        return look_under(job, survey, layout, base, _UNDERSIDE, before=before)

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the level with the least cost of feet, then most travel left, then the lowest."""
        layout, lift = ground.layout, lift_of(base, ground)
        high, under = lie.high_point_mm, under_lie(ground, lie)
        needs = Needs(0.0, base.minimum_pack_mm, "least room")
        window = height_window(job, base, under, high, layout, lift, needs)
        level = choose_level(
            base,
            ground.supports["support"].tolist(),
            _rest_mm(ground, lie, lift),
            window.low.datum_mm,
            window.high.datum_mm,
        )
        plan = without_stacks(
            level.datum_mm,
            len(ground.supports),
            level.feasible,
            level.binding_low,
            level.binding_high,
        )
        return Datum(window, plan, high, 0.0, lift)

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count feet by kind, and the work on them."""
        del screws  # no screw enters the floor
        used = Counter(_kinds(base, ground, lie, datum))
        units = len(ground.layout.units)
        return bill_of(
            (
                Item(
                    f"screw foot, {foot_name(foot)}",
                    foot.high_mm,
                    used[kind],
                    foot.count,
                    price_of(foot.price),
                )
                for kind, foot in enumerate(base.feet)
            ),
            (
                step(job.rates, "foot_min", "fit and set a foot", used.total(), "foot"),
                step(job.rates, "level_unit_min", "set and level a unit by itself", units, "unit"),
            ),
        )

    @one_thread
    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Choose level and feet over a known floor, and check them."""
        lie, layout = as_expected(ground), ground.layout
        datum = self.set_level(job, base, ground, lie)
        supports = with_targets(ground, datum)
        screws = no_screws()
        clearance = clearance_table(ground.known, datum.datum_mm, datum.front_lift_mm)
        plinth = plinth_of(job, base, ground, datum)
        feet = _feet_at(base, supports, _kinds(base, ground, lie, datum))
        apart = loads_apart(layout)
        carried = tuple(foot_checks(layout, apart, feet, job.floor, job.room.service_class))
        within = max(foot.kind.set_within_mm for foot in feet)
        tops = Tops(dict.fromkeys(supports["support"], 0.0), within)
        cautions = (*_overload(carried), *_CAUTIONS)
        made = Made(
            datum=datum,
            supports=supports,
            stacks=no_stacks(),
            screws=screws,
            clearance=clearance,
            plinth=plinth,
            # Set by hand, any three feet of a stiff unit may carry all of it.
            strength=replace(
                carry_apart(job, layout, apart, ground.joists, datum, tops, carried, cautions),
                greatest_n=max(idle_loads_n(layout).values()),
            ),
            bill=self.bill(job, base, ground, lie, datum, screws),
            traits=_traits(feet, within, clearance),
            checks=(
                height_check(base, datum),
                *plinth_checks(job, base, plinth),
                *travel_checks(feet),
            ),
            details={"feet.csv": _table(feet, apart)},
        )
        return put_together(job, survey, ground, base, made)


_CAUTIONS = (
    "Feet hold a unit up, not in place: pushed, it tips or walks. Fix every unit to the wall, and"
    " unit to unit, before it is loaded.",
    "Turn a foot only with the load off it: never stand or lift a loaded unit by its feet beyond"
    " what their maker allows.",
    "Set every foot to bear, by feel, after levelling: of more than three under a stiff unit some"
    " carry nothing while their neighbours carry their share as well.",
    "On a heated or a finished floor put the spreading pads under the plates that the makers of"
    " feet and floor ask for.",
    "No screw of this base enters the floor; what is said of screws here holds for any other.",
)


def _rest_mm(ground: Ground, lie: Lie, lift_mm: float) -> Floats:
    """Return the floor under each foot less its lift [mm]."""
    rest: Floats = lie.supports_mm - lift_mm * ground.supports["lift_share"].to_numpy(dtype=float)
    return rest


def _kinds(base: Base, ground: Ground, lie: Lie, datum: Datum) -> tuple[int, ...]:
    """Return the kind of each foot at a level that was chosen over this floor."""
    chosen = choose_kinds(base.feet, _rest_mm(ground, lie, datum.front_lift_mm), datum.datum_mm)
    if chosen is None:
        raise refuse(
            f"job.toml, base {base.name!r}, feet",
            f"no feet for all places at a level of {datum.datum_mm:.1f} mm",
            "a level that was chosen over this floor",
        )
    return chosen.kinds


def _feet_at(base: Base, supports: pd.DataFrame, kinds: Sequence[int]) -> list[FootAt]:
    columns = (supports["support"], supports["bearer"], supports["target_mm"], kinds)
    return [
        FootAt(str(name), str(row), base.feet[kind], float(height))
        for name, row, height, kind in zip(*columns, strict=True)
    ]


def _overload(checks: Sequence[Check]) -> Iterator[str]:
    words = {
        LOAD: ("though all of them bear", "Take stronger feet, or more of them."),
        LOAD_IDLE: ("where others are idle", "Set every foot to bear, or take stronger feet."),
    }
    for name, (when, instead) in words.items():
        over = [check for check in checks if check.check == name and check.verdict == "refer"]
        if over:
            said = "; ".join(f"{one.subject}, {one.value:.0f} of {one.limit:.0f} N" for one in over)
            yield f"Feet loaded beyond their maker's figure {when}: {said}. {instead}"


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


def _apart(layout: Layout, _cuts: CutPlan, _base: Base) -> Apart:
    return loads_apart(layout)


_UNDERSIDE = Underside(Layout.footprint, no_cutting, _apart)

FEET = Feet()
