"""Zones, steps and the menu of a base in zones, in tables for the eye."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import pandas as pd

from kit.ink.inch_words import in_units
from kit.ink.lengths import NOTHING, Units, length
from kit.ink.table import Table
from kit.levels import Zones
from kit.levels.menu import Choice
from kit.levels.zone_tables import menu_table as menu_frame
from kit.levels.zone_tables import step_table as step_frame
from kit.levels.zone_tables import zone_table as zone_frame
from kit.show.large_floor.frame_table import frame_table

#: A column of longer texts may take several lines [letters].
LONG_TEXT = 24

#: How a row of the menu says that it was taken.
TAKEN = "✓ taken"


def zone_table(zones: Zones) -> Table:
    """Return the zones: from where to where, their levels, what they take.

    Parameters
    ----------
    zones : Zones
        From `kit.levels.part_into_zones`.
    """
    units = zones.job.units
    frame = zone_frame(zones.zones)
    shown = pd.DataFrame(
        {
            "zone": frame["zone"],
            "run": frame["run"],
            "from unit": frame["from_unit"],
            "to unit": frame["to_unit"],
            "begins at_mm": frame["from_mm"],
            "ends at_mm": frame["to_mm"],
            "base top_mm": frame["base_top_mm"],
            "base top above its high point_mm": frame["base_height_mm"],
            "stacks": frame["supports"],
            "packers": frame["pieces"],
            "packing_m": frame["packing_mm"] / 1000,
            "highest stack_mm": frame["highest_stack_mm"],
            "least stack_mm": frame["least_stack_mm"],
            "worst error_mm": frame["worst_error_mm"],
            "movement joints": [in_units(words, units) or "none" for words in frame["joints"]],
        }
    )
    shown = _in_words(
        shown, units, ("base top_mm", "base top above its high point_mm",
                                 "highest stack_mm", "least stack_mm")
    )  # fmt: skip
    return _table("Zones, each level in itself", shown, units, _zones_note(zones))


def _zones_note(zones: Zones) -> str:
    metres = zones.packing_mm / 1000
    return f"All zones together: {zones.pieces} packers, {metres:.2f} m of packing."


def step_table(zones: Zones) -> Table:
    """Return the steps: where, how high, and the ramp beside each where one is asked for.

    Parameters
    ----------
    zones : Zones
        From `kit.levels.part_into_zones`.
    """
    units = zones.job.units
    frame = step_frame(zones.steps)
    shown = pd.DataFrame(
        {
            "from zone": frame["from_zone"],
            "to zone": frame["to_zone"],
            "from unit": frame["from_unit"],
            "to unit": frame["to_unit"],
            "where": frame["where"],
            "along the run at_mm": frame["at_mm"],
            "step_mm": [_signed(mm, units) for mm in frame["step_mm"]],
        }
    )
    if (frame["ramp"] != "").any():
        shown["ramp needs length_mm"] = frame["ramp_needed_mm"]
        shown["there is room for length_mm"] = frame["ramp_room_mm"]
        shown["ramp fits"] = frame["ramp_fits"].where(frame["ramp_fits"] != "", NOTHING)
        shown["ramp"] = [in_units(words, units) for words in frame["ramp"]]
    note = "Positive: the second zone is higher. A ramp leads up where the floor"
    note += " itself steps, in front of the units."
    return _table("Steps between zones", shown, units, note)


def menu_table(zones: Zones) -> Table:
    """Return each number of zones of each run: what it takes, or why it cannot be.

    Parameters
    ----------
    zones : Zones
        From `kit.levels.part_into_zones`.
    """
    units, choices = zones.job.units, zones.menu
    frame = menu_frame(zones.job, choices, zones.zones)
    shown = pd.DataFrame(
        {
            "run": frame["run"],
            "zones": frame["zones"],
            "taken": frame["chosen"].where(frame["chosen"] == "", TAKEN),
            "packing_m": frame["packing_mm"] / 1000,
            "packers": pd.Series([_whole(one) for one in frame["pieces"]], dtype=object),
            "highest stack_mm": frame["highest_stack_mm"],
            "least stack_mm": frame["least_stack_mm"],
            "steps, from the left_mm": [_steps(choice, units) for choice in choices],
            "zones from unit to unit": frame["units"].where(frame["units"] != "", NOTHING),
            "why it cannot be": [reason(choice, units) or NOTHING for choice in choices],
        }
    )
    shown = _in_words(shown, units, ("highest stack_mm", "least stack_mm"))
    note = (
        "Each run by itself, packers enough; the least packing is taken unless a number is set."
        " What begins with base. is a figure of the job file."
    )
    if zones.meets:
        pairs = ", ".join(f"{one} and {other}" for one, other in zones.meets)
        note += f" Runs {pairs} meet: their levels were chosen together, and may differ from these."
    return _table("How many zones", shown, units, note)


def reason(choice: Choice, units: Units = "mm") -> str:
    """Return why a number of zones cannot be, in words without the names of files."""
    words = in_units(choice.why_not.removeprefix("job.toml, "), units)
    return words[:1].upper() + words[1:] if words.startswith("at the least") else words


def _table(title: str, frame: pd.DataFrame, units: Units, note: str) -> Table:
    """Return a table in which only columns of long texts are given room for several lines."""
    table = frame_table(title, frame, units, note=note)
    heads = tuple(
        replace(head, wide=head.wide and any(len(row[at]) > LONG_TEXT for row in table.rows))
        for at, head in enumerate(table.heads)
    )
    return replace(table, heads=heads)


def _in_words(frame: pd.DataFrame, units: Units, columns: Iterable[str]) -> pd.DataFrame:
    """Return heights as a tape and a level tell them: tenths of a millimetre, sixteenths."""
    told = {name: [length(float(mm), units) for mm in frame[name]] for name in columns}
    return frame.assign(**told)


def _signed(mm: float, units: Units) -> str:
    text = length(mm, units)
    return f"+{text}" if mm > 0 else text


def _steps(choice: Choice, units: Units) -> str:
    return "; ".join(_signed(mm, units) for mm in choice.steps_mm) or NOTHING


def _whole(count: float) -> int | None:
    return None if math.isnan(count) else round(count)
