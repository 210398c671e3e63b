"""What is judged of a ladder frame, and what is said of working on one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pandas as pd

from kit.base.checks import CLOSED_MM, Check, at_most
from kit.base.cuts import CutPlan
from kit.base.ladder_frame import LadderFrame
from kit.base.layout import Layout
from kit.job import Base, Floor, Ladder

_CUTTING = (
    "Scribing takes bare hands near a blade: clamp each board, cut away from yourself, leave the"
    " guards of saw and planer on and let the blade stop before you set it down.",
    "Dust of plywood holds its glue as well: extraction at the saw, mask and eye protection; sweep"
    " nothing dry.",
    "A frame hides what runs beneath it: locate, photograph and note it first, and leave a way"
    " through or a loose panel where something must be reached.",
    "Cut the frame to the floor, never the floor to the frame: cut nothing out of joists or"
    " boards.",
)


def depth_checks(
    ladder: Ladder, profile: pd.DataFrame, board_mm: float, under_mm: tuple[float, float]
) -> Iterator[Check]:
    """Yield whether enough is left of every member, and whether the board is deep enough.

    Parameters
    ----------
    ladder : Ladder
        What must be left.
    profile : DataFrame
        member, along_mm, depth_mm, over.
    board_mm : float
        Depth of the board [mm].
    under_mm : tuple of float
        Least and greatest depth at the places of the footprint, which has both faces of each
        member where the profile has its middle [mm].
    """
    depth = profile["depth_mm"].to_numpy(dtype=float)
    touches = np.where(profile["over"].to_numpy() == "", depth, np.nan)
    least, greatest = int(np.nanargmin(depth)), int(np.nanargmax(touches))
    part = part_unknown(profile)
    value = min(float(depth[least]), under_mm[0])
    enough = "ok" if value >= ladder.least_mm - CLOSED_MM else "fail"
    yield as_far_as_known(
        Check(
            "least depth left",
            _at(profile, least),
            value,
            ladder.least_mm,
            "mm",
            enough,
            "base.ladder.least_mm, on the mean floor",
        ),
        part,
    )
    needed = max(float(depth[greatest]), under_mm[1])
    deep = at_most("greatest depth", _at(profile, greatest), needed, board_mm, "base.ladder.boards")
    yield as_far_as_known(deep, part)


def part_unknown(profile: pd.DataFrame) -> str:
    """Say that not all of the floor under a frame was surveyed; empty where it was."""
    known = np.isfinite(profile["depth_mm"].to_numpy(dtype=float)).all()
    return "" if known else "part of the floor under the frame was not surveyed"


def as_far_as_known(check: Check, part: str) -> Check:
    """Take an ok back where part of the floor is not known."""
    if not part or check.verdict != "ok":
        return check
    return Check(
        check.check, check.subject, check.value, check.limit, check.unit, "not_checked", part
    )


def _at(profile: pd.DataFrame, index: int) -> str:
    place = profile.iloc[index]
    return f"{place['member']} at {place['along_mm']:.0f} mm"


def rung_checks(base: Base, layout: Layout, frame: LadderFrame) -> Iterator[Check]:
    """Yield how far members of each bay run without a rung between them."""
    for bay in frame.bays:
        behind, before = layout.row(bay[0]), layout.row(bay[1])
        start, end = max(behind.start_mm, before.start_mm), min(behind.end_mm, before.end_mm)
        places = [start, *(rung.own_x_mm for rung in frame.rungs_between(bay)), end]
        way = max(b - a for a, b in pairwise(places))
        verdict = "ok" if way <= base.max_span_mm + CLOSED_MM else "refer"
        yield Check(
            "longest way without a rung",
            f"{bay[0]} to {bay[1]}",
            way,
            base.max_span_mm,
            "mm",
            verdict,
            "base.max_span_mm, common practice",
        )


def frame_cautions(
    floor: Floor, cuts: CutPlan, profile: pd.DataFrame, clear_mm: float
) -> Iterator[str]:
    """Yield what a frame on such a floor calls for.

    Parameters
    ----------
    floor : Floor
        Its kind and what is known of its services.
    cuts : CutPlan
        For joints.
    profile : DataFrame
        member, over, depth_mm.
    clear_mm : float
        How far the frame clears a no-go area [mm].
    """
    for area, of_area in profile[profile["over"] != ""].groupby("over", sort=False):
        members = " and ".join(dict.fromkeys(of_area["member"]))
        yield (
            f"Over no-go area {area!r} member {members} is cut {clear_mm:g} mm clear of the floor,"
            f" {of_area['depth_mm'].min():.0f} mm of it left at least: look what stands up there,"
            " and whether it must open."
        )
    if cuts.joints:
        said = ", ".join(f"{member} over {support}" for member, support in cuts.joints)
        yield f"Back each joint of a long member with a plate glued and screwed behind it: {said}."
    yield _held(floor)
    yield from _CUTTING


def _held(floor: Floor) -> str:
    if floor.services == "no_fixings":
        how = "nothing may be fixed into this floor: glue them, or fix the frame to the wall"
    elif floor.kind == "boarded":
        how = (
            "fix loose boards first, and never nail a frame down into services that nobody has"
            " located"
        )
    else:
        how = "drill only where services have been located"
    return (
        f"Hold the frame in place with blocks beside it, which are yours to choose and not counted"
        f" here; {how}."
    )


def remaining(scribed: pd.DataFrame, board_mm: float) -> dict[str, float]:
    """Return the mean depth that is left of each member [mm]; all of it where nothing is known."""
    pairs = zip(scribed["member"], scribed["mean_mm"].tolist(), strict=True)
    return {str(name): board_mm if math.isnan(mean) else mean for name, mean in pairs}
