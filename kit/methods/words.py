"""What each way of building is, in one sentence for a person without the trade's words."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kit.job import Base

#: One sentence a way, by the word of ``base.method``.
SAID: Mapping[str, str] = MappingProxyType(
    {
        "packers": (
            "Level bars of timber run along the back and the front, each held up from the floor on"
            " piles of thin plates and screwed down, and the furniture stands on the bars."
        ),
        "stacks": (
            "Under every side and division of the furniture stands a pile of thin plates, screwed"
            " down one on the other; there are no bars of timber between the piles and the"
            " furniture."
        ),
        "feet": (
            "The furniture stands on adjustable feet, two or more under every side and division,"
            " which are turned up or down until it is level."
        ),
        "ladder": (
            "A frame of boards on edge, long ones joined by short ones like a ladder, is cut along"
            " its lower edge to follow the floor, so that its upper edge is level."
        ),
        "compound": (
            "A mortar that runs level by itself is poured onto the floor where the furniture is to"
            " stand; when it has set and dried the furniture stands straight on it."
        ),
    }
)


def said_of(base: Base) -> str:
    """Return what the way in which a base is built is, in one sentence."""
    return SAID[base.method]
