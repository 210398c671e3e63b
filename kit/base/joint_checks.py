"""What movement joints ask of a base: that nothing crosses them, and what the fitter is told.

All of it is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from kit.base.checks import Check
from kit.base.joint_distances import apart_mm, crossed_at_mm, inside_mm, stands_across
from kit.base.layout import Layout
from kit.base.no_go import SAME_PLACE_MM
from kit.base.plinth import plinth_y_mm
from kit.base.pour_zones import pour_zones
from kit.base.runs import Floats
from kit.job import Base, Compound, Job, MovementJoint
from kit.job.ways import way_of

_SOURCE = "movement_joint.clear_mm; common practice, no source"


def joint_checks(job: Job, base: Base, layout: Layout) -> Iterator[Check]:
    """Yield how near a base comes to each movement joint; nothing of a job without any.

    Parameters
    ----------
    job, base, layout : Job, Base, Layout
        The joints, the way of building, what stands where.

    Yields
    ------
    Check
        The least distance in plan of what lies along the rows, and of what stands under it,
        from the joint [mm]. A pour does not keep off a joint: whether it is parted there nobody
        can read off a job.
    """
    if base.method == "compound" and base.compound is not None:
        yield from _pour_checks(job, base.compound)
        return
    way = way_of(base)
    what = f"{way.along}s" if way.along != "row" else way.supports
    for joint in job.movement_joints:
        name, apart = _nearest(layout, joint, joined=way.along != "row")
        verdict = "ok" if apart >= joint.clear_mm - SAME_PLACE_MM else "fail"
        check = f"{what} clear of movement joint {joint.name}"
        yield Check(check, name, apart, joint.clear_mm, "mm", verdict, _SOURCE)


def _nearest(layout: Layout, joint: MovementJoint, *, joined: bool) -> tuple[str, float]:
    """Return the row that comes nearest to a joint, and how near [mm]."""
    found = [
        (float(apart_mm(_boxes(layout, number, joined=joined), frame, joint).min()), row.name)
        for number, row in enumerate(layout.rows)
        if (frame := layout.frames[row.run])
    ]
    apart, name = min(found)
    return name, apart


def _boxes(layout: Layout, number: int, *, joined: bool) -> Floats:
    """Return the edges of what lies along a row and stands on it, (n, 4) [mm]."""
    row, half = layout.rows[number], layout.bearer_width_mm / 2
    along, across = (size / 2 for size in layout.packer_size_mm)
    boxes = [
        (stand.x_mm - along, stand.x_mm + along, row.y_mm - across, row.y_mm + across)
        for stand in layout.stands[number]
    ]
    if joined:
        boxes.append((row.start_mm, row.end_mm, row.y_mm - half, row.y_mm + half))
    return np.array(boxes)


def _poured_mm(job: Job, compound: Compound, joint: MovementJoint) -> float:
    """Return how much of a joint is poured over [mm]."""
    return math.fsum(
        float(
            inside_mm(
                np.array([(zone.left_mm, zone.right_mm, 0.0, zone.front_mm)]), zone.frame, joint
            )[0]
        )
        for zone in pour_zones(job, compound)
    )


def _pour_checks(job: Job, compound: Compound) -> Iterator[Check]:
    for joint in job.movement_joints:
        long = _poured_mm(job, compound, joint)
        if long:
            check = f"pour parted at movement joint {joint.name}"
            why = "an edge strip along it, set before pouring; common practice, no source"
            yield Check(check, "the pour", long, math.nan, "mm", "not_checked", why)


def joint_cautions(job: Job, base: Base, layout: Layout) -> Iterator[str]:
    """Yield what movement joints under a base call for.

    Parameters
    ----------
    job, base, layout : Job, Base, Layout
        As for `joint_checks`.

    Yields
    ------
    str
        One sentence or two each.
    """
    for joint in job.movement_joints:
        across = _across(layout, joint)
        if across:
            yield _across_words(across, joint)
        if base.method == "compound" and base.compound is not None:
            yield from _pour_caution(job, base.compound, joint)
        yield from _plinth_cautions(base, layout, joint)
        if across or _reaches(layout, joint):
            yield (
                f"Join nothing across movement joint {joint.name!r}: no unit to its neighbour, no"
                " top, back or scribe; whatever passes over it is fixed to one side only."
            )


def _across(layout: Layout, joint: MovementJoint) -> list[str]:
    several = len(layout.frames) > 1
    return [
        f"{placed.run}: " * several + placed.unit.name
        for placed in layout.units
        if stands_across(placed, layout.frames[placed.run], joint)
    ]


def _across_words(names: Sequence[str], joint: MovementJoint) -> str:
    if len(names) == 1:
        return (
            f"Unit {names[0]!r} stands across movement joint {joint.name!r}: screw it to one side"
            " only, so that the floor can move."
        )
    listed = f"{', '.join(map(repr, names[:-1]))} and {names[-1]!r}"
    return (
        f"Units {listed} stand across movement joint {joint.name!r}: screw each to one side only,"
        " so that the floor can move."
    )


def _pour_caution(job: Job, compound: Compound, joint: MovementJoint) -> Iterator[str]:
    long = _poured_mm(job, compound, joint)
    if long:
        yield (
            f"Movement joint {joint.name!r} runs {long:.0f} mm under the pour: stop the compound at"
            " it with an edge strip as deep as the pour, and carry the joint through to the top at"
            " its full width; pour each side by itself."
        )


def _plinth_cautions(base: Base, layout: Layout, joint: MovementJoint) -> Iterator[str]:
    """Say where a plinth is parted: its board crosses the joint in front of each run."""
    if base.plinth is None:
        return
    several = len(layout.frames) > 1
    for run, frame in layout.frames.items():
        face = plinth_y_mm(base, layout, run)
        end = max(placed.right_mm for placed in layout.units if placed.run == run)
        at = crossed_at_mm((0.0, end, face - base.plinth.thickness_mm, face), frame, joint)
        if not math.isnan(at):
            where = f" of run {run}" * several
            yield (
                f"Part the plinth{where} at {at:.0f} mm along it, over movement joint"
                f" {joint.name!r}: no board runs through."
            )


def _reaches(layout: Layout, joint: MovementJoint) -> bool:
    """Tell whether a joint comes as near to some unit as nothing may be fixed to both its sides."""
    for placed in layout.units:
        box = np.array([(placed.left_mm, placed.right_mm, 0.0, placed.unit.depth_mm)])
        apart = float(apart_mm(box, layout.frames[placed.run], joint)[0])
        if apart <= joint.clear_mm:
            return True
    return False
