"""What presses on a boarded floor, against what its boards bear across the grain."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from kit.base.checks import Check
from kit.job import Floor
from kit.strength.bearing import Contact, bearing_ratio, pressure
from kit.strength.timber import Duration, kmod, timber_class
from kit.strength.worst import Worst, ratio_check, worst_of

#: The rule and the standards behind the ratio.
SOURCE = "EN 1995-1-1 6.1.5, EN 338; EN 1990 Eq. 6.10; no spread, kc,90 of 1"

#: Design forces of one support by load duration [N].
Design = Sequence[tuple[Duration, float]]


def greatest_n(design: Design) -> float:
    """Return the greatest of the design forces of a support [N]."""
    return max(force for _, force in design)


def board_check(
    check: str,
    row: str,
    design: Mapping[str, Design],
    sizes_mm: Mapping[str, tuple[float, float]],
    floor: Floor,
    service_class: int,
    said: str,
) -> Check:
    """Judge the pressure of a row's supports on the boards under them.

    Parameters
    ----------
    check, row : str
        Names of the check and of the row.
    design : mapping of str to Design
        What comes down on each support.
    sizes_mm : mapping of str to (along, across)
        What of each support lies on the boards [mm].
    floor : Floor
        A boarded one.
    service_class : int
        Of the room.
    said : str
        What else the source has to say.

    Returns
    -------
    Check
        The worst ratio of the row; without the boards' class the greatest pressure, not checked.
    """
    if floor.board_strength_class is None or floor.board_mm is None:
        pressures = {name: pressure(greatest_n(of), *sizes_mm[name]) for name, of in design.items()}
        name = max(pressures, key=pressures.__getitem__)
        why = f"no floor.board_strength_class given; {said}"
        where = f"{row}: {name}"
        return Check(check, where, pressures[name], math.nan, "N/mm2", "not_checked", why)
    board = timber_class(floor.board_strength_class)
    depth = floor.board_mm
    # Nobody says which way the boards run under it: nothing is added to its length.
    ratios = worst_of(
        Worst(
            bearing_ratio(
                force,
                Contact(*sizes_mm[name], depth, 0.0, 0.0, 0.0, 0.0),
                board,
                kmod(service_class, duration),
            ),
            f"at {name}",
        )
        for name, of in design.items()
        for duration, force in of
    )
    return ratio_check(check, row, ratios, f"{SOURCE}; {said}")
