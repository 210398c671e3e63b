"""Drill: choose screws that never pass the board."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from kit.base.cautions import standing_cautions
from kit.base.screws import FLOOR_BITE_MM, SCREWED_FROM_MM, STACK_BITE_MM
from kit.job import Floor, refuse
from kit.practice.drill import Given, Worked
from kit.practice.drills.screws_mark import KINDS, mistakes_of
from kit.practice.drills.screws_site import (
    RESERVE_MM,
    SCREWS_MM,
    USUAL_BOARD_MM,
    Site,
    make_site,
)
from kit.practice.fields import Field, Values, numbers, words
from kit.practice.floors import Patch
from kit.practice.grades import Grade
from kit.practice.instruments import GAUGE_MM, to_step
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen

#: Seconds that moves take (common practice, no source).
ASK_S, DETECT_S, LIFT_S = 120.0, 30.0, 300.0

#: The choice of no screw.
NONE = "none"

#: How far in front of a stack the worked answer lifts a board [mm].
_IN_FRONT_MM = 400.0

ASK = MoveForm("ask", "ask what runs under the boards")
LIFT = MoveForm("lift", "lift a board", (Field("at", "board at", "place", "mm"),), drag=("at",))


@dataclass(frozen=True)
class ScrewsTask:
    """Stacks over boards that nobody has lifted."""

    site: Site

    @cached_property
    def given(self) -> Given:
        """Stacks, what is in the van, the rules, and the cautions that hold on every floor."""
        site = self.site
        table = pd.DataFrame(
            {
                "stack": [one.support for one in site.stacks],
                "from_the_floor_up_mm": [
                    " ".join(f"{thick:g}" for thick in one.thicknesses_mm) for one in site.stacks
                ],
            }
        )
        marks = tuple(OnPlan("place", ((s.x_mm, s.y_mm),), s.support) for s in site.stacks)
        room = (site.floor.width_mm, site.floor.depth_mm)
        return Given((*self._rules(), *_cautions()), room, marks, (("Stacks", table),))

    def _rules(self) -> tuple[str, ...]:
        lengths = ", ".join(f"{length:g}" for length in SCREWS_MM)
        return (
            "The stacks stand on a boarded floor and want their screws: for each, the longest in "
            "the van that may go in, or none.",
            f"In the van: {lengths} mm. Heads are drawn {self.site.countersink_mm:g} mm below the "
            f"surface. The bearer is {self.site.bearer_mm:g} mm thick.",
            f"Base screw: through the first packer of {SCREWED_FROM_MM:g} mm or more, with at "
            f"least {FLOOR_BITE_MM:g} mm of its point in the floor.",
            f"Pack screw: through the upper packer of {SCREWED_FROM_MM:g} mm or more and the thin "
            f"ones beneath it; bearer screw: through the bearer. Each wants at least "
            f"{STACK_BITE_MM:g} mm in what is below.",
            f"No point comes nearer than {RESERVE_MM:g} mm to the underside of the boards. Where "
            "anything runs under them, no point enters the floor: there the first packer is "
            "bonded.",
        )

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Ask, hold the detector over a stack, lift a board."""
        return (ASK, self._detect_form, LIFT)

    @property
    def _detect_form(self) -> MoveForm:
        stacks = tuple(one.support for one in self.site.stacks)
        field = Field("stack", "stack", "choice", choices=stacks)
        return MoveForm("detect", "hold the detector beside a stack", (field,))

    @property
    def asked(self) -> tuple[Field, ...]:
        """A length, or none, for every step of every stack."""
        choices = (NONE, *(f"{length:g}" for length in SCREWS_MM))
        return tuple(
            Field(screw_key(stack, step), f"{stack}, {step} screw", "choice", "mm", choices)
            for stack, step in self.site.steps
        )

    def do(self, done: Sequence[Done], move: Move) -> Seen:  # noqa: ARG002 - of every task
        """Ask, detect or lift.

        Raises
        ------
        Refusal
            A board outside the room; a stack that there is not.
        """
        if move.kind == "ask":
            return self._ask()
        return self._detect(move) if move.kind == "detect" else self._lift(move)

    def _ask(self) -> Seen:
        said = (
            "the owner had heating laid under the boards of a part of this room; nobody has a "
            "drawing of where it runs"
            if self.site.floor.heated and self.site.owner_knows
            else "the owner knows of nothing under these boards; nobody has a drawing"
        )
        return Seen(said, ASK_S, placement=False)

    def _detect(self, move: Move) -> Seen:
        name = words(move.values, "stack")
        stacks = {one.support: one for one in self.site.stacks}
        if name not in stacks:
            raise refuse("detector", repr(name), " | ".join(stacks))
        stack = stacks[name]
        found = "it signals" if self.site.heated_at(stack.x_mm, stack.y_mm) else "it stays silent"
        return Seen(
            f"detector beside {name}: {found}",
            DETECT_S,
            figures={"signal": found},
            on_plan=(OnPlan("place", ((stack.x_mm, stack.y_mm),), found),),
        )

    def _lift(self, move: Move) -> Seen:
        x, y = numbers(move.values, "at")
        self.site.floor.gives_mm(np.array(x), np.array(y))  # refuses what lies outside the room
        thick = to_step(self.site.board_mm, GAUGE_MM)
        below = "heating pipes" if self.site.heated_at(x, y) else "nothing but joists"
        return Seen(
            f"board at x {x:g}, y {y:g}: {thick:g} mm thick; under it {below}",
            LIFT_S,
            placement=False,
            figures={"board_mm": thick, "below": below},
            on_plan=(OnPlan("place", ((x, y),), f"{thick:g}"),),
        )

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell the mistakes: see `kit.practice.drills.screws_mark`."""
        lengths = {
            (stack, step): _length_mm(words(answer, screw_key(stack, step)))
            for stack, step in self.site.steps
        }
        return tuple(mistakes_of(self.site, done, lengths))

    @cached_property
    def worked(self) -> Worked:
        """Ask, hold the detector beside every stack, lift a board where it is silent, reckon."""
        site = self.site
        moves = [Move("ask"), *(Move("detect", {"stack": one.support}) for one in site.stacks)]
        silent = next(one for one in site.stacks if not site.heated_at(one.x_mm, one.y_mm))
        moves.append(Move("lift", {"at": (silent.x_mm, silent.y_mm + _IN_FRONT_MM)}))
        done: tuple[Done, ...] = ()
        for move in moves:
            done = (*done, Done(move, self.do(done, move)))
        screws = site.screws()
        answer = {
            screw_key(str(support), str(step)): length_words(float(length))
            for support, step, length in zip(
                screws["support"], screws["step"], screws["length_mm"], strict=True
            )
        }
        return Worked(
            answer, done, self._why(), (("Screws", screws),),
            tuple(_outline(patch) for patch in site.floor.heated),
        )  # fmt: skip

    def _why(self) -> tuple[str, ...]:
        site = self.site
        warm = [one.support for one in site.stacks if site.heated_at(one.x_mm, one.y_mm)]
        heating = f"The detector signals beside {' and '.join(warm)}: no point enters the floor."
        return (
            heating if warm else "The detector stays silent beside every stack.",
            f"A lifted board is {site.board_mm:g} mm thick; the usual guess is "
            f"{USUAL_BOARD_MM:g} mm. Less {RESERVE_MM:g} mm in reserve a point may stand "
            f"{site.board_mm - RESERVE_MM:g} mm deep.",
            f"Point below the floor = length + {site.countersink_mm:g} mm that the head is drawn "
            "in - what the screw passes above the floor. The table has it for each screw.",
        )


def screw_key(stack: str, step: str) -> str:
    """Return the name of the field of one screw."""
    return f"{stack.lower()}_{step}"


def length_words(length_mm: float) -> str:
    """Return a length as it is chosen; none where it is not a number."""
    return NONE if math.isnan(length_mm) else f"{length_mm:g}"


def _length_mm(chosen: str) -> float:
    return math.nan if chosen == NONE else float(chosen)


def _outline(patch: Patch) -> OnPlan:
    left, back = patch.left_mm, patch.back_mm
    corners = ((left, back), (left + patch.width_mm, back + patch.depth_mm))
    return OnPlan("outline", corners, "heating")


def _cautions() -> tuple[str, ...]:
    """Return what the kit says of every boarded floor of which nothing is known."""
    return tuple(standing_cautions(Floor(kind="boarded", board_mm=USUAL_BOARD_MM)))


@dataclass(frozen=True)
class Screws:
    """Choose screws that never pass the board."""

    key: str = "screws"
    title: str = "Screws that never pass the board"
    aim: str = "Choose for every step of every stack a screw that bites and stops short."
    kinds: tuple[Kind, ...] = KINDS
    hints: tuple[str, ...] = (
        "Before any length: what runs under these boards, and how thick are they? Ask, detect, "
        "lift one.",
        "A screw ends where its head is drawn to, less its length: count the countersink.",
        "Point below the floor = length + countersink - everything that the screw passes above "
        "the floor. That may be at most the board less the reserve; where the detector signals, 0.",
    )

    def set_up(self, seed: int, grade: Grade) -> ScrewsTask:
        """Make the task of a seed and a grade."""
        return ScrewsTask(make_site(seed, grade))
