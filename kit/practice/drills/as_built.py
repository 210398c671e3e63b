"""Drill: correct a base as it was built."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from kit.job import refuse
from kit.practice.draws import Draws
from kit.practice.drill import Given, Worked
from kit.practice.drills.as_built_base import (
    LIMIT_MM,
    PRINTED,
    Standing,
    Stands,
    apart,
    build,
    rebuilt,
)
from kit.practice.drills.as_built_mark import KINDS, Corrected, mistakes
from kit.practice.fields import Field, Value, Values, numbers, words
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.packers import check_stack, count_words, stack_words
from kit.practice.tools import PACKER_S, STAFF_S

#: Seconds that it takes to undo a bearer over one stack and to screw it down again, and to fetch
#: packers that the bag has not (common practice, no source).
OPEN_S, FETCH_S = 120.0, 1800.0

#: A bearer gives no more than this at one stack [mm].
_BENDS_MM = 20.0


@dataclass(frozen=True)
class AsBuiltTask:
    """A base that is finished and not level.

    Parameters
    ----------
    floor : PracticeFloor
        What it stands on.
    built : Standing
        The base.
    """

    floor: PracticeFloor
    built: Standing

    @cached_property
    def given(self) -> Given:
        """Readings, stacks, bag, what is right."""
        return Given(
            (
                "The base is built, and a staff was held on the bearers over every stack, one "
                "set-up for all. A greater reading is a lower place.",
                f"By the sheet every support should read {self.built.sheet_mm:g} mm. The units do "
                "not mind if the whole base stands a little higher or lower than that; they mind "
                "if it is not level.",
                f"Right is: all readings within {LIMIT_MM:g} mm of one another, and as few stacks "
                "opened as can be. The bearers are screwed down at every stack and follow it.",
                "Name stacks by what is printed on the packers, from the floor up; all are as "
                "thick as they say. What comes out of a stack goes into the bag. What the bag has "
                "not is fetched, half an hour away.",
            ),
            (self.floor.width_mm, self.floor.depth_mm),
            tuple(
                OnPlan("place", (place,), name)
                for name, place in zip(self.built.names, self.built.places_mm, strict=True)
            ),
            (("As it stands", _as_it_stands(self.built.after(()))), _bag(self.built.after(()))),
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Hold the staff again, change a stack."""
        at = Field("at", "at support", "choice", choices=self.built.names)
        stack = Field("stack", "stack from the floor up", "packers", "mm", least=0, most=100)
        return (
            MoveForm("hold", "hold the staff on the bearer", (at,)),
            MoveForm("change", "change the stack", (at, stack)),
        )

    @property
    def asked(self) -> tuple[Field, ...]:
        """Nothing but that it is done."""
        return (Field("done", "the base", "choice", choices=("done",)),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Hold the staff, or change a stack."""
        name = words(move.values, "at")
        if name not in self.built.names:
            raise refuse("support", name, " | ".join(self.built.names))
        if move.kind == "hold":
            return self._hold(self.built.after(done), name)
        return self._change(done, move, name)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:  # noqa: ARG002
        """Tell the wrong way, chased all, to the highest, bag overdrawn, not checked, out."""
        now = self.built.after(done)
        return mistakes(Corrected(self.built.after(()), now, self._unread(done)))

    def _unread(self, done: Sequence[Done]) -> frozenset[int]:
        """Return places whose staff was not held after their last change."""
        last = {
            words(one.move.values, "at"): one.move.kind
            for one in done
            if one.move.kind in ("hold", "change")
        }
        return frozenset(
            self.built.names.index(at) for at, kind in last.items() if kind == "change"
        )

    def _hold(self, now: Stands, name: str) -> Seen:
        place = self.built.names.index(name)
        reading = now.reading_mm(place)
        return Seen(
            f"staff on the bearer at {name}: {reading:g} mm",
            STAFF_S,
            figures={"reading_mm": reading},
            on_plan=(OnPlan("place", (self.built.places_mm[place],), f"{reading:g}"),),
        )

    def _change(self, done: Sequence[Done], move: Move, name: str) -> Seen:
        stack, place = numbers(move.values, "stack"), self.built.names.index(name)
        check_stack(f"stack at {name}", stack, PRINTED)
        raised = sum(stack) - sum(self.built.stacks[place])
        if abs(raised) > _BENDS_MM:
            raise refuse(
                f"stack at {name}",
                f"{abs(raised):g} mm {'more' if raised > 0 else 'less'} than was built",
                f"at most {_BENDS_MM:g} mm either way: the bearer bends no further",
            )
        before = self.built.after(done)
        now = self.built.after((*done, Done(move, Seen("", 0.0))))
        fetched = now.fetched[-1]
        away = f"; the bag had not {count_words(fetched)}: fetched" if fetched else ""
        return Seen(
            f"{name}: {stack_words(before.stacks[place])} out, {stack_words(stack)} in{away}",
            OPEN_S + PACKER_S * len(stack) + (FETCH_S if fetched else 0.0),
            figures={"fetched": float(sum(fetched.values()))},
            on_plan=(OnPlan("place", (self.built.places_mm[place],), stack_words(stack)),),
            tables=(_bag(now),),
        )

    @cached_property
    def worked(self) -> Worked:
        """Bring what is out to where the others are, and read each again."""
        done: tuple[Done, ...] = ()
        said: list[str] = []
        before = self.built.after(()).readings_mm
        out = sorted(apart(before), key=lambda place: before[place])  # the high one first
        agree = [reading for place, reading in enumerate(before) if place not in out]
        for place in out:
            done, told = self._brought(done, place, agree)
            said += told
        now = self.built.after(done)
        return Worked(
            {"done": "done"},
            done,
            (*self._why(agree, out), *said),
            (("Before", _as_it_stands(self.built.after(()))), ("After", _truth(now)), _bag(now)),
            floor=(self.floor,),
        )

    def _brought(
        self, done: tuple[Done, ...], place: int, agree: Sequence[float]
    ) -> tuple[tuple[Done, ...], list[str]]:
        """Bring a place to readings that agree: change, read, and again if it settled."""
        least, most = max(agree) - LIMIT_MM, min(agree) + LIMIT_MM
        name, said = self.built.names[place], []
        reading = self.built.after(done).reading_mm(place)  # as the sheet or the staff has it
        while not least <= reading <= most:
            now = self.built.after(done)
            up = round(reading - (least + most) / 2)
            stack = rebuilt(now.stacks[place], now.left, sum(now.stacks[place]) + up)
            values: dict[str, Value] = {"at": name, "stack": stack}
            change, hold = Move("change", values), Move("hold", {"at": name})
            done = (*done, Done(change, self.do(done, change)))
            done = (*done, Done(hold, self.do(done, hold)))
            read = self.built.after(done).reading_mm(place)
            said.append(
                f"{name} reads {reading:g}: {abs(up):g} mm {'up' if up > 0 else 'down'}, "
                f"{stack_words(stack)}; read again {read:g}, {reading - up:g} expected."
            )
            reading = read
        return done, said

    def _why(self, agree: Sequence[float], out: Sequence[int]) -> tuple[str, ...]:
        low, high = min(agree), max(agree)
        off = " and ".join(self.built.names[place] for place in sorted(out))
        span = f"{low:g}" if low == high else f"{low:g} to {high:g}"
        return (
            f"{len(agree)} of {len(self.built.names)} supports read {span} mm: they agree within "
            f"{LIMIT_MM:g} mm, so they stay, whatever the sheet says. "
            f"{off} are brought to them.",
            "The high one comes first: what comes out of it fills the bag. After every change the "
            "staff is held again: screws may draw a board down with the stack.",
        )


def _as_it_stands(now: Stands) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "support": now.built.names,
            "reading_mm": now.readings_mm,
            "stack": [stack_words(stack) for stack in now.stacks],
        }
    )


def _truth(now: Stands) -> pd.DataFrame:
    places = range(len(now.built.names))
    settled = [now.built.settles_mm[place] if place in now.opened else 0.0 for place in places]
    return _as_it_stands(now).assign(
        bearer_mm=[round(now.bearer_mm(place), 1) for place in places], settled_mm=settled
    )


def _bag(now: Stands) -> tuple[str, pd.DataFrame]:
    left = now.left
    return "Left in the bag", pd.DataFrame(
        {"printed_mm": PRINTED, "in_the_bag": [left[each] for each in PRINTED]}
    )


@dataclass(frozen=True)
class AsBuilt:
    """Correct a base as it was built."""

    key: str = "as_built"
    title: str = "The base as built"
    aim: str = "Bring a finished base to level with the fewest stacks opened."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "Units want a level base, not a certain height: which supports agree already?",
        "A greater reading on the staff is a lower place.",
        "See what the bag still holds before you open a stack; what you take out goes into it.",
        "A stack that was opened and screwed down again may settle: read it again.",
    )

    def set_up(self, seed: int, grade: Grade) -> AsBuiltTask:
        """Make the task of a seed and a grade."""
        floor = make_floor(seed, grade)
        return AsBuiltTask(floor, build(Draws(f"as built 1, seed {seed}, {grade.name}"), floor))
