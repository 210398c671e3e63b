"""Members of a list under headings of their own, put in another order with their comments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kit.job.edit import item_of
from kit.job.keys import KeyPath
from kit.job.scan import headings, is_blank, is_comment, lines_of
from kit.job.tables import HEADED


@dataclass
class Slot:
    """A place in a text: the lines of the member that stands there, and those that stay after it.

    A member's lines are its heading, the comments directly above it, and everything down to its
    last key. Blank lines after that, and comments after those, belong to the place.
    """

    member: str
    rest: str


@dataclass
class Cut:
    """A text cut at the members of one list."""

    before: str
    slots: list[Slot]


def rearrange_blocks(
    text: str, path: KeyPath, came_from: Sequence[int], new: Sequence[Mapping[str, object]]
) -> str | None:
    """Return a text with the members of a list of headings in another order.

    Parameters
    ----------
    text : str
        A job file.
    path : key path
        The list, for example ``("run", 0, "unit")``.
    came_from : sequence of int
        For each member of the new list its old place; -1 for one that is new.
    new : sequence of mapping
        The new list; only members that are new are looked at.

    Returns
    -------
    str or None
        None where the list does not stand under headings.
    """
    lines = lines_of(text)
    heads = headings(lines)
    starts = [line for line, found in heads.items() if _belongs(found, path) and _is_last(found)]
    starts = [line for line in starts if len(heads[line]) == len(path) + 1]
    if not starts:
        return None
    ending = "\r\n" if "\r\n" in text else "\n"
    cut = _cut(lines, heads, starts, path, ending)
    gap = next((s.rest for s in cut.slots[:-1] if is_blank(s.rest) and s.rest), ending)
    first = lines[starts[0]]
    indent = first[: len(first) - len(first.lstrip())]
    names = tuple(str(step) for step in path if isinstance(step, str))
    members = [s.member for s in cut.slots]
    _take_away(cut, [place for place in range(len(members)) if place not in came_from])
    kept = iter(list(cut.slots))
    cut.slots = []
    for place, origin in enumerate(came_from):
        if origin >= 0:
            cut.slots.append(Slot(members[origin], next(kept).rest))
        else:
            _insert(cut, gap, member_lines(names, new[place], indent, ending, gap))
    return cut.before + "".join(slot.member + slot.rest for slot in cut.slots)


def _belongs(found: KeyPath, path: KeyPath) -> bool:
    return found[: len(path)] == path


def _is_last(found: KeyPath) -> bool:
    return isinstance(found[-1], int)


def _cut(
    lines: list[str], heads: Mapping[int, KeyPath], starts: list[int], path: KeyPath, ending: str
) -> Cut:
    """Cut a text before each member's first comment and after its last key."""
    edges = [_with_comments(lines, start) for start in starts]
    slots: list[Slot] = []
    for start, edge, following in zip(starts, edges, [*edges[1:], len(lines)], strict=True):
        member = (*path, len(slots))
        others = (n for n in heads if n > start and not _belongs(heads[n], member))
        stop = min(_with_comments(lines, next(others, len(lines))), following)
        end = _last_key(lines, start, stop)
        block = "".join(lines[edge:end])
        block += "" if block.endswith("\n") else ending
        slots.append(Slot(block, "".join(lines[end:following])))
    return Cut("".join(lines[: edges[0]]), slots)


def _with_comments(lines: list[str], heading: int) -> int:
    """Return the first of the comment lines directly above a heading."""
    while 0 < heading < len(lines) and is_comment(lines[heading - 1]):
        heading -= 1
    return heading


def _last_key(lines: list[str], start: int, stop: int) -> int:
    """Return the line after a member's last key, comments directly below it included."""
    end = start + 1
    for number in range(start, stop):
        if not is_blank(lines[number]) and not is_comment(lines[number]):
            end = number + 1
    while end < stop and is_comment(lines[end]):
        end += 1
    return end


def _take_away(cut: Cut, places: list[int]) -> None:
    """Take members away; comments that stay after them are left where they stand."""
    for place in reversed(places):
        was_last = place == len(cut.slots) - 1
        rest = cut.slots.pop(place).rest
        if not place:
            cut.before += "" if is_blank(rest) else rest
        elif is_blank(cut.slots[place - 1].rest) and (was_last or not is_blank(rest)):
            cut.slots[place - 1].rest = rest
        elif not is_blank(rest):
            cut.slots[place - 1].rest += rest


def _insert(cut: Cut, gap: str, member: str) -> None:
    """Add a member after those that are there; what stays before the next heading stays there."""
    if not cut.slots:
        cut.slots.append(Slot(member, gap))
        return
    cut.slots.append(Slot(member, cut.slots[-1].rest))
    cut.slots[-2].rest = gap


def member_lines(
    names: tuple[str, ...],
    table: Mapping[str, object],
    indent: str = "",
    ending: str = "\n",
    gap: str = "\n",
) -> str:
    """Return a member of a list as a file has it: a key a line, lists of tables under it.

    Parameters
    ----------
    names : tuple of str
        What stands in its heading: ``("run", "unit")``.
    table : mapping
        The member.
    indent : str
        Before each line.
    ending : str
        Of each line.
    gap : str
        Between a member and the lists inside it.

    Returns
    -------
    str
        Whole lines.
    """
    inner = {key: value for key, value in table.items() if key in HEADED and value}
    plain = {key: value for key, value in table.items() if key not in inner}
    block = table_lines(f"[[{'.'.join(names)}]]", plain, indent, ending)
    for key, members in inner.items():
        for member in members if isinstance(members, list) else []:
            block += gap + member_lines((*names, key), member, f"{indent}  ", ending, gap)
    return block


def table_lines(
    heading: str, table: Mapping[str, object], indent: str = "", ending: str = "\n"
) -> str:
    """Return a heading, unless it is empty, and a line for each key under it."""
    lines = [f"{key} = {item_of(value, block=False).as_string()}" for key, value in table.items()]
    return "".join(f"{indent}{line}{ending}" for line in [heading, *lines] if line)
