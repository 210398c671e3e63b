"""Columns of the tables that tell how flat a floor is."""

from __future__ import annotations

from kit.large_floor.columns_places import HEIGHT, PLAN_X, PLAN_Y, place

_WHY = "Why it is not checked, or what of the floor was left out; empty where nothing was."
_BS = "BS 8204, as The Concrete Society gives it"
_DIN = "DIN 18202 table 3 line 3, finished floors, from a trade handbook"
_E1155 = "ASTM E1155, from memory"
_NHBC = "NHBC Standards 2020, 9.1.5"
_DEPARTURE = (
    "Largest gap under a straight edge (2000 mm, or --edge) laid along {0} with its middle here"
    " (or half a cell beside), between the contacts that carry it, positive down; empty where the"
    " edge does not fit, lies over a hole or a step, or the readings lie too far apart."
)

FLAT: dict[str, dict[str, str]] = {
    "straight-edge.csv": {
        "x_mm": f"Place in the plan: the middle of the cell {PLAN_X}.",
        "y_mm": f"Place in the plan: the middle of the cell {PLAN_Y}.",
        "along_x_mm": _DEPARTURE.format("x"),
        "along_y_mm": _DEPARTURE.format("y"),
    },
    "classes.csv": {
        "class": (
            f"Best class of surface regularity that a cell keeps by the worse of its two"
            f" departures ({_BS}); beyond, where it keeps none; not checked, where no straight edge"
            " could be laid; excluded, where the job leaves the floor out."
        ),
        "limit_mm": f"Largest gap under the straight edge that the class allows; {_BS}.",
        "area_m2": (
            "Area of the cells whose best class this is: a better class is not counted again in"
            " the rows below it."
        ),
        "share": (
            "That area as a share of the floor that has a height, what is excluded with it, 0 to 1."
        ),
        "share_checked": (
            "That area as a share of the floor that could be checked, 0 to 1; empty for what was"
            " not checked or is excluded."
        ),
        "one_way_m2": (
            "How much of area_m2 could be checked along x only or along y only, because the edge"
            " did not fit the other way: its class may be worse."
        ),
    },
    "worst-places.csv": {
        **place("the middle of the straight edge"),
        "axis": "Along which axis of the plan, x or y, the straight edge lies there.",
        "departure_mm": "Largest gap under it between the contacts that carry it, positive down.",
        **place("the edge's one outer contact with the floor", "from_"),
        **place("its other outer contact", "to_"),
        **place("the largest gap", "gap_"),
    },
    "din18202.csv": {
        "distance_m": f"Distance between the two outer ones of three points on a line; {_DIN}.",
        "limit_mm": f"Largest stichmass allowed at that distance, up or down; {_DIN}.",
        "positions": "How many places of the three points were looked at, along x and along y.",
        "worst_mm": (
            "Largest stichmass, up or down: height of the middle point less the mean of the two"
            " outer ones; positive, a hump; negative, a hollow."
        ),
        "worst_is": "What the worst is by its sign: hump, hollow, or empty where there is none.",
        **place("the middle point of the worst"),
        "axis": "Along which axis of the plan, x or y, the three points lie there.",
        "beyond": "How many of the positions are beyond the limit.",
        "state": (
            "kept where no position is beyond the limit; not kept where one or more are; not"
            " checked where it cannot be told."
        ),
        "why": _WHY,
    },
    "e1155.csv": {
        "line": f"Line that was looked at; all lines in the last row, for the floor ({_E1155}).",
        **place("the beginning of the line", "from_"),
        **place("its end", "to_"),
        "stations": "How many heights every 300 mm the line has.",
        "q_readings": "How many bends over 600 mm (three stations) F_F comes from.",
        "F_F": f"Flatness number, without a unit: the higher, the flatter ({_E1155}).",
        "z_readings": "How many differences of height over 3 m (ten stations) F_L comes from.",
        "F_L": f"Levelness number, without a unit: the higher, the more level ({_E1155}).",
        "state": "told, or not checked where the standard's rules for lines do not allow it.",
        "why": _WHY,
    },
    "domestic.csv": {
        "rule": f"What is looked at, along x and along y only; the rule is that of {_NHBC}.",
        "limit_mm": (
            f"Most that the guidance allows ({_NHBC}): out of level 3 mm a metre up to 6 m, 20 mm"
            " beyond; out of flat 5 mm either way under 2 m."
        ),
        "worst_mm": (
            "Largest found, never negative: of level, how far two points differ in height; of"
            " flat, how far the floor lies off the line through both ends of a 2 m edge."
        ),
        "axis": "Along which axis of the plan, x or y, the two points or the edge lie there.",
        **place("the one point, or the edge's one end,", "from_"),
        **place("the other point, or the edge's other end,", "to_"),
        "state": (
            "kept where the worst keeps the limit, not kept where it does not, not checked where"
            " it cannot be told."
        ),
        "why": _WHY,
    },
    "sections.csv": {
        "line": "Name of the line along which the floor is cut open.",
        "at_mm": "Distance along the line from its beginning.",
        **place("this point of the line"),
        "height_mm": f"Height of the floor, {HEIGHT}; empty over a hole.",
    },
}
