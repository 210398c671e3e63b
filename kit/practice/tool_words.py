"""What is seen of a laid instrument, in words."""

from __future__ import annotations

from kit.practice.instruments import CONTACT_MM, TRAVEL_MM, to_step
from kit.practice.rest import Rest


def touching(lies: Rest, long_mm: float) -> tuple[float, ...]:
    """Return where light is seen to end under an edge [mm along it], to `CONTACT_MM`."""
    return tuple(
        min(to_step(place, CONTACT_MM), long_mm) for place in (lies.left_mm, lies.right_mm)
    )


def touch_words(seen: tuple[float, ...], lies: Rest) -> str:
    """Tell where an edge touches; two contacts that look like one are one to the eye.

    Parameters
    ----------
    seen : tuple of float
        From `touching` [mm].
    lies : Rest
        How it lies.
    """
    where = " and ".join(f"{place:g}" for place in dict.fromkeys(seen))
    rocks = "; it rocks on its middle" if lies.rocks else ""
    return f"touches at about {where} mm from its marked end{rocks}"


def bubble_words(bubble_mm: float) -> str:
    """Tell where a bubble is seen [mm], positive towards the end without a mark."""
    if bubble_mm == 0:
        return "in the middle"
    end = "the other end" if bubble_mm > 0 else "the marked end"
    far = "at the end of the glass" if abs(bubble_mm) >= TRAVEL_MM else f"{abs(bubble_mm):g} mm off"
    return f"{far} towards {end}"
