"""Which member of a list is which: matched by name between two versions of the list."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from kit.job.keys import file_key
from kit.job.refusal import Refusal
from kit.job.units import inches_to_mm, parse_inches

Table = Mapping[str, object]

#: Keys that tell the members of a list apart, by the first of them that a member has. Of a move
#: both count, since one bearer may have several, and of a foot, since two may begin alike.
_LABELS = (
    ("name",),
    ("file", "sheet"),
    ("bearer", "from_mm"),
    ("mm",),
    ("low_mm", "high_mm"),
    ("to_mm",),
)


@dataclass(frozen=True)
class Matching:
    """How a list became another one.

    Parameters
    ----------
    came_from : tuple of int
        For each new member its place in the old list; -1 for one that is new.
    moved : frozenset of int
        New places of the members whose order among the others changed: as few as possible.
    removed : tuple of int
        Old places of the members that are gone.
    """

    came_from: tuple[int, ...]
    moved: frozenset[int]
    removed: tuple[int, ...]

    @property
    def rearranges(self) -> bool:
        """Whether members were added, removed or moved."""
        return bool(self.removed or self.moved or -1 in self.came_from)


def match(old: Sequence[Table], new: Sequence[Table]) -> Matching:
    """Return which member of a list became which.

    Parameters
    ----------
    old, new : sequence of mapping
        Tables of the file, or tables in its terms.

    Returns
    -------
    Matching
        Members of one name are one member. Of the others those between the same neighbours that
        do not differ but for the name, then those between the same neighbours in their order,
        then those anywhere that do not differ but for the name, are one that was renamed.
    """
    came_from = _by_name(old, new)
    steady = _steady(came_from)
    pairs = [(came_from[place], place) for place in sorted(steady)]
    gaps = _gaps([a for a, _ in pairs], len(old)), _gaps([b for _, b in pairs], len(new))

    def near(a: int, b: int) -> bool:
        return gaps[0][a] == gaps[1][b]

    def alike(a: int, b: int) -> bool:
        return _without_label(old[a]) == _without_label(new[b])

    for fits in (lambda a, b: near(a, b) and alike(a, b), near, alike):
        for place, before in enumerate(came_from):
            free = (a for a in range(len(old)) if a not in came_from)
            if before < 0:
                came_from[place] = next((a for a in free if fits(a, place)), -1)
    stay = _steady(came_from)
    moved = frozenset(p for p, a in enumerate(came_from) if a >= 0 and p not in stay)
    return Matching(
        tuple(came_from), moved, tuple(a for a in range(len(old)) if a not in came_from)
    )


def _by_name(old: Sequence[Table], new: Sequence[Table]) -> list[int]:
    places = {label: place for place, label in enumerate(_labels(old))}
    return [places.get(label, -1) for label in _labels(new)]


def _labels(members: Sequence[Table]) -> Iterator[Hashable]:
    """Yield what tells the members apart; of alike ones, which of them it is."""
    seen: Counter[Hashable] = Counter()
    for member in members:
        label = _label(member)
        seen[label] += 1
        yield label, seen[label]


def _label(member: Table) -> Hashable:
    return repr([_held(member, key) for key in _label_keys(member)])


def _label_keys(member: Table) -> tuple[str, ...]:
    return next((each for each in _LABELS if file_key(member, each[0]) in member), ())


def _held(member: Table, key: str) -> object:
    """Return what a member holds under a key, a length in millimetres however it is written."""
    written = file_key(member, key)
    value = member.get(written)
    return _number(value) if written == key else _inches(value)


def _number(value: object) -> object:
    return float(value) if isinstance(value, int) and abs(value) < 2**53 else value


def _inches(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return [value]
    try:
        return _number(inches_to_mm(parse_inches(value)))
    except (Refusal, OverflowError):
        return [value]


def _without_label(member: Table) -> dict[str, object]:
    label = {file_key(member, key) for key in _label_keys(member)}
    return {key: value for key, value in member.items() if key not in label}


def _steady(came_from: Sequence[int]) -> frozenset[int]:
    """Return the new places of the most members that kept their order: longest ascending chain."""
    ends: list[int] = []
    last: list[int] = []
    before: dict[int, int] = {}
    for place, origin in enumerate(came_from):
        if origin < 0:
            continue
        at = bisect_left(ends, origin)
        before[place] = last[at - 1] if at else -1
        ends[at:], last[at:] = [origin, *ends[at + 1 :]], [place, *last[at + 1 :]]
    chain, place = set[int](), last[-1] if last else -1
    while place >= 0:
        chain.add(place)
        place = before[place]
    return frozenset(chain)


def _gaps(steady: Sequence[int], count: int) -> list[int]:
    """Return, for each place of a list, how many steady members stand before it."""
    return [bisect_left(steady, place) for place in range(count)]
