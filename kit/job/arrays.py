"""Members of a list in brackets, put in another order with the comments beside them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kit.job.edit import item_of
from kit.job.keys import KeyPath
from kit.job.scan import headings, lines_of, tokens

_SAME_LINE = re.compile(r"[ \t]*#[^\r\n]*")
_BREAK = re.compile(r"[ \t]*\r?\n")


@dataclass(frozen=True)
class Member:
    """One member: the comments directly above it, itself, the comment behind it on its line."""

    above: str
    value: str
    behind: str


@dataclass
class Array:
    """A list in brackets: a comment on its first line, its members, the space before each."""

    head: str
    spaces: list[str]
    members: list[Member]
    comma: bool
    tail: str
    ending: str


def rearrange_array(
    text: str, path: KeyPath, came_from: Sequence[int], new: Sequence[Mapping[str, object]]
) -> str | None:
    """Return a text with the members of a list in brackets in another order.

    Parameters
    ----------
    text : str
        A job file.
    path : key path
        The list, for example ``("stock", "packers")``.
    came_from : sequence of int
        For each member of the new list its old place; -1 for one that is new.
    new : sequence of mapping
        The new list; only members that are new are looked at.

    Returns
    -------
    str or None
        None where no such list stands under a heading of its own table.
    """
    span = _span(text, path)
    if span is None:
        return None
    start, stop = span
    array = _cut(text[start:stop])
    old = array.members
    fresh = (Member("", item_of(table, block=False).as_string(), "") for table in new)
    array.members = [
        made if origin < 0 else old[origin] for origin, made in zip(came_from, fresh, strict=True)
    ]
    return text[:start] + _joined(array) + text[stop:]


def _span(text: str, path: KeyPath) -> tuple[int, int] | None:
    """Return where a list's brackets begin and end."""
    lines = lines_of(text)
    heads = headings(lines)
    here: KeyPath = ()
    offset = 0
    key = re.compile(rf"\s*[\"']?{re.escape(str(path[-1]))}[\"']?\s*=\s*(?=\[)")
    for number, line in enumerate(lines):
        here = heads.get(number, here)
        found = key.match(line) if here == path[:-1] else None
        if found:
            inside = [token for token in tokens(line) if token.depth == 0 and token.text == "]"]
            return offset + found.end(), offset + inside[0].stop
        offset += len(line)
    return None


def _cut(text: str) -> Array:
    inner, ending = text[1:-1], "\r\n" if "\r\n" in text else "\n"
    head = _SAME_LINE.match(inner)
    array = Array(head[0] if head else "", [], [], comma=False, tail="", ending=ending)
    start = len(array.head)
    for token in [token for token in tokens(inner) if token.text == "," and token.depth == 0]:
        behind = _SAME_LINE.match(inner, token.stop)
        _add(array, inner[start : token.start], behind[0] if behind else "")
        start = behind.end() if behind else token.stop
    if any(token.text in "{}" for token in tokens(inner[start:])):
        array.tail = _add(array, inner[start:], "")
    else:
        array.comma, array.tail = True, inner[start:]
    return array


def _add(array: Array, piece: str, behind: str) -> str:
    """Add the member that a piece between two commas holds; return what stands after it."""
    braces = [token for token in tokens(piece) if token.text in "{}" and token.depth == 0]
    start, stop = braces[0].start, braces[-1].stop
    before, after = piece[:start], piece[stop:]
    paragraph = max((m.end() for m in re.finditer(r"\n[ \t]*\r?(?=\n)", before)), default=0)
    comment = before.find("#", paragraph)
    comment = len(before) if comment < 0 else comment
    beside = _SAME_LINE.match(after)
    said = beside[0] if beside else ""
    array.spaces.append(before[:comment])
    array.members.append(Member(before[comment:], piece[start:stop], said + behind))
    return after[len(said) :]


def _joined(array: Array) -> str:
    spaces, last = array.spaces, len(array.members) - 1
    usual = spaces[min(1, len(spaces) - 1)]
    usual = f"{array.ending}  " if "#" in usual else usual
    text, open_comment = f"[{array.head}", bool(array.head)

    def add(space: str, content: str) -> None:
        nonlocal text
        # On the line of a comment everything would be part of it.
        broken = open_comment and not _BREAK.match(space)
        text += (f"{array.ending}  {space.lstrip()}" if broken else space) + content

    for place, member in enumerate(array.members):
        space = spaces[place] if place < len(spaces) else usual
        comma = "," if place < last or array.comma else ""
        add(space, member.above + member.value + comma + member.behind)
        open_comment = bool(member.behind)
    for space in spaces[last + 1 :]:
        # Comments that stay where they stand, of places that nobody has any more.
        if "#" in space:
            add(space.rstrip(), "")
            open_comment = True
    add(array.tail, "]")
    return text
