"""What is checked and said of a pour of levelling compound."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from kit.base.cautions import REFER_LOAD_KN_PER_M2
from kit.base.checks import CLOSED_MM, Check, at_most, set_level_check
from kit.base.drying import drying_words
from kit.base.layout import GRAVITY_N_PER_KG, Layout, footprint_loads, massless
from kit.base.pour import ZonePour
from kit.base.pour_zones import Zone
from kit.base.screws import plan_distance_mm
from kit.base.sure import Sure
from kit.job import Base, Compound, Job, Service
from kit.strength.joists import JoistWork, NoJoists


def pour_checks(
    base: Base,
    compound: Compound,
    layout: Layout,
    joists: JoistWork | NoJoists,
    poured: Sequence[ZonePour],
) -> Iterator[Check]:
    """Yield the checks of a pour.

    Parameters
    ----------
    base, compound : Base, Compound
        What was asked for, and what the maker allows.
    layout : Layout
        Units, for their loads.
    joists : JoistWork or NoJoists
        What the joists give, or why that is not known.
    poured : sequence of ZonePour
        What lies in each zone.

    Yields
    ------
    Check
        How level it sets; least and greatest depth of each zone; what it weighs where it is
        heaviest, and the most of it and a unit together.
    """
    yield set_level_check("compound.level_within_mm", compound.level_within_mm, base)
    for one in poured:
        yield from _depth_checks(compound, one)
    weights = {one.zone.name: _weight_kn_per_m2(compound, one) for one in poured}
    yield _weight_check(weights, joists)
    yield _load_check(weights, layout, joists)


def _depth_checks(compound: Compound, one: ZonePour) -> Iterator[Check]:
    name, least, limit = one.zone.name, one.least_mm, compound.least_mm
    verdict = "ok" if least >= limit - CLOSED_MM else "fail"
    source = "compound.least_mm, on the mean floor"
    yield Check("least depth of compound", name, least, limit, "mm", verdict, source)
    source = "compound.greatest_mm, on the mean floor"
    yield at_most("greatest depth of compound", name, one.greatest_mm, compound.greatest_mm, source)


def _weight_kn_per_m2(compound: Compound, one: ZonePour) -> float:
    return one.mean_mm * compound.set_kg_per_l * GRAVITY_N_PER_KG / 1000


def _weight_check(weights: Mapping[str, float], joists: JoistWork | NoJoists) -> Check:
    """Return what the pour weighs: no limit is known, joists that are given judge it."""
    name, weight = max(weights.items(), key=lambda item: item[1])
    check, unit, verdict = "weight of compound on the floor", "kN/m2", "not_checked"
    return Check(check, name, weight, math.nan, unit, verdict, _carried_by(joists))


def _carried_by(joists: JoistWork | NoJoists) -> str:
    if isinstance(joists, NoJoists):
        return joists.reason
    return "in the checks of the joists, as a permanent load"


def _load_check(
    weights: Mapping[str, float], layout: Layout, joists: JoistWork | NoJoists
) -> Check:
    """Return whether unit and compound together stay below what is referred."""
    loads, limit = footprint_loads(layout), REFER_LOAD_KN_PER_M2
    both = {zone: loads[zone] + weight for zone, weight in weights.items()}
    name, load = max(both.items(), key=lambda item: item[1])
    unknown = massless(layout.units, several_runs=len(layout.frames) > 1)
    if load > limit:
        verdict, source = "refer", f"more than {limit:g} kN/m2, from which a floor is referred"
    elif unknown:
        verdict, source = "not_checked", f"no mass_kg given of {', '.join(unknown)}"
    elif isinstance(joists, NoJoists):
        verdict, source = "not_checked", joists.reason
    else:
        verdict, source = "ok", "ok approves no floor"
    check = "load on the footprint, with compound"
    return Check(check, name, load, limit, "kN/m2", verdict, source)


def pour_cautions(
    job: Job, compound: Compound, poured: Sequence[ZonePour], deepest: Sure
) -> Iterator[str]:
    """Yield what pouring calls for, one sentence or two each (common practice, no source).

    ``deepest`` is the greatest depth of 95 of 100 floors.
    """
    days = drying_words(compound, max(one.greatest_mm for one in poured), deepest)
    if job.floor.kind == "boarded":
        yield (
            "Compound goes on boards only as its maker says: over a fixed overlay or the maker's"
            " primer, fibre-reinforced, the boards screwed down and every gap and hole sealed, so"
            " that nothing runs through. It cracks where boards move."
        )
    yield (
        "Compound is alkaline and its powder holds silica: gloves, eye protection and long sleeves"
        " while it is wet, a dust mask while it is mixed, ground or cut; wash splashes off at"
        " once."
    )
    near = [one for one in job.services if any(comes_near(one, part.zone) for part in poured)]
    if near:
        names = ", ".join(repr(service.name) for service in near)
        yield f"Known under this pour: {names}, which can no longer be reached below it."
    yield (
        "Pour over no pipe, cable, heating, access cover or expansion joint without the maker's"
        " word; a joint of the floor goes through the pour."
    )
    yield (
        f"Nothing stands on it for {days}, counted where it is deepest; keep the room aired"
        " and free of draught and frost while it dries, and test that it is dry: cold and damp"
        " make it longer."
    )
    yield (
        "The pour stays: it changes levels at doors, thresholds and the floor in front, and the"
        " units cannot be lowered again. Look at them all before mixing."
    )


def comes_near(service: Service, zone: Zone) -> bool:
    """Tell whether a service runs under a zone or nearer to it in plan than its clear_mm.

    The nearest two places of a straight line and a rectangle that do not cross are an end of the
    one or a corner of the other.
    """
    x, y = zip(service.from_mm, service.to_mm, strict=True)
    own_x, own_y = (part.tolist() for part in zone.frame.to_own(x, y))
    ends = list(zip(own_x, own_y, strict=True))
    if _crosses(ends, zone):
        return True
    beside = [
        math.hypot(
            max(zone.left_mm - end_x, 0.0, end_x - zone.right_mm),
            max(-end_y, 0.0, end_y - zone.front_mm),
        )
        for end_x, end_y in ends
    ]
    corners = [plan_distance_mm(service, *corner) for corner in zone.corners_mm.tolist()]
    return min(*beside, *corners) < service.clear_mm


def _crosses(ends: Sequence[tuple[float, float]], zone: Zone) -> bool:
    """Tell whether a straight line runs through a zone, in the run's own frame."""
    low, high = 0.0, 1.0
    bounds = ((zone.left_mm, zone.right_mm), (0.0, zone.front_mm))
    for start, end, (least, most) in zip(*ends, bounds, strict=True):
        if start == end:
            if not least <= start <= most:
                return False
            continue
        one, other = sorted(((least - start) / (end - start), (most - start) / (end - start)))
        low, high = max(low, one), min(high, other)
    return low <= high
