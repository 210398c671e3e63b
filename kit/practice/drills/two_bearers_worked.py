"""The worked answer of the two bearers: four corners up to the highest."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from kit.practice.drills.two_bearers_stand import ENDS, ROWS, Stand, pack
from kit.practice.fields import number
from kit.practice.instruments import LEVEL_LENGTHS_MM
from kit.practice.moves import Done, Move, Seen

#: Readings of a level whose own error is known, each bubble read to 0.2 mm, are right to 0.2 mm/m:
#: shown within this they are within the limit of 0.5 mm/m with something over.
_SHOWN_MM_PER_M = 0.25

#: What is put under an end beyond what it went down, so that it surely bears: the gauge is read to
#: half a millimetre [mm].
_TIGHT_MM = 0.3

#: Corners that differ by less are left [mm]: there are no thinner packers.
_LEAVE_MM = 0.1


@dataclass(frozen=True)
class Corners:
    """Four corners against the back bearer's left one, as levels show them.

    Parameters
    ----------
    along_mm_per_m : mapping of str to float
        Rise to the right of each bearer, by its row [mm/m].
    across_mm_per_m : mapping of str to float
        Rise from back to front at each end [mm/m].
    over_mm, across_mm : float
        Distances between corners along and across [mm].
    """

    along_mm_per_m: Mapping[str, float]
    across_mm_per_m: Mapping[str, float]
    over_mm: float
    across_mm: float

    @property
    def level(self) -> bool:
        """All four lie level, as shown."""
        heights = self.heights_mm
        along = [
            1000 * (heights[row, "right"] - heights[row, "left"]) / self.over_mm for row in ROWS
        ]
        shown = (*along, *self.across_mm_per_m.values())
        return all(abs(one) <= _SHOWN_MM_PER_M for one in shown)

    @property
    def heights_mm(self) -> dict[tuple[str, str], float]:
        """Height of each corner by row and end [mm].

        Across is short and read closely, along is long: where all four do not close, the mean of
        both bearers' readings is taken along.
        """
        rise = {end: self.across_mm_per_m[end] * self.across_mm / 1000 for end in ENDS}
        back, front = (self.along_mm_per_m[row] * self.over_mm / 1000 for row in ROWS)
        right = (back + front - rise["right"] + rise["left"]) / 2
        return {
            ("back", "left"): 0.0,
            ("back", "right"): right,
            ("front", "left"): rise["left"],
            ("front", "right"): right + rise["right"],
        }


@dataclass
class Hand:
    """A hand that works and remembers what it saw.

    Parameters
    ----------
    stand : Stand
        What is known of it without looking: names, distances, packers as found.
    do : callable
        Makes a move after others.
    """

    stand: Stand
    do: Callable[[Sequence[Done], Move], Seen]
    done: list[Done] = field(default_factory=list)
    own_mm_per_m: dict[str, float] = field(default_factory=dict)
    packed_mm: dict[str, float] = field(init=False)

    def __post_init__(self) -> None:
        self.packed_mm = {stack: sum(packers) for stack, packers in self.stand.packers.items()}

    def firm(self) -> None:
        """Press every end and pack what goes down, until nothing does."""
        for row in ROWS:
            for end in ENDS:
                while drop := self._see("press", "drop_mm", row=row, end=end):
                    self.raise_by(row, end, drop + _TIGHT_MM)

    def measured(self) -> Corners:
        """Lay the long level on both bearers and the short one across both ends."""
        along = {row: self._level("along", row=row) for row in ROWS}
        across = {end: self._level("across", end=end) for end in ENDS}
        return Corners(along, across, self.stand.back.over_mm, self.stand.across_mm)

    def to_the_highest(self, corners: Corners) -> None:
        """Raise every corner to the highest."""
        heights = corners.heights_mm
        for (row, end), height in heights.items():
            if (low := max(heights.values()) - height) > _LEAVE_MM:
                self.raise_by(row, end, low)

    def raise_by(self, row: str, end: str, by_mm: float) -> None:
        """Put packers under an end of a bearer, to a tenth of a millimetre."""
        stack = self.stand.bearer(row).stacks[0 if end == "left" else -1]
        self.packed_mm[stack] = round(self.packed_mm[stack] + by_mm, 1)
        self._move(Move("pack", {"stack": stack, "packers": pack(self.packed_mm[stack])}))

    def _level(self, kind: str, **where: str) -> float:
        """Return a rise [mm/m]: turned the first time, by the level's known error after that."""
        level, ends = ("long", ENDS) if kind == "along" else ("short", ROWS)
        bubble = self._bubble(kind, level, ends[0], **where)
        if level not in self.own_mm_per_m:
            turned = self._bubble(kind, level, ends[1], **where)
            self.own_mm_per_m[level] = round((bubble + turned) / 2, 3)
        return bubble - self.own_mm_per_m[level]

    def _bubble(self, kind: str, level: str, marked: str, **where: str) -> float:
        if kind == "across":
            return self._see(kind, "bubble_mm", marked=marked, **where)
        at = round((self.stand.back.length_mm - LEVEL_LENGTHS_MM[level]) / 2, 1)
        return self._see(kind, "bubble_mm", level=level, at=at, marked=marked, **where)

    def _see(self, kind: str, figure: str, **values: float | str) -> float:
        return number(self._move(Move(kind, values)).figures, figure)

    def _move(self, move: Move) -> Seen:
        seen = self.do(tuple(self.done), move)
        self.done.append(Done(move, seen))
        return seen


def work(hand: Hand) -> tuple[str, ...]:
    """Work until nothing rocks and all shows level; return what was done, in sentences."""
    hand.firm()
    first = hand.measured()
    said = (_said_firm(hand), *_said_first(hand, first))
    corners = first
    while not corners.level:
        hand.to_the_highest(corners)
        hand.firm()
        corners = hand.measured()
    return (*said, _said_last(corners))


def _said_firm(hand: Hand) -> str:
    packed = [
        f"{one.move.values['row']} bearer, {one.move.values['end']} end, "
        f"{number(one.seen.figures, 'drop_mm'):g} mm"
        for one in hand.done
        if one.move.kind == "press" and one.seen.figures["drop_mm"]
    ]
    went = "; ".join(packed) or "none did"
    return (
        "First press every end: what goes down is packed until it is firm, or the level reads a "
        f"bearer that will lie otherwise under load. Went down: {went}."
    )


def _said_first(hand: Hand, first: Corners) -> tuple[str, ...]:
    errors = ", ".join(
        f"the {level} one {error:+.1f} mm/m" for level, error in hand.own_mm_per_m.items()
    )
    heights = ", ".join(
        f"{row} {end} {height:+.1f}" for (row, end), height in first.heights_mm.items()
    )
    return (
        f"Turn each level once on its place: half the sum of both bubbles is its own error, "
        f"{errors}. Take it off every reading after that.",
        f"mm per metre times metres gives mm: {first.over_mm:g} mm along, {first.across_mm:g} mm "
        f"across. The corners in mm: {heights}. All come up to the highest.",
    )


def _said_last(corners: Corners) -> str:
    along = " and ".join(f"{one:+.1f}" for one in corners.along_mm_per_m.values())
    across = " and ".join(f"{one:+.1f}" for one in corners.across_mm_per_m.values())
    return (
        f"Then press and read again: along {along} mm/m, across {across} mm/m, own errors taken "
        "off. Nothing goes down."
    )
