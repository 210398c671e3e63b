"""Screws that never pass the board: apprentices, and what they are told."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import takewhile

from kit.practice.drills.screws import Screws
from kit.practice.fields import Values
from kit.practice.moves import Move

DRILL = Screws()
RESERVE, FLOOR_BITE, STACK_BITE = 2.0, 8.0, 12.0  # told in the task


@dataclass(frozen=True)
class Step:
    """One screw as an apprentice sees it: through so much, from so high, into what."""

    stack: str
    name: str
    passes: float
    above: float

    @property
    def key(self) -> str:
        return f"{self.stack.lower()}_{self.name}"

    @property
    def bite(self) -> float:
        return FLOOR_BITE if self.name == "base" else STACK_BITE


@dataclass(frozen=True)
class Sheet:
    """What the task tells on paper."""

    lengths: tuple[float, ...]
    head: float
    bearer: float
    packs: dict[str, tuple[float, ...]]

    @property
    def steps(self) -> list[Step]:
        return [step for stack, packs in self.packs.items() for step in self._of(stack, packs)]

    def _of(self, stack: str, packs: tuple[float, ...]) -> list[Step]:
        """Base through the first that is screwed, pack through the rest, bearer on top."""
        whole = sum(packs)
        bearer = Step(stack, "bearer", self.bearer, whole + self.bearer)
        if max(packs) < 6:
            return [bearer]
        lowest = sum(takewhile(lambda thick: thick < 6, packs)) + next(p for p in packs if p >= 6)
        steps = [Step(stack, "base", lowest, lowest)]
        if packs[-1] >= 6 and len(packs) > 1:
            steps.append(Step(stack, "pack", whole - lowest, whole))
        return [*steps, bearer]


def read_sheet(hands) -> Sheet:
    given = hands.attempt.task.given
    said = " ".join(given.sentences)
    lengths = re.search(r"In the van: ([\d., ]+) mm", said)[1]
    table = given.tables[0][1]
    return Sheet(
        tuple(float(length) for length in lengths.split(", ")),
        float(re.search(r"drawn ([\d.]+) mm", said)[1]),
        float(re.search(r"bearer is ([\d.]+) mm", said)[1]),
        {
            stack: tuple(float(thick) for thick in packs.split())
            for stack, packs in zip(table["stack"], table["from_the_floor_up_mm"], strict=True)
        },
    )


def detect(hands, sheet: Sheet) -> set[str]:
    """Ask, then go along the stacks with the detector; return where it signals."""
    hands.do(Move("ask"))
    seen = {stack: hands.do(Move("detect", {"stack": stack})) for stack in sheet.packs}
    return {stack for stack, one in seen.items() if "signals" in one.words}


def lift(hands) -> float:
    """Lift a board in the far corner, out of everybody's way, and measure it."""
    return hands.do(Move("lift", {"at": (300.0, 2200.0)})).figures["board_mm"]


def longest(sheet: Sheet, step: Step, depth: float, *, warm: bool) -> str:
    """Take the longest that bites and keeps the depth."""
    if warm and step.name == "base":
        return "none"
    deepest = 0.0 if warm else depth
    fits = [
        length
        for length in sheet.lengths
        if length + sheet.head - step.passes >= step.bite
        and length + sheet.head - step.above <= deepest
    ]
    return f"{max(fits):g}" if fits else "none"


def at_least(sheet: Sheet, length: float) -> str:
    """Take the next length in the van that is no shorter."""
    return f"{min(one for one in sheet.lengths if one >= length):g}"


def sound(hands) -> Values:
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def past_the_board(hands) -> Values:
    """Thirty millimetres in the wood below hold, whatever the board; keeps off the heating."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True)
        if s.stack in warm
        else at_least(sheet, s.passes + 30)
        for s in sheet.steps
    }


def countersink_forgotten(hands) -> Values:
    """Reckon from the surface, as if heads stayed flush with it."""
    sheet = replace(read_sheet(hands), head=0.0)
    warm, board = detect(hands, sheet), lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def board_guessed(hands) -> Values:
    """Boards are 21 mm, everybody knows."""
    sheet = read_sheet(hands)
    warm = detect(hands, sheet)
    return {s.key: longest(sheet, s, 21 - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def services_unasked(hands) -> Values:
    """Measure the board and go ahead."""
    sheet = read_sheet(hands)
    board = lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=False) for s in sheet.steps}


def into_heating(hands) -> Values:
    """Go along with the detector, and think that the board is thick enough over a pipe."""
    sheet = read_sheet(hands)
    detect(hands, sheet)
    board = lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=False) for s in sheet.steps}


def no_bite(hands) -> Values:
    """To be on the safe side: what it passes, and five millimetres."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True)
        if s.stack in warm
        else at_least(sheet, s.passes + 5)
        for s in sheet.steps
    }


def one_length(hands) -> Values:
    """Work base, pack and bearer screw out where each comes first; the rest take the same."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    first: dict[str, str] = {}
    for s in sheet.steps:
        if s.stack not in warm:
            first.setdefault(s.name, longest(sheet, s, board - RESERVE, warm=False))
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True) if s.stack in warm else first[s.name]
        for s in sheet.steps
    }


def left_out(hands) -> Values:
    """A bearer lies by its weight."""
    return {
        key: "none" if key.endswith("bearer") else length for key, length in sound(hands).items()
    }
