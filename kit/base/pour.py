"""Levelling compound: how deep it lies in each zone, and how much of it that takes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.base.drying import drying_days
from kit.base.pour_zones import Zone, by_zone
from kit.base.runs import Floats
from kit.job import Compound, Joists

#: Longest part along the joists whose mass presses in one place [mm].
LUMP_MM = 300.0

#: Litres in a cubic millimetre.
_LITRES = 1e-6


@dataclass(frozen=True)
class ZonePour:
    """How much lies in one zone.

    Parameters
    ----------
    zone : Zone
    volume_l : float
        Of the set compound [l].
    least_mm, greatest_mm : float
        Depth where the floor is highest and lowest, of the places of the grid [mm].
    """

    zone: Zone
    volume_l: float
    least_mm: float
    greatest_mm: float

    @property
    def mean_mm(self) -> float:
        """Mean depth [mm]: a litre on a square metre is a millimetre."""
        return self.volume_l / self.zone.area_m2


@dataclass(frozen=True)
class Lump:
    """The mass of a part of a zone, in one place of the site."""

    zone: Zone
    x_mm: float
    y_mm: float
    mass_kg: float


def pour_into(zones: Sequence[Zone], floor_mm: Floats, datum_mm: float) -> tuple[ZonePour, ...]:
    """Find how much lies in each zone.

    Parameters
    ----------
    zones : sequence of Zone
    floor_mm : array of shape (places,)
        Height of the floor at the places of `zone_footprint` [mm].
    datum_mm : float
        Level of the pour [mm].

    Returns
    -------
    tuple of ZonePour
        Volumes by the composite Simpson rule in both directions: exact over a plane and over a
        paraboloid; see `pour_zones` for the rest. Between the places of the grid the floor may
        lie a little higher or lower than at any of them.
    """
    return tuple(
        ZonePour(
            zone,
            float(zone.weights_mm2() @ (datum_mm - floor)) * _LITRES,
            datum_mm - float(floor.max()),
            datum_mm - float(floor.min()),
        )
        for zone, floor in zip(zones, by_zone(zones, floor_mm), strict=True)
    )


def lumps_of(
    zones: Sequence[Zone], floor_mm: Floats, datum_mm: float, kg_per_l: float, joists: Joists
) -> Iterator[Lump]:
    """Yield the mass of the pour in parts, each where its own centre of gravity is.

    Parameters
    ----------
    zones, floor_mm, datum_mm : sequence of Zone, array, float
        As for `pour_into`.
    kg_per_l : float
        Mass of a litre [kg/l].
    joists : Joists
        What carries it: a part lies between two joists, so that the lever rule divides it as it
        divides each bit of it.

    Yields
    ------
    Lump
        Of parts at most `LUMP_MM` long along the joists; mass and centre of gravity of a zone are
        those of its volume.
    """
    for zone, floor in zip(zones, by_zone(zones, floor_mm), strict=True):
        mass = zone.weights_mm2() * (datum_mm - floor) * (_LITRES * kg_per_l)
        x, y = zone.frame.to_site(*zone.own_grid())
        part = _parts(x, y, joists)
        of_part = np.bincount(part, mass)
        at_x, at_y = (np.bincount(part, mass * place) / of_part for place in (x, y))
        rows = zip(at_x.tolist(), at_y.tolist(), of_part.tolist(), strict=True)
        for its_x, its_y, kg in rows:
            yield Lump(zone, its_x, its_y, kg)


def _parts(x_mm: Floats, y_mm: Floats, joists: Joists) -> NDArray[np.int64]:
    """Return in which part each place lies, (places,), counted from 0 without gaps."""
    along, across = (x_mm, y_mm) if joists.along == "x" else (y_mm, x_mm)
    bay = np.floor((across - joists.first_mm) / joists.centres_mm).astype(np.int64)
    strip = np.floor(along / LUMP_MM).astype(np.int64)
    cells = (bay - bay.min()) * (np.ptp(strip) + 1) + strip - strip.min()
    return np.asarray(np.unique(cells, return_inverse=True)[1], dtype=np.int64)


def powder_kg(compound: Compound, poured: ZonePour) -> float:
    """Return the powder that one zone takes, with what is mixed and not used [kg]."""
    return poured.volume_l * compound.powder_kg_per_l * (1 + compound.waste_percent / 100)


def bags_of(compound: Compound, poured: Sequence[ZonePour]) -> int:
    """Return how many bags all zones take together."""
    powder = math.fsum(powder_kg(compound, one) for one in poured)
    # A bag is not opened for what round-off adds.
    return math.ceil(powder / compound.bag_kg - 1e-9)


def zone_table(compound: Compound, poured: Sequence[ZonePour]) -> pd.DataFrame:
    """Return what lies in each zone.

    Parameters
    ----------
    compound : Compound
    poured : sequence of ZonePour

    Returns
    -------
    DataFrame
        zone, run, unit, area_m2, volume_l, mass_kg (set), powder_kg (with waste), least_mm,
        greatest_mm, mean_mm, dry_days (at its deepest), bags (its share of the bags, in bags).
    """
    rows = [
        (
            one.zone.name,
            one.zone.run,
            one.zone.unit,
            one.zone.area_m2,
            one.volume_l,
            one.volume_l * compound.set_kg_per_l,
            powder_kg(compound, one),
            one.least_mm,
            one.greatest_mm,
            one.mean_mm,
            drying_days(compound, one.greatest_mm),
            powder_kg(compound, one) / compound.bag_kg,
        )
        for one in poured
    ]
    columns = ["zone", "run", "unit", "area_m2", "volume_l", "mass_kg", "powder_kg"]
    columns += ["least_mm", "greatest_mm", "mean_mm", "dry_days", "bags"]
    return pd.DataFrame(rows, columns=columns)
