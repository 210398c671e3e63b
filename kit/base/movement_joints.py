"""Movement joints as a row meets them: where its bearer stops, and what is left on either side.

A movement joint is a straight line of the floor whose two sides move. Whatever is fixed to one
side stays ``clear_mm`` from the line, its ends included (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from string import ascii_lowercase

from kit.base.footing import BEARERS, Words
from kit.base.joint_distances import own_ends
from kit.base.no_go import SAME_PLACE_MM
from kit.base.runs import Frame, Row
from kit.job import MovementJoint, refuse

#: A joint that runs less steeply than this across a row lies along it: one in ten (common
#: practice, no source).
ALONG_SLOPE = 0.1

#: Shares of a line are sums of decimals and miss by less.
_ROUND_OFF = 1e-9

#: Stretches of the run's own x that a joint closes: from, to [mm], the joint's name.
Stretch = tuple[float, float, str]


def stretches_of(
    row: Row, frame: Frame, across_mm: float, joints: Iterable[MovementJoint]
) -> list[Stretch]:
    """Return the stretches of a row that movement joints close.

    Parameters
    ----------
    row : Row
        The row; what lies along it or stands on it reaches ``across_mm / 2`` to both sides.
    frame : Frame
        The run's own frame.
    across_mm : float
        How wide that is [mm].
    joints : iterable of MovementJoint
        The job's joints.

    Returns
    -------
    list of (from, to, name)
        Where some place across the strip is nearer than ``clear_mm`` to the joint; one that only
        touches the strip does not count. On the run's own x [mm].
    """
    low, high = row.y_mm - across_mm / 2, row.y_mm + across_mm / 2
    found = []
    for joint in joints:
        ends = own_ends(frame, joint)
        least, most = sorted((ends[0][1], ends[1][1]))
        reach = joint.clear_mm
        if most + reach > low + SAME_PLACE_MM and least - reach < high - SAME_PLACE_MM:
            right = _rightmost(ends, reach, low, high)
            mirrored = ((-ends[0][0], ends[0][1]), (-ends[1][0], ends[1][1]))
            found.append((-_rightmost(mirrored, reach, low, high), right, joint.name))
    return found


def _rightmost(
    ends: tuple[tuple[float, float], tuple[float, float]], reach: float, low: float, high: float
) -> float:
    """Return how far right the places within reach of a line lie, among those of a strip.

    How far right they lie at each y is a concave function: its greatest value over the strip is
    at the y nearest to where it is greatest of all, at the end of the line that lies furthest
    right.
    """
    (x0, y0), (x1, y1) = ends
    furthest = max(x0, x1)
    # A line that runs straight out lies furthest right all along.
    first, *rest = sorted(y for x, y in ends if x == furthest)
    last = rest[0] if rest else first
    y = high if high < first else low if low > last else max(first, low)
    found = [
        x + math.sqrt(max(reach**2 - (y - own) ** 2, 0.0))
        for x, own in ends
        if abs(y - own) <= reach
    ]
    long = math.hypot(x1 - x0, y1 - y0)
    if y1 != y0 and long:
        # The edge that runs beside the line, on its right.
        aside, down = reach * abs(y1 - y0) / long, -reach * (x1 - x0) / long
        down = down if y1 > y0 else -down
        share = (y - down - y0) / (y1 - y0)
        if -_ROUND_OFF <= share <= 1 + _ROUND_OFF:
            found.append(x0 + share * (x1 - x0) + aside)
    return max(found, default=furthest)


def part_rows(
    rows: Sequence[Row],
    frame: Frame,
    width_mm: tuple[float, float],
    joints: Sequence[MovementJoint],
    words: Words = BEARERS,
) -> tuple[Row, ...]:
    """Cut rows at the movement joints that cross them.

    Parameters
    ----------
    rows : sequence of Row
        Of one run.
    frame : Frame
        The run's own frame.
    width_mm : tuple of float
        Width of what lies along them, and of what stands there [mm]; by the first they are cut,
        along both of them no joint may run.
    joints : sequence of MovementJoint
        The job's joints.
    words : Words
        What lies along a row, for messages.

    Returns
    -------
    tuple of Row
        Each row that no joint crosses as it is; else its parts from left to right, each ending
        ``clear_mm`` from the joint and named by a letter: "Ba", "Bb". A part on which no side or
        division stands is left out; a side right over a joint stands on the nearer part.

    Raises
    ------
    Refusal
        Where a joint runs along and under a row.
    """
    by_name = {joint.name: joint for joint in joints}
    for row in rows:
        for *_, name in _meeting(row, frame, max(width_mm), joints):
            _refuse_along(row, frame, by_name[name], words)
    return tuple(
        part for row in rows for part in _parts(row, _closing(row, frame, width_mm[0], joints))
    )


def _closing(
    row: Row, frame: Frame, strip_mm: float, joints: Sequence[MovementJoint]
) -> list[Stretch]:
    """Return what joints close of a row, those that leave nothing between them as one."""
    closed: list[Stretch] = []
    for low, high, name in sorted(_meeting(row, frame, strip_mm, joints)):
        if closed and low <= closed[-1][1] + SAME_PLACE_MM:
            first, last, other = closed.pop()
            closed.append((first, max(last, high), f"{other} and {name}"))
        else:
            closed.append((low, high, name))
    return closed


def _meeting(
    row: Row, frame: Frame, strip_mm: float, joints: Sequence[MovementJoint]
) -> list[Stretch]:
    """Return the stretches that joints close between the ends of a row."""
    return [
        one
        for one in stretches_of(row, frame, strip_mm, joints)
        if one[0] < row.end_mm - SAME_PLACE_MM and one[1] > row.start_mm + SAME_PLACE_MM
    ]


def _refuse_along(row: Row, frame: Frame, joint: MovementJoint, words: Words) -> None:
    (x0, y0), (x1, y1) = own_ends(frame, joint)
    if joint.from_mm != joint.to_mm and abs(y1 - y0) < ALONG_SLOPE * abs(x1 - x0):
        raise refuse(
            f"job.toml, movement_joint {joint.name!r}, {words.along} {row.name}",
            f"a joint along and under the {words.along}, from {min(x0, x1):g} to"
            f" {max(x0, x1):g} mm",
            f"a joint that no {words.along} lies on or within {joint.clear_mm:g} mm of: move"
            " back_mm or front_mm so that the row stands to one side of it",
        )


def _parts(row: Row, closed: Sequence[Stretch]) -> Iterator[Row]:
    """Yield the parts of a row between the stretches that joints close."""
    if not closed:
        yield row
        return
    middles = ((low + high) / 2 for low, high, _ in closed)
    reaches = list(pairwise((-math.inf, *middles, math.inf)))
    starts = ((row.start_mm, ""), *((high, name) for _, high, name in closed))
    ends = (*((low, name) for low, _, name in closed), (row.end_mm, ""))
    parts = []
    for reach, (start, left), (end, right) in zip(reaches, starts, ends, strict=True):
        one = replace(
            row, start_mm=start, end_mm=end, part_of=row.name, reach_mm=reach, joints=(left, right)
        )
        stand = {placed.unit.name for placed, _ in one.panels}
        if stand:
            parts.append(replace(one, units=tuple(p for p in row.units if p.unit.name in stand)))
    for number, one in enumerate(parts):
        yield replace(one, name=f"{row.name}{_letter(number)}") if len(parts) > 1 else one


def _letter(number: int) -> str:
    """Return a, b, ..., z, aa, ab and so on."""
    more, last = divmod(number, len(ascii_lowercase))
    return (_letter(more - 1) if more else "") + ascii_lowercase[last]


def stacks_within(
    row: Row, pad_mm: float, joints: Sequence[Stretch], words: Words = BEARERS
) -> tuple[Row, list[Stretch]]:
    """Draw the ends of a row in to where what stands there keeps clear of joints.

    Parameters
    ----------
    row : Row
        A row or a part of one.
    pad_mm : float
        Length along the row of what stands there [mm].
    joints : sequence of (from, to, name)
        From `stretches_of`, for what stands there, which may be wider than the row [mm].
    words : Words
        What it is called.

    Returns
    -------
    row : Row
        With the ends between which all that stands there must lie whole.
    joints : list of (from, to, name)
        Those that lie between its ends.

    Raises
    ------
    Refusal
        Where nothing can stand whole between them.
    """
    start, end = row.start_mm, row.end_mm
    left, right = row.joints
    for low, high, name in sorted(joints):
        if low - SAME_PLACE_MM <= start < high:
            start, left = high, left or name
    for low, high, name in sorted(joints, reverse=True):
        if low < end <= high + SAME_PLACE_MM:
            end, right = low, right or name
    row = replace(row, joints=(left, right))
    within = replace(row, start_mm=start, end_mm=end)
    if any(row.joints) and within.length_mm < pad_mm - SAME_PLACE_MM:
        beside = " and ".join(repr(name) for name in row.joints if name)
        raise refuse(
            f"job.toml, movement_joint {beside}, {words.along} {row.name}",
            f"{max(within.length_mm, 0.0):.1f} mm of {words.along} left beside it, from"
            f" {start:.1f} to {end:.1f} mm",
            f"at least {pad_mm:g} mm, room for a {words.stand}: {words.smaller}, or units arranged"
            " so that their sides stand off the joint",
        )
    return within, [one for one in joints if one[0] > start and one[1] < end]


def off_joints(row: Row) -> str:
    """Return what else helps where a part of a row has no place beside a joint; empty else."""
    names = [repr(name) for name in row.joints if name]
    return f", or units arranged so that they stand off movement joint {' and '.join(names)}" * (
        bool(names)
    )
