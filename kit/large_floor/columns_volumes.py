"""Columns of the tables of hollow and hump, and of grinding and filling."""

from __future__ import annotations

from kit.large_floor.columns_places import HEIGHT, PLAN_X, PLAN_Y, place


def _side(name: str, what: str, done: str, below: str) -> dict[str, str]:
    """Return the meanings of the columns of hollows, or of humps."""
    sd = "one standard deviation, from the doubts of the heights"
    deepest = f"the greatest depth of the {what}"
    return {
        f"{name}_l": f"Volume of the {what}: what would be {done}, {below} datum_mm.",
        f"{name}_sd_l": f"Doubt of that volume, {sd}.",
        f"{name}_m2": f"Area of the {what}.",
        f"{name}_sd_m2": f"Doubt of that area, {sd}.",
        f"{name}_mean_mm": f"Mean depth of the {what} {below} datum_mm, never negative.",
        f"{name}_mean_sd_mm": f"Doubt of the mean depth, {sd}.",
        f"{name}_greatest_mm": f"Greatest depth of the {what} {below} datum_mm, never negative.",
        f"{name}_greatest_sd_mm": f"Doubt of the greatest depth, {sd}.",
        **place(deepest, f"{name}_"),
    }


VOLUMES: dict[str, dict[str, str]] = {
    "volumes.csv": {
        "zone": "Level of a floor that steps; whole floor in the last row, for all together.",
        "datum_mm": (
            f"Height of the level plane that hollows and humps are told against, {HEIGHT}: --datum,"
            " or where they balance, and empty where each level of the floor has its own; it is no"
            " level of a base."
        ),
        "area_m2": "Area of the cells that have a height.",
        "holes_m2": "Area of the cells without a height, or excluded: nothing of it is counted.",
        "net_l": (
            "cut_l less fill_l: positive, so much is left over if the humps go into the hollows;"
            " negative, so much is missing."
        ),
        **_side("fill", "hollows", "filled in", "below"),
        **_side("cut", "humps", "cut off", "above"),
        "powder_kg": (
            "Powder of the job's compound that fill_l takes, with its waste; only where a base of"
            " the job has a compound."
        ),
        "bags": (
            "Whole bags of it, each zone by itself: poured from one pallet the zones take what the"
            " row of the whole floor says."
        ),
        "within_greatest": (
            "Whether the greatest depth of the hollows is at most what the compound may be laid at"
            " once, true or false."
        ),
    },
    "grind-fill.csv": {
        "x_mm": f"Place in the plan: the middle of the cell {PLAN_X}.",
        "y_mm": f"Place in the plan: the middle of the cell {PLAN_Y}.",
        "height_mm": f"Height of the floor before the work, {HEIGHT}.",
        "change_mm": (
            "What is done there to keep the class asked for (--class): positive, filled in so"
            " thick; negative, ground off so deep; 0, left as it is."
        ),
        "after_mm": (
            "Height of the floor after the work (height_mm plus change_mm), counted from where"
            " height_mm counts."
        ),
    },
    "grind-patches.csv": {
        "patch": (
            "Number of the patch, the largest volume first, its cells share sides; small patches,"
            " where a row stands for those that hardly matter."
        ),
        "count": "How many patches the row stands for.",
        "work": "What is done to all of it: grind or fill.",
        "area_m2": "Area of the cells of the patch, or of all small ones.",
        "litres": "Volume in litres ground off or filled in, never negative.",
        "deepest_mm": "Most that is ground off or filled in anywhere in it, never negative.",
        **place("the deepest"),
        "from_x_mm": "Place in the plan: the patch's left edge along x, outer side of its cells.",
        "to_x_mm": "Place in the plan: the patch's right edge along x, outer side of its cells.",
        "from_y_mm": "Place in the plan: the patch's edge nearest to the wall, along y.",
        "to_y_mm": "Place in the plan: the patch's edge furthest from the wall, along y.",
    },
}
