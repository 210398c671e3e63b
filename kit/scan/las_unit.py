"""What a LAS file counts in, as far as its own coordinate system says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from kit.job import refuse
from kit.job.units import MM_PER_UNIT

#: Codes of linear units (EPSG 9001 to 9003, from memory) [mm]. A US survey foot is 1200/3937 m
#: (NIST SP 811, appendix B.6).
_CODES: Mapping[int, float] = MappingProxyType(
    {9001: 1000.0, 9002: MM_PER_UNIT["ft"], 9003: 1_200_000 / 3937}
)
#: Keys of GeoTIFF that name the units of the plan and of heights (OGC 19-008r4, from memory).
_PLAN_KEY, _HEIGHT_KEY, _MODEL_KEY = 3076, 4099, 1024
_GEOGRAPHIC = 2

#: Parts of a coordinate system whose units are not those of the places.
_ASIDE = re.compile(
    r"(?:ELLIPSOID|SPHEROID|PARAMETER|PRIMEM|PRIMEMERIDIAN|BBOX|AUTHORITY|ID)\s*"
    r"\[(?:[^\[\]]|\[(?:[^\[\]]|\[[^\[\]]*\])*\])*\]"
)
_UNIT = re.compile(r'(?<![A-Z])(?:LENGTH)?UNIT\s*\[\s*"(?P<name>[^"]*)"\s*,\s*(?P<m>[0-9.eE+-]+)')
_ANGLES = ("deg", "rad", "grad", "gon")


def unit_from_text(text: str, name: str) -> tuple[float, float] | None:
    """Return the units of the plan and of heights [mm] that a well-known text names.

    Parameters
    ----------
    text : str
        The coordinate system in well-known text, of either edition (OGC 01-009, OGC 18-010).
    name : str
        What messages call the file.

    Returns
    -------
    tuple of (float, float) or None
        None where it names no unit of length.

    Raises
    ------
    Refusal
        Where places are degrees.

    Examples
    --------
    >>> unit_from_text('LOCAL_CS["hall",UNIT["foot",0.3048]]', "hall.las")
    (304.8, 304.8)
    """
    bare = _ASIDE.sub("", text)
    kind = bare.lstrip().upper()
    in_plan = re.search(r"PROJC|LOCAL_CS|ENGCRS|ENGINEERINGCRS", kind)
    if not in_plan and re.search(r"GEOGCS|GEOGCRS|GEODCRS|GEODETICCRS", kind):
        raise _degrees(name)
    lengths = [
        round(float(match["m"]) * 1000, 9)
        for match in _UNIT.finditer(bare)
        if not match["name"].casefold().startswith(_ANGLES)
    ]
    return (lengths[0], lengths[-1]) if lengths else None


def unit_from_keys(keys: Iterable[tuple[int, int]], name: str) -> tuple[float, float] | None:
    """Return the units of the plan and of heights [mm] that GeoTIFF keys name.

    Parameters
    ----------
    keys : iterable of (key, value)
        The keys whose values are numbers.
    name : str
        What messages call the file.

    Returns
    -------
    tuple of (float, float) or None
        None where they name no unit of length.

    Raises
    ------
    Refusal
        Where places are degrees, or the unit has a code that is not known.
    """
    said = dict(keys)
    if said.get(_MODEL_KEY) == _GEOGRAPHIC:
        raise _degrees(name)
    plan = _length(said.get(_PLAN_KEY), name)
    height = _length(said.get(_HEIGHT_KEY), name)
    if plan is None:
        return None if height is None else (height, height)
    return plan, plan if height is None else height


def _length(code: int | None, name: str) -> float | None:
    if code is None or code == 0:
        return None
    if code not in _CODES:
        found = f"the unit with the code {code}"
        raise refuse(f"{name}, its coordinate system", found, "metres or feet; or say file_unit")
    return _CODES[code]


def _degrees(name: str) -> Exception:
    allowed = "places in metres or feet; export the scan in a plane system"
    return refuse(f"{name}, its coordinate system", "places in degrees", allowed)
