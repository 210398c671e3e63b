"""Drill: level two bearers that do not rock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from kit.job import refuse
from kit.practice.drill import Given, Worked
from kit.practice.drills.two_bearers_mark import (
    ACROSS_MM_PER_M,
    ALONG_MM_PER_M,
    KINDS,
    ROCK_MM,
    mistakes,
)
from kit.practice.drills.two_bearers_stand import (
    ENDS,
    PACKERS_MM,
    ROWS,
    Stand,
    make_stand,
)
from kit.practice.drills.two_bearers_worked import Hand, work
from kit.practice.fields import Field, Values, number, numbers, words
from kit.practice.grades import Grade
from kit.practice.instruments import (
    CONTACT_MM,
    EYE_MM,
    GAUGE_MM,
    LEVEL_LENGTHS_MM,
    TRAVEL_MM,
    to_step,
)
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Place, Seen, UnderEdge, Vial
from kit.practice.rest import Rest
from kit.practice.tools import LAY_S, TREAD_S

#: Seconds that a stack takes: bearer up, packers changed, bearer down (common practice, no source).
STACK_S = 30.0

_ROW = Field("row", "bearer", "choice", choices=ROWS)


@dataclass(frozen=True)
class TwoBearersTask:
    """Two loose bearers."""

    stand: Stand

    @cached_property
    def given(self) -> Given:
        """Bearers, stacks, packers, what is asked."""
        stand = self.stand
        return Given(
            (
                "Two bearers lie loose, each on four stacks of packers. They are straight below "
                "and do not bend in the hand. Their tops are true over the stacks, where the "
                "sides of the units will stand; between the stacks they are up to 1 mm hollow.",
                f"Level them: along within {ALONG_MM_PER_M:g} mm/m, across within "
                f"{ACROSS_MM_PER_M:g} mm/m at both ends, and no end of a bearer may go down more "
                f"than {ROCK_MM:g} mm when it is pressed.",
                "The bubble moves 1 mm towards the higher end for a rise of 1 mm per metre, and is "
                f"read to {EYE_MM:g} mm; each level shows an error of its own besides.",
                f"From the middle of the first stack to the middle of the last are "
                f"{stand.back.over_mm:g} mm, from bearer to bearer {stand.across_mm:g} mm. The "
                "short level reaches across both; the long one would tip.",
                "Inner stacks that hang clear in the end are packed up to the bearer later: not "
                "here. Keep your fingers out from under a bearer that you press.",
            ),
            (stand.floor.width_mm, stand.floor.depth_mm),
            self._marks(),
            (("Stacks as found", self._stacks()), ("Packers, as many as you like", _packers())),
        )

    def _marks(self) -> tuple[OnPlan, ...]:
        marks = []
        for bearer in (self.stand.back, self.stand.front):
            marks.append(OnPlan("line", self._line(bearer.row, 0.0, bearer.length_mm), bearer.row))
            marks += [
                OnPlan("place", (self._place(bearer.row, at),), stack)
                for stack, at in zip(bearer.stacks, bearer.at_mm, strict=True)
            ]
        return tuple(marks)

    def _stacks(self) -> pd.DataFrame:
        stacks = self.stand.packers
        places = [*self.stand.back.at_mm, *self.stand.front.at_mm]
        return pd.DataFrame(
            {
                "stack": list(stacks),
                "from_left_end_mm": places,
                "packers_mm": [_listed(packers) for packers in stacks.values()],
                "height_mm": [round(sum(packers), 1) for packers in stacks.values()],
            }
        )

    @cached_property
    def forms(self) -> tuple[MoveForm, ...]:
        """Level along, level across, press, pack."""
        stacks = Field("stack", "stack", "choice", choices=tuple(self.stand.packers))
        end = Field("end", "end", "choice", choices=ENDS)
        return (
            MoveForm("along", "lay the level on a bearer", (
                _ROW,
                Field("level", "level", "choice", choices=tuple(reversed(LEVEL_LENGTHS_MM))),
                Field("at", "its left end from the bearer's left end", unit="mm", least=0),
                Field("marked", "its marked end", "choice", choices=ENDS),
            )),
            MoveForm("across", "lay the short level across both", (
                end, Field("marked", "its marked end", "choice", choices=ROWS),
            )),
            MoveForm("press", "press an end of a bearer", (_ROW, end)),
            MoveForm("pack", "change a stack", (
                stacks,
                Field("packers", "packers now in it", "packers", "mm", least=0, most=100),
            )),
        )  # fmt: skip

    @property
    def asked(self) -> tuple[Field, ...]:
        """Only that it is done."""
        return (Field("done", "the bearers", "choice", choices=("are done",)),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Make a move on the stacks as earlier moves left them.

        Raises
        ------
        Refusal
            A level beyond the bearer, packers that are not in the bag, a name that is none.
        """
        packed = self.packed_mm(done)
        if move.kind == "along":
            return self._along(packed, move)
        if move.kind == "across":
            return self._across(packed, move)
        return self._press(packed, move) if move.kind == "press" else self._pack(done, move)

    def packers(self, done: Sequence[Done]) -> dict[str, tuple[float, ...]]:
        """Return what is in each stack after moves [mm]."""
        stacks = dict(self.stand.packers)
        for one in done:
            if one.move.kind == "pack":
                stacks[words(one.move.values, "stack")] = numbers(one.move.values, "packers")
        return stacks

    def packed_mm(self, done: Sequence[Done]) -> dict[str, float]:
        """Return the height of each stack after moves [mm]."""
        return {stack: sum(packers) for stack, packers in self.packers(done).items()}

    def _along(self, packed: dict[str, float], move: Move) -> Seen:
        row, level = _one_of(move, "row", ROWS), _one_of(move, "level", tuple(LEVEL_LENGTHS_MM))
        right = _one_of(move, "marked", ENDS) == "right"
        start, long = number(move.values, "at"), LEVEL_LENGTHS_MM[level]
        bearer = self.stand.bearer(row)
        if not 0 <= start <= bearer.length_mm - long:
            raise refuse("level", f"its left end at {start:g} mm of the bearer's length",
                         f"0 to {bearer.length_mm - long:g} mm, so that it lies on it")  # fmt: skip
        seat = bearer.seat(packed, start, long)
        rise = -seat.slope_mm_per_m if right else seat.slope_mm_per_m
        bubble = self.stand.bag.level(level).bubble_mm(rise)
        touches = _touches(seat, long)
        where = " and ".join(f"{place:g}" for place in touches)
        rocks = "; it rocks on its middle" if seat.rocks else ""
        return Seen(
            f"{level} level on the {row} bearer, marked end {'right' if right else 'left'}: "
            f"bubble {_bubble_words(bubble, ENDS[::-1] if right else ENDS)}; touches at about "
            f"{where} mm from its left end{rocks}",
            LAY_S[level],
            figures={"bubble_mm": bubble, "touches_mm": touches, "rocks": str(seat.rocks).lower()},
            vial=(Vial(bubble, marked_left=not right),),
            under=(UnderEdge(long, touches),),
            on_plan=(OnPlan("line", self._line(row, start, start + long), level),),
        )

    def _across(self, packed: dict[str, float], move: Move) -> Seen:
        end, marked = _one_of(move, "end", ENDS), _one_of(move, "marked", ROWS)
        rise = self.stand.across_mm_per_m(packed, end) * (1 if marked == "back" else -1)
        bubble = self.stand.bag.level("short").bubble_mm(rise)
        ends = ROWS if marked == "back" else ROWS[::-1]
        at = self.stand.back.at_mm[0 if end == "left" else -1]
        line = (self._place("back", at), self._place("front", at))
        return Seen(
            f"short level across at the {end} end, marked end on the {marked} bearer: bubble "
            f"{_bubble_words(bubble, ends)}",
            LAY_S["short"],
            figures={"bubble_mm": bubble},
            vial=(Vial(bubble),),
            on_plan=(OnPlan("line", line, "short"),),
        )

    def _press(self, packed: dict[str, float], move: Move) -> Seen:
        row, end = _one_of(move, "row", ROWS), _one_of(move, "end", ENDS)
        bearer = self.stand.bearer(row)
        drop = to_step(bearer.drop_mm(packed, end), GAUGE_MM)
        said = f"it goes down {drop:g} mm and the other end lifts" if drop else "it is firm"
        at = bearer.at_mm[0 if end == "left" else -1]
        return Seen(
            f"{row} bearer pressed at its {end} end: {said}",
            TREAD_S,
            placement=False,
            figures={"drop_mm": drop},
            on_plan=(OnPlan("place", (self._place(row, at),), f"-{drop:g}" if drop else "firm"),),
        )

    def _pack(self, done: Sequence[Done], move: Move) -> Seen:
        stacks = self.packers(done)
        stack = _one_of(move, "stack", tuple(stacks))
        packers = numbers(move.values, "packers")
        strange = [thick for thick in packers if thick not in PACKERS_MM]
        if strange:
            allowed = " | ".join(f"{thick:g}" for thick in PACKERS_MM)
            raise refuse(f"packers of {stack}", f"{_listed(strange)} mm", f"{allowed} mm")
        return Seen(
            f"stack {stack}: {_listed(packers)}, {sum(packers):g} mm (was "
            f"{sum(stacks[stack]):g} mm)",
            STACK_S,
            figures={"height_mm": round(sum(packers), 1)},
        )

    def _place(self, row: str, at_mm: float) -> Place:
        return self.stand.left_mm + at_mm, self.stand.bearer(row).y_mm

    def _line(self, row: str, start_mm: float, end_mm: float) -> tuple[Place, Place]:
        return self._place(row, start_mm), self._place(row, end_mm)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:  # noqa: ARG002
        """Tell never turned, along only, short level, not pressed, out."""
        return mistakes(self.stand, done, self.packed_mm(done))

    @cached_property
    def worked(self) -> Worked:
        """Nothing may rock; then four corners up to the highest; then all of it once more."""
        hand = Hand(self.stand, self.do)
        said = work(hand)
        return Worked(
            {"done": "are done"}, tuple(hand.done), said, (
                ("Stacks as worked", self._standing(hand.done)),
                ("As it stands then", self.stand.left(self.packed_mm(hand.done)).table()),
            ), floor=(self.stand.floor,),
        )  # fmt: skip

    def _standing(self, done: Sequence[Done]) -> pd.DataFrame:
        found, now = self.stand.packers, self.packers(done)
        return pd.DataFrame(
            {
                "stack": list(now),
                "packers_mm": [_listed(packers) for packers in now.values()],
                "height_mm": [round(sum(packers), 1) for packers in now.values()],
                "raised_by_mm": [round(sum(now[one]) - sum(found[one]), 1) for one in now],
            }
        )


def _one_of(move: Move, key: str, allowed: tuple[str, ...]) -> str:
    said = words(move.values, key)
    if said not in allowed:
        raise refuse(f"{move.kind}, {key}", repr(said), " | ".join(allowed))
    return said


def _listed(packers: Sequence[float]) -> str:
    return " ".join(f"{thick:g}" for thick in packers) or "nothing"


def _packers() -> pd.DataFrame:
    return pd.DataFrame({"thickness_mm": list(PACKERS_MM)})


def _touches(seat: Rest, long_mm: float) -> tuple[float, ...]:
    """Return where light is seen to end under a level."""
    return tuple(
        min(to_step(place, CONTACT_MM), long_mm) for place in (seat.left_mm, seat.right_mm)
    )


def _bubble_words(bubble_mm: float, ends: tuple[str, ...]) -> str:
    """Return where a bubble stands; `ends`: which way the marked end points, and the other."""
    if bubble_mm == 0:
        return "in the middle"
    towards = ends[1] if bubble_mm > 0 else ends[0]
    far = abs(bubble_mm)
    said = "at the end of the glass" if far >= TRAVEL_MM else f"{far:g} mm off"
    return f"{said}, towards the {towards}"


@dataclass(frozen=True)
class TwoBearers:
    """Level two bearers that do not rock."""

    key: str = "two_bearers"
    title: str = "Two bearers"
    aim: str = "Bring two bearers level along and across, and let neither of them rock."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "Before you read a level on something loose: does it stand firm?",
        "What does the level show when you turn it end for end on the same place?",
        "Find the highest of the four corners and bring the other three up to it.",
    )

    def set_up(self, seed: int, grade: Grade) -> TwoBearersTask:
        """Make the task of a seed and a grade."""
        return TwoBearersTask(make_stand(seed, grade))
