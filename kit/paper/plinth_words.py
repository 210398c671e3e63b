"""What is said of a plinth: how the sheet is used, and what it does not know."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kit.answer import Answer
from kit.base.cautions import DUST
from kit.base.plinth import plinth_y_mm
from kit.base.plinth_ends import ends_sentence, plinth_ends
from kit.base.plinth_profile import PlinthBoard, PlinthProfile
from kit.base.plinth_room import rows_at_plinth
from kit.ink.inch_words import in_units
from kit.ink.lengths import length_with_unit
from kit.ink.table import records
from kit.paper.beside import BESIDE
from kit.paper.full_size import control_words
from kit.paper.job_sheet_places import set_out


def how_to(answer: Answer, profile: PlinthProfile, *, scribed: bool) -> Iterator[str]:
    """Yield how the sheet is used, step by step.

    Parameters
    ----------
    answer : Answer
        Of which the plinth is.
    profile : PlinthProfile
        Its plinth.
    scribed : bool
        Whether strips to scribe by follow.
    """
    units = answer.job.units
    yield (
        f"The upper edge meets the base top, {length_with_unit(answer.datum.base_height_mm, units)}"
        f" above the high point; the face stands {_faces(answer)} out from the units' backs."
        " Everything is seen from the room: left is the run's left end, up is up; a board's face"
        " looks at you."
    )
    yield "Cut each board to its length. Where two meet, both ends are cut square."
    if any(board.manner == "straight" for board in profile.boards):
        yield (
            "A straight board is ripped to its width and set with its upper edge at the base top;"
            " it touches the floor where that is highest."
        )
    if not scribed:
        return
    yield (
        "Print at 100 %, not fitted to the page, and measure the control line of every page:"
        f" {control_words(units)}. Join the pieces of a board's strip with the straight lines in"
        " one line and the arrows on each other; measure the joined strip: it is as long as its"
        " board."
    )
    yield (
        "A board may first be ripped, along its lower edge, to the width of the table: no place"
        " asks for more."
    )
    yield (
        "Draw a line along the board's face, as far below its upper edge as the strip says. Lay"
        " the strip's straight line on it, left end on left end, and cut along the curve: what"
        " is grey comes off."
    )
    yield "Leave the line standing, offer the board up, and ease it where it bears."


def _faces(answer: Answer) -> str:
    """Return how far out the face of each run's plinth stands."""
    units, runs = answer.job.units, list(answer.layout.frames)
    return ", ".join(
        f"{set_out(answer, plinth_y_mm(answer.base, answer.layout, run))} {units}"
        + f" (run {run})" * (len(runs) > 1)
        for run in runs
    )


def cautions(
    answer: Answer, profile: PlinthProfile, too_tall: Sequence[PlinthBoard]
) -> Iterator[str]:
    """Yield what is not known of the plinth, and what its boards run into.

    Parameters
    ----------
    answer, profile : Answer, PlinthProfile
        As for `how_to`.
    too_tall : sequence of PlinthBoard
        Boards whose strip finds no room on a page.
    """
    for line in (
        *_in_the_way(answer),
        *_ends(answer),
        *_of_plinth(answer, profile, too_tall),
        DUST,
        *BESIDE,
    ):
        yield in_units(line, answer.job.units)


def _in_the_way(answer: Answer) -> Iterator[str]:
    """Yield which rows stand where a plinth's board is to stand, or in front of it."""
    for one in rows_at_plinth(answer.base, answer.layout):
        name, thick = one.row.name, f"{one.back_mm:.1f} to {one.face_mm:.1f} mm out from the backs"
        if one.beyond:
            yield (
                f"Row {name} stands in front of this plinth, under deeper units: their own plinth"
                " and its returns are not on this sheet."
            )
        elif one.clashes:
            yield (
                f"Row {name} reaches {-one.room_mm:.1f} mm past the board's back, and the board"
                f" lies {thick}: set the plinth back less or the row back more, or rebate the"
                " board there, before it is cut."
            )


def _ends(answer: Answer) -> Iterator[str]:
    """Yield what is open at the ends of the runs."""
    for run, what in plinth_ends(answer.job, answer.base, answer.layout).items():
        yield f"Run {run}: {ends_sentence(what)}."


def _of_plinth(
    answer: Answer, profile: PlinthProfile, too_tall: Sequence[PlinthBoard]
) -> Iterator[str]:
    for board in profile.boards:
        yield from _not_surveyed(board)
        yield from _narrow(board)
    yield from _doubt(profile)
    yield from (
        f"Board {board.name} is cut by more than a page has room for: no strip, see the table."
        for board in too_tall
    )
    yield from _summary(answer, profile)
    if answer.job.floor.finish_mm:
        finish = answer.job.floor.finish_mm
        yield f"The heights end {finish:g} mm above the floor as read, on the finish to come."
    lift = answer.datum.front_lift_mm
    if lift:
        yield (
            f"The front row is set {lift:.1f} mm high. Heights are to the base top of the back"
            " row: until the floor has given way the units stand that much off the plinth."
        )


def _not_surveyed(board: PlinthBoard) -> Iterator[str]:
    for left, right in board.open_mm:
        yield (
            f"Board {board.name}: nobody read the floor from {left:.0f} to {right:.0f} mm along"
            " the run. Read it there, or scribe that stretch on site, before the board is bought:"
            " a lower floor takes a wider one."
        )


def _narrow(board: PlinthBoard) -> Iterator[str]:
    """Yield whether its board is too narrow, or may be on a floor that lies a little lower."""
    if not math.isfinite(board.greatest_mm):
        return
    known = [one for one in records(board.line) if math.isfinite(one["height_mm"])]
    widest = max(known, key=lambda one: float(one["height_mm"]))
    where = f"at {widest['along_mm']:.0f} mm along the run"
    if math.isnan(board.board_mm):
        yield (
            f"Board {board.name}: no board of the job is as wide as the {board.greatest_mm:.1f} mm"
            f" that the plinth's run asks for; here it asks for that {where}."
        )
        return
    spare, doubt = board.board_mm - board.greatest_mm, 2 * float(widest["floor_sd_mm"])
    if spare < doubt:
        yield (
            f"Board {board.name} has {spare:.1f} mm to spare {where}, less than twice the floor's"
            f" doubt, {doubt:.1f} mm: measure there before it is bought."
        )


def _doubt(profile: PlinthProfile) -> Iterator[str]:
    known = [
        one
        for board in profile.boards
        for one in records(board.line)
        if math.isfinite(one["floor_sd_mm"])
    ]
    if not known:
        return
    worst = max(known, key=lambda one: float(one["floor_sd_mm"]))
    yield (
        f"Between readings the floor line is a best estimate: its doubt reaches"
        f" {float(worst['floor_sd_mm']):.1f} mm (1 sd) at {float(worst['along_mm']):.0f} mm along"
        f" run {worst['run']}. What stands there is not known closer before the board is offered"
        " up."
    )


def _summary(answer: Answer, profile: PlinthProfile) -> Iterator[str]:
    """Yield where a closer look at the line asks for another board than the summary names."""
    closer = profile.summary()
    for run, board in zip(answer.plinth["run"], answer.plinth["board_mm"], strict=True):
        found = float(closer.loc[closer["run"] == run, "board_mm"].iloc[0])
        if math.isfinite(board) and found != board:
            other = f"a board of {found:g} mm" if math.isfinite(found) else "a wider board"
            yield (
                f"Run {run}: the summary of the job names a board of {board:g} mm from heights"
                f" every 100 mm; between them the floor lies lower and asks for {other}."
            )
