"""Levelling compound poured to the datum; the units stand directly on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from kit.base.bill import Bill, Item, price_of, step
from kit.base.checks import CLOSED_MM, height_check
from kit.base.datum import Bound, Datum, Needs, height_window
from kit.base.drying import drying_days
from kit.base.footing import APART, Footing
from kit.base.layout import Layout, lay_out
from kit.base.pour import bags_of, lumps_of, pour_into, zone_table
from kit.base.pour_zones import Zone, edge_mm, extents_mm, pour_zones, refuse_zones, zone_footprint
from kit.base.stack_plan import without_stacks
from kit.floor import Surface
from kit.ground import Underside, look_under
from kit.job import Base, Compound, Job, PlacedProblem, Refusal, refuse
from kit.methods.apart import loads_of, no_clearance
from kit.methods.method import (
    Lie,
    Made,
    as_expected,
    bill_of,
    no_cutting,
    no_screws,
    no_stacks,
    plinth_of,
    put_together,
    under_lie,
    with_targets,
)
from kit.methods.pour_checks import pour_cautions, pour_checks
from kit.methods.pour_doubt import doubt_cautions, doubt_checks, sure_pour
from kit.methods.pour_on_joists import pour_on_joists
from kit.parts import Answer, Ground, Survey, Traits
from kit.strength.direct import Tops, carry_apart, loads_apart
from kit.strength.joists import NoJoists
from kit.threads import one_thread


class Poured:
    """Levelling compound poured to the datum."""

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out where sides and divisions stand on the pour, up to the units' edges."""
        refuse_zones(pour_zones(job, compound_of(base)), job.no_go)
        side = min(unit.side_mm for run in job.runs for unit in run.units)
        whole = base.model_copy(update={"back_mm": 0.0, "front_mm": 0.0, "end_inset_mm": 0.0})
        # The pour bears each unit up to its own front.
        pour = Footing(
            side, (side, side), joined=False, own_fronts=True, keeps_off_joints=False, words=APART
        )
        return lay_out(job, whole, pour)

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor under all zones, and at the joists under the pour."""
        zones = pour_zones(job, compound_of(base))
        _refuse_unsurveyed(survey.surface, zones)
        underside = Underside(lambda _layout: zone_footprint(zones), no_cutting, loads_of)
        if before is not None and not _poured_alike(before, zones):
            before = None
        ground = look_under(job, survey, layout, base, underside, before=before)
        joists = job.floor.joists
        if joists is None or isinstance(ground.joists, NoJoists):
            return ground
        lie = as_expected(ground)
        level = self.set_level(job, base, ground, lie).datum_mm
        lumps = lumps_of(zones, lie.under_mm, level, compound_of(base).set_kg_per_l, joists)
        apart = loads_apart(layout)
        return replace(ground, joists=pour_on_joists(job, apart, ground.supports, lumps))

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the lowest level, which takes the least compound."""
        compound, floor = compound_of(base), lie.under_mm
        lowest = _place(ground, int(np.argmin(floor)))
        _refuse_fall(base, ground, lie)
        deepest = Bound(
            float(floor.min()) + compound.greatest_mm,
            f"greatest depth of compound of {compound.greatest_mm:g} mm over the lowest floor"
            f" ({lowest})",
        )
        needs = Needs(0.0, compound.least_mm, "least depth of compound", (deepest,), "zone")
        high, under = lie.high_point_mm, under_lie(ground, lie)
        window = height_window(job, base, under, high, ground.layout, 0.0, needs)
        low, most = window.low.datum_mm, window.high.datum_mm
        plan = without_stacks(low, len(ground.supports), [(low, most)])
        return Datum(window, plan, high, 0.0, 0.0)

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count bags, and the work of priming, forming edges, pouring and setting units."""
        del screws  # there are none
        compound, rates = compound_of(base), job.rates
        zones = pour_zones(job, compound)
        poured = pour_into(zones, lie.under_mm, datum.datum_mm)
        bags, litres = bags_of(compound, poured), math.fsum(one.volume_l for one in poured)
        area, edge = math.fsum(zone.area_m2 for zone in zones), edge_mm(zones) / 1000
        units = len(ground.layout.units)
        return bill_of(
            # Sold by mass: no length says its size.
            (Item("compound bag", math.nan, bags, None, price_of(compound.price)),),
            (
                step(rates, "prime_m2_min", "clean and prime the floor", area, "m2"),
                step(rates, "edge_m_min", "form and seal an edge", edge, "m"),
                step(rates, "bag_min", "mix and pour a bag", bags, "bag"),
                step(rates, "level_unit_min", "set and level a unit by itself", units, "unit"),
            ),
            mass_kg=litres * compound.set_kg_per_l,
            litres=litres,
            wait_days=drying_days(compound, max(one.greatest_mm for one in poured)),
        )

    @one_thread
    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Choose the level over a known floor, measure the pour, and check it."""
        lie, layout, compound = as_expected(ground), ground.layout, compound_of(base)
        datum, screws = self.set_level(job, base, ground, lie), no_screws()
        zones = pour_zones(job, compound)
        poured = pour_into(zones, lie.under_mm, datum.datum_mm)
        level = dict.fromkeys(ground.supports["support"], 0.0)
        tops = Tops(level, compound.level_within_mm, extents_mm(zones))
        sure = sure_pour(compound, ground.known, datum)
        made = Made(
            datum=datum,
            supports=with_targets(ground, datum),
            stacks=no_stacks(),
            screws=screws,
            clearance=no_clearance(),
            plinth=plinth_of(job, base, ground, datum),
            # The units bear along their sides: there is no reaction at a support.
            strength=replace(
                carry_apart(job, layout, loads_apart(layout), ground.joists, datum, tops, ()),
                greatest_n=math.nan,
            ),
            bill=self.bill(job, base, ground, lie, datum, screws),
            traits=_traits(compound),
            checks=(
                height_check(base, datum),
                *pour_checks(base, compound, layout, ground.joists, poured),
                *doubt_checks(compound, sure),
            ),
            cautions=(
                *doubt_cautions(compound, sure),
                *pour_cautions(job, compound, poured, sure.greatest),
            ),
            details={"zones.csv": zone_table(compound, poured)},
        )
        return put_together(job, survey, ground, base, made)


def compound_of(base: Base) -> Compound:
    """Return the compound of a base.

    Raises
    ------
    Refusal
        Where none is given.
    """
    if base.compound is None:
        raise refuse(f"job.toml, base {base.name!r}, compound", "none", "a compound")
    return base.compound


def _poured_alike(before: Answer, zones: Sequence[Zone]) -> bool:
    """Tell whether the same was poured before: walls and margins are in no layout."""
    compound = before.base.compound
    return compound is not None and pour_zones(before.job, compound) == tuple(zones)


def _refuse_unsurveyed(surface: Surface, zones: Sequence[Zone]) -> None:
    problems = []
    for zone in zones:
        x, y = zone.frame.to_site(*zone.own_grid())
        unknown = np.flatnonzero(~surface.surveyed(x, y))
        if len(unknown):
            at = float(x[unknown[0]]), float(y[unknown[0]])
            problems.append(_unsurveyed(zone, len(unknown), at))
    if problems:
        raise Refusal(*problems)


def _unsurveyed(zone: Zone, unknown: int, at_mm: tuple[float, float]) -> PlacedProblem:
    return PlacedProblem(
        f"compound under unit {zone.name!r}",
        f"{unknown} of {zone.places} places where the floor was not surveyed, the first at"
        f" x = {at_mm[0]:.0f}, y = {at_mm[1]:.0f} mm",
        "a zone within or close to the readings: read the floor there too, from the backs of the"
        " units to the front of the pour",
        at_mm,
        zone.name,
    )


def _refuse_fall(base: Base, ground: Ground, lie: Lie) -> None:
    """Refuse a floor that falls by more than lies between the least depth and the greatest."""
    compound, floor = compound_of(base), lie.under_mm
    fall = float(floor.max() - floor.min())
    within = compound.greatest_mm - compound.least_mm
    if fall > within + CLOSED_MM:
        high, low = (_place(ground, int(find(floor))) for find in (np.argmax, np.argmin))
        raise refuse(
            f"job.toml, base {base.name!r}, compound",
            f"a floor that falls {fall:.1f} mm, from {high} to {low}",
            f"at most {within:g} mm: {compound.least_mm:g} mm of compound at the highest place"
            f" and {compound.greatest_mm:g} mm at the lowest; a compound that is poured deeper,"
            " or another method",
        )


def _place(ground: Ground, index: int) -> str:
    place = ground.known.iloc[index]
    return f"zone {place['bearer']} at x = {place['x_mm']:.0f}, y = {place['y_mm']:.0f} mm"


def _traits(compound: Compound) -> Traits:
    return Traits(
        level_error_mm=compound.level_within_mm,
        fixing_line_mm=0.0,
        floor_screws=0,
        room_under_mm=0.0,
        adjust_up_mm=0.0,
        adjust_down_mm=0.0,
    )


COMPOUND = Poured()
