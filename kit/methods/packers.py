"""Bearers on packer stacks: a bearer along the back, one along the front, stacks under both."""

from __future__ import annotations

import pandas as pd

from kit.base.bill import Bill, bearer_items, packer_items, packing_steps, screw_items, step
from kit.base.checks import base_checks, clearance_checks
from kit.base.clearance import clearance_table
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.datum import Datum, choose_datum, height_window
from kit.base.layout import Layout, lay_out
from kit.ground import Underside, look_under
from kit.job import Base, Job
from kit.methods.method import (
    Lie,
    Made,
    as_expected,
    bill_of,
    lift_of,
    plinth_of,
    put_together,
    under_lie,
    with_targets,
)
from kit.methods.stacking import into_the_floor, screw_table, stack_table
from kit.parts import Answer, Ground, Survey, Traits, bearers_of
from kit.strength.carry import carry
from kit.strength.pieces import Pieces, bearer_pieces
from kit.threads import one_thread


class Packers:
    """Bearers on packer stacks."""

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out bearers and stacks."""
        return lay_out(job, base)

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor under bearers and packers."""
        return look_under(job, survey, layout, base, _UNDERSIDE, before=before)

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the level with the fewest packers, then the least error, then the lowest."""
        layout, lift = ground.layout, lift_of(base, ground)
        window = height_window(job, base, under_lie(ground, lie), lie.high_point_mm, layout, lift)
        return choose_datum(job, base, layout, lie.supports_mm, window, lie.high_point_mm, lift)

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count packers, screws, bearers and the work on them."""
        del lie  # what the floor does to them is in the datum's stacks
        plan, pieces, beams = datum.plan, len(ground.cuts.cuts), bearers_of(ground)
        length = sum(row.length_mm for row in ground.layout.rows)
        return bill_of(
            (
                *packer_items(job.stock, plan),
                *screw_items(job.stock, screws),
                *bearer_items(base.bearer, ground.cuts.bought),
            ),
            (
                *packing_steps(job.rates, len(plan.stacks), plan.pieces, screws),
                step(job.rates, "bearer_piece_min", "cut and lay a bearer piece", pieces, "piece"),
            ),
            mass_kg=length * beams.section.area_mm2 * beams.timber.rho_mean * 1e-9,
        )

    @one_thread
    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Choose level, stacks and screws over a known floor, and check them."""
        lie, layout = as_expected(ground), ground.layout
        datum = self.set_level(job, base, ground, lie)
        supports = with_targets(ground, datum)
        screws = screw_table(job, supports, datum, base.bearer.thickness_mm)
        clearance = clearance_table(ground.known, datum.datum_mm, datum.front_lift_mm)
        plinth = plinth_of(job, base, ground, datum)
        pieces = bearers_of(ground)
        made = Made(
            datum=datum,
            supports=supports,
            stacks=stack_table(job, supports, datum),
            screws=screws,
            clearance=clearance,
            plinth=plinth,
            strength=carry(job, layout, pieces, ground.joists, supports, datum, screws),
            bill=self.bill(job, base, ground, lie, datum, screws),
            traits=_traits(datum, layout, screws, clearance),
            checks=(
                *base_checks(job, base, layout, datum, screws, plinth),
                *clearance_checks(base, clearance, ground.under),
            ),
        )
        return put_together(job, survey, ground, base, made)


def _traits(datum: Datum, layout: Layout, screws: pd.DataFrame, clearance: pd.DataFrame) -> Traits:
    length = sum(row.length_mm for row in layout.rows)
    return Traits(
        level_error_mm=datum.plan.worst_error_mm,
        fixing_line_mm=length,
        floor_screws=into_the_floor(screws),
        room_under_mm=float(clearance["least_mm"].min()),
        adjust_up_mm=0.0,
        adjust_down_mm=0.0,
    )


def _cut(layout: Layout, base: Base, before: Answer | None) -> CutPlan:
    lines, packer_mm = _bearer_lines(layout), layout.packer_size_mm[0]
    if before is not None and (
        (_bearer_lines(before.layout), before.base.bearer, before.layout.packer_size_mm[0])
        == (lines, base.bearer, packer_mm)
    ):
        return before.cuts
    return cut_bearers(lines, base.bearer, packer_mm)


def _bearer_lines(layout: Layout) -> list[BearerLine]:
    lines = []
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        of_run = sorted((r for r in layout.rows if r.run == row.run), key=lambda r: r.y_mm)
        whole = list(dict.fromkeys(r.line for r in of_run))
        at = whole.index(row.line)
        beside = [name for name in whole[max(at - 1, 0) : at + 2] if name != row.line]
        lines.append(
            BearerLine(
                name=row.name,
                run=row.run,
                row=row.label,
                start_mm=row.start_mm,
                end_mm=row.end_mm,
                supports_mm=tuple(stand.x_mm for stand in stands),
                support_names=tuple(layout.on_bearer(row.name)["support"]),
                neighbours=tuple(r.name for r in of_run if r.line in beside),
            )
        )
    return lines


def _pieces(layout: Layout, cuts: CutPlan, base: Base) -> Pieces:
    return bearer_pieces(layout, cuts.cuts, base.bearer)


_UNDERSIDE = Underside(Layout.footprint, _cut, _pieces)

PACKERS = Packers()
