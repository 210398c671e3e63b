"""What the board shows: the desk turned into drawings and words for the view."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from kit.base.cautions import NO_APPROVAL
from kit.ink.lengths import length_with_unit
from kit.ink.table import records
from kit.job import Job
from kit.job.model import Part
from kit.show.board.controls import controls_state
from kit.show.board.desk import PLACE, Desk
from kit.show.board.elevation_frame import ROW_WORDS
from kit.show.board.elevation_picture import elevation_picture
from kit.show.board.lists import packer_lists, unit_lists
from kit.show.board.load_picture import CASE_WORDS, load_picture
from kit.show.board.map_key import map_key
from kit.show.board.numbers import STEP_MM, show_box
from kit.show.board.plan_frame import PlanFrame, frame_of
from kit.show.board.plan_ground import ground_layer
from kit.show.board.plan_picture import mark_layer
from kit.show.board.plan_supports import supports_data
from kit.show.board.problems import callouts_below, in_words, place_of, placed_problems
from kit.show.board.residual_map import map_layer
from kit.show.board.stack_picture import stack_picture
from kit.show.board.stack_words import stack_words
from kit.show.board.tables import TABS, figures_line
from kit.show.board.window_picture import window_picture
from kit.show.section import Profile, profile, section

State = dict[str, Any]
T = TypeVar("T")

#: Room taken for the pictures until the view has told its own [px].
FIRST_PLAN_PX, FIRST_SIDE_PX = 960.0, 335.0

#: No picture can be drawn in less [px].
LEAST_PX = 150.0

#: What a hand may do on the plan, with the steps of a key.
HINTS = {
    units: f"Drag a support along its bearer, or give it the focus and press ← → ({step}) or Page"
    f" Up, Page Down ({ten}); Delete hands it back to the rules. Tap or Enter shows its stack"
    " large, with buttons and a box for its place."
    for units, step, ten in (("mm", "1 mm", "10 mm"), ("in", "1/16 in", "5/8 in"))
}

#: What stands below a plan that could not be laid out anew.
OLD_PLAN = "The plan is the last one that could be laid out, not what the controls say now. "

#: Sheets whose lists are edited, beside the tables that are read.
UNITS, PACKERS = "Units", "Packers"
SHEETS = (*TABS, UNITS, PACKERS)


@dataclass
class Kept:
    """What was drawn last, kept while what it was drawn from is the same."""

    drawn: dict[str, tuple[tuple[object, ...], Any]] = field(default_factory=dict)

    def of(self, name: str, given: tuple[object, ...], draw: Callable[[], T]) -> T:
        """Return a drawing, made anew only where it would be another one."""
        old = self.drawn.get(name)
        if old is None or not all(_same(a, b) for a, b in zip(old[0], given, strict=True)):
            old = self.drawn[name] = (given, draw())
        return old[1]


def _same(one: object, other: object) -> bool:
    # A changed job is made of new parts: those that say the same are the same.
    return one is other or (isinstance(one, float | str | tuple | Part) and one == other)


def _drawn_of(job: Job) -> tuple[object, ...]:
    """Return what the plan shows of a job besides its layout."""
    return (
        job.no_go,
        job.services,
        job.doorways,
        job.movement_joints,
        job.floor,
        job.runs,
        job.units,
    )


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
        self.case = "full"
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
            "loads": self._loads(),
            "sheet": self._sheet(),
            "head": self._head(),
        }

    def have_room(self, plan_px: float, side_px: float) -> None:
        """Draw for other widths; a view that is not there yet has none that can be drawn in."""
        if min(plan_px, side_px) >= LEAST_PX:
            self.plan_px, self.side_px = plan_px, side_px

    # ---- plan -----------------------------------------------------------------------------

    def _frame(self) -> PlanFrame:
        desk, layout = self.desk, self.desk.layout
        job = desk.drawn_job
        given = (layout.rows, layout.units, *_drawn_of(job), self.plan_px)
        return self._kept.of("frame", given, lambda: frame_of(job, layout, self.plan_px))

    def _map(self, frame: PlanFrame) -> str:
        answer = self.desk.answer
        # Names that moved over it do not change a map; to draw that of a long hall takes seconds.
        lies = (frame.left_mm, frame.top_mm, frame.px_per_mm, frame.width_px, frame.height_px)
        given = (answer.survey, lies, answer.job.units)
        return self._kept.of("map", given, lambda: map_layer(answer, frame))

    def _plan(self, frame: PlanFrame) -> State:
        desk, answer, layout = self.desk, self.desk.answer, self.desk.layout
        cuts, job = answer.cuts, desk.drawn_job
        ground = self._kept.of(
            "ground",
            (frame, layout.rows, layout.units, cuts, answer.strength.joists, *_drawn_of(job)),
            lambda: ground_layer(job, layout, cuts, frame, answer.strength.joists),
        )
        marks = self._kept.of(
            "marks",
            (frame, answer.high_point, answer.layout.rows, answer.datum, answer.strength.joists),
            lambda: mark_layer(answer, frame),
        )
        key = self._kept.of(
            "key",
            (answer.survey, frame, answer.strength.joists),
            lambda: map_key(answer, frame, self.plan_px).svg,
        )
        return {
            "width": round(frame.width_px, 1),
            "height": round(frame.height_px, 1),
            "ground": ground,
            "marks": marks,
            "key": key,
            "words": f"Plan: {len(layout.rows)} bearers, {len(layout.supports)} supports.",
            "hint": ("" if job is desk.job or desk.good else OLD_PLAN) + HINTS[job.units],
        }

    def _supports(self, frame: PlanFrame) -> State:
        desk = self.desk
        placed = placed_problems(desk.problems, desk.drawn_job, desk.layout)
        drawn = self._kept.of(
            "supports", (desk.layout, frame), lambda: supports_data(desk.layout, frame)
        )
        wrong = {one.name for one in placed}
        idle = {one.support for one in desk.answer.strength.stacks if one.idle and desk.good}
        rows = records(desk.layout.supports)
        callouts, room_px = callouts_below(placed, frame)
        return {
            "list": [self._support(*pair, wrong, idle) for pair in zip(drawn, rows, strict=True)],
            "chosen": desk.support,
            "callouts": callouts,
            "room": room_px,
        }

    def _support(self, drawn: State, row: State, wrong: set[str], idle: set[str]) -> State:
        job, at = self.desk.drawn_job, float(row["own_x_mm"])
        units = job.units
        whole = next(run.length_mm for run in job.runs if run.name == row["run"])
        moved = f", moved by hand from {show_box(float(row['rules_mm']), units)}"
        return {
            **drawn,
            "at_mm": at,
            "step_mm": STEP_MM[units],
            "wrong": drawn["name"] in wrong,
            "idle": drawn["name"] in idle,
            "label": f"support {drawn['name']}, {row['reasons']}".replace("by_hand", "by hand"),
            "words": f"{show_box(at, units)} {units} from the left end of"
            f" {show_box(whole, units)} {units}"
            + moved * bool(drawn["by_hand"])
            + ", idle: carries nothing" * (drawn["name"] in idle),
        }

    # ---- pictures beside it ---------------------------------------------------------------

    def _elevation(self) -> State:
        desk, answer = self.desk, self.desk.answer
        row = answer.layout.row(desk.row)
        floor = self._profile(desk.row)
        part = section(answer, row, floor)
        picture = elevation_picture(answer, part, self.plan_px, chosen=desk.support)
        several = len(answer.layout.frames) > 1
        labels = [
            {
                "name": r.name,
                "label": f"{r.name}: {ROW_WORDS[r.label]}" + f", run {r.run}" * several,
            }
            for r in answer.layout.rows
        ]
        stale = "" if desk.good else "The last good answer, not what the controls say now:"
        return {"svg": picture.svg, "rows": labels, "row": desk.row, "stale": stale}

    def _loads(self) -> State:
        desk, answer = self.desk, self.desk.answer
        given = (answer, desk.row, desk.support, self.case, self.plan_px)
        svg = self._kept.of(
            "loads",
            given,
            lambda: (
                load_picture(
                    answer, desk.row, self.plan_px, chosen=desk.support, case=self.case
                ).svg
            ),
        )
        cases = [{"name": name, "label": label} for name, label in CASE_WORDS.items()]
        return {"svg": svg, "case": self.case, "cases": cases, "approval": NO_APPROVAL}

    def _profile(self, bearer: str) -> Profile:
        answer = self.desk.answer
        row = answer.layout.row(bearer)
        given = (answer.survey, row.run, row.y_mm, answer.layout.units, answer.job.runs)
        return self._kept.of("profile", given, lambda: profile(answer, row))

    def _stack(self) -> State:
        desk, answer = self.desk, self.desk.answer
        if not desk.support:
            return {"name": "", "svg": "", "words": [], "by_hand": False, "stale": ""}
        rules_mm, at_mm = desk.place_of(desk.support)[1:]
        return {
            "name": desk.support,
            "svg": stack_picture(answer, desk.support, min(self.plan_px, 760.0)).svg,
            "words": list(stack_words(answer, desk.support)),
            "by_hand": at_mm != rules_mm,
            "stale": "" if desk.good else "Drawn as in the last good answer:",
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
        placed = [place_of(one, desk.drawn_job, desk.layout) is not None for one in desk.problems]
        problems = [
            {"words": f"✗ This cannot be built: {in_words(one)}", "placed": there}
            for one, there in zip(desk.problems, placed, strict=True)
        ]
        if problems:
            height = length_with_unit(desk.answer.datum.base_height_mm, desk.job.units)
            words = (
                "Elevation, stack and tables still show the last good answer, at a base height of"
                f" {height}. Go on, or undo."
            )
            problems.append({"words": words, "placed": all(placed)})
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
            "title": f"{self.desk.job.short_title}: {self.desk.name}",
            "file": f"{self.desk.job.folder.resolve() / 'job.toml'}",
            "undo": draft.undo_words,
            "redo": draft.redo_words,
            "changes": [difference.words for difference in draft.changed()],
        }
