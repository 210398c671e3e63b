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
    """

    name: str
    support: str
    supports: str
    wanted: str
    stands: str

    def count(self, number: int) -> str:
        """Return so many supports in words."""
        return f"{number} {self.support if number == 1 else self.supports}"


_WAYS: Mapping[str, Way] = MappingProxyType(
    {
        "packers": Way("bearers on packer stacks", "stack", "stacks", "stack", "a bearer"),
        "stacks": Way("packer stacks alone", "stack", "stacks", "stack", "a stack"),
        "feet": Way("adjustable screw feet", "foot", "feet", "foot", "a foot"),
        "ladder": Way(
            "a ladder frame scribed to the floor",
            "place of the frame",
            "places of the frame",
            "frame",
            "the frame",
        ),
        "compound": Way(
            "levelling compound",
            "place on the compound",
            "places on the compound",
            "compound",
            "the compound",
        ),
    }
)


def way_of(base: Base) -> Way:
    """Return the words of the way in which a base is built."""
    return _WAYS[base.method]
