"""Where supports stand with nothing along the row to join them: under sides and divisions only.

Nothing bridges a place that cannot be used, nothing carries a bay between two sides. All of it
happens along one row, on the run's own x. Rules are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kit.base.footing import APART
from kit.base.movement_joints import off_joints, stacks_within
from kit.base.no_go import SAME_PLACE_MM, centres_closed
from kit.base.runs import PlacedUnit, Row
from kit.base.supports import Cluster, Stand, cluster, place_clusters, with_levers
from kit.job import refuse

#: Share of a side's or division's thickness that stands on its support at least where a movement
#: joint keeps the support off (common practice, no source).
LEAST_ON_SUPPORT = 1 / 3


def stand_apart(
    row: Row,
    pad_mm: float,
    closed: Sequence[tuple[float, float, str]],
    *,
    shared: bool,
    parts: Sequence[Row] = (),
) -> tuple[Stand, ...]:
    """Place the supports of one row that no bearer joins.

    Parameters
    ----------
    row : Row
        The units over it.
    pad_mm : float
        Length of a support along the row [mm].
    closed : sequence of (from, to, name)
        Stretches of the run's own x that no support of this row may overlap [mm].
    shared : bool
        Whether sides of neighbouring units may stand on one support; else each stands whole
        under its own unit.
    parts : sequence of Row
        What movement joints leave of the row (`kit.base.movement_joints.part_rows`); all of it
        unless given. Supports come in from a joint as far as their sides stand on them.

    Returns
    -------
    tuple of Stand
        From left to right.

    Raises
    ------
    Refusal
        Where a side or division cannot be carried: no room for the supports, or a no-go area.
    """
    stands = [stand for part in parts or (row,) for stand in _of_part(part, pad_mm, shared=shared)]
    for area in centres_closed(closed, pad_mm):
        for stand in stands:
            if area.holds(stand.x_mm):
                raise refuse(
                    f"job.toml, no_go {area.name!r}",
                    f"a support of row {row.name} at {stand.x_mm:g} mm would stand on it",
                    "an area clear of sides and divisions, or a base whose bearers or frame bridge"
                    " it",
                )
    return with_levers(stands)


def _of_part(part: Row, pad_mm: float, *, shared: bool) -> list[Stand]:
    """Place the supports of a row, or of one side of a movement joint."""
    if any(part.joints):
        part, _ = stacks_within(part, pad_mm, (), APART)
    if shared:
        whole = _between(part, part.units[0].left_mm, part.units[-1].right_mm)
        stands = _placed(cluster(part.panels, pad_mm), whole, pad_mm)
    else:
        stands = [stand for placed in part.units for stand in _own(part, placed, pad_mm)]
    if any(part.joints):
        _refuse_off(part, stands, pad_mm)
    return stands


def _between(part: Row, left_mm: float, right_mm: float) -> Row:
    """Return a stretch of a row, as far as it reaches where it ends at a movement joint."""
    left, right = part.joints
    return replace(
        part,
        start_mm=max(left_mm, part.start_mm) if left else left_mm,
        end_mm=min(right_mm, part.end_mm) if right else right_mm,
    )


def _refuse_off(part: Row, stands: Sequence[Stand], pad_mm: float) -> None:
    """Refuse a side that a joint has left with too little of it on its support: no bearer helps."""
    thick = {panel.x_mm: panel.thickness_mm for _, panel in part.panels}
    for stand in stands:
        for line in stand.lines:
            off = abs(stand.x_mm - line) - pad_mm / 2
            if off > thick[line] * (0.5 - LEAST_ON_SUPPORT) + SAME_PLACE_MM:
                joint = part.joints[1 if line > stand.x_mm else 0]
                raise refuse(
                    f"job.toml, movement_joint {joint!r}, row {part.name}, side or division at"
                    f" {line:g} mm",
                    f"its middle {off:.1f} mm beyond the edge of the nearest support that keeps"
                    " clear of the joint",
                    f"at least a third of its {thick[line]:g} mm on the support{off_joints(part)}",
                )


def _own(row: Row, placed: PlacedUnit, pad_mm: float) -> list[Stand]:
    """Place the supports of one unit, each whole under it.

    The outermost ones first come in under the unit, so that those beside them keep off.
    """
    within = _between(row, placed.left_mm, placed.right_mm)
    if within.length_mm < pad_mm and within.length_mm < placed.unit.width_mm - SAME_PLACE_MM:
        beside = " and ".join(repr(name) for name in row.joints if name)
        raise refuse(
            f"job.toml, movement_joint {beside}, run {placed.run}, unit {placed.unit.name!r}",
            f"{max(within.length_mm, 0.0):.1f} mm of it beside the joint over supports of"
            f" {pad_mm:g} mm",
            f"room for a support on each side of the joint on which it has sides{off_joints(row)}",
        )
    if within.length_mm < pad_mm:
        raise refuse(
            f"job.toml, run {placed.run}, unit {placed.unit.name!r}, width_mm",
            f"{placed.unit.width_mm:g} mm over supports of {pad_mm:g} mm",
            "a unit at least as wide as a support",
        )
    low, high = within.start_mm + pad_mm / 2, within.end_mm - pad_mm / 2
    clusters = [
        replace(part, place_mm=min(max(part.wanted_mm, low), high))
        for part in cluster([one for one in row.panels if one[0] is placed], pad_mm)
    ]
    return _placed(clusters, within, pad_mm)


def _placed(clusters: Sequence[Cluster], within: Row, pad_mm: float) -> list[Stand]:
    """Place supports in a stretch of a row, and say what does not fit as there is no bearer."""
    room = within.length_mm
    if len(clusters) * pad_mm > room + SAME_PLACE_MM:
        raise refuse(
            f"job.toml, row {within.name}, from {within.start_mm:g} to {within.end_mm:g} mm",
            f"{len(clusters)} supports of {pad_mm:g} mm on {room:g} mm",
            "supports that do not overlap: fewer divisions or smaller supports",
        )
    return place_clusters(clusters, within, pad_mm, APART)
