"""Marking of few readings: where the floor stayed unknown, and what was read for nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from kit.floor import Extent
from kit.practice.draws import Floats
from kit.practice.drills.few_readings_base import (
    LEAST_PLACES,
    MOST_SD_MM,
    STACKS,
    Base,
    Known,
    known_at,
    stacks_read,
)
from kit.practice.effects import Effect, gap_between, lean_across
from kit.practice.mistakes import ALONG_ONLY, GUESSED, Kind, Mistake
from kit.practice.moves import Place
from kit.practice.tools import STAFF_S

Mask = npt.NDArray[np.bool_]

STRETCH = Kind("stretch_unread", "left a stretch unread",
    "leaves a long stretch between two readings, and trusts that it is straight", 20)  # fmt: skip
ENDS = Kind("ends_unread", "left the ends unread",
    "builds beyond the last reading, where nothing is known of the floor", 20)  # fmt: skip
OFF_THE_BASE = Kind("off_the_base", "read where no base will stand",
    "reads the room, not the floor under the base", 15)  # fmt: skip
TOO_MANY = Kind("too_many", "read far more than needed",
    "goes on reading when every stack has long been known", 10)  # fmt: skip
KINDS = (GUESSED, ALONG_ONLY, STRETCH, ENDS, OFF_THE_BASE, TOO_MANY)

#: So far outside the base's outline a reading is still one of its floor [mm], and so far from a
#: row's line one of that row.
_BESIDE_MM, _OF_ROW_MM = 150.0, 250.0

#: A gap between readings of a row is a stretch from so many stack distances on.
_STRETCH = 2.5

#: So many times the readings of the good practice are far too many, but never one at each stack:
#: who reads them all once has thrown away time only.
_TOO_MANY = 2.0

#: Places that make a plane.
_PLANE = 3

_ENDS_FIRST = (
    "Read both ends and the middle of both rows, ask, read the stack that is most in doubt, and "
    "stop when every stack is known."
)


@dataclass(frozen=True)
class Read:
    """What was read, and the truth.

    Parameters
    ----------
    base : Base
        The stacks.
    places_mm : tuple of Place
        Where the staff stood [mm].
    staff_mm : tuple of float
        What it showed [mm].
    truth_mm : (18,) array
        What it would show at the stacks [mm].
    good : int
        Readings of the good practice.
    """

    base: Base
    places_mm: tuple[Place, ...]
    staff_mm: tuple[float, ...]
    truth_mm: Floats
    good: int

    def mistakes(self) -> Iterator[Mistake]:
        """Yield the mistakes, each kind once.

        Readings off the base, and readings along one line only, explain what stays unknown and
        are told alone. The surface is asked only where the places of the readings do not tell.
        """
        if self.places_mm and 2 * self._off >= len(self.places_mm):
            yield self._off_the_base()
        elif len(stacks_read(self.base, self.places_mm)) == 2 * STACKS:
            yield from self._too_many()
        elif self.places_mm and self._along_one_line:
            yield self._along_only()
        else:
            yield from self._unknown()

    def _unknown(self) -> Iterator[Mistake]:
        beyond, wide = self._beyond, self._in_a_stretch
        if np.any(beyond & ~self._surveyed) and not np.any(wide):
            yield self._ends(beyond & ~self._surveyed)
            return
        # Nobody can do better than what the readings tell: a stack that is known by them and out
        # all the same is no mistake.
        bad = self._known.sd_mm > MOST_SD_MM
        if np.any(bad & beyond):
            yield self._ends(bad & beyond)
        if np.any(bad & wide) or (np.any(bad) and not np.any(bad & beyond)):
            yield self._stretch(bad & wide if np.any(bad & wide) else bad)
        if not np.any(bad):
            yield from self._too_many()

    @cached_property
    def _known(self) -> Known:
        return known_at(self.base, self.places_mm, self.staff_mm)

    @property
    def _off(self) -> int:
        """How many readings lie outside the base."""
        (left, back), (right, front) = self.base.outline_mm
        return sum(
            not (
                left - _BESIDE_MM <= x <= right + _BESIDE_MM
                and back - _BESIDE_MM <= y <= front + _BESIDE_MM
            )
            for x, y in self.places_mm
        )

    @property
    def _along_one_line(self) -> bool:
        """Whether nothing was read from back to front: less than half of the rows' distance."""
        back, front = self.base.rows_mm
        return bool(np.ptp([y for _, y in self.places_mm]) < (front - back) / 2)

    def _of_row(self, row: int) -> Floats:
        """Return x of the readings of a row, rising [mm]."""
        y = self.base.rows_mm[row]
        return np.sort([place[0] for place in self.places_mm if abs(place[1] - y) <= _OF_ROW_MM])

    @property
    def _surveyed(self) -> Mask:
        x, y = self.base.places_mm.T
        if len(set(self.places_mm)) < 3:
            return np.zeros(len(x), dtype=bool)
        read_x, read_y = np.array(self.places_mm).T
        return np.asarray(Extent(read_x, read_y).surveyed(x, y))

    @property
    def _beyond(self) -> Mask:
        """Return which stacks stand beyond the last reading of their row."""
        found = []
        for row in (0, 1):
            x, read = self._stacks_of(row), self._of_row(row)
            if len(read):
                near = self.base.apart_mm / 2
                found.append((x < read[0] - near) | (x > read[-1] + near))
            else:
                found.append(np.zeros(STACKS, dtype=bool))
        return np.concatenate(found)

    @property
    def _in_a_stretch(self) -> Mask:
        """Return which stacks stand between readings of their row that are far apart."""
        found = []
        for row in (0, 1):
            x, read = self._stacks_of(row), self._of_row(row)
            after = np.searchsorted(read, x)
            inside = (after > 0) & (after < len(read))
            gap = np.zeros(STACKS)
            gap[inside] = read[after[inside]] - read[after[inside] - 1]
            found.append(gap > _STRETCH * self.base.apart_mm)
        return np.concatenate(found)

    def _stacks_of(self, row: int) -> Floats:
        return np.asarray(self.base.places_mm[row * STACKS : (row + 1) * STACKS, 0])

    def _names(self, which: Mask) -> str:
        names = [name for name, bad in zip(self.base.names, which, strict=True) if bad]
        return ", ".join(names) if len(names) < 7 else f"{len(names)} stacks"

    def _ends(self, which: Mask) -> Mistake:
        out = {int(k): self._straight_on_mm(int(k)) for k in np.flatnonzero(which)}
        worst = max(out, key=lambda k: abs(out[k]))
        said = (
            f"{self._names(which)} {_verb(which, 'stands', 'stand')} beyond the last reading of "
            f"{_verb(which, 'its', 'their')} row. Taken straight on "
            f"from the last two readings, {self.base.names[worst]} is {out[worst]:+.1f} mm out"
        )
        return Mistake(ENDS, said, gap_between(out[worst]), _ENDS_FIRST)

    def _straight_on_mm(self, stack: int) -> float:
        """Return how far a stack comes out [mm] where the floor is taken straight on to it."""
        x = float(self.base.places_mm[stack, 0])
        y = self.base.rows_mm[stack // STACKS]
        of_row = sorted(
            (abs(place[0] - x), place[0], staff)
            for place, staff in zip(self.places_mm, self.staff_mm, strict=True)
            if abs(place[1] - y) <= _OF_ROW_MM
        )
        (_, near, staff), others = of_row[0], [one for one in of_row if one[1] != of_row[0][1]]
        slope = (others[0][2] - staff) / (others[0][1] - near) if others else 0.0
        return float(staff + slope * (x - near) - self.truth_mm[stack])

    def _stretch(self, which: Mask) -> Mistake:
        known = self._known
        if known.why:
            said = (
                f"{len(self.places_mm)} readings, which tell no stack: {known.why}. One may well "
                f"be {self._could_be_mm:.1f} mm out"
            )
            return Mistake(STRETCH, said, _if_so(self._could_be_mm), _ENDS_FIRST)
        # Two deviations, but no more than the whole floor under the base bends.
        could = np.where(which, np.minimum(2 * known.sd_mm, self._could_be_mm), 0.0)
        worst = int(np.argmax(could))
        out = self._between_mm(worst)
        most = max(float(could[worst]), abs(out))
        said = (
            f"{self._names(which)} {_verb(which, 'is', 'are')} not known. "
            f"{self.base.names[worst]} may well be {most:.1f} mm out; taken straight between the "
            f"readings beside it, it is {abs(out):.1f} mm out here"
        )
        return Mistake(STRETCH, said, _if_so(most), _ENDS_FIRST)

    @property
    def _could_be_mm(self) -> float:
        """How far the floor under the base bends off its plane, fall and all where none is known.

        Peak to peak [mm].
        """
        x, y = self.base.places_mm.T
        if len(set(self.places_mm)) < _PLANE:
            return float(np.ptp(self.truth_mm))
        design = np.column_stack([np.ones(len(x)), x, y])
        plane = design @ np.linalg.lstsq(design, self.truth_mm, rcond=None)[0]
        return float(np.ptp(self.truth_mm - plane))

    def _between_mm(self, stack: int) -> float:
        """Return how far a stack comes out [mm] on the line between its row's readings."""
        row = self.base.rows_mm[stack // STACKS]
        read = sorted(
            (place[0], staff)
            for place, staff in zip(self.places_mm, self.staff_mm, strict=True)
            if abs(place[1] - row) <= _OF_ROW_MM
        )
        if not read:
            return 0.0
        line = float(np.interp(self.base.places_mm[stack, 0], *np.array(read).T))
        return line - float(self.truth_mm[stack])

    def _along_only(self) -> Mistake:
        front, back = self.truth_mm[STACKS:], self.truth_mm[:STACKS]
        out = back - front  # a larger reading is a lower floor
        worst = int(np.argmax(np.abs(out)))
        y = [place[1] for place in self.places_mm]
        line = " to ".join(dict.fromkeys((f"{min(y):g}", f"{max(y):g}")))  # one figure or two
        way = "lower" if out[worst] < 0 else "higher"
        said = (
            f"all {len(self.places_mm)} readings lie along one line, {line} mm from "
            f"the wall; at stack {worst + 1} the front lies {abs(out[worst]):.1f} mm {way}"
        )
        return Mistake(ALONG_ONLY, said, lean_across(float(out[worst])), _ENDS_FIRST)

    def _off_the_base(self) -> Mistake:
        places = np.array(self.places_mm)
        design = np.column_stack([np.ones(len(places)), places])
        plane = np.linalg.lstsq(design, np.array(self.staff_mm), rcond=None)[0]
        stacks = np.column_stack([np.ones(2 * STACKS), self.base.places_mm])
        miss = stacks @ plane - self.truth_mm
        worst = int(np.argmax(np.abs(miss)))
        said = f"{self._off} of {len(places)} readings lie where no base will stand"
        under = len(places) - self._off
        if under >= LEAST_PLACES and np.all(self._known.sd_mm <= MOST_SD_MM):
            minutes = self._off * STAFF_S / 60
            effect = Effect(f"nothing on the furniture: {minutes:.1f} minutes with the staff")
            said += ": as many under it would say more of it"
            return Mistake(OFF_THE_BASE, said, effect, _ENDS_FIRST)
        said += (
            f". The plane of them all is {abs(miss[worst]):.1f} mm out at {self.base.names[worst]}"
        )
        return Mistake(OFF_THE_BASE, said, gap_between(float(miss[worst])), _ENDS_FIRST)

    def _too_many(self) -> Iterator[Mistake]:
        count = len(self.places_mm)
        if count > max(_TOO_MANY * self.good, 2 * STACKS):
            minutes = (count - self.good) * STAFF_S / 60
            effect = Effect(f"nothing on the furniture: {minutes:.0f} minutes more with the staff")
            said = f"read {count} places, where {self.good} tell every stack"
            yield Mistake(TOO_MANY, said, effect, _ENDS_FIRST)


def _verb(which: Mask, one: str, more: str) -> str:
    return one if np.count_nonzero(which) == 1 else more


def _if_so(out_mm: float) -> Effect:
    """Return what a stack does that may be out by so much [mm]."""
    effect = gap_between(out_mm)
    return replace(effect, words=f"if it is: {effect.words}")
