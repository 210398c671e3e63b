"""Drill: set the front lift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from kit.job import refuse
from kit.practice.drill import Given, Worked
from kit.practice.drills.front_lift_joists import (
    BAG_KG,
    ROOM_WIDTH_MM,
    ROWS,
    Joists,
    make_joists,
)
from kit.practice.drills.front_lift_mark import KINDS, LIMIT_MM, mistakes
from kit.practice.fields import Field, Values, number, words
from kit.practice.grades import Grade
from kit.practice.instruments import to_step
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen

#: The gauges under the rows are read to this [mm].
DIAL_MM = 0.1

#: Seconds to carry one bag on or off, and to read a gauge when nothing moves any more (common
#: practice, no source).
BAG_S, DIAL_S = {"on": 6.0, "off": 3.0}, 60.0

_ROW = Field("row", "row", "choice", choices=ROWS)

#: Where both ends of the base stand along the wall [mm].
_LEFT_MM, _RIGHT_MM = 600.0, 3600.0

#: Where it is told in plan how far a row goes down [mm]: clear of the row's name.
_MIDDLE_MM = 1300.0


@dataclass(frozen=True)
class FrontLiftTask:
    """A base on joists that give."""

    joists: Joists

    @property
    def given(self) -> Given:
        """Rows, full loads, bags, what is asked."""
        one = self.joists
        table = pd.DataFrame(
            {
                "row": list(ROWS),
                "from_the_wall_mm": [one.at_mm[row] for row in ROWS],
                "full_load_kg": [one.full_kg[row] for row in ROWS],
            }
        )
        return Given(
            (
                "The joists run from the wall into the room and give. The front row of the base "
                "stands further out on them than the back row.",
                "How much must the front row be set high, so that the base is level when the "
                "units stand on it and are full? Answer in mm: positive where the front is set "
                f"higher than the back. Right within {LIMIT_MM:g} mm.",
                f"There are {one.bags} bags of {BAG_KG:g} kg to put on the rows, laid evenly over "
                "all joists. Twice the weight lets these joists down twice as far. A gauge stands "
                f"under each row, set to 0 with nothing on the floor, and is read to {DIAL_MM:g} "
                "mm: the fewer the bags, the more that tenth counts.",
                "Two people carry a bag. Never put more on a row than its full load. Load a floor "
                "only where somebody competent has passed it for that: this drill passes none.",
            ),
            (ROOM_WIDTH_MM, one.span_mm),
            self._marks(),
            (("Rows", table),),
        )

    def _marks(self) -> tuple[OnPlan, ...]:
        at = self.joists.at_mm
        return tuple(
            OnPlan("line", ((_LEFT_MM, at[row]), (_RIGHT_MM, at[row])), f"{row} row")
            for row in ROWS
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Put bags on a row, read a gauge."""
        bags = Field("bags", "bags on it now", unit="bags", least=0, most=self.joists.bags)
        return (
            MoveForm("load", "put bags on a row", (_ROW, bags)),
            MoveForm("gauge", "read the gauge under a row", (_ROW,)),
        )

    @property
    def asked(self) -> tuple[Field, ...]:
        """The front lift."""
        return (Field("lift", "front row set high by", unit="mm", least=-20, most=20),)

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Put bags on a row, or read a gauge.

        Raises
        ------
        Refusal
            More bags than there are or than a row's full load, part of a bag, a row that is none.
        """
        row = words(move.values, "row")
        if row not in ROWS:
            raise refuse(f"{move.kind}, row", repr(row), " | ".join(ROWS))
        lying = bags_on(done)
        return self._gauge(lying, row) if move.kind == "gauge" else self._load(lying, row, move)

    def _load(self, lying: dict[str, int], row: str, move: Move) -> Seen:
        said = number(move.values, "bags")
        other = ROWS[1 - ROWS.index(row)]
        most = min(self.joists.bags - lying[other], int(self.joists.full_kg[row] // BAG_KG))
        if said != round(said) or not 0 <= said <= most:
            raise refuse(f"bags on the {row} row", f"{said:g}",
                f"whole bags, 0 to {most}: {self.joists.bags} in all, {lying[other]} on the "
                f"{other} row, full load {self.joists.full_kg[row]:g} kg")  # fmt: skip
        more = round(said) - lying[row]
        return Seen(
            f"{said:g} bags, {said * BAG_KG:g} kg, lie on the {row} row; {lying[other]} on the "
            f"{other} row",
            abs(more) * BAG_S["on" if more > 0 else "off"],
            figures={"load_kg": said * BAG_KG},
            on_plan=(
                OnPlan("place", ((_LEFT_MM, self.joists.at_mm[row]),), f"{said * BAG_KG:g} kg"),
            ),
        )

    def _gauge(self, lying: dict[str, int], row: str) -> Seen:
        sag = self.joists.sags_mm({one: bags * BAG_KG for one, bags in lying.items()})[row]
        read = to_step(sag, DIAL_MM)
        return Seen(
            f"gauge under the {row} row: {read:.1f} mm down",
            DIAL_S,
            placement=False,
            figures={"sag_mm": read},
            on_plan=(OnPlan("place", ((_RIGHT_MM, self.joists.at_mm[row]),), f"{read:.1f}"),),
        )

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell no lift, front only, not scaled, one row loaded, wrong sign, out."""
        return mistakes(self.joists, done, answer)

    @cached_property
    def worked(self) -> Worked:
        """All bags, shared between the rows as the full load is; both gauges; scaled; taken off."""
        full = self.joists.full_kg
        share = full["front"] / sum(full.values())
        front = round(self.joists.bags * share)
        bags = {"back": self.joists.bags - front, "front": front}
        done: tuple[Done, ...] = ()
        for move in (
            *(Move("load", {"row": row, "bags": float(bags[row])}) for row in ROWS),
            *(Move("gauge", {"row": row}) for row in ROWS),
            *(Move("load", {"row": row, "bags": 0.0}) for row in ROWS),
            *(Move("gauge", {"row": row}) for row in ROWS),
        ):
            done = (*done, Done(move, self.do(done, move)))
        back_mm, front_mm = (number(one.seen.figures, "sag_mm") for one in done[2:4])
        times = sum(full.values()) / (self.joists.bags * BAG_KG)
        lift = round((front_mm - back_mm) * times, 2)
        return Worked(
            {"lift": lift}, done, _why(bags, (back_mm, front_mm), times, lift),
            (("Under the full load", self._truth()),), self._went_down(),
        )  # fmt: skip

    def _went_down(self) -> tuple[OnPlan, ...]:
        sags, at = self.joists.sags_mm(self.joists.full_kg), self.joists.at_mm
        return tuple(
            OnPlan("place", ((_MIDDLE_MM, at[row]),), f"full: {sags[row]:.1f} down") for row in ROWS
        )

    def _truth(self) -> pd.DataFrame:
        sags = self.joists.sags_mm(self.joists.full_kg)
        return pd.DataFrame({"row": list(ROWS), "down_mm": [round(sags[row], 2) for row in ROWS]})


def bags_on(done: Sequence[Done]) -> dict[str, int]:
    """Return how many bags lie on each row after moves."""
    lying = dict.fromkeys(ROWS, 0)
    for one in done:
        if one.move.kind == "load":
            lying[words(one.move.values, "row")] = round(number(one.move.values, "bags"))
    return lying


def _why(
    bags: dict[str, int], down_mm: tuple[float, float], times: float, lift_mm: float
) -> tuple[str, ...]:
    back, front = down_mm
    return (
        "A row goes down under its own load and under the other row's too: so load both, shared as "
        f"the full load is, {bags['back']} bags at the back and {bags['front']} in front.",
        f"The front goes down {front:.1f} mm, the back {back:.1f} mm. Only what the front goes "
        f"down more counts: {front:.1f} - {back:.1f} = {front - back:.1f} mm.",
        f"The full load is {times:g} times what lay there: {front - back:.1f} x {times:g} = "
        f"{lift_mm:g} mm. So much higher the front is set.",
        "With the bags off both gauges show 0 again: nothing slipped, and the floor came back.",
    )


@dataclass(frozen=True)
class FrontLift:
    """Set the front lift."""

    key: str = "front_lift"
    title: str = "The front lift"
    aim: str = "Set the front row so high that the base is level when the units are full."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "What does the floor do between the day you level the base and the day the units are full?",
        "Does the back row stay where it is?",
        "What the floor does under the bags, it does under the full load as many times over as "
        "that is heavier.",
    )

    def set_up(self, seed: int, grade: Grade) -> FrontLiftTask:
        """Make the task of a seed and a grade."""
        return FrontLiftTask(make_joists(seed, grade))
