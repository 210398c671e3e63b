"""What the joists give under a pour and the units on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import pandas as pd

from kit.base.layout import GRAVITY_N_PER_KG
from kit.base.pour import Lump
from kit.job import Job
from kit.strength.carry import press_on_joists
from kit.strength.joist_settlement import StackSag, settlements_of
from kit.strength.joists import JoistWork, NoJoists, Pressed
from kit.strength.pieces import Apart

#: Label of what lies on the floor besides the rows: no settlement of a row counts it.
POUR = "pour"


def pour_on_joists(
    job: Job, apart: Apart, supports: pd.DataFrame, lumps: Iterable[Lump]
) -> JoistWork | NoJoists:
    """Find what the joists give under units and pour, the pour a permanent load for good.

    Parameters
    ----------
    job : Job
        Joists and service class.
    apart : Apart
        What stands on each support.
    supports : DataFrame
        support, row, x_mm, y_mm, run.
    lumps : iterable of Lump
        The pour in parts, numbered as they come, with the mass of set compound; what dries out of
        it is left out.

    Returns
    -------
    JoistWork or NoJoists
        Sag, stress and creep of the joists are those under units and pour. The settlement of the
        supports leaves out what the pour alone makes the joists give at once: it flows level
        while they do. What they creep under it later is in.
    """
    units = press_on_joists(job, apart, supports)
    if isinstance(units, NoJoists):
        return units
    pressed = [_pressed(number, lump) for number, lump in enumerate(lumps, start=1)]
    both = press_on_joists(job, apart, supports, pressed)
    if isinstance(both, NoJoists):
        return both
    return _level_when_set(both, units, pressed)


def _pressed(number: int, lump: Lump) -> Pressed:
    force = lump.mass_kg * GRAVITY_N_PER_KG
    name = f"compound {number}"
    return Pressed(name, POUR, lump.x_mm, lump.y_mm, force, run=lump.zone.run)


def _level_when_set(both: JoistWork, units: JoistWork, pressed: Sequence[Pressed]) -> JoistWork:
    """Return the joists under both, with the settlement that shows in the top of the pour."""
    stacks = {name: _seen(both.stacks[name], alone) for name, alone in units.stacks.items()}
    parts = {one.support for one in pressed}
    first = [name for name in both.before_first if name not in parts]
    compound = ["compound"] if len(first) < len(both.before_first) else []
    return replace(
        both,
        stacks=stacks,
        settlements=settlements_of(tuple(stacks.values())),
        before_first=(*first, *compound),
        off_joist=units.off_joist,
        under="furniture and compound",
    )


def _seen(both: StackSag, units: StackSag) -> StackSag:
    crept = both.final_mm - both.inst_mm
    return replace(both, inst_mm=units.inst_mm, final_mm=units.inst_mm + crept)
