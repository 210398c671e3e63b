"""What the grades of practice floors come to, in the figures that floors are specified by."""

from __future__ import annotations

from typing import Any

from kit.ink.lengths import number
from kit.ink.table import Head, Table, records
from kit.practice import flatness
from kit.practice.flatness import APART, EDGE_MM, FROM_WALL_MM, STATION_MM

#: BS 8204, as The Concrete Society gives it (fingertips 1006 and 1009): largest gap under a
#: straight edge of 2 m [mm].
CLASSES_MM = {"SR1": 3.0, "SR2": 5.0, "SR3": 10.0}

#: F_F of the least and of the most even of the three slab lines of the worksheet to ASTM E1155M.
SLABS_FF = (20.4, 34.6)


def grade_table(seeds: int = 50) -> Table:
    """Show what each grade comes to along the wall, over floors of seeds 0, 1, 2 and so on.

    Parameters
    ----------
    seeds : int
        How many floors of each grade; 50 take about two seconds.

    Returns
    -------
    Table

    Raises
    ------
    Refusal
        Where there is not one floor.
    """
    frame = flatness.grade_table(range(seeds))
    bends = tuple(f"bend_{STATION_MM * k:g}_mm" for k in APART)
    heads = (
        Head("grade"),
        Head("in words", wide=True),
        *(Head(f"bend, {STATION_MM * k:g} mm apart", "mm") for k in APART),
        Head("F_F", right=True),
        Head("F_L", right=True),
        Head(f"gap under {EDGE_MM / 1000:g} m: half keep within", "mm"),
        Head("95 of 100 keep within", "mm"),
    )
    rows = tuple(_row(row, bends) for row in records(frame))
    floors = f"{seeds} floor{'' if seeds == 1 else 's'}"
    return Table(f"Grades of practice floors, {floors} of each", heads, rows, _note())


def _row(row: dict[str, Any], bends: tuple[str, ...]) -> tuple[str, ...]:
    def shown(name: str, digits: int) -> str:
        return number(float(row[name]), digits)

    return (
        str(row["grade"]),
        str(row["words"]),
        *(shown(name, 2) for name in bends),
        shown("F_F", 1),
        shown("F_L", 1),
        shown("gap_median_mm", 1),
        shown("gap_95_mm", 1),
    )


def _note() -> str:
    classes = ", ".join(f"{name} {mm:g} mm" for name, mm in CLASSES_MM.items())
    low, high = SLABS_FF
    return (
        f"Along the wall, {FROM_WALL_MM:g} mm from it, loose boards pressed down. Bend: twice"
        " what a point lies above or below the middle of two others so far to either side, root"
        " mean square."
        " F_F (flatness) and F_L (level) as ASTM E1155 has them, constants from memory, the median"
        " floor; they have no unit, and larger is better. Three slab lines of the published"
        f" worksheet to ASTM E1155M have an F_F of {low:g} to {high:g}. Gap: the largest under a"
        f" straight edge of {EDGE_MM / 1000:g} m laid anywhere along the line; BS 8204 allows"
        f" {classes}."
    )
