"""What a person calls the ways of building a base, and what the units stand on in each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from kit.job.model import Base


@dataclass(frozen=True)
class Way:
    """The words of one way of building.

    Parameters
    ----------
    name : str
        What it is, for a sentence: "the base is …".
    support, supports : str
        What stands under a side or a division: one of them, and several.
    wanted : str
        What has to be so high there.
    stands : str
        What each side and division stands on.
    along : str
        What lies along a row, before the row's name: "bearer"; "row" where nothing does.
    said : str
        What it is, in one sentence for a person without the trade's words.
    unused : tuple of str
        Keys of ``[[base]]`` that it does not look at, as in the job file.
    """

    name: str
    support: str
    supports: str
    wanted: str
    stands: str
    along: str
    said: str
    unused: tuple[str, ...]

    def count(self, number: int) -> str:
        """Return so many supports in words."""
        return f"{number} {self.support if number == 1 else self.supports}"


_WAYS: Mapping[str, Way] = MappingProxyType(
    {
        "packers": Way(
            "bearers on packer stacks",
            "stack",
            "stacks",
            "stack",
            "a bearer",
            "bearer",
            (
                "Level bars of timber run along the back and the front, each held up from the "
                "floor on piles of thin plates and screwed down, and the furniture stands on "
                "the bars."
            ),
            ("feet", "ladder", "compound"),
        ),
        "stacks": Way(
            "packer stacks alone",
            "stack",
            "stacks",
            "stack",
            "a stack",
            "row",
            (
                "Under every side and division of the furniture stands a pile of thin plates, "
                "screwed down one on the other; there are no bars of timber between the piles "
                "and the furniture."
            ),
            ("end_inset_mm", "max_span_mm", "bearer", "feet", "ladder", "compound"),
        ),
        "feet": Way(
            "adjustable screw feet",
            "foot",
            "feet",
            "foot",
            "a foot",
            "row",
            (
                "The furniture stands on adjustable feet, two or more under every side and "
                "division, which are turned up or down until it is level."
            ),
            (
                "end_inset_mm",
                "max_span_mm",
                "max_pieces",
                "max_stack_mm",
                "bearer",
                "ladder",
                "compound",
            ),
        ),
        "ladder": Way(
            "a ladder frame scribed to the floor",
            "place of the frame",
            "places of the frame",
            "frame",
            "the frame",
            "member",
            (
                "A frame of boards on edge, long ones joined by short ones like a ladder, is "
                "cut along its lower edge to follow the floor, so that its upper edge is level."
            ),
            ("max_pieces", "max_stack_mm", "bearer", "feet", "compound"),
        ),
        "compound": Way(
            "levelling compound",
            "place on the compound",
            "places on the compound",
            "compound",
            "the compound",
            "row",
            (
                "A mortar that runs level by itself is poured onto the floor where the "
                "furniture is to stand; when it has set and dried the furniture stands straight"
                " on it."
            ),
            (
                "minimum_pack_mm",
                "back_mm",
                "front_mm",
                "end_inset_mm",
                "max_span_mm",
                "max_pieces",
                "max_stack_mm",
                "bearer",
                "feet",
                "ladder",
            ),
        ),
    }
)


def way_of(base: Base) -> Way:
    """Return the words of the way in which a base is built."""
    return _WAYS[base.method]


def unused_keys(base: Base) -> tuple[str, ...]:
    """Return the keys that a job file gives of a base and its way of building does not look at.

    One that says what holds without it is left out.
    """
    return tuple(
        key
        for key in way_of(base).unused
        if key in base.model_fields_set and getattr(base, key) != Base.model_fields[key].default
    )
