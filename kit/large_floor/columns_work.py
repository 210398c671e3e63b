"""Columns of the tables that tell the order of the work."""

from __future__ import annotations

from kit.large_floor.columns_places import place

_MASS = "by packer_size_mm and packer_kg_per_l under stock"

WORK: dict[str, dict[str, str]] = {
    "walking-order.csv": {
        "step": "Number of the stack in the order in which they are built, from 1.",
        "zone": "Level zone that the stack belongs to.",
        "support": (
            "Name of the support within its zone: B back, M middle, F front row, D and so on"
            " further rows, counted from the left."
        ),
        **place("the support"),
        "walk_mm": (
            "Way to this stack from the one before, in a straight line; for the first, from where"
            " the crates stand (--start, or the first doorway)."
        ),
        "crate": "Number of the crate that holds its packers.",
        "packers": "Printed sizes of its packers in mm, from the floor up.",
        "pieces": "How many packers the stack has.",
        "packing_mm": "Height of the stack.",
        "mass_kg": f"Mass of its packers, {_MASS}.",
        "minutes": "Time to mark, lay and screw the stack, at the job's rates, without walking.",
    },
    "crates.csv": {
        "crate": "Number of the crate, in the order of the work.",
        "zone": "Level zone that its packers are for.",
        "from_support": "First support that it serves, in the order of the walk.",
        "to_support": "Last support that it serves.",
        "stacks": "How many stacks it holds the packers of.",
        "packers": "What is put into it: number x printed size in mm, the largest first.",
        "mass_kg": f"Mass of what is in it, {_MASS}; at most crate_kg under stock.",
    },
    "packing-lists.csv": {
        "zone": "Level zone.",
        "size_mm": "Printed size of the packer.",
        "count": "How many of that size the zone takes, without spares.",
    },
    "pace.csv": {
        "zone": "Level zone; all in the last row, for the whole base.",
        "stacks": "How many stacks are built.",
        "packers": "How many packers lie in them.",
        "packing_mm": "Heights of these stacks, added up.",
        "mass_kg": f"Mass of all packers, {_MASS}.",
        "crates": "How many crates are carried.",
        "walk_m": "Way from stack to stack, in straight lines, from where the zone before ended.",
        "walk_at_most_longer": (
            "By how much this way may be longer than the shortest there is, at most: 0.05 is 5 %,"
            " 0 is the shortest; proved by Held and Karp's bound (Operations Research 18, 1970,"
            " from memory), zone by zone."
        ),
        "minutes": (
            "Time for stacks, walks and fetching crates, at the job's rates; bearers, units and"
            " the setting up of a level are not in it."
        ),
        "stacks_per_hour": "Stacks built in an hour at that pace.",
    },
}
