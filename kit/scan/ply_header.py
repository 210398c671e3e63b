"""The header of a PLY file: its elements in order, and what each is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import BinaryIO

import numpy as np

from kit.job import refuse

#: Both families of names that such files use for numbers, as numpy's.
NUMBERS: Mapping[str, str] = MappingProxyType(
    {
        "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4",
        "float": "f4", "double": "f8", "int8": "i1", "uint8": "u1", "int16": "i2",
        "uint16": "u2", "int32": "i4", "uint32": "u4", "float32": "f4", "float64": "f8",
    }
)  # fmt: skip

_ORDERS: Mapping[str, str] = MappingProxyType(
    {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
)
#: No header is longer [lines], nor a line of it [bytes].
_LONGEST, _WIDEST = 10_000, 4096
_ALLOWED = "a PLY file with a vertex element that has x, y and z"


@dataclass(frozen=True)
class Element:
    """One element of the file.

    Parameters
    ----------
    name : str
        Its name, for example ``vertex``.
    count : int
        How many there are.
    properties : tuple of (name, number, number of a list's length)
        What each is made of, in order, as numpy names numbers; the last is empty but for lists.
    """

    name: str
    count: int
    properties: tuple[tuple[str, str, str], ...]

    @property
    def even(self) -> bool:
        """Whether all take the same room, as no property is a list."""
        return not any(length for _, _, length in self.properties)

    def dtype(self, order: str) -> np.dtype[np.void]:
        """Return the record that one of an even element is."""
        return np.dtype([(name, order + number) for name, number, _ in self.properties])


@dataclass(frozen=True)
class PlyHeader:
    """What a PLY file says of itself.

    Parameters
    ----------
    order : str
        Byte order as numpy writes it; empty for text.
    before : tuple of Element
        Elements that stand before the vertices.
    vertex : Element
        The vertices, even.
    begins : int
        Where the first element begins [bytes].
    """

    order: str
    before: tuple[Element, ...]
    vertex: Element
    begins: int


def read_ply_header(file: BinaryIO, name: str) -> PlyHeader:
    """Return what a PLY file says of itself.

    Parameters
    ----------
    file : binary file
        At its beginning; afterwards behind the header.
    name : str
        What messages call it.

    Raises
    ------
    Refusal
        Where the header is damaged, or there are no vertices with x, y and z.

    Notes
    -----
    The format as its author's description has it, G. Turk, "The PLY Polygon File Format", 1994
    (from memory).
    """
    lines = _lines(file, name)
    order = _order(lines, name)
    elements: list[Element] = []
    for words in lines[1:]:
        if words[0] == "element":
            elements.append(_element(words, name))
        elif words[0] == "property":
            if not elements:
                raise refuse(name, "a property before any element", _ALLOWED)
            last = elements.pop()
            more = (*last.properties, _property(words, name))
            elements.append(Element(last.name, last.count, more))
        elif words[0] not in ("comment", "obj_info", "format"):
            raise refuse(name, f"the line {' '.join(words)[:60]!r} in its header", _ALLOWED)
    return _header(order, elements, file.tell(), name)


def _lines(file: BinaryIO, name: str) -> list[list[str]]:
    lines: list[list[str]] = []
    for _ in range(_LONGEST):
        raw = file.readline(_WIDEST)
        words = raw.decode("latin-1").split()
        if words == ["end_header"]:
            return lines
        if not raw.endswith(b"\n"):
            break
        if words:
            lines.append(words)
    raise refuse(name, "a header without an end", "a PLY file; its header ends with end_header")


def _order(lines: Sequence[Sequence[str]], name: str) -> str:
    if not lines or lines[0] != ["ply"]:
        raise refuse(name, "a first line that is not 'ply'", _ALLOWED)
    found = next((line[1] for line in lines if line[0] == "format" and len(line) > 1), "none")
    if found not in _ORDERS:
        raise refuse(f"{name}, format", repr(found), ", ".join(_ORDERS))
    return _ORDERS[found]


def _element(words: Sequence[str], name: str) -> Element:
    if len(words) != 3 or not words[2].isdecimal():
        raise refuse(name, f"the line {' '.join(words)[:60]!r}", "an element, its name and count")
    return Element(words[1], int(words[2]), ())


def _property(words: Sequence[str], name: str) -> tuple[str, str, str]:
    if len(words) == 3 and words[1] in NUMBERS:
        return words[2], NUMBERS[words[1]], ""
    if len(words) == 5 and words[1] == "list" and words[2] in NUMBERS and words[3] in NUMBERS:
        return words[4], NUMBERS[words[3]], NUMBERS[words[2]]
    found = f"the line {' '.join(words)[:60]!r}"
    raise refuse(name, found, f"a property of one of {', '.join(NUMBERS)}, or a list of them")


def _header(order: str, elements: Sequence[Element], begins: int, name: str) -> PlyHeader:
    at = next((i for i, element in enumerate(elements) if element.name == "vertex"), -1)
    if at < 0:
        raise refuse(name, "no element 'vertex'", _ALLOWED)
    vertex = elements[at]
    names = [title for title, _, _ in vertex.properties]
    missing = [axis for axis in "xyz" if axis not in names]
    if missing or len(set(names)) < len(names):
        raise refuse(f"{name}, element vertex", f"the properties {', '.join(names)}", _ALLOWED)
    if not vertex.even:
        raise refuse(f"{name}, element vertex", "a list among its properties", "numbers only")
    return PlyHeader(order, tuple(elements[:at]), vertex, begins)
