"""Bearing across the grain: how much a contact carries before it crushes the timber."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from kit.job import refuse
from kit.strength.timber import TimberClass, design_strength

Support = Literal["discrete", "continuous"]

#: What the fibres beside a contact add to its length, at most, on each side [mm].
SPREAD_MM = 30.0

# EN 1995-1-1 6.1.5(3) and (4), solid softwood, where the contacts stand far enough apart.
_KC90 = {"discrete": 1.5, "continuous": 1.25}
_CLOSED_MM = 1e-9  # limits are closed: sums of decimal lengths miss by less than this


def effective_length_mm(
    contact_mm: float,
    left_end_mm: float,
    right_end_mm: float,
    left_clear_mm: float,
    right_clear_mm: float,
) -> float:
    """Return the length along the grain over which a contact spreads its force.

    Parameters
    ----------
    contact_mm : float
        Length of the contact along the grain, l [mm].
    left_end_mm, right_end_mm : float
        Distance a from the contact's edge to the member's end on that side [mm]; 0 where the
        member ends there, inf where it ends nowhere near.
    left_clear_mm, right_clear_mm : float
        Clear distance l1 to the neighbouring contact on that side [mm]; inf where there is none.

    Returns
    -------
    float
        l_ef = l + the additions of both sides, each min(30, a, l, l1 / 2) [mm].

    Raises
    ------
    Refusal
        A contact without length, or a negative distance.

    References
    ----------
    EN 1995-1-1 6.1.5(1), with A1.
    """
    _positive("length of the contact", contact_mm)
    additions = 0.0
    for end, clear in ((left_end_mm, left_clear_mm), (right_end_mm, right_clear_mm)):
        if not (end >= 0.0 and clear >= 0.0):
            raise refuse("beside the contact", f"{end:g} and {clear:g} mm", "0 mm or more, or inf")
        additions += min(SPREAD_MM, end, contact_mm, clear / 2.0)
    return contact_mm + additions


def kc90(clear_mm: float, depth_mm: float, *, support: Support) -> float:
    """Return how much more a contact bears than a piece pressed over its whole length.

    Parameters
    ----------
    clear_mm : float
        Clear distance l1 to the nearest neighbouring contact [mm]; inf where there is none.
    depth_mm : float
        Depth h of the member [mm].
    support : str
        ``"discrete"`` where the member stands on single supports, ``"continuous"`` where it
        lies on a support along its whole length.

    Returns
    -------
    float
        1.5 on discrete and 1.25 on continuous support for solid softwood with l1 >= 2 h
        (closed), otherwise 1.

    Raises
    ------
    Refusal
        A depth that is no positive length, a negative distance, another kind of support.

    References
    ----------
    EN 1995-1-1 6.1.5(2) to (4), with A1.
    """
    _positive("depth of the member", depth_mm)
    if support not in _KC90:
        raise refuse("support", repr(support), " or ".join(get_args(Support)))
    if not clear_mm >= 0.0:
        raise refuse("clear distance", f"{clear_mm:g} mm", "0 mm or more, or inf")
    return _KC90[support] if clear_mm >= 2.0 * depth_mm - _CLOSED_MM else 1.0


@dataclass(frozen=True)
class Contact:
    """Where a force enters a member across its grain.

    Parameters
    ----------
    length_mm : float
        Length of the contact along the member's grain [mm].
    width_mm : float
        Width of the contact across the member [mm]; not more than the member's.
    depth_mm : float
        Depth of the member [mm].
    left_end_mm, right_end_mm : float
        Distance to the member's end on each side [mm]; inf where it ends nowhere near.
    left_clear_mm, right_clear_mm : float
        Clear distance to the neighbouring contact on each side [mm]; inf where there is none.
    support : str
        ``"discrete"`` or ``"continuous"``, see `kc90`.

    Raises
    ------
    Refusal
        A length, width, depth or distance that cannot be, or another kind of support.
    """

    length_mm: float
    width_mm: float
    depth_mm: float
    left_end_mm: float = math.inf
    right_end_mm: float = math.inf
    left_clear_mm: float = math.inf
    right_clear_mm: float = math.inf
    support: Support = "discrete"

    def __post_init__(self) -> None:
        _positive("width of the contact", self.width_mm)
        # Both refuse what cannot be, so that a contact that exists can be checked.
        _ = self.effective_area_mm2
        _ = self.kc90

    @property
    def effective_area_mm2(self) -> float:
        """Width times effective length, A_ef [mm2]."""
        length = effective_length_mm(
            self.length_mm,
            self.left_end_mm,
            self.right_end_mm,
            self.left_clear_mm,
            self.right_clear_mm,
        )
        return self.width_mm * length

    @property
    def kc90(self) -> float:
        """Factor of the load's arrangement, from the nearer neighbour."""
        nearest = min(self.left_clear_mm, self.right_clear_mm)
        return kc90(nearest, self.depth_mm, support=self.support)


def bearing_ratio(
    force_N: float,  # noqa: N803
    contact: Contact,
    timber: TimberClass,
    kmod: float,
) -> float:
    """Return the force on a contact over what the timber bears there; above 1 it is referred.

    Parameters
    ----------
    force_N : float
        Design force, pressing [N].
    contact : Contact
        Where it enters.
    timber : TimberClass
        Strength class of the member.
    kmod : float
        Modification factor.

    Returns
    -------
    float
        F / (kc90 A_ef f_c,90,d).

    Raises
    ------
    Refusal
        A force that lifts, or a factor that is not positive.

    Notes
    -----
    Eq. (6.3) and (6.4) of EN 1995-1-1, 6.1.5.
    """
    _presses(force_N)
    strength = design_strength(timber.fc90_k, kmod, factor=contact.kc90)
    return force_N / (contact.effective_area_mm2 * strength)  # Eq. (6.3), (6.4)


def pressure(force_N: float, length_mm: float, width_mm: float) -> float:  # noqa: N803
    """Return the mean pressure under a force, without any spread.

    Parameters
    ----------
    force_N : float
        Pressing force [N].
    length_mm, width_mm : float
        Sides of the contact [mm].

    Returns
    -------
    float
        Pressure [N/mm2].

    Raises
    ------
    Refusal
        A force that lifts, or a side that is no positive length.
    """
    _presses(force_N)
    _positive("length of the contact", length_mm)
    _positive("width of the contact", width_mm)
    return force_N / (length_mm * width_mm)


def _presses(force_N: float) -> None:  # noqa: N803
    if not force_N >= 0.0:
        raise refuse("force on a contact", f"{force_N:g} N", "0 N or more: a contact only presses")


def _positive(where: str, length_mm: float) -> None:
    if not (length_mm > 0.0 and math.isfinite(length_mm)):
        raise refuse(where, f"{length_mm:g} mm", "more than 0 mm")
