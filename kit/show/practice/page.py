"""What the practice page shows of a desk: only what was given, seen and marked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from kit.ink.table import sentences
from kit.practice.fields import Field
from kit.practice.grades import GRADES
from kit.practice.marking import HINT_COST, effort
from kit.practice.moves import Done, MoveForm
from kit.show.practice.desk import PracticeDesk
from kit.show.practice.edge import edge_picture
from kit.show.practice.marks import log_table, marks_page, rule_table, tables_page
from kit.show.practice.plan import plan_picture
from kit.show.practice.vial import vial_picture
from kit.show.two_bases.drawing import image

#: Widths before a browser has told its own, and the least that can be read [px].
WIDTH_PX, LEAST_PX = 700.0, 300.0

#: From this width on a bubble and its edge stand beside each other, so far apart [px].
BESIDE_PX, GAP_PX = 640.0, 40.0


def task_state(desk: PracticeDesk) -> dict[str, Any]:
    """Return what is asked, what is given, and the forms."""
    attempt = desk.attempt
    given, drill = attempt.task.given, attempt.drill
    return {
        "id": desk.begun,
        "title": drill.title,
        "aim": drill.aim,
        "given": sentences(given.sentences).html + _beside(given.tables),
        "forms": [_form(form) for form in attempt.task.forms],
        "asked": [_field(field) for field in attempt.task.asked],
        "closed": bool(desk.marked),
        "moves": len(attempt.done),
        "rule": rule_table(drill).html,
        "hints_left": len(drill.hints) - attempt.hints,
        "hint_cost": HINT_COST,
        "score": _score(attempt.done, attempt.hints),
    }


def plan_state(desk: PracticeDesk, width_px: float) -> str:
    """Return the plan; the floor itself only once the answer has been given."""
    attempt = desk.attempt
    if not attempt.task.given.room_mm[0]:
        return ""
    revealed = desk.marked[0].worked if desk.marked else None
    if revealed is None:
        return plan_picture(attempt.task.given, attempt.done, width_px).svg
    return plan_picture(
        attempt.task.given, attempt.done, width_px, revealed.on_plan, revealed.floor
    ).svg


def last_state(desk: PracticeDesk, width_px: float) -> dict[str, str]:
    """Return what the last move showed, in words and drawn."""
    if not desk.attempt.done:
        return {"words": "", "html": "", "tables": ""}
    seen = desk.attempt.done[-1].seen
    beside = len(seen.vial) + len(seen.under) > 1 and width_px >= BESIDE_PX
    wide = (width_px - GAP_PX) / 2 if beside else width_px
    drawn = [vial_picture(vial, wide) for vial in seen.vial]
    drawn += [edge_picture(under, wide) for under in seen.under]
    parts = "".join(image(picture) for picture in drawn)
    shown = f'<div class="ufk-shown">{parts}</div>' if parts else ""
    return {"words": seen.words, "html": shown, "tables": _beside(seen.tables)}


def log_state(desk: PracticeDesk) -> str:
    """Return the moves so far."""
    return log_table(desk.attempt.done).html if desk.attempt.done else ""


def marks_state(desk: PracticeDesk, width_px: float) -> str:
    """Return the mark, mistakes, what they do, and a sound way; empty before the answer."""
    asked = desk.attempt.task.asked
    return "".join(marks_page(marked, asked, width_px).html for marked in desk.marked)


def said_state(desk: PracticeDesk) -> dict[str, Any]:
    """Return what is amiss, and what is to stand in the fields of a form."""
    form, typed = desk.fill
    return {
        "problems": [
            {"words": one.words, "form": one.form, "field": one.field} for one in desk.amiss
        ],
        "fill": {"form": form, "typed": dict(typed)},
    }


def choices(desk: PracticeDesk) -> dict[str, Any]:
    """Return the drills and grades to choose from, and which are chosen."""
    return {
        "drills": [[drill.key, drill.title] for drill in desk.drills],
        "grades": [[grade.name, f"{grade.name}: {grade.words}"] for grade in GRADES],
        "drill": desk.drill,
        "grade": desk.grade,
        "seed": str(desk.seed),
    }


def _beside(tables: Sequence[tuple[str, pd.DataFrame]]) -> str:
    return f'<div class="ufk-tables">{tables_page(tables).html}</div>' if tables else ""


def _form(form: MoveForm) -> dict[str, Any]:
    return {
        "kind": form.kind,
        "label": form.label,
        "fields": [_field(field) for field in form.fields],
        "drag": list(form.drag),
        "turn": form.turn,
    }


def _field(field: Field) -> dict[str, Any]:
    return {
        "key": field.key,
        "label": field.label,
        "kind": field.kind,
        "unit": field.unit,
        "choices": list(field.choices),
    }


def _score(done: tuple[Done, ...], hints: int) -> str:
    placements, seconds = effort(done)
    minutes, rest = divmod(round(seconds), 60)
    asked = f", {hints} hint{'s' * (hints != 1)}" if hints else ""
    return f"{placements} placement{'s' * (placements != 1)}, {minutes} min {rest:02d} s{asked}"
