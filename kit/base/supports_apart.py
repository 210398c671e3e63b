"""Where supports stand with nothing along the row to join them: under sides and divisions only.

Nothing bridges a place that cannot be used, nothing carries a bay between two sides. All of it
happens along one row, on the run's own x. Rules are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kit.base.footing import APART
from kit.base.no_go import SAME_PLACE_MM, centres_closed
from kit.base.runs import PlacedUnit, Row
from kit.base.supports import Cluster, Stand, cluster, place_clusters, with_levers
from kit.job import refuse


def stand_apart(
    row: Row, pad_mm: float, closed: Sequence[tuple[float, float, str]], *, shared: bool
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

    Returns
    -------
    tuple of Stand
        From left to right.

    Raises
    ------
    Refusal
        Where a side or division cannot be carried: no room for the supports, or a no-go area.
    """
    if shared:
        whole = replace(row, start_mm=row.units[0].left_mm, end_mm=row.units[-1].right_mm)
        stands = _placed(cluster(row.units, pad_mm), whole, pad_mm)
    else:
        stands = [stand for placed in row.units for stand in _own(row, placed, pad_mm)]
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


def _own(row: Row, placed: PlacedUnit, pad_mm: float) -> list[Stand]:
    """Place the supports of one unit, each whole under it.

    The outermost ones first come in under the unit, so that those beside them keep off.
    """
    within = replace(row, start_mm=placed.left_mm, end_mm=placed.right_mm)
    if within.length_mm < pad_mm:
        raise refuse(
            f"job.toml, run {placed.run}, unit {placed.unit.name!r}, width_mm",
            f"{placed.unit.width_mm:g} mm over supports of {pad_mm:g} mm",
            "a unit at least as wide as a support",
        )
    low, high = placed.left_mm + pad_mm / 2, placed.right_mm - pad_mm / 2
    clusters = [
        replace(part, place_mm=min(max(part.wanted_mm, low), high))
        for part in cluster([placed], pad_mm)
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
