"""Where the units press on each bearer: at every side and division, with its share of the load."""

from __future__ import annotations

from dataclasses import dataclass

from kit.base.layout import GRAVITY_N_PER_KG, Layout
from kit.base.row_shares import rigid_shares, rows_under
from kit.base.runs import PlacedUnit, Row


@dataclass(frozen=True)
class PanelLoad:
    """What one side or division puts on one bearer.

    Parameters
    ----------
    unit : str
        Name of its unit.
    x_mm : float
        Its centre line along the run [mm].
    thickness_mm : float
        Its thickness [mm].
    own_n : float
        Of the unit's own mass [N].
    stored_n, people_n : float
        Of the unit's contents, by what they are [N].
    """

    unit: str
    x_mm: float
    thickness_mm: float
    own_n: float
    stored_n: float
    people_n: float


def panel_loads(layout: Layout, row: Row) -> tuple[PanelLoad, ...]:
    """Return what presses on a bearer, from left to right.

    Parameters
    ----------
    layout : Layout
        From `kit.base.layout.lay_out`.
    row : Row
        One of its rows.

    Returns
    -------
    tuple of PanelLoad
        Units share their load out to panels by tributary width, and to rows as rigid bodies
        (`kit.base.row_shares.rigid_shares`): on two rows that is the lever rule about their
        centre of gravity, on three none is left out as it is in the tributary loads of
        `Layout.supports`.
    """
    found = []
    for placed in row.units:
        of_row = _share_of(placed, row, layout) * GRAVITY_N_PER_KG
        unit = placed.unit
        stored = unit.contents_are == "stored"
        for panel in (one for one in placed.panels if row.bears(one.x_mm)):
            contents = unit.contents_kg * of_row * panel.share
            found.append(
                PanelLoad(
                    unit.name,
                    panel.x_mm,
                    panel.thickness_mm,
                    unit.mass_kg * of_row * panel.share,
                    contents if stored else 0.0,
                    0.0 if stored else contents,
                )
            )
    return tuple(sorted(found, key=lambda load: load.x_mm))


def _share_of(placed: PlacedUnit, row: Row, layout: Layout) -> float:
    under = rows_under(placed, layout.rows)
    shares = rigid_shares([one.y_mm for one in under], placed.unit.centre_of_gravity_from_back_mm)
    return next(share for one, share in zip(under, shares, strict=True) if one.line == row.line)
