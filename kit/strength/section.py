"""A rectangular piece of timber in bending and shear."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.job import refuse
from kit.strength.timber import KCR, TimberClass, design_strength, kh


@dataclass(frozen=True)
class Rectangle:
    """A rectangular cross-section, bent about its horizontal axis.

    Parameters
    ----------
    width_mm : float
        Horizontal side [mm].
    depth_mm : float
        Vertical side, in the direction of the load [mm].

    Raises
    ------
    Refusal
        A side that is not a positive length.
    """

    width_mm: float
    depth_mm: float

    def __post_init__(self) -> None:
        for where, side in (("width", self.width_mm), ("depth", self.depth_mm)):
            if not (side > 0.0 and math.isfinite(side)):
                raise refuse(f"{where} of the section", f"{side:g} mm", "more than 0 mm")

    @property
    def area_mm2(self) -> float:
        """Area [mm2]."""
        return self.width_mm * self.depth_mm

    @property
    def section_modulus_mm3(self) -> float:
        """Section modulus, b h^2 / 6 [mm3]."""
        return self.width_mm * self.depth_mm**2 / 6.0

    @property
    def second_moment_mm4(self) -> float:
        """Second moment of area, b h^3 / 12 [mm4]."""
        return self.width_mm * self.depth_mm**3 / 12.0


def bending_stress(moment_Nmm: float, section: Rectangle) -> float:  # noqa: N803
    """Return the stress of the outermost fibre, whichever way the piece is bent.

    Parameters
    ----------
    moment_Nmm : float
        Bending moment, of either sign [N mm].
    section : Rectangle
        The piece.

    Returns
    -------
    float
        Stress [N/mm2], sigma = |M| / W.
    """
    return abs(moment_Nmm) / section.section_modulus_mm3


def shear_stress(shear_N: float, section: Rectangle, *, kcr: float = KCR) -> float:  # noqa: N803
    """Return the greatest shear stress, on the width that cracks leave.

    Parameters
    ----------
    shear_N : float
        Shear force, of either sign [N].
    section : Rectangle
        The piece.
    kcr : float
        Share of the width that counts, 0 < kcr <= 1; 1 for the stress of the whole width.

    Returns
    -------
    float
        Stress [N/mm2].

    Raises
    ------
    Refusal
        A share outside 0 to 1.

    Notes
    -----
    tau = 1.5 |V| / (kcr b h): parabola over a rectangle, with b_ef = kcr b, EN 1995-1-1
    eq. (6.13a).
    """
    if not 0.0 < kcr <= 1.0:
        raise refuse("kcr", f"{kcr:g}", "more than 0, at most 1")
    return 1.5 * abs(shear_N) / (kcr * section.area_mm2)  # Eq. (6.13a)


def bending_ratio(
    moment_Nmm: float,  # noqa: N803
    section: Rectangle,
    timber: TimberClass,
    kmod: float,
    *,
    ksys: float = 1.0,
) -> float:
    """Return bending stress over design strength; above 1 the piece is referred.

    The piece is taken as held against tipping over sideways (kcrit = 1).

    Parameters
    ----------
    moment_Nmm : float
        Design moment [N mm].
    section : Rectangle
        The piece; its depth sets `kh`.
    timber : TimberClass
        Strength class.
    kmod : float
        Modification factor.
    ksys : float
        `KSYS` where neighbours share the load, else 1.

    Returns
    -------
    float
        sigma_m,d / f_m,d, EN 1995-1-1 6.1.6.

    Raises
    ------
    Refusal
        A factor that is not positive.
    """
    strength = design_strength(timber.fm_k, kmod, factor=kh(section.depth_mm) * ksys)
    return bending_stress(moment_Nmm, section) / strength


def shear_ratio(
    shear_N: float,  # noqa: N803
    section: Rectangle,
    timber: TimberClass,
    kmod: float,
    *,
    ksys: float = 1.0,
) -> float:
    """Return shear stress over design strength; above 1 the piece is referred.

    Parameters
    ----------
    shear_N : float
        Design shear force [N].
    section : Rectangle
        The piece, not notched.
    timber : TimberClass
        Strength class.
    kmod : float
        Modification factor.
    ksys : float
        `KSYS` where neighbours share the load, else 1.

    Returns
    -------
    float
        tau_d / f_v,d with `KCR`, EN 1995-1-1 6.1.7.

    Raises
    ------
    Refusal
        A factor that is not positive.
    """
    return shear_stress(shear_N, section) / design_strength(timber.fv_k, kmod, factor=ksys)
