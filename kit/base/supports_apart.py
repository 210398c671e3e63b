"""Where supports stand with nothing along the row to join them: under sides and divisions only.

Nothing bridges a place that cannot be used, nothing carries a bay between two sides. All of it
happens along one row, on the run's own x. Rules are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from kit.base.no_go import centres_closed
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
    whole = replace(row, start_mm=row.units[0].left_mm, end_mm=row.units[-1].right_mm)
    clusters = cluster(row.units, pad_mm) if shared else list(_own(row.units, pad_mm))
    stands = place_clusters(clusters, whole, pad_mm)
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


def _own(units: Sequence[PlacedUnit], pad_mm: float) -> Iterator[Cluster]:
    """Yield the panels of each unit, as far in as a support stands whole under its unit."""
    for placed in units:
        low, high = placed.left_mm + pad_mm / 2, placed.right_mm - pad_mm / 2
        if low > high:
            raise refuse(
                f"job.toml, run {placed.run}, unit {placed.unit.name!r}, width_mm",
                f"{placed.unit.width_mm:g} mm over supports of {pad_mm:g} mm",
                "a unit at least as wide as a support",
            )
        for part in cluster([placed], pad_mm):
            inside = min(max(part.wanted_mm, low), high)
            yield replace(part, place_mm=inside)
