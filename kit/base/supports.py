"""Where stacks stand: under every side, division and bearer end, and wherever a span is too long.

All of it happens along one row, on the run's own x: panels share a stack or push their stacks
apart, end stacks move in under the bearer, no-go areas are stepped over, long bays are divided.
Rules without a source are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations, pairwise

from kit.base.footing import BEARERS, Words
from kit.base.movement_joints import Stretch, off_joints, stacks_within
from kit.base.no_go import SAME_PLACE_MM, ClosedArea, centres_closed
from kit.base.runs import Panel, PlacedUnit, Row
from kit.job import refuse

#: The order in which reasons are written.
REASONS = ("side", "division", "end", "span", "joint", "by_hand")


@dataclass(frozen=True)
class Stand:
    """A place of one row where a stack stands.

    Parameters
    ----------
    x_mm : float
        Centre of the packers along the run [mm].
    reasons : frozenset of str
        Why it stands there, of `REASONS`.
    own : tuple of (unit name, share)
        The parts of units' loads of the panels that stand right on it.
    lines : tuple of float
        Centre lines of those panels along the run [mm].
    bridged : tuple of (panel's centre line, unit name, share)
        Panels over a no-go area, which it carries together with the stack across it.
    carries : tuple of (unit name, share)
        The parts of units' loads that come down on it in this row, by the lever for what is
        bridged (share 0 to 1, before the load is divided between rows).
    shift_mm : float
        How far it was moved by hand from where the rules put it, to the right [mm].
    """

    x_mm: float
    reasons: frozenset[str]
    own: tuple[tuple[str, float], ...] = ()
    lines: tuple[float, ...] = ()
    bridged: tuple[tuple[float, str, float], ...] = ()
    carries: tuple[tuple[str, float], ...] = ()
    shift_mm: float = 0.0

    @property
    def rules_mm(self) -> float:
        """Where the rules put it along the run [mm]."""
        return self.x_mm - self.shift_mm


@dataclass(frozen=True)
class Cluster:
    """Panels that stand on one stack, while their places are being settled."""

    lines: tuple[float, ...]
    outer: tuple[float, float]
    reasons: frozenset[str]
    carries: tuple[tuple[str, float], ...] = field(default=())
    place_mm: float = math.nan

    @property
    def wanted_mm(self) -> float:
        """Where its stack would best stand [mm]: its middle, unless a place is given."""
        middle = (self.lines[0] + self.lines[-1]) / 2
        return middle if math.isnan(self.place_mm) else self.place_mm


def stand_row(
    row: Row,
    packer_mm: float,
    max_span_mm: float,
    closed: Sequence[tuple[float, float, str]],
    words: Words = BEARERS,
    joints: Sequence[Stretch] = (),
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
    words : Words
        What bearer and stacks are called where there is no place for them.
    joints : sequence of (from, to, name)
        Stretches that movement joints close to packers [mm]: end stacks move in from them, others
        step over them as over no-go areas.

    Returns
    -------
    tuple of Stand
        From left to right.

    Raises
    ------
    Refusal
        Where a panel cannot be carried, or a span over a no-go area is too long.
    """
    row, joints = stacks_within(row, packer_mm, joints, words)
    areas = centres_closed(closed, packer_mm, joints)
    stands = place_clusters(cluster(row.panels, packer_mm), row, packer_mm, words)
    stands = _with_ends(stands, row, packer_mm)
    stands = _step_over(stands, areas, row, packer_mm, words)
    stands = _divide_bays(stands, areas, packer_mm, max_span_mm)
    _check_spans(stands, areas, row, max_span_mm, words)
    return with_levers(stands)


def cluster(panels: Iterable[tuple[PlacedUnit, Panel]], packer_mm: float) -> list[Cluster]:
    """Join panels that one packer carries whole; each comes with its unit."""
    clusters: list[Cluster] = []
    for placed, panel in panels:
        half = panel.thickness_mm / 2
        one = Cluster(
            (panel.x_mm,),
            (panel.x_mm - half, panel.x_mm + half),
            frozenset({panel.kind}),
            ((placed.unit.name, panel.share),),
        )
        last = clusters[-1] if clusters else None
        if last and one.outer[1] - last.outer[0] <= packer_mm + SAME_PLACE_MM:
            clusters[-1] = Cluster(
                last.lines + one.lines,
                (last.outer[0], one.outer[1]),
                last.reasons | one.reasons,
                last.carries + one.carries,
            )
        else:
            clusters.append(one)
    return clusters


def place_clusters(
    clusters: Sequence[Cluster], row: Row, packer_mm: float, words: Words = BEARERS
) -> list[Stand]:
    """Give each cluster the place nearest to its panels at which no two packers overlap.

    Least squares under x[k+1] - x[k] >= packer, by pooling adjacent violators; two stacks too
    near to each other come to touch about their middle. Clipping to the bearer keeps it least.
    """
    low, high = row.start_mm + packer_mm / 2, row.end_mm - packer_mm / 2
    last = len(clusters) - 1
    if high - low < last * packer_mm - SAME_PLACE_MM:
        raise refuse(
            f"job.toml, {words.along} {row.name}",
            f"{len(clusters)} {words.stands} of {packer_mm:g} mm on {row.length_mm:g} mm of"
            f" {words.along}",
            f"{words.pad} that do not overlap: fewer divisions or {words.smaller}{off_joints(row)}",
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
        _refuse_missed(x, cluster, row, packer_mm, words)
        stands.append(Stand(x, cluster.reasons, cluster.carries, cluster.lines))
    return stands


def _refuse_missed(x_mm: float, cluster: Cluster, row: Row, packer_mm: float, words: Words) -> None:
    """Refuse a stack that had to move off the panels that it should carry.

    Under the end of a bearer that is let in, a stack may lie a whole packer in from its side.
    """
    ends = min(cluster.lines[0] - row.start_mm, row.end_mm - cluster.lines[-1])
    reach = packer_mm if ends < packer_mm / 2 else packer_mm / 2
    missed = max(abs(x_mm - line) for line in cluster.lines)
    if missed > reach + SAME_PLACE_MM:
        raise refuse(
            f"job.toml, {words.along} {row.name}, side or division at {cluster.wanted_mm:g} mm",
            f"its nearest {words.stand} {missed:g} mm away, at {x_mm:g} mm",
            f"at most {reach:g} mm: {words.nearer}{off_joints(row)}",
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
            own=nearest.own + new.own,
            lines=nearest.lines + new.lines,
            bridged=nearest.bridged + new.bridged,
        )
        return [shared if stand is nearest else stand for stand in stands]
    return sorted([*stands, new], key=lambda stand: stand.x_mm)


def _step_over(
    stands: Sequence[Stand], areas: Sequence[ClosedArea], row: Row, packer_mm: float, words: Words
) -> list[Stand]:
    """Replace each stack inside a no-go area by one at each edge; its load goes by the lever."""
    for area in areas:
        inside = [stand for stand in stands if area.holds(stand.x_mm)]
        if not inside:
            continue
        low, high = row.start_mm + packer_mm / 2, row.end_mm - packer_mm / 2
        if area.left < low - SAME_PLACE_MM or area.right > high + SAME_PLACE_MM:
            raise refuse(
                f"job.toml, {area.key} {area.name!r}",
                f"it leaves no place for a {words.stand} beside it under the end of"
                f" {words.along} {row.name}",
                f"an area with room for a {words.stand} on both sides, or another end of the run"
                f"{off_joints(row)}",
            )
        kept = [stand for stand in stands if not area.holds(stand.x_mm)]
        left = _edge_place(kept, area.left, packer_mm)
        right = _edge_place(kept, area.right, packer_mm)
        for stand in inside:
            bridged = tuple((stand.x_mm, unit, share) for unit, share in stand.own)
            for x in (left, right):
                kept = _add_or_share(kept, Stand(x, stand.reasons, bridged=bridged), packer_mm)
        stands = kept
    return list(stands)


def with_levers(stands: Sequence[Stand]) -> tuple[Stand, ...]:
    """Return the stacks of a row with what each carries where it stands now.

    What is bridged comes down on the two stacks that share it, by the lever rule.
    """
    shares: list[list[tuple[str, float]]] = [list(stand.own) for stand in stands]
    bridging = [(place, stand) for place, stand in enumerate(stands) if stand.bridged]
    for (a, left), (b, right) in combinations(bridging, 2):
        for line, unit, share in (item for item in left.bridged if item in right.bridged):
            apart = right.x_mm - left.x_mm
            # Two that were moved to one place share alike, until that is refused.
            to_right = (line - left.x_mm) / apart if apart > SAME_PLACE_MM else 0.5
            shares[a].append((unit, share * (1 - to_right)))
            shares[b].append((unit, share * to_right))
    return tuple(
        replace(stand, carries=tuple(carried))
        for stand, carried in zip(stands, shares, strict=True)
    )


def _edge_place(stands: Sequence[Stand], edge_mm: float, packer_mm: float) -> float:
    """Return the place of the stack at an area's edge: one already so near serves."""
    near = [s.x_mm for s in stands if abs(s.x_mm - edge_mm) < packer_mm - SAME_PLACE_MM]
    return min(near, key=lambda x: abs(x - edge_mm)) if near else edge_mm


def _divide_bays(
    stands: Sequence[Stand], areas: Sequence[ClosedArea], packer_mm: float, max_span_mm: float
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
    stands: Sequence[Stand], areas: Sequence[ClosedArea], row: Row, most_mm: float, words: Words
) -> None:
    for left, right in pairwise(stands):
        span = right.x_mm - left.x_mm
        if span > most_mm + SAME_PLACE_MM:
            over = next(a for a in areas if a.left < right.x_mm and a.right > left.x_mm)
            raise refuse(
                f"job.toml, {over.key} {over.name!r}, {words.along} {row.name}",
                f"a span of {span:g} mm from {left.x_mm:g} to {right.x_mm:g} mm across it",
                f"at most max_span_mm = {most_mm:g} mm; {words.stiffer}, or units arranged"
                f" so that no {words.stand} is wanted there",
            )
