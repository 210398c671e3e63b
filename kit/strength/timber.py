"""What timber bears: strength classes, and the factors between a characteristic and a design value.

EN 338:2016 table 1; EN 1995-1-1:2004 with A1 and A2; EN 1990:2002. National annexes may choose
other partial factors; the recommended ones stand here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from kit.job import refuse

Duration = Literal["permanent", "long", "medium", "short", "instantaneous"]
Use = Literal["stored", "rooms"]

#: Partial factor of solid timber and of connections, EN 1995-1-1 table 2.3.
GAMMA_M = 1.3
#: Partial factors of permanent and variable actions, EN 1990 eq. (6.10), table A1.2(B).
GAMMA_G = 1.35
GAMMA_Q = 1.5
#: System strength factor where neighbours share the load, EN 1995-1-1 6.6.
KSYS = 1.1
#: Share of the width that cracks leave to shear, solid timber, EN 1995-1-1 6.1.7 (from memory).
KCR = 0.67

#: Depth from which `kh` is 1, and its greatest value, EN 1995-1-1 3.2(3).
REFERENCE_DEPTH_MM = 150.0
KH_MOST = 1.3

# EN 1995-1-1 table 3.1, solid timber: the durations in the order of `Duration`.
_KMOD = {
    1: (0.60, 0.70, 0.80, 0.90, 1.10),
    2: (0.60, 0.70, 0.80, 0.90, 1.10),
    3: (0.50, 0.55, 0.65, 0.70, 0.90),
}
_KDEF = {1: 0.60, 2: 0.80, 3: 2.00}  # EN 1995-1-1 table 3.2, solid timber (from memory)
_PSI2 = {"stored": 0.8, "rooms": 0.3}  # EN 1990 table A1.1, categories E and A (from memory)


@dataclass(frozen=True)
class TimberClass:
    """A strength class of softwood.

    Parameters
    ----------
    name : str
        ``"C16"`` or ``"C24"``.
    fm_k, fc90_k, fv_k : float
        Characteristic strength in bending, across the grain and in shear [N/mm2].
    e0_mean, e0_05, g_mean : float
        Mean and 5-percentile modulus of elasticity along the grain, mean shear modulus [N/mm2].
    rho_k, rho_mean : float
        Characteristic and mean density at 12 % moisture [kg/m3].

    References
    ----------
    EN 338:2016 table 1. In EN 338:2003 the shear strengths were 1.8 and 2.5 N/mm2, used
    without `KCR`; the two may not be mixed.
    """

    name: str
    fm_k: float
    fc90_k: float
    fv_k: float
    e0_mean: float
    e0_05: float
    g_mean: float
    rho_k: float
    rho_mean: float


C16 = TimberClass("C16", 16.0, 2.2, 3.2, 8000.0, 5400.0, 500.0, 310.0, 370.0)
C24 = TimberClass("C24", 24.0, 2.5, 4.0, 11000.0, 7400.0, 690.0, 350.0, 420.0)

_CLASSES = {timber.name: timber for timber in (C16, C24)}


def timber_class(name: str) -> TimberClass:
    """Return the strength class of a name.

    Raises
    ------
    Refusal
        A class that is not in the table.

    Examples
    --------
    >>> timber_class("C16").fm_k
    16.0
    """
    if name not in _CLASSES:
        raise refuse("strength class", repr(name), " or ".join(_CLASSES))
    return _CLASSES[name]


def kmod(service_class: int, duration: Duration) -> float:
    """Return what moisture and the time under load leave of the strength of solid timber.

    Parameters
    ----------
    service_class : int
        1 heated rooms, 2 under a roof, 3 in the open (EN 1995-1-1 2.3.1.3).
    duration : str
        ``"permanent"``, ``"long"``, ``"medium"``, ``"short"`` or ``"instantaneous"``; of several
        loads the shortest counts (3.1.3(2)).

    Returns
    -------
    float
        Modification factor, EN 1995-1-1 table 3.1.

    Raises
    ------
    Refusal
        A service class or a duration that is not in the table.
    """
    names = get_args(Duration)
    if duration not in names:
        raise refuse("load duration", repr(duration), ", ".join(names))
    return _KMOD[_service(service_class)][names.index(duration)]


def kdef(service_class: int) -> float:
    """Return how much deflection creep adds, as a share of the instantaneous one.

    Parameters
    ----------
    service_class : int
        1, 2 or 3.

    Returns
    -------
    float
        Deformation factor of solid timber, EN 1995-1-1 table 3.2 (from memory).

    Raises
    ------
    Refusal
        A service class that is not in the table.
    """
    return _KDEF[_service(service_class)]


def psi2(use: Use) -> float:
    """Return the share of a variable load that is there most of the time, and so makes creep.

    Parameters
    ----------
    use : str
        ``"stored"`` for stored goods and books (category E), ``"rooms"`` for dwellings and
        offices (categories A and B).

    Returns
    -------
    float
        Quasi-permanent factor, EN 1990 table A1.1 (from memory).

    Raises
    ------
    Refusal
        Another use.
    """
    if use not in _PSI2:
        raise refuse("use of the load", repr(use), " or ".join(_PSI2))
    return _PSI2[use]


def kh(depth_mm: float) -> float:
    """Return how much stronger in bending a shallow piece of solid timber is.

    Parameters
    ----------
    depth_mm : float
        Depth in the direction of bending [mm].

    Returns
    -------
    float
        1 from 150 mm up, at most 1.3; for densities up to 700 kg/m3.

    Raises
    ------
    Refusal
        A depth that is not a positive length.

    Notes
    -----
    Eq. (3.1) of EN 1995-1-1: kh = min((150 / h)^0.2, 1.3).
    """
    if not depth_mm > 0.0:
        raise refuse("depth", f"{depth_mm:g} mm", "more than 0 mm")
    if depth_mm >= REFERENCE_DEPTH_MM:
        return 1.0
    return min(float((REFERENCE_DEPTH_MM / depth_mm) ** 0.2), KH_MOST)  # Eq. (3.1)


def design_strength(k: float, kmod: float, *, factor: float = 1.0) -> float:
    """Return the design value of a strength or of a resistance.

    Parameters
    ----------
    k : float
        Characteristic value [N/mm2, or N].
    kmod : float
        Modification factor, see `kmod`.
    factor : float
        Product of what else applies, such as `kh` and `KSYS`.

    Returns
    -------
    float
        Design value, in the unit of `k`.

    Raises
    ------
    Refusal
        A value or factor that is not a positive number.

    Notes
    -----
    Eq. (2.14) of EN 1995-1-1: X_d = kmod X_k / gammaM, with gammaM = 1.3.
    """
    for where, value in (("characteristic value", k), ("kmod", kmod), ("factor", factor)):
        if not value > 0.0:
            raise refuse(where, f"{value:g}", "more than 0")
    return factor * kmod * k / GAMMA_M  # Eq. (2.14)


def _service(service_class: int) -> int:
    if service_class not in _KDEF:
        raise refuse("service class", repr(service_class), "1, 2 or 3")
    return service_class
