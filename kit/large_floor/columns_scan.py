"""Columns of the tables of a scan that was reduced to cells of floor."""

from __future__ import annotations

_OWN = "in the scan file's own axes, or in the plan where --origin and the like set it there"


def _middle(what: str) -> dict[str, str]:
    """Return the meanings of a place in the scan's own axes."""
    return {
        "x_mm": f"Place, not a length: the middle of {what} along x, {_OWN}.",
        "y_mm": f"Place, not a length: the middle of {what} along y, {_OWN}.",
    }


SCAN: dict[str, dict[str, str]] = {
    "scan-grid.csv": {
        **_middle("the cell"),
        "height_mm": (
            "Height of the floor in the cell, above the zero of the scan file's own z, or as"
            " --height sets it."
        ),
        "sd_mm": (
            "Doubt of that height by chance alone, one standard deviation; what the instrument or"
            " the joining of set-ups makes wrong alike for many points is not in it."
        ),
        "count": "How many points of the floor the height comes from.",
    },
    "scan-holes.csv": {
        **_middle("the hole, the mean of its cells,"),
        "area_m2": "Area of the cells without a height that share sides with each other.",
        "covered_m2": "How much of it is covered by something that stands there.",
        "unseen_m2": "How much of it has no points: in a shadow, or out of sight.",
        "doubtful_m2": "How much of it has points, too few or too mixed to tell the floor from.",
        "at_edge": "Whether the hole reaches the rim of the grid, true or false.",
        "why": "What holds for most of its cells.",
    },
    "scan-removed.csv": {
        "where": "Whether the points that were taken away lie over or under the floor.",
        **_middle("the patch, the mean of its cells,"),
        "area_m2": "Area of the cells in which they lie.",
        "low_mm": "The lowest of them above the floor beneath or beside; negative, below it.",
        "high_mm": "The highest of them above the floor beneath or beside; negative, below it.",
        "points": "How many points were taken away, up to 2200 mm over the floor.",
    },
}
