"""Bending and shear of the joists under the furniture, the floor's own weight and its use."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

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
    people and imposed too, each group of the furniture's loads only where it asks more. The
    floor's own weight lies all along the joist, over one width of `centres_mm`; so does the
    imposed load, on those spans of `arrangements` where it asks most.
    """
    permanent, stored, people = on_joists_n
    dead = joists.dead_kn_per_m2 * joists.centres_mm * _N_PER_MM
    imposed = joists.imposed_kn_per_m2 * joists.centres_mm * _N_PER_MM
    always = GAMMA_G * permanent
    spans = len(joists.bearing_mm) - 1
    whole = arrangements(spans) if imposed > 0 else np.zeros((1, spans))
    plain = GAMMA_G * dead * np.ones((1, spans))
    used = plain + GAMMA_Q * imposed * whole
    # On a joist over several bearings furniture may relieve a span: each group is left out too.
    combinations = (
        ((always,), plain),
        ((always + GAMMA_Q * stored,), plain),
        (
            (
                0.0 * always,
                always,
                always + GAMMA_Q * stored,
                always + GAMMA_Q * people,
                always + GAMMA_Q * (stored + people),
            ),
            used,
        ),
    )
    section = Rectangle(joists.width_mm, joists.depth_mm)
    timber = timber_class(joists.strength_class)
    strengths = [kmod(service_class, duration) for duration in DURATIONS]
    bending, shear = [], []
    for strength, (groups, rows) in zip(strengths, combinations, strict=True):
        found = np.array([lines.greatest(forces, each) for forces in groups for each in rows])
        moment, force = found.max(axis=0)
        # Both ratios are proportional to what acts: one call serves all joists.
        bending.append(moment * bending_ratio(1.0, section, timber, strength, ksys=KSYS))
        shear.append(force * shear_ratio(1.0, section, timber, strength, ksys=KSYS))
    return list(zip(_worst(bending, strengths), _worst(shear, strengths), strict=True))


@cache
def arrangements(spans: int) -> Floats:
    """Return on which spans an imposed load lies: arrangements that may govern.

    Parameters
    ----------
    spans : int
        How many spans a joist runs over, 1 or more.

    Returns
    -------
    array of shape (arrangements, spans)
        1 where it lies, 0 where it does not, each arrangement once: all spans; every other one
        from the first or the second on, for moments in the spans; any two neighbours, for the
        moment over the bearing between them.

    Notes
    -----
    EN 1991-1-1 6.2.1(1): an imposed load lies where it is least favourable. The arrangements are
    those of EN 1992-1-1 5.1.3(1), alternate spans and any two adjacent ones (from memory).
    """
    number = np.arange(spans)
    rows = [np.ones(spans), number % 2 == 0, number % 2 == 1]
    rows += [(number == left) | (number == left + 1) for left in range(spans - 1)]
    found = np.unique(np.array(rows, dtype=float), axis=0)
    found = found[found.any(axis=1)]
    found.flags.writeable = False  # kept for all callers
    return found


def _worst(ratios: list[Floats], strengths: list[float]) -> list[Governing]:
    table = np.array(ratios)
    found = zip(table.max(axis=0).tolist(), table.argmax(axis=0).tolist(), strict=True)
    return [Governing(ratio, DURATIONS[number], strengths[number]) for ratio, number in found]
