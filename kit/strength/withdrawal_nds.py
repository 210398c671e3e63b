"""How much pull a screw's point holds in side grain by the NDS: allowable loads, in its units.

NDS, chapter 12 in 2015 and 2018 (11 in 2005 and 2012).
"""

from __future__ import annotations

from typing import Literal

from kit.job import refuse
from kit.strength.ranges import CLOSED, refuse_not_positive

Screw = Literal["wood", "lag"]

#: One pound-force in newtons: 0.45359237 kg exactly times the standard gravity 9.80665 m/s2.
N_PER_POUND = 0.45359237 * 9.80665

LEAST_MM = 3.5  # No. 6, 0.138 in, the thinnest of the wood screw table (from memory)
LEAST_DIAMETERS = {"wood": 6.0, "lag": 4.0}  # least penetration, with and without the tip
#: Load duration factor of a permanent load, NDS table 2.3.2 (from memory): the least of all.
PERMANENT = 0.9


def specific_gravity(rho_12: float) -> float:
    """Return the specific gravity that the NDS asks for, from a density at 12 % moisture.

    Parameters
    ----------
    rho_12 : float
        Mass over volume, both at 12 % moisture [kg/m3].

    Returns
    -------
    float
        G, mass and volume oven-dry.

    Raises
    ------
    Refusal
        A density that is not positive, or so high that no G gives it.

    Notes
    -----
    With moisture m in per cent a piece of oven-dry volume 1 weighs 1000 G (1 + m/100) and has
    swollen to 1 + 0.009 G m, so that rho = 1000 G (1 + m/100) / (1 + 0.009 G m). At m = 12 that
    is rho (1 + 0.108 G) = 1120 G; solved for G:
    Eq. (1): G = rho / (1120 - 0.108 rho).

    References
    ----------
    NDS Supplement, section 3.1.3 (from memory); the relation in lb/ft3 was read at
    engineeringtoolbox.com, wood-density-d_1616.
    """
    # Wood substance itself has 1500 kg/m3; far below the pole of the equation at 10370 kg/m3.
    if not 0.0 < rho_12 <= 1500.0:
        raise refuse("density", f"{rho_12:g} kg/m3", "more than 0, at most 1500 kg/m3")
    return rho_12 / (1120.0 - 0.108 * rho_12)  # Eq. (1)


def nds_lb_per_in(screw: Screw, gravity: float, diameter_in: float) -> float:
    """Return the reference withdrawal value of one screw in side grain.

    Parameters
    ----------
    screw : str
        ``"wood"`` or ``"lag"`` (coach screw).
    gravity : float
        Specific gravity, oven-dry.
    diameter_in : float
        Nominal diameter [in].

    Returns
    -------
    float
        W [lb per in of thread, as `nds_penetration` counts it].

    Raises
    ------
    Refusal
        Another screw, or a gravity or diameter that is not positive.

    Notes
    -----
    NDS 2018, equation numbers from memory. Eq. (12.2-2), wood screw: W = 2850 G^2 D.
    Eq. (12.2-1), lag screw: W = 1800 G^1.5 D^0.75.
    """
    _known(screw)
    refuse_not_positive("specific gravity", gravity, "")
    refuse_not_positive("screw diameter", diameter_in, "in")
    if screw == "wood":
        return 2850.0 * gravity**2 * diameter_in  # Eq. (12.2-2)
    return float(1800.0 * gravity**1.5 * diameter_in**0.75)  # Eq. (12.2-1)


def nds_penetration(screw: Screw, diameter: float, thread: float, tip: float) -> float:
    """Return the thread that counts for the NDS, all lengths in one unit.

    Parameters
    ----------
    screw : str
        ``"wood"`` counts its thread with the tip, ``"lag"`` without.
    diameter, thread, tip : float
        Diameter, thread with the tip in the piece that holds the point, and tapered tip.

    Returns
    -------
    float
        Length to multiply the reference value with.

    Raises
    ------
    Refusal
        Less than 6 D for a wood screw, 4 D for a lag screw (NDS 2018 12.1.5.6 and 12.1.4.6,
        clause numbers from memory), or a length that cannot be.
    """
    _known(screw)
    refuse_not_positive("screw diameter", diameter, "")
    if not 0.0 <= tip <= thread:
        raise refuse("tip of the screw", f"{tip:g}", "0 or more, not longer than the thread")
    counts = thread if screw == "wood" else thread - tip
    least = LEAST_DIAMETERS[screw] * diameter
    if counts < least - CLOSED:
        raise refuse(
            "penetration", f"{counts:g}", f"{least:g} or more, {LEAST_DIAMETERS[screw]:g} D"
        )
    return counts


def _known(screw: str) -> None:
    if screw not in LEAST_DIAMETERS:
        raise refuse("screw", repr(screw), " or ".join(LEAST_DIAMETERS))
