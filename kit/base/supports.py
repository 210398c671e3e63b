"""Where stacks stand: under every side, division and bearer end, and wherever a span is too long.

All of it happens along one row, on the run's own x: panels share a stack or push their stacks
apart, end stacks move in under the bearer, no-go areas are stepped over, long bays are divided.
Rules without a source are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from kit.base.runs import Floats, Frame, PlacedUnit, Row
from kit.job import NoGo, refuse

#: The order in which reasons are written.
REASONS = ("side", "division", "end", "span", "joint", "by_hand")

#: Places along a bearer are compared to this [mm]; nobody sets a packer finer.
SAME_PLACE_MM = 1e-6


@dataclass(frozen=True)
class Stand:
    """A place of one row where a stack stands.

    Parameters
    ----------
    x_mm : float
        Centre of the packers along the run [mm].
    reasons : frozenset of str
        Why it stands there, of `REASONS`.
    carries : tuple of (unit name, share)
        The parts of units' loads that come down on it in this row (share 0 to 1, before the
        load is divided between rows).
    """

    x_mm: float
    reasons: frozenset[str]
    carries: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class _Cluster:
    """Panels that stand on one stack, while their places are being settled."""

    lines: tuple[float, ...]
    outer: tuple[float, float]
    reasons: frozenset[str]
    carries: tuple[tuple[str, float], ...] = field(default=())

    @property
    def wanted_mm(self) -> float:
        return (self.lines[0] + self.lines[-1]) / 2


def stand_row(
    row: Row, packer_mm: float, max_span_mm: float, closed: Sequence[tuple[float, float, str]]
) -> tuple[Stand, ...]:
    """Place the stacks of one row.

    Parameters
    ----------
    row : Row
        The bearer and the units on it.
    packer_mm : float
        Length of a packer along the bearer [mm].
    max_span_mm : float
        Longest distance between neighbouring stacks [mm].
    closed : sequence of (from, to, name)
        Stretches of the run's own x that no packer of this row may overlap [mm].

    Returns
    -------
    tuple of Stand
        From left to right.

    Raises
    ------
    Refusal
        Where a panel cannot be carried, or a span over a no-go area is too long.
    """
    areas = _centres_closed(closed, packer_mm)
    stands = _place_clusters(_cluster(row.units, packer_mm), row, packer_mm)
    stands = _with_ends(stands, row, packer_mm)
    stands = _step_over(stands, areas, row, packer_mm)
    stands = _divide_bays(stands, areas, packer_mm, max_span_mm)
    _check_spans(stands, areas, row, max_span_mm)
    return tuple(stands)


def _cluster(units: Iterable[PlacedUnit], packer_mm: float) -> list[_Cluster]:
    """Join panels that one packer carries whole."""
    clusters: list[_Cluster] = []
    for placed in units:
        for panel in placed.panels:
            half = panel.thickness_mm / 2
            one = _Cluster(
                (panel.x_mm,),
                (panel.x_mm - half, panel.x_mm + half),
                frozenset({panel.kind}),
                ((placed.unit.name, panel.share),),
            )
            last = clusters[-1] if clusters else None
            if last and one.outer[1] - last.outer[0] <= packer_mm + SAME_PLACE_MM:
                clusters[-1] = _Cluster(
                    last.lines + one.lines,
                    (last.outer[0], one.outer[1]),
                    last.reasons | one.reasons,
                    last.carries + one.carries,
                )
            else:
                clusters.append(one)
    return clusters


def _place_clusters(clusters: Sequence[_Cluster], row: Row, packer_mm: float) -> list[Stand]:
    """Give each cluster the place nearest to its panels at which no two packers overlap.

    Least squares under x[k+1] - x[k] >= packer, by pooling adjacent violators; two stacks too
    near to each other come to touch about their middle. Clipping to the bearer keeps it least.
    """
    low, high = row.start_mm + packer_mm / 2, row.end_mm - packer_mm / 2
    last = len(clusters) - 1
    if high - low < last * packer_mm - SAME_PLACE_MM:
        raise refuse(
            f"job.toml, bearer {row.name}",
            f"{len(clusters)} stacks of {packer_mm:g} mm on {row.length_mm:g} mm of bearer",
            "packers that do not overlap: fewer divisions or a shorter packer",
        )
    pools: list[list[float]] = []
    for number, cluster in enumerate(clusters):
        pools.append([cluster.wanted_mm - number * packer_mm, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            right, left = pools.pop(), pools[-1]
            weight = left[1] + right[1]
            left[:] = [(left[0] * left[1] + right[0] * right[1]) / weight, weight]
    settled = [value for value, weight in pools for _ in range(int(weight))]
    stands = []
    for number, (cluster, value) in enumerate(zip(clusters, settled, strict=True)):
        x = min(max(value, low), high - last * packer_mm) + number * packer_mm
        _refuse_missed(x, cluster, row, packer_mm)
        stands.append(Stand(x, cluster.reasons, cluster.carries))
    return stands


def _refuse_missed(x_mm: float, cluster: _Cluster, row: Row, packer_mm: float) -> None:
    """Refuse a stack that had to move off the panels that it should carry.

    Under the end of a bearer that is let in, a stack may lie a whole packer in from its side.
    """
    ends = min(cluster.lines[0] - row.start_mm, row.end_mm - cluster.lines[-1])
    reach = packer_mm if ends < packer_mm / 2 else packer_mm / 2
    missed = max(abs(x_mm - line) for line in cluster.lines)
    if missed > reach + SAME_PLACE_MM:
        raise refuse(
            f"job.toml, bearer {row.name}, side or division at {cluster.wanted_mm:g} mm",
            f"its nearest stack {missed:g} mm away, at {x_mm:g} mm",
            f"at most {reach:g} mm: a smaller end_inset_mm, fewer divisions, a shorter packer",
        )


def _with_ends(stands: list[Stand], row: Row, packer_mm: float) -> list[Stand]:
    """See that each end of the bearer is carried, by the stack that is there or by one more."""
    for end in (row.start_mm + packer_mm / 2, row.end_mm - packer_mm / 2):
        stands = _add_or_share(stands, Stand(end, frozenset({"end"})), packer_mm)
    return stands


def _add_or_share(stands: Sequence[Stand], new: Stand, packer_mm: float) -> list[Stand]:
    """Add a stand, or give its reasons and loads to the one whose packer it would overlap."""
    nearest = min(stands, key=lambda stand: abs(stand.x_mm - new.x_mm), default=None)
    if nearest and abs(nearest.x_mm - new.x_mm) < packer_mm - SAME_PLACE_MM:
        shared = replace(
            nearest,
            reasons=nearest.reasons | new.reasons,
            carries=nearest.carries + new.carries,
        )
        return [shared if stand is nearest else stand for stand in stands]
    return sorted([*stands, new], key=lambda stand: stand.x_mm)


@dataclass(frozen=True)
class _Area:
    """Places that no packer's centre may take, strictly between ``left`` and ``right``."""

    left: float
    right: float
    name: str

    def holds(self, x_mm: float) -> bool:
        return self.left + SAME_PLACE_MM < x_mm < self.right - SAME_PLACE_MM


def _centres_closed(closed: Sequence[tuple[float, float, str]], packer_mm: float) -> list[_Area]:
    areas: list[_Area] = []
    for low, high, name in sorted(closed):
        area = _Area(low - packer_mm / 2, high + packer_mm / 2, name)
        if areas and area.left < areas[-1].right:
            last = areas.pop()
            area = _Area(last.left, max(last.right, area.right), f"{last.name} and {name}")
        areas.append(area)
    return areas


def _step_over(
    stands: Sequence[Stand], areas: Sequence[_Area], row: Row, packer_mm: float
) -> list[Stand]:
    """Replace each stack inside a no-go area by one at each edge; its load goes by the lever."""
    for area in areas:
        inside = [stand for stand in stands if area.holds(stand.x_mm)]
        if not inside:
            continue
        low, high = row.start_mm + packer_mm / 2, row.end_mm - packer_mm / 2
        if area.left < low - SAME_PLACE_MM or area.right > high + SAME_PLACE_MM:
            raise refuse(
                f"job.toml, no_go {area.name!r}",
                f"it leaves no place for a stack beside it under the end of bearer {row.name}",
                "an area with room for a stack on both sides, or another end of the run",
            )
        kept = [stand for stand in stands if not area.holds(stand.x_mm)]
        left = _edge_place(kept, area.left, packer_mm)
        right = _edge_place(kept, area.right, packer_mm)
        for stand in inside:
            to_right = (stand.x_mm - left) / (right - left)
            for x, part in ((left, 1 - to_right), (right, to_right)):
                carries = tuple((unit, share * part) for unit, share in stand.carries)
                kept = _add_or_share(kept, Stand(x, stand.reasons, carries), packer_mm)
        stands = kept
    return list(stands)


def _edge_place(stands: Sequence[Stand], edge_mm: float, packer_mm: float) -> float:
    """Return the place of the stack at an area's edge: one already so near serves."""
    near = [s.x_mm for s in stands if abs(s.x_mm - edge_mm) < packer_mm - SAME_PLACE_MM]
    return min(near, key=lambda x: abs(x - edge_mm)) if near else edge_mm


def _divide_bays(
    stands: Sequence[Stand], areas: Sequence[_Area], packer_mm: float, max_span_mm: float
) -> list[Stand]:
    """Divide every bay that is too long into equal spans, stepping over no-go areas."""
    divided = list(stands)
    for left, right in pairwise(stands):
        bay = right.x_mm - left.x_mm
        spans = math.ceil(bay / max_span_mm - 1e-9)
        for number in range(1, spans):
            x = left.x_mm + bay * number / spans
            area = next((area for area in areas if area.holds(x)), None)
            for place in (area.left, area.right) if area else (x,):
                divided = _add_or_share(divided, Stand(place, frozenset({"span"})), packer_mm)
    return divided


def _check_spans(
    stands: Sequence[Stand], areas: Sequence[_Area], row: Row, max_span_mm: float
) -> None:
    for left, right in pairwise(stands):
        span = right.x_mm - left.x_mm
        if span > max_span_mm + SAME_PLACE_MM:
            over = [a.name for a in areas if a.left < right.x_mm and a.right > left.x_mm]
            raise refuse(
                f"job.toml, no_go {over[0]!r}, bearer {row.name}",
                f"a span of {span:g} mm from {left.x_mm:g} to {right.x_mm:g} mm across it",
                f"at most max_span_mm = {max_span_mm:g} mm; a stiffer bearer with a longer span,"
                " or units arranged so that no stack is wanted there",
            )


def closed_stretches(
    row: Row, frame: Frame, across_mm: float, areas: Iterable[NoGo]
) -> list[tuple[float, float, str]]:
    """Return the stretches of a row that no-go areas close to packers.

    Parameters
    ----------
    row : Row
        The row; its packers reach ``across_mm / 2`` to both sides of its centre line.
    frame : Frame
        The run's own frame.
    across_mm : float
        Size of a packer across the bearer [mm].
    areas : iterable of NoGo
        The job's areas; only those that forbid supports count.

    Returns
    -------
    list of (from, to, name)
        On the run's own x [mm].
    """
    stretches = []
    for area in areas:
        if area.forbids != "supports":
            continue
        (x, y), (along, across) = area.corner_mm, area.size_mm
        corners = frame.to_own([x, x + along, x + along, x], [y, y, y + across, y + across])
        cut = _cut_by_strip(*corners, row.y_mm - across_mm / 2, row.y_mm + across_mm / 2)
        if len(cut):
            stretches.append((float(cut.min()), float(cut.max()), area.name))
    return stretches


def _cut_by_strip(x: Floats, y: Floats, low: float, high: float) -> Floats:
    """Return the x of a convex polygon's corners after cutting it to low < y < high.

    The strip is drawn in by `SAME_PLACE_MM`, so that what only touches it does not count.
    """
    low, high = low + SAME_PLACE_MM, high - SAME_PLACE_MM
    found = list(x[(y > low) & (y < high)])
    for i in range(len(x)):
        j = (i + 1) % len(x)
        found += [
            x[i] + (x[j] - x[i]) * (line - y[i]) / (y[j] - y[i])
            for line in (low, high)
            if (y[i] - line) * (y[j] - line) < 0
        ]
    return np.asarray(found, dtype=float)
