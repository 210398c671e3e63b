"""Bending and shear of the joists under the furniture, the floor's own weight and its use."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kit.job import Joists
from kit.strength.beam import Floats
from kit.strength.joist_lines import JoistLines
from kit.strength.section import Rectangle, bending_ratio, shear_ratio
from kit.strength.timber import GAMMA_G, GAMMA_Q, KSYS, Duration, kmod, timber_class

#: The combinations of loads, by the shortest of their durations: all variable loads at once in
#: full (psi0 = 1, the unfavourable side). People and imposed loads last for a medium term, stored
#: contents for a long one.
DURATIONS: tuple[Duration, ...] = ("permanent", "long", "medium")

#: Of 1 kN/m2 on 1 mm of width, along a joist [N/mm].
_N_PER_MM = 1e-3


@dataclass(frozen=True)
class Governing:
    """A stress ratio, and the loads that bring it.

    Parameters
    ----------
    ratio : float
        Design stress over design strength; nan where it is not computed.
    duration : str
        Load duration of the governing combination, ``"permanent"``, ``"long"`` or ``"medium"``;
        empty where it is not computed.
    kmod : float
        The modification factor that goes with it.
    """

    ratio: float
    duration: str
    kmod: float


NOT_STRESSED = Governing(math.nan, "", math.nan)


def governing(
    joists: Joists, service_class: int, lines: JoistLines, on_joists_n: Floats
) -> list[tuple[Governing, Governing]]:
    """Find the governing ratios of bending and shear of each joist.

    Parameters
    ----------
    joists : Joists
    service_class : int
    lines : JoistLines
        Of these joists.
    on_joists_n : array of shape (3, joists, places)
        Permanent, stored, people; characteristic [N].

    Returns
    -------
    list of (bending, shear)
        One entry a joist.

    Notes
    -----
    EN 1990 eq. (6.10) and EN 1995-1-1 3.1.3(2): 1.35 permanent alone; with 1.5 stored; with 1.5
    people and imposed too. The floor's own weight and the imposed load lie all along the joist
    and over one width of `centres_mm`; the imposed load is not taken off spans where it relieves.
    """
    permanent, stored, people = on_joists_n
    dead = joists.dead_kn_per_m2 * joists.centres_mm * _N_PER_MM
    imposed = joists.imposed_kn_per_m2 * joists.centres_mm * _N_PER_MM
    always = GAMMA_G * permanent
    combinations = (
        (always, GAMMA_G * dead),
        (always + GAMMA_Q * stored, GAMMA_G * dead),
        (always + GAMMA_Q * (stored + people), GAMMA_G * dead + GAMMA_Q * imposed),
    )
    section = Rectangle(joists.width_mm, joists.depth_mm)
    timber = timber_class(joists.strength_class)
    strengths = [kmod(service_class, duration) for duration in DURATIONS]
    bending, shear = [], []
    for strength, (forces, each) in zip(strengths, combinations, strict=True):
        moment, force = lines.greatest(forces, each)
        # Both ratios are proportional to what acts: one call serves all joists.
        bending.append(moment * bending_ratio(1.0, section, timber, strength, ksys=KSYS))
        shear.append(force * shear_ratio(1.0, section, timber, strength, ksys=KSYS))
    return list(zip(_worst(bending, strengths), _worst(shear, strengths), strict=True))


def _worst(ratios: list[Floats], strengths: list[float]) -> list[Governing]:
    table = np.array(ratios)
    found = zip(table.max(axis=0).tolist(), table.argmax(axis=0).tolist(), strict=True)
    return [Governing(ratio, DURATIONS[number], strengths[number]) for ratio, number in found]
