"""Zones, steps, menu and ramps as tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pandas as pd

from kit.base.stack_rules import to_mm
from kit.job import Job
from kit.levels.menu import Choice

if TYPE_CHECKING:
    from kit.levels.zone_parts import Zone, ZoneStep

#: Levels that differ by less are one level [mm].
LEVEL_MM = 1e-6

ZONE_COLUMNS = [
    "zone", "run", "from_unit", "to_unit", "from_mm", "to_mm", "datum_mm", "base_top_mm",
    "base_height_mm", "high_point_mm", "high_x_mm", "high_y_mm", "supports", "pieces",
    "packing_mm", "highest_stack_mm", "least_stack_mm", "worst_error_mm", "joints",
]  # fmt: skip
STEP_COLUMNS = [
    "from_zone", "to_zone", "from_unit", "to_unit", "where", "at_mm", "x_mm", "y_mm", "step_mm",
    "ramp_needed_mm", "ramp_room_mm", "ramp_fits", "ramp",
]  # fmt: skip
MENU_COLUMNS = [
    "run", "zones", "chosen", "packing_mm", "pieces", "highest_stack_mm", "least_stack_mm",
    "steps_mm", "units", "why_not",
]  # fmt: skip
RAMP_COLUMNS = [
    "from_zone", "to_zone", "along_mm", "x_mm", "y_mm", "ramp_mm", "floor_mm", "above_mm",
]  # fmt: skip


def zone_table(zones: Sequence[Zone]) -> pd.DataFrame:
    """Return the zones, one row each, with the columns of `ZONE_COLUMNS`."""
    rows = []
    for zone in zones:
        answer, stacks = zone.answer, zone.stacks_mm
        rows.append(
            (
                zone.name,
                zone.run,
                zone.from_unit,
                zone.to_unit,
                zone.from_mm,
                zone.to_mm,
                zone.datum_mm,
                zone.base_top_mm,
                answer.datum.base_height_mm,
                answer.high_point.height_mm,
                answer.high_point.x_mm,
                answer.high_point.y_mm,
                len(answer.supports),
                answer.pieces,
                zone.packing_mm,
                float(stacks.max()),
                float(stacks.min()),
                answer.worst_error_mm,
                "; ".join(zone.joints),
            )
        )
    return pd.DataFrame(rows, columns=ZONE_COLUMNS)


def step_table(steps: Sequence[ZoneStep]) -> pd.DataFrame:
    """Return where zones meet, one row each, with the columns of `STEP_COLUMNS`.

    ``ramp_fits`` is "yes", "no", or empty where there is none: then ``ramp`` says why, if one is
    asked for.
    """
    rows = []
    for step in steps:
        needed, room, fits, words = float("nan"), float("nan"), "", step.no_ramp
        for ramp in step.ramps:
            needed, room = ramp.needed_mm, ramp.room_mm
            fits, words = ("yes" if ramp.fits else "no"), ramp.words
        where = "in the run" if step.in_run else "where runs meet"
        height = step.step_mm if abs(step.step_mm) > LEVEL_MM else 0.0
        names = (step.one.name, step.other.name, *step.units, where)
        rows.append((*names, step.at_mm, *step.place_mm, height, needed, room, fits, words))
    return pd.DataFrame(rows, columns=STEP_COLUMNS)


def menu_table(job: Job, menu: Sequence[Choice], zones: Sequence[Zone]) -> pd.DataFrame:
    """Return each number of zones of each run alone, with the columns of `MENU_COLUMNS`.

    ``chosen`` marks the number that the run was parted into; with runs that meet its levels may
    be others than here.
    """
    units = {run.name: [unit.name for unit in run.units] for run in job.runs}
    rows = []
    for choice in menu:
        number = sum(zone.run == choice.run for zone in zones)
        named = units[choice.run]
        parts = [f"{named[a]} to {named[b]}" if a < b else named[a] for a, b in choice.units]
        fine = not choice.why_not
        rows.append(
            (
                choice.run,
                choice.zones,
                "yes" if number == choice.zones else "",
                float(to_mm(choice.packing)) if fine else float("nan"),
                choice.pieces if fine else float("nan"),
                choice.highest_mm,
                choice.least_mm,
                "; ".join(_step_words(step) for step in choice.steps_mm),
                " | ".join(parts),
                choice.why_not,
            )
        )
    return pd.DataFrame(rows, columns=MENU_COLUMNS)


def _step_words(step_mm: float) -> str:
    """Return a step as words: a sign in front would make a spreadsheet see a formula."""
    return f"{'down' if step_mm < 0 else 'up'} {abs(step_mm):.1f}"


def ramp_table(steps: Sequence[ZoneStep]) -> pd.DataFrame:
    """Return the line of every ramp, station by station, with the columns of `RAMP_COLUMNS`."""
    parts = [
        ramp.profile.assign(from_zone=step.one.name, to_zone=step.other.name)[RAMP_COLUMNS]
        for step in steps
        for ramp in step.ramps
    ]
    return pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=RAMP_COLUMNS)
