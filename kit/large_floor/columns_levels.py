"""Columns of the tables of level zones."""

from __future__ import annotations

from kit.large_floor.columns_places import HEIGHT, place

_MEET = {
    "from_zone": (
        "Zone on the left where two meet in a run; where runs meet, that of the run named first."
    ),
    "to_zone": "The other zone.",
}

LEVELS: dict[str, dict[str, str]] = {
    "zones.csv": {
        "zone": "Name of the level zone; its own answer lies in the folder of that name.",
        "run": "Run of the job that the zone is a part of.",
        "from_unit": "First unit of the zone, counted from the run's left end.",
        "to_unit": "Last unit of the zone.",
        "from_mm": "Where the zone's first unit begins, along the run from its left end.",
        "to_mm": "Where the zone's last unit ends, along the run from its left end.",
        "datum_mm": (
            "Height of the underside of the back row's bearers, which the stacks are built up to,"
            f" {HEIGHT}."
        ),
        "base_top_mm": (
            "Height of the top of the back row's bearers, on which the units stand (datum_mm plus"
            f" the bearer's thickness), {HEIGHT}."
        ),
        "base_height_mm": (
            "Base top above the zone's own high point (base_top_mm less high_point_mm): what a"
            " tape shows there."
        ),
        "high_point_mm": (
            f"Height of the highest floor under the zone's bearers or packers, {HEIGHT}."
        ),
        **place("the zone's high point", "high_"),
        "supports": "How many supports, each with a stack, the zone has.",
        "pieces": "How many packers lie in all stacks of the zone.",
        "packing_mm": "Heights of all stacks of the zone, added up.",
        "highest_stack_mm": "Height of the zone's highest stack, from the floor up.",
        "least_stack_mm": "Height of the zone's lowest stack, from the floor up.",
        "worst_error_mm": (
            "How far a stack of the zone misses the height it should have at most, either way: what"
            " the packers' sizes leave, without the doubt of the readings."
        ),
        "joints": (
            "Movement joints of the floor under the zone, in words, counted from the zone's left"
            " end; empty without one."
        ),
    },
    "zone-steps.csv": {
        **_MEET,
        "from_unit": "Unit beside the step on the side of from_zone.",
        "to_unit": "Unit beside the step on the side of to_zone.",
        "where": "Whether the zones meet in the run, or where two runs meet.",
        "at_mm": (
            "Where the step is along the run from its left end, in the middle of the gap between"
            " the two units; empty where runs meet."
        ),
        **place("the step, at the units' fronts,"),
        "step_mm": (
            "Base top of to_zone less base top of from_zone: positive, up to to_zone; negative,"
            " down to it."
        ),
        "ramp_needed_mm": (
            "Length in plan that a ramp over the floor's own step here takes, at"
            " base.levels.ramp_mm_per_m; empty where no ramp is asked for, or the floor does not"
            " step."
        ),
        "ramp_room_mm": (
            "Length that there is for it (base.levels.ramp_room_mm); inf where the job names no"
            " limit, empty where there is no ramp."
        ),
        "ramp_fits": "Whether that length suffices, yes or no; empty where there is no ramp.",
        "ramp": (
            "What is to be said of the ramp in words, or why there is none where one is asked for;"
            " the local code decides, the kit approves no ramp."
        ),
    },
    "zone-menu.csv": {
        "run": "Run of the job, looked at by itself.",
        "zones": "Into how many level zones it would be parted.",
        "chosen": (
            "yes where the run was parted into so many; where runs meet, its levels may differ"
            " from those of this row."
        ),
        "packing_mm": (
            "Heights of all stacks of the run, added up, built of packers enough of each"
            " size; empty where it cannot be."
        ),
        "pieces": "How many packers lie in them; empty where it cannot be.",
        "highest_stack_mm": "Height of the highest stack, from the floor up.",
        "least_stack_mm": "Height of the lowest stack, from the floor up.",
        "steps_mm": (
            "Steps from zone to zone, from the left, in mm: up to the next zone, or down to it."
        ),
        "units": "Units of each zone, from the left, zones parted by a bar.",
        "why_not": "Why so many zones cannot be; empty where they can.",
    },
    "zone-ramps.csv": {
        **_MEET,
        "along_mm": "Distance in plan from the ramp's upper end, down the ramp.",
        **place("this station of the ramp"),
        "ramp_mm": f"Height of the ramp's top, {HEIGHT}.",
        "floor_mm": f"Height of the floor there, {HEIGHT}; empty where it was not surveyed.",
        "above_mm": (
            "The ramp's top above the floor (ramp_mm less floor_mm); negative where the floor"
            " stands above the ramp."
        ),
    },
}
