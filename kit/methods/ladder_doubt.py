"""Whether a frame's board is right in depth though the floor is not known exactly."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.checks import CLOSED_MM, Check
from kit.base.datum import Datum
from kit.base.scribe import Ways
from kit.base.sure import Sure, greatest_sure, least_sure
from kit.job import Ladder
from kit.methods.ladder_words import as_far_as_known

SURE_DEPTH = "depth of a member, 95 of 100 floors"
SURE_LEFT = "depth left of a member, 95 of 100 floors"


@dataclass(frozen=True)
class SureFrame:
    """Both ends of a frame's depth by 95 of 100 floors.

    Parameters
    ----------
    left, depth : Sure
        The least that is left of a member, and the most that one needs.
    places : tuple of str
        Where those are.
    board_mm, deeper_mm : float
        The board taken, and the deepest there is [mm].
    room_mm : float
        How much higher the frame may be set: within what is asked for, the ceiling, and what
        the deepest board reaches by 95 of 100 floors [mm].
    """

    left: Sure
    depth: Sure
    places: tuple[str, str]
    board_mm: float
    deeper_mm: float
    room_mm: float


def sure_frame(
    ladder: Ladder, known: pd.DataFrame, ways: Ways, datum: Datum, board_mm: float
) -> SureFrame:
    """Find both ends of a frame's depth.

    Parameters
    ----------
    ladder : Ladder
        Its boards.
    known : DataFrame
        The floor under it: bearer, lies, own_x_mm, sd_mm.
    ways : Ways
        From that floor up to the datum.
    datum : Datum
        Its level, and how high that may lie.
    board_mm : float
        Depth of its board [mm].
    """
    sd = known["sd_mm"].to_numpy(dtype=float)
    left = least_sure(datum.datum_mm - ways.edge_mm, sd)
    # Over a no-go area it reaches down to nothing.
    down = np.where(ways.bridged, -math.inf, datum.datum_mm - ways.floor_mm)
    depth, deepest = greatest_sure(down, sd), max(board.mm for board in ladder.boards)
    room = min(datum.window.high.datum_mm - datum.datum_mm, deepest - depth.value_mm)
    places = _place(known, left.at), _place(known, depth.at)
    return SureFrame(left, depth, places, board_mm, deepest, room)


def _place(known: pd.DataFrame, index: int) -> str:
    place = known.iloc[index]
    return f"{place['lies']} {place['bearer']} at x = {place['own_x_mm']:.0f} mm"


def doubt_checks(ladder: Ladder, sure: SureFrame, part: str) -> Iterator[Check]:
    """Yield whether 95 of 100 floors are reached by the board, and leave enough of it.

    ``part`` says why an ok is taken back; empty where the whole floor under it was surveyed.
    """
    left, depth = sure.left.value_mm, sure.depth.value_mm
    (thin, deep), least, board = sure.places, ladder.least_mm, sure.board_mm
    reached = "ok" if depth <= board + CLOSED_MM else "refer"
    enough = "ok" if left >= least - CLOSED_MM else "refer"
    low = "base.ladder.boards, at the place where the floor may lie lowest"
    high = "base.ladder.least_mm, at the place where the floor may stand highest"
    yield as_far_as_known(Check(SURE_DEPTH, deep, depth, board, "mm", reached, low), part)
    yield as_far_as_known(Check(SURE_LEFT, thin, left, least, "mm", enough, high), part)


def doubt_cautions(ladder: Ladder, sure: SureFrame) -> Iterator[str]:
    """Say that a member may come out too shallow or too weak, and what can be done."""
    missing = ladder.least_mm - sure.left.value_mm
    too_weak, too_shallow = missing > CLOSED_MM, sure.depth.value_mm > sure.board_mm + CLOSED_MM
    said = []
    if too_shallow:
        said.append(
            f"ask for {sure.depth.value_mm:.1f} mm or more at {sure.places[1]}, and the board is"
            f" {sure.board_mm:g} mm deep"
        )
    if too_weak:
        said.append(
            f"leave {sure.left.value_mm:.1f} mm or less at {sure.places[0]}, where"
            f" {ladder.least_mm:g} mm must be left"
        )
    if said:
        yield (
            "The floor is not known exactly: 5 of 100 floors that fit the readings"
            f" {'; 5 of 100 '.join(said)}. {_advice(ladder, sure, missing if too_weak else 0.0)}"
        )


def _advice(ladder: Ladder, sure: SureFrame, missing_mm: float) -> str:
    """Say what can be done: a frame set higher needs a board that is as much deeper."""
    higher = 0.0 < missing_mm <= sure.room_mm + CLOSED_MM
    needed = sure.depth.value_mm + (missing_mm if higher else 0.0)
    enough = [board.mm for board in ladder.boards if board.mm >= needed - CLOSED_MM]
    ways = [f"set the frame {missing_mm:.1f} mm higher"] if higher else []
    if enough and min(enough) > sure.board_mm:
        ways.append(f"take the next deeper board that reaches, {min(enough):g} mm")
    does = " and ".join(ways)
    again = "read the floor there again"
    if missing_mm and not higher:
        again += ", or take another way of building"
    elif not enough:
        again += f", or have a board deeper than {sure.deeper_mm:g} mm at hand"
    said = f"{does}, or {again}" if does else again
    return f"{said[0].upper()}{said[1:]}."
