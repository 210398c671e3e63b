"""The ways of building a base, one module each, all with the same inputs and outputs."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kit.job import Base
from kit.methods.compound import COMPOUND
from kit.methods.feet import FEET
from kit.methods.ladder import LADDER
from kit.methods.method import Lie, Method, as_expected
from kit.methods.packers import PACKERS
from kit.methods.stacks import STACKS

__all__ = ["METHODS", "Lie", "Method", "as_expected", "method_of"]

#: Every way of building, by the word of ``base.method``.
METHODS: Mapping[str, Method] = MappingProxyType(
    {
        "packers": PACKERS,
        "stacks": STACKS,
        "feet": FEET,
        "ladder": LADDER,
        "compound": COMPOUND,
    }
)


def method_of(base: Base) -> Method:
    """Return the way in which a base is built."""
    return METHODS[base.method]
