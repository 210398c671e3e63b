"""Packer stacks alone, no bearer: each side and division stands on its own stacks."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from kit.base.bill import Bill, packer_items, packing_steps, screw_items, step
from kit.base.checks import (
    Check,
    clearance_checks,
    height_check,
    plinth_checks,
    screw_step_checks,
    stack_error_check,
)
from kit.base.clearance import clearance_table
from kit.base.datum import Datum, choose_datum
from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.ground import look_under
from kit.job import Base, Job
from kit.methods.apart import UNDERSIDE_APART, window_apart
from kit.methods.method import (
    Lie,
    Made,
    as_expected,
    bill_of,
    lift_of,
    plinth_of,
    put_together,
    with_targets,
)
from kit.methods.stacking import into_the_floor, screw_table, stack_table
from kit.parts import Answer, Ground, Survey, Traits
from kit.strength.direct import loads_apart
from kit.strength.stiff_checks import carry_stiff
from kit.threads import one_thread


class Stacks:
    """Packer stacks alone."""

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out stacks under sides and divisions."""
        along, across = job.stock.packer_size_mm
        return lay_out(job, base, Footing(across, (along, across), joined=False))

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor along the rows of stacks."""
        return look_under(job, survey, layout, base, UNDERSIDE_APART, before=before)

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the level with the fewest packers, then the least error, then the lowest."""
        window, lift = window_apart(job, base, ground, lie, "minimum pack"), lift_of(base, ground)
        floor, high = lie.supports_mm, lie.high_point_mm
        return choose_datum(job, base, ground.layout, floor, window, high, lift, 0.0)

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count packers, screws and the work on them."""
        del base, lie  # what they do is in the datum's stacks
        plan, units = datum.plan, len(ground.layout.units)
        return bill_of(
            (*packer_items(job.stock, plan), *screw_items(job.stock, screws)),
            (
                *packing_steps(job.rates, len(plan.stacks), plan.pieces, screws),
                step(job.rates, "level_unit_min", "set and level a unit by itself", units, "unit"),
            ),
        )

    @one_thread
    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Choose level, stacks and screws over a known floor, and check them."""
        lie, layout = as_expected(ground), ground.layout
        datum = self.set_level(job, base, ground, lie)
        supports = with_targets(ground, datum)
        screws = screw_table(job, supports, datum, 0.0)
        clearance = clearance_table(ground.known, datum.datum_mm, datum.front_lift_mm)
        plinth = plinth_of(job, base, ground, datum)
        errors = dict(zip(supports["support"], datum.plan.error_mm.tolist(), strict=True))
        apart = loads_apart(layout)
        made = Made(
            datum=datum,
            supports=supports,
            stacks=stack_table(job, supports, datum),
            screws=screws,
            clearance=clearance,
            plinth=plinth,
            strength=carry_stiff(job, layout, apart, ground.joists, datum, errors, _CAUTIONS),
            bill=self.bill(job, base, ground, lie, datum, screws),
            traits=_traits(datum, screws, clearance),
            checks=(
                *_checks(job, base, layout, datum, screws, plinth),
                *clearance_checks(base, clearance, ground.under),
            ),
        )
        return put_together(job, survey, ground, base, made)


_CAUTIONS = (
    "No bearer: units cannot be slid into place nor screwed down between stacks, and a stack that"
    " settles is not relieved by its neighbours. Level each unit by itself and fix it to the wall.",
)


def _checks(
    job: Job, base: Base, layout: Layout, datum: Datum, screws: pd.DataFrame, plinth: pd.DataFrame
) -> Iterator[Check]:
    yield stack_error_check(base, layout, datum)
    yield height_check(base, datum)
    yield from screw_step_checks(screws)
    yield from plinth_checks(job, base, layout, plinth)


def _traits(datum: Datum, screws: pd.DataFrame, clearance: pd.DataFrame) -> Traits:
    return Traits(
        level_error_mm=datum.plan.worst_error_mm,
        fixing_line_mm=0.0,
        floor_screws=into_the_floor(screws),
        room_under_mm=float(clearance["least_mm"].min()),
        adjust_up_mm=0.0,
        adjust_down_mm=0.0,
    )


STACKS = Stacks()
