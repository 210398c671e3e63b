"""How much pull a screw's point holds in side grain.

Two codes meet here, and they say different things: EN 1995-1-1 gives a design resistance, to be
set against a design load (with gammaG, gammaQ); the NDS gives an allowable load, to be set
against the load as it is. What `screw_holds_N` returns says which.

Withdrawal of the point only: that the head pulls through a thin piece, or that the screw snaps,
is not looked at. Timber only: a point in a packer of plastic or board has no value here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.job import refuse
from kit.job.units import MM_PER_INCH
from kit.strength.ranges import CLOSED, refuse_beyond, refuse_not_positive
from kit.strength.timber import Duration, TimberClass, design_strength, kmod
from kit.strength.withdrawal_nds import (
    LEAST_DIAMETERS,
    LEAST_MM,
    N_PER_POUND,
    PERMANENT,
    nds_lb_per_in,
    nds_penetration,
    specific_gravity,
)

# EN 1995-1-1 8.7.2(4) with A1; the ranges of diameter and core are from memory.
_EN_DIAMETER_MM = (6.0, 12.0)
_EN_CORE_RATIO = (0.6, 0.75)
_EN_LEAST_DIAMETERS = 6.0  # 8.7.2(3)
_EN_LEAST_ANGLE_DEG = 30.0
#: Core over outer diameter of a wood screw (common practice, no source: M6 and M8 have 0.66).
CORE_RATIO = 0.65

_EN_CLAUSE = "EN 1995-1-1 8.7.2(4), A1; core taken as {core:g} d"
_NDS_CLAUSE = "NDS wood screw withdrawal, 2850 G^2 D, G {gravity:.3f} from rho_k, load duration 0.9"


@dataclass(frozen=True)
class Holds:
    """What a screw holds, and who says so.

    Parameters
    ----------
    force_N : float
        Pull along the screw [N].
    clause : str
        Clause and what was taken for granted.
    against : str
        The load to set it against: ``"design load"`` or ``"unfactored load"``.
    """

    force_N: float  # noqa: N815 - newtons are written N
    clause: str
    against: str


@dataclass(frozen=True)
class Outside:
    """A screw for which the clause gives no value.

    Parameters
    ----------
    reason : str
        What is outside, and what the clause wants.
    """

    reason: str


def withdrawal_strength(diameter_mm: float, length_mm: float, rho_k: float) -> float:
    """Return the characteristic withdrawal strength of a screw in softwood.

    Parameters
    ----------
    diameter_mm : float
        Outer diameter of the thread, 6 to 12 mm.
    length_mm : float
        Thread in the piece that holds the point, l_ef [mm].
    rho_k : float
        Characteristic density [kg/m3].

    Returns
    -------
    float
        f_ax,k [N/mm2].

    Raises
    ------
    Refusal
        A diameter outside 6 to 12 mm, or a length or density that is not positive.

    Notes
    -----
    Eq. (8.39) of EN 1995-1-1 with A1: f_ax,k = 0.52 d^-0.5 l_ef^-0.1 rho_k^0.8.
    """
    refuse_not_positive("penetration", length_mm, "mm")
    refuse_not_positive("density", rho_k, "kg/m3")
    refuse_beyond("screw diameter", diameter_mm, _EN_DIAMETER_MM, "mm, EN 1995-1-1 8.7.2(4)")
    return float(0.52 * diameter_mm**-0.5 * length_mm**-0.1 * rho_k**0.8)  # Eq. (8.39)


def withdrawal_resistance_N(  # noqa: N802
    diameter_mm: float,
    length_mm: float,
    rho_k: float,
    *,
    core_ratio: float = CORE_RATIO,
    angle_deg: float = 90.0,
) -> float:
    """Return the characteristic resistance of one screw against being pulled out.

    Parameters
    ----------
    diameter_mm : float
        Outer diameter of the thread, 6 to 12 mm.
    length_mm : float
        Thread in the piece that holds the point, at least 6 d [mm].
    rho_k : float
        Characteristic density [kg/m3].
    core_ratio : float
        Core diameter over outer diameter, 0.6 to 0.75.
    angle_deg : float
        Between screw and grain, 30 to 90; 90 in side grain.

    Returns
    -------
    float
        F_ax,k [N]; `design_strength` makes the design value of it.

    Raises
    ------
    Refusal
        Anything outside the range of the clause.

    Notes
    -----
    Eq. (8.38), (8.40) of EN 1995-1-1 with A1: F = f d l kd / (1.2 cos^2 a + sin^2 a),
    kd = min(d / 8, 1).
    """
    strength = withdrawal_strength(diameter_mm, length_mm, rho_k)
    refuse_beyond("core over outer diameter", core_ratio, _EN_CORE_RATIO, "EN 1995-1-1 8.7.2(4)")
    refuse_beyond("angle to the grain", angle_deg, (_EN_LEAST_ANGLE_DEG, 90.0), "degrees")
    least = _EN_LEAST_DIAMETERS * diameter_mm
    if length_mm < least - CLOSED:
        raise refuse("penetration", f"{length_mm:g} mm", f"{least:g} mm or more, 6 d (8.7.2(3))")
    a = math.radians(angle_deg)
    kd = min(diameter_mm / 8.0, 1.0)  # Eq. (8.40)
    grain = 1.2 * math.cos(a) ** 2 + math.sin(a) ** 2
    return strength * diameter_mm * length_mm * kd / grain  # Eq. (8.38)


def screw_holds_N(  # noqa: N802
    diameter_mm: float,
    point_length_mm: float,
    timber: TimberClass,
    *,
    service_class: int = 1,
    duration: Duration = "permanent",
) -> Holds | Outside:
    """Return the pull that one screw's point holds in side grain, or why no clause gives it.

    From 6 to 12 mm by EN 1995-1-1, with kmod and gammaM; from 3.5 mm to below 6 mm, where that
    clause ends, by the NDS with the load duration factor 0.9 whatever the duration. G comes from
    the characteristic density, though the NDS means the average: both on the safe side. For C16
    it is 0.285, below the least of the NDS tables (0.31, from memory), no limit of the formula.

    Parameters
    ----------
    diameter_mm : float
        Outer diameter of the thread [mm].
    point_length_mm : float
        Thread in the piece that holds the point, tip included [mm].
    timber : TimberClass
        Strength class of that piece.
    service_class : int
        1, 2 or 3.
    duration : str
        Load duration, see `kmod`.

    Returns
    -------
    Holds or Outside
        The force with its clause and the load to set it against; outside where the screw is
        too thin, too thick or too short in the piece, or the NDS would want a wet factor.

    Raises
    ------
    Refusal
        A diameter that is not positive, a negative length, an unknown service class or duration.

    Examples
    --------
    >>> from kit.strength.timber import C16
    >>> round(screw_holds_N(5.0, 31.0, C16).force_N)
    223
    >>> screw_holds_N(5.0, 29.0, C16).reason
    'penetration of 29 mm is below 6 d = 30 mm, which NDS asks for'
    """
    refuse_not_positive("screw diameter", diameter_mm, "mm")
    if not point_length_mm >= 0.0:
        raise refuse("penetration", f"{point_length_mm:g} mm", "0 mm or more")
    modification = kmod(service_class, duration)
    outside = _outside(diameter_mm, point_length_mm, service_class)
    if outside:
        return Outside(outside)
    if diameter_mm >= _EN_DIAMETER_MM[0]:
        resistance = withdrawal_resistance_N(diameter_mm, point_length_mm, timber.rho_k)
        clause = _EN_CLAUSE.format(core=CORE_RATIO)
        return Holds(design_strength(resistance, modification), clause, "design load")
    gravity = specific_gravity(timber.rho_k)
    per_inch = nds_lb_per_in("wood", gravity, diameter_mm / MM_PER_INCH)
    inches = nds_penetration("wood", diameter_mm, point_length_mm, 0.0) / MM_PER_INCH
    return Holds(
        PERMANENT * per_inch * inches * N_PER_POUND,
        _NDS_CLAUSE.format(gravity=gravity),
        "unfactored load",
    )


def _outside(diameter_mm: float, point_length_mm: float, service_class: int) -> str:
    """Return why no clause applies, empty if one does."""
    thin = diameter_mm < _EN_DIAMETER_MM[0]
    if not LEAST_MM <= diameter_mm <= _EN_DIAMETER_MM[1]:
        return f"diameter of {diameter_mm:g} mm is outside 3.5 to 12 mm, as NDS and EN 1995 cover"
    if thin and service_class == 3:
        return "service class 3 below 6 mm wants the NDS wet service factor, which is not applied"
    code = "NDS" if thin else "EN 1995-1-1 8.7.2(3)"
    diameters = LEAST_DIAMETERS["wood"] if thin else _EN_LEAST_DIAMETERS
    least = diameters * diameter_mm
    if point_length_mm < least - CLOSED:
        return (
            f"penetration of {point_length_mm:g} mm is below {diameters:g} d = {least:g} mm, "
            f"which {code} asks for"
        )
    return ""
