"""Words that the meanings of many columns share: from where places and heights count."""

from __future__ import annotations

#: Where a height counts from.
HEIGHT = (
    "above the job's benchmark (floor.benchmark), or, without one, above the highest point that"
    " was read"
)
PLAN_X = "along x of the job's plan, to the right along the wall"
PLAN_Y = "along y of the job's plan, out from the wall"


def place(what: str, before: str = "") -> dict[str, str]:
    """Return the meanings of the two columns that tell a place in the plan."""
    return {
        f"{before}x_mm": f"Place in the plan, not a length: where {what} lies {PLAN_X}.",
        f"{before}y_mm": f"Place in the plan, not a length: where {what} lies {PLAN_Y}.",
    }
