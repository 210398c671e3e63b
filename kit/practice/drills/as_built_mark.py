"""Marking of a base that was corrected."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from kit.practice.drills.as_built_base import LIMIT_MM, Stands, apart
from kit.practice.effects import Effect, gap_between
from kit.practice.mistakes import BAG_OVERDRAWN, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.packers import count_words

CHASED_ALL = Kind("chased_all", "opened stacks that were right",
    "changes more stacks than have to be, after each half millimetre or after the sheet",
    20)  # fmt: skip
TO_THE_HIGHEST = Kind("to_the_highest", "raised all to the one that is high",
    "packs everything up to the highest stack and leaves that one as it is", 20)  # fmt: skip
NOT_CHECKED = Kind("not_checked_again", "never held the staff again",
    "changes a stack and takes it for right without reading it", 25)  # fmt: skip

KINDS = (WRONG_SIGN, CHASED_ALL, TO_THE_HIGHEST, BAG_OVERDRAWN, NOT_CHECKED, OUT)

#: Minutes that a stack takes that is opened, screwed down and read again (common practice, no
#: source).
_MINUTES = 3.0

_LEAVE = (
    f"Find the supports that agree within {LIMIT_MM:g} mm, leave them as they are, and bring only "
    "the others to them, the high one first."
)
_READ_AGAIN = (
    "Hold the staff on every support that you have changed, after its last change: screws may "
    "draw a board down with the stack."
)


@dataclass(frozen=True)
class Corrected:
    """A base before and after.

    Parameters
    ----------
    before, now : Stands
        As built, and as it stands when the answer is given.
    unread : frozenset of int
        Places whose staff was not held after their last change.
    """

    before: Stands
    now: Stands
    unread: frozenset[int]

    @cached_property
    def needed(self) -> frozenset[int]:
        """Places that had to be opened: the fewest."""
        return apart(self.before.readings_mm)

    @cached_property
    def still_out(self) -> frozenset[int]:
        """Places that do not agree with the most now."""
        return apart(self.now.readings_mm)

    @property
    def opened(self) -> frozenset[int]:
        """Places that were opened."""
        return self.now.opened

    def names(self, places: frozenset[int]) -> str:
        """Return names in site order."""
        return ", ".join(self.now.built.names[place] for place in sorted(places))

    def out_mm(self, place: int) -> float:
        """Return how much a place is higher than the mean of those that agree [mm]."""
        readings = self.now.readings_mm
        agree = [reading for other, reading in enumerate(readings) if other not in self.still_out]
        return sum(agree) / len(agree) - readings[place]

    def worst(self, places: frozenset[int]) -> int:
        """Return the place of some that is most out."""
        return max(sorted(places), key=lambda place: abs(self.out_mm(place)))

    @cached_property
    def wrong_way(self) -> frozenset[int]:
        """Places that are out further than before because packers moved them away."""
        readings = self.before.readings_mm
        agree = [one for place, one in enumerate(readings) if place not in self.needed]
        middle = (max(agree) + min(agree)) / 2
        return frozenset(
            place
            for place in self.still_out & self.needed
            if (readings[place] - middle) * self.now.raised_mm(place) < 0
            and abs(self.now.readings_mm[place] - middle) > abs(readings[place] - middle)
        )

    @property
    def highest(self) -> int:
        """The place that stood highest."""
        before = self.before.readings_mm
        return min(range(len(before)), key=lambda place: before[place])

    @cached_property
    def to_the_highest(self) -> bool:
        """Whether the highest was left and most of the others were packed up to it.

        By what was packed, or by what it came to: a stack that settles is packed more.
        """
        before, now = self.before.readings_mm, self.now.readings_mm
        others = [place for place in range(len(before)) if place not in self.needed]
        up = [
            place
            for place in others
            if any(
                abs(reading - before[self.highest]) <= 1.5 * LIMIT_MM
                for reading in (now[place], before[place] - self.now.raised_mm(place))
            )
        ]
        return self.highest not in self.opened and 2 * len(up) > len(others)

    @property
    def explained(self) -> frozenset[int]:
        """Places that another mistake explains: not read again, or left as the highest."""
        return self.unread | ({self.highest} if self.to_the_highest else frozenset())


def mistakes(base: Corrected) -> tuple[Mistake, ...]:
    """Tell the mistakes of a corrected base.

    What is out is told by one cause: the wrong way, else not read again, else out. Packers that
    had to be fetched for stacks that need not have been opened are a further mistake only where
    the bag held others that make the height.
    """
    return (*_of_level(base), *_of_opening(base), *_of_reading(base))


def _of_level(base: Corrected) -> Iterator[Mistake]:
    if base.wrong_way:
        yield _wrong_way(base)
    elif not base.still_out <= base.explained:
        yield _out(base)


def _of_opening(base: Corrected) -> Iterator[Mistake]:
    more = base.opened - base.needed
    if more and base.to_the_highest:
        yield _to_the_highest(base)
    elif more:
        yield _chased(base, more)
    for_nothing = base.now.fetched_for_nothing
    if for_nothing or (any(base.now.fetched) and not more):
        yield _overdrawn(base, for_nothing)


def _of_reading(base: Corrected) -> Iterator[Mistake]:
    if not base.unread:
        return
    place = base.worst(base.unread)
    out = base.out_mm(place)
    effect = gap_between(out)
    if place not in base.still_out:
        effect = Effect(f"this time it came right; {effect.words}", gap_mm=effect.gap_mm)
    yield Mistake(
        NOT_CHECKED,
        f"no staff was held on {base.names(base.unread)} after the last change; "
        f"{base.names(frozenset({place}))} stands {_way(out)} against the others",
        effect,
        _READ_AGAIN,
    )


def _wrong_way(base: Corrected) -> Mistake:
    place = base.worst(base.wrong_way)
    was, moved = base.before.readings_mm[place], base.now.raised_mm(place)
    return Mistake(
        WRONG_SIGN,
        f"{base.names(frozenset({place}))} read {was:g} mm and was "
        f"{'raised' if moved > 0 else 'lowered'} by {abs(moved):g} mm: it stands "
        f"{_way(base.out_mm(place))} now",
        gap_between(base.out_mm(place)),
        "A staff reads downwards from the laser: the greater its reading, the lower the place. "
        "Packers go in where it reads more than the others, and come out where it reads less.",
    )


def _out(base: Corrected) -> Mistake:
    place = base.worst(base.still_out)
    readings, sheet = base.now.readings_mm, base.now.built.sheet_mm
    as_sheet = ", about as the sheet has it" if abs(readings[place] - sheet) <= LIMIT_MM else ""
    return Mistake(
        OUT,
        f"the readings lie {max(readings) - min(readings):g} mm apart, where {LIMIT_MM:g} mm is "
        f"right: {base.names(frozenset({place}))} reads {readings[place]:g} mm{as_sheet} and "
        f"stands {_way(base.out_mm(place))} against the others",
        gap_between(base.out_mm(place)),
        f"Go on until all readings lie within {LIMIT_MM:g} mm. {_LEAVE}",
    )


def _chased(base: Corrected, more: frozenset[int]) -> Mistake:
    return Mistake(
        CHASED_ALL,
        f"{len(base.opened)} stacks were opened where {len(base.needed)} had to be: "
        f"{base.names(more)} agreed with the most already",
        Effect(
            f"{_extra(len(more))}, and screws in old holes hold less; the units stand no better"
        ),
        _LEAVE,
    )


def _to_the_highest(base: Corrected) -> Mistake:
    before = base.before.readings_mm
    agree = [one for place, one in enumerate(before) if place not in base.needed]
    up, more = sum(agree) / len(agree) - min(before), len(base.opened - base.needed)
    return Mistake(
        TO_THE_HIGHEST,
        f"{len(base.opened)} stacks were packed up to the one that is high; "
        f"{len(base.needed)} had to be opened",
        Effect(f"the whole base comes {up:.1f} mm higher, and {_extra(more)}"),
        _LEAVE,
    )


def _overdrawn(base: Corrected, for_nothing: tuple[int, ...]) -> Mistake:
    fetched = base.now.fetched
    change = (*for_nothing, *(at for at, missing in enumerate(fetched) if missing))[0]
    missing, place = base.now.fetched[change], base.now.changes[change][0]
    name, hangs = base.now.built.names[place], sum(each * count for each, count in missing.items())
    return Mistake(
        BAG_OVERDRAWN,
        f"at {name} the bag lacked {count_words(missing)} mm: half an hour to fetch them",
        Effect(f"until then the bearer hangs {hangs:g} mm over its stack at {name}", rock_mm=hangs),
        "Look into the bag before a stack is opened: thinner ones make the height too, and the "
        "high stack gives packers back.",
    )


def _extra(more: int) -> str:
    stacks = "stack" if more == 1 else "stacks"
    return f"{more} {stacks} more to open, screw down and read: about {_MINUTES * more:g} minutes"


def _way(out_mm: float) -> str:
    return f"{abs(out_mm):.1f} mm too {'high' if out_mm > 0 else 'low'}"
