"""In which order measures are shown, and how much of the larger figure a difference is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kit.side_by_side import Comparison, Row

#: Headings, and the measures below each; every margin of strength is one of the third.
GROUPS = ("what it takes", "what it does", "what carries it", "what is good about it")

_DOES = frozenset({"level_error_mm", "lean_mm", "wind_mm", "gap_mm", "idle"})
_CARRIES = frozenset({"reaction_N", "least_margin"})
_GOOD = frozenset(
    {
        "built", "lowest_top_mm", "highest_top_mm", "heights_mm", "top_mm", "floor_screws",
        "room_mm", "fixing_m", "up_mm", "down_mm", "mass_kg", "refer", "fail", "not_checked",
    }
)  # fmt: skip

#: Figures that differ by less than this share of the larger one are written alike everywhere.
_SAME = 1e-9


def group_of(key: str) -> str:
    """Return the heading under which a measure stands; what is in no list is something to take."""
    if key in _DOES:
        return GROUPS[1]
    if key in _CARRIES or key.startswith("margin "):
        return GROUPS[2]
    return GROUPS[3] if key in _GOOD else GROUPS[0]


def grouped(rows: Iterable[Row]) -> Iterator[tuple[str, list[Row]]]:
    """Yield each heading that has measures, with them in their own order."""
    found = list(rows)
    for name in GROUPS:
        of_group = [row for row in found if group_of(row.key) == name]
        if of_group:
            yield name, of_group


def share(row: Row, difference: float) -> float:
    """Return a difference as a part of the larger figure (`Row.whole`), the way a bar goes.

    Parameters
    ----------
    row : Row
        Of which both figures are known and one way is better.
    difference : float
        Second less first, in its unit.

    Returns
    -------
    float
        Negative where the first base is the better by it, positive where the second is; 0 where
        both figures are 0 [-].
    """
    if row.whole == 0:
        return 0.0
    return difference / row.whole * (-1 if row.a.better == "less" else 1)


def barred_by(row: Row) -> bool:
    """Tell whether a bar can say which base is the better by a measure, or that neither is."""
    return row.comparable and row.told


def same(row: Row) -> bool:
    """Tell whether both figures are one and the same."""
    larger = max(abs(row.a.value), abs(row.b.value))
    return row.known and abs(row.difference) <= _SAME * max(larger, 1.0)


def chosen(comparison: Comparison, keys: Iterable[str] | None) -> tuple[Row, ...]:
    """Return the measures named, or all of them."""
    return comparison.rows if keys is None else tuple(comparison.row(key) for key in keys)


def untold(comparison: Comparison, row: Row) -> str:
    """Return why neither base is the better by a measure; empty where that can be said.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    row : Row
        One of its measures.

    Returns
    -------
    str
        Which base has no figure and why, or that neither way is better by itself.
    """
    if row.told or row.known:
        return row.why_not
    sides = zip(comparison.names, (row.a, row.b), strict=True)
    whys = {name: side.why_unknown or "not known" for name, side in sides if not side.known}
    if len(whys) == 2 and len(set(whys.values())) == 1:
        return f"both: {next(iter(whys.values()))}"
    return "; ".join(f"{name}: {why}" for name, why in whys.items())
