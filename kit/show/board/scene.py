"""What the board shows: the desk turned into drawings and words for the view."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, TypeVar

from kit.base.layout import Layout
from kit.job import Job, PlacedProblem, Problem
from kit.show.board.controls import PLACE, controls_state
from kit.show.board.desk import Desk
from kit.show.board.elevation_picture import elevation_picture
from kit.show.board.lists import packer_lists, unit_lists
from kit.show.board.map_key import map_key
from kit.show.board.numbers import STEP_MM, show_box
from kit.show.board.plan_frame import PlanFrame, frame_of
from kit.show.board.plan_ground import ground_layer
from kit.show.board.plan_picture import mark_layer
from kit.show.board.plan_supports import supports_data
from kit.show.board.residual_map import map_layer
from kit.show.board.stack_picture import stack_picture
from kit.show.board.stack_words import stack_words
from kit.show.board.tables import TABS, figures_line
from kit.show.board.window_picture import window_picture
from kit.show.lengths import length_with_unit
from kit.show.section import Profile, profile, section
from kit.show.table import records

State = dict[str, Any]
T = TypeVar("T")

#: Room taken for the pictures until the view has told its own [px].
FIRST_PLAN_PX, FIRST_SIDE_PX = 960.0, 335.0

#: Sheets whose lists are edited, beside the tables that are read.
UNITS, PACKERS = "Units", "Packers"
SHEETS = (*TABS, UNITS, PACKERS)

#: Words of a problem below the plan: how wide at most, and how tall [px].
CALLOUT_PX, LANE_PX = 300.0, 64.0

_ROWS = {"B": "back row", "M": "middle row", "F": "front row", "D": "row under deeper units"}


@dataclass
class Kept:
    """What was drawn last, kept while what it was drawn from is the same."""

    drawn: dict[str, tuple[tuple[object, ...], Any]] = field(default_factory=dict)

    def of(self, name: str, given: tuple[object, ...], draw: Callable[[], T]) -> T:
        """Return a drawing, made anew only where it would be another one."""
        old = self.drawn.get(name)
        if old is None or not all(_same(a, b) for a, b in zip(old[0], given, strict=True)):
            old = self.drawn[name] = (given, draw())
        return old[1]  # type: ignore[no-any-return]


def _same(one: object, other: object) -> bool:
    return one is other or (isinstance(one, float | str | tuple) and one == other)


class Scene:
    """The desk as it is seen, for a view of a certain width.

    Parameters
    ----------
    desk : Desk
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.plan_px, self.side_px = FIRST_PLAN_PX, FIRST_SIDE_PX
        self.sheet = SHEETS[0]
        self._kept = Kept()

    def at_once(self) -> State:
        """Return what must follow the hand: supports, elevation, stack, controls, words."""
        return {
            "supports": self._supports(self._frame()),
            "elevation": self._elevation(),
            "stack": self._stack(),
            "controls": controls_state(self.desk),
            "said": self._said(),
        }

    def soon(self) -> State:
        """Return what may follow a moment later: what lies under the supports, sheets, history."""
        frame = self._frame()
        return {
            "plan": self._plan(frame),
            "map": self._map(frame),
            "window": self._window(),
            "sheet": self._sheet(),
            "head": self._head(),
        }

    # ---- plan -----------------------------------------------------------------------------

    def _frame(self) -> PlanFrame:
        desk, layout = self.desk, self.desk.layout
        given = (layout.rows, layout.units, desk.job.no_go, desk.job.runs, self.plan_px)
        return self._kept.of("frame", given, lambda: frame_of(desk.job, layout, self.plan_px))

    def _map(self, frame: PlanFrame) -> str:
        answer = self.desk.answer
        given = (answer.survey, frame)
        return self._kept.of("map", given, lambda: map_layer(answer, frame))

    def _plan(self, frame: PlanFrame) -> State:
        desk, answer, layout = self.desk, self.desk.answer, self.desk.layout
        cuts = answer.cuts
        ground = self._kept.of(
            "ground",
            (frame, layout.rows, layout.units, cuts, desk.job.no_go, desk.job.services),
            lambda: ground_layer(desk.job, layout, cuts, frame),
        )
        marks = self._kept.of(
            "marks",
            (frame, answer.high_point, answer.layout.rows, answer.datum),
            lambda: mark_layer(answer, frame),
        )
        key = self._kept.of(
            "key", (answer.survey, frame), lambda: map_key(answer, frame, self.plan_px).svg
        )
        return {
            "width": round(frame.width_px, 1),
            "height": round(frame.height_px, 1),
            "ground": ground,
            "marks": marks,
            "key": key,
            "words": f"Plan: {len(layout.rows)} bearers, {len(layout.supports)} supports.",
        }

    def _supports(self, frame: PlanFrame) -> State:
        desk = self.desk
        placed = list(self._placed_problems())
        wrong = {support for support, _, _ in placed}
        run_mm = {run.name: run.length_mm for run in desk.job.runs}
        units = desk.job.units
        shown = []
        rows = records(desk.layout.supports)
        drawn = self._kept.of(
            "supports", (desk.layout, frame), lambda: supports_data(desk.layout, frame)
        )
        for one, row in zip(drawn, rows, strict=True):
            name, at = str(one["name"]), float(one["own_x_mm"])
            by_hand = "by_hand" in str(row["reasons"])
            shown.append(
                {
                    **one,
                    "at_mm": at,
                    "step_mm": STEP_MM[units],
                    "by_hand": by_hand,
                    "wrong": name in wrong,
                    "label": f"support {name}, {row['reasons']}".replace("by_hand", "by hand"),
                    "words": f"{show_box(at, units)} {units} from the left end of"
                    f" {show_box(run_mm[str(row['run'])], units)}"
                    + f", moved by hand from {show_box(float(row['rules_mm']), units)}"
                    * by_hand,
                }
            )
        callouts = _callouts([(words, at) for _, words, at in placed], frame)
        lowest = max((float(str(one["y"])) for one in callouts), default=0.0)
        room = lowest + LANE_PX - frame.height_px if callouts else 0.0
        return {
            "list": shown,
            "chosen": desk.support,
            "callouts": callouts,
            "room": round(room, 1),
        }

    def _placed_problems(self) -> Iterator[tuple[str, str, tuple[float, float]]]:
        """Yield support, words and place in the picture of each problem that has a place."""
        frame, layout = self._frame(), self.desk.layout
        for problem in self.desk.problems:
            at = place_of(problem, self.desk.job, layout)
            if at is not None:
                name, (x, y) = at
                yield name, f"{name}: {problem.found}", frame.to_px(x, y)

    # ---- pictures beside it ---------------------------------------------------------------

    def _elevation(self) -> State:
        desk, answer = self.desk, self.desk.answer
        row = answer.layout.row(desk.row)
        floor = self._profile(desk.row)
        part = section(answer, row, floor)
        picture = elevation_picture(answer, part, self.plan_px, chosen=desk.support)
        several = len(answer.layout.frames) > 1
        labels = [
            {"name": r.name, "label": f"{r.name}: {_ROWS[r.label]}" + f", run {r.run}" * several}
            for r in answer.layout.rows
        ]
        stale = "" if desk.good else "The last good answer, not what the controls say now:"
        return {"svg": picture.svg, "rows": labels, "row": desk.row, "stale": stale}

    def _profile(self, bearer: str) -> Profile:
        answer = self.desk.answer
        row = answer.layout.row(bearer)
        given = (answer.survey, row.run, row.y_mm, answer.layout.units, answer.job.runs)
        return self._kept.of("profile", given, lambda: profile(answer, row))

    def _stack(self) -> State:
        desk, answer = self.desk, self.desk.answer
        if not desk.support:
            return {"name": "", "svg": "", "words": [], "by_hand": False}
        rules_mm, at_mm = desk.place_of(desk.support)[1:]
        return {
            "name": desk.support,
            "svg": stack_picture(answer, desk.support, min(self.plan_px, 760.0)).svg,
            "words": list(stack_words(answer, desk.support)),
            "by_hand": at_mm != rules_mm,
            "place": show_box(at_mm, desk.job.units),
            "unit": desk.job.units,
            "error": desk.errors.get(PLACE, ("", ""))[1],
        }

    def _window(self) -> str:
        desk, answer = self.desk, self.desk.answer
        now = answer.datum.base_height_mm
        given = (desk.reach, now, answer.pieces * 1.0, self.side_px)
        return self._kept.of(
            "window",
            given,
            lambda: (
                window_picture(
                    desk.reach, now, answer.job.units, self.side_px, pieces_now=answer.pieces
                ).svg
            ),
        )

    def _said(self) -> State:
        desk = self.desk
        problems = [f"✗ This cannot be built: {_in_words(problem)}" for problem in desk.problems]
        if problems:
            height = length_with_unit(desk.answer.datum.base_height_mm, desk.job.units)
            problems.append(
                "Elevation, stack and tables still show the last good answer, at a base height of"
                f" {height}. Go on, or undo."
            )
        figures = figures_line(desk.answer, last_good=not desk.good)
        return {"problems": problems, "notice": desk.notice, "figures": figures}

    # ---- papers ---------------------------------------------------------------------------

    def _sheet(self) -> State:
        desk = self.desk
        lists = {UNITS: unit_lists, PACKERS: packer_lists}.get(self.sheet)
        html = "" if lists else TABS[self.sheet](desk.answer)
        if html and not desk.good:
            html = "<p><b>The last good answer, not what the controls say now.</b></p>" + html
        return {
            "names": list(SHEETS),
            "open": self.sheet,
            "html": html,
            "lists": lists(desk) if lists else [],
        }

    def _head(self) -> State:
        draft = self.desk.draft
        return {
            "title": f"{self.desk.job.title}: {self.desk.name}",
            "undo": draft.undo_words,
            "redo": draft.redo_words,
            "changes": [difference.words for difference in draft.changed()],
        }


def _in_words(problem: Problem) -> str:
    """Say a problem; one of a support by the support's name alone, not its place in the file."""
    if isinstance(problem, PlacedProblem):
        return f"{problem.support} {problem.found}. Allowed: {problem.allowed}."
    return str(problem)


def place_of(problem: Problem, job: Job, layout: Layout) -> tuple[str, tuple[float, float]] | None:
    """Return what a problem is about and where that is in plan; None where it has no place.

    Parameters
    ----------
    problem : Problem
        Its own place is taken, else that of the support, area or unit that its words name.
    job, layout : Job, Layout
        What stands where.
    """
    if isinstance(problem, PlacedProblem):
        return problem.support, problem.at_mm
    said = f"{problem.where} {problem.found}"
    for one in records(layout.supports):
        if re.search(rf"\bsupports? {re.escape(str(one['support']))}\b", said):
            return str(one["support"]), (float(one["x_mm"]), float(one["y_mm"]))
    for area in job.no_go:
        if repr(area.name) in said:
            (x, y), (wide, deep) = area.corner_mm, area.size_mm
            return area.name, (x + wide / 2, y + deep / 2)
    for placed in layout.units:
        if repr(placed.unit.name) in said:
            middle = (placed.left_mm + placed.right_mm) / 2
            x_mm, y_mm = layout.frames[placed.run].to_site(middle, placed.unit.depth_mm / 2)
            return placed.unit.name, (float(x_mm), float(y_mm))
    return None


def _callouts(placed: list[tuple[str, tuple[float, float]]], frame: PlanFrame) -> list[State]:
    """Put the words of problems below the plan, none on another, each with a line to its place."""
    ends: list[float] = []
    found: list[State] = []
    for words, (x, y) in sorted(placed, key=lambda one: one[1]):
        left = min(max(x - 14.0, 0.0), max(frame.width_px - CALLOUT_PX, 0.0))
        lane = next((n for n, end in enumerate(ends) if end <= left), len(ends))
        ends[lane : lane + 1] = [left + CALLOUT_PX + 8.0]
        top = frame.height_px + lane * LANE_PX
        line = {"x1": x, "y1": y, "x2": min(max(x, left + 10.0), left + CALLOUT_PX), "y2": top}
        numbers = {"x": left, "y": top, **line}
        found.append({"words": words} | {name: round(px, 1) for name, px in numbers.items()})
    return found
