"""What an error of the base does to the furniture that stands on it.

A unit is rigid: what is out over its depth or width is out in proportion over its height.
"""

from __future__ import annotations

from dataclasses import dataclass

#: The unit that consequences are told of [mm]: a tall bookcase.
UNIT_WIDTH_MM, UNIT_DEPTH_MM, UNIT_HEIGHT_MM = 800.0, 350.0, 2000.0


@dataclass(frozen=True)
class Effect:
    """What happens to a tall unit 2000 mm high, 800 wide and 350 deep, or to two side by side.

    Parameters
    ----------
    words : str
        In a sentence.
    lean_mm : float
        How far its top hangs over: positive forwards or to the right [mm].
    rock_mm : float
        How far one of its feet hangs over what should carry it [mm].
    gap_mm : float
        How far the tops of two neighbours stand apart (or press together, negative) [mm].
    """

    words: str
    lean_mm: float = 0.0
    rock_mm: float = 0.0
    gap_mm: float = 0.0


def lean_mm(out_mm: float, over_mm: float) -> float:
    """Return how far a unit's top hangs over [mm] where its base is out by so much over so far."""
    return out_mm / over_mm * UNIT_HEIGHT_MM


def lean_along(out_mm: float, over_mm: float) -> Effect:
    """Return the effect of a base that falls along the wall by so much over so far [mm]."""
    lean = lean_mm(out_mm, over_mm)
    return Effect(
        f"units stand {abs(lean):.1f} mm out of plumb along the wall at a height of 2 m",
        lean_mm=lean,
    )


def lean_across(out_mm: float) -> Effect:
    """Return the effect of a front row that is out against the back row by so much [mm]."""
    lean = lean_mm(-out_mm, UNIT_DEPTH_MM)
    way = "forwards" if lean > 0 else "backwards"
    return Effect(f"a unit 2 m high leans {abs(lean):.1f} mm {way} at its top", lean_mm=lean)


def rocks(hang_mm: float) -> Effect:
    """Return the effect of a foot, side or bearer that hangs by so much [mm]."""
    return Effect(f"one corner hangs {abs(hang_mm):.1f} mm: it rocks", rock_mm=abs(hang_mm))


def gap_between(out_mm: float) -> Effect:
    """Return the effect of a stack between two units that is out by so much, high positive [mm].

    A high one turns both units away from each other by out/width each, a low one towards.
    """
    gap = 2 * lean_mm(out_mm, UNIT_WIDTH_MM)
    what = "open" if gap > 0 else "press together"
    return Effect(
        f"where it stands between two units, their tops {what} by {abs(gap):.1f} mm", gap_mm=gap
    )
