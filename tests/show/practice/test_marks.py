"""An attempt in tables: every cost and figure told, units in the heads, nothing but letters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import pandas as pd
import pytest

from kit.practice.drill import Drill, Worked
from kit.practice.effects import Effect
from kit.practice.marking import RULE, Marked, marked
from kit.practice.mistakes import NEVER_TURNED, OUT, Mistake
from kit.practice.moves import Done, Move, Seen
from kit.show.practice.marks import (
    clock,
    effort_table,
    frame_table,
    log_table,
    marks_page,
    marks_table,
    mistake_table,
    tables_page,
    worked_page,
)

BAD = "<script>alert('x')</script>&"


@dataclass(frozen=True)
class Case:
    """A drill's kinds of mistake, as marking wants them."""

    kinds: tuple[Any, ...] = (NEVER_TURNED, OUT)
    key: str = "case"


def step(words: str, seconds: float, placement: bool = True) -> Done:
    return Done(Move("lay"), Seen(words, seconds, placement=placement))


@pytest.fixture
def case() -> Marked:
    """Return an answer with one mistake, a hint, too many placements and too much time."""
    worked = Worked(
        {"error": 1.25, "at": (300.0, 45.5), "way": "up"},
        (step("good one", 20.0), step("good two", 25.0)),
        ("because of this",),
        (("Truth", pd.DataFrame({"x_mm": [1.5, 20.25]})),),
    )
    mistake = Mistake(NEVER_TURNED, f"laid once {BAD}", Effect("it leans", lean_mm=4.3), "turn it")
    moves = [step(f"move {n}", 17.0) for n in range(5)]
    return marked(cast(Drill, Case()), (mistake,), moves, worked, hints=1)


def test_every_cost_is_told_and_adds_up(case: Marked) -> None:
    table = marks_table(case)
    costs = {what: int(cost.replace("−", "-")) for what, cost in table.rows}
    # 5 placements, 3 free (1.25 x 2 rounded up); 85 s, 67.5 free, each tenth 4.5 s.
    assert costs == {
        "never turned the level round": -30,
        "hints": -10,
        "placements": -2,
        "time": -4,
        "left": 54,
    }
    assert table.title == "54 of 100 marks"
    assert table.note == RULE


def test_full_marks_say_that_nothing_took_any(case: Marked) -> None:
    clean = marked(cast(Drill, Case()), (), case.worked.done, case.worked, hints=0)
    assert marks_table(clean).rows == (("nothing took marks", "0"), ("left", "100"))


def test_effort_stands_against_the_good_practice(case: Marked) -> None:
    assert effort_table(case).rows == (
        ("placements", "5", "2", "3"),
        ("time", "1 min 25 s", "45 s", "1 min 08 s"),
        ("hints", "1", "0", "0"),
    )


def test_a_mistake_tells_done_effect_and_sound_way(case: Marked) -> None:
    rows = dict(mistake_table(case.mistakes[0]).rows)
    assert rows["what you did"] == f"laid once {BAD}"
    assert rows["what it does to the furniture"] == "it leans"
    assert rows["a sound way"] == "turn it"
    assert rows["marks"] == "−30"


def test_the_page_has_all_parts_and_no_markup_of_others(case: Marked) -> None:
    html = marks_page(case, (), 500).html
    assert "<script" not in html
    assert "&lt;script&gt;" in html
    wanted = ("54 of 100 marks", "Effort", "Mistake: never turned", "<svg", "A sound way",
              "good two", "Truth")  # fmt: skip
    at = [html.index(part) for part in wanted]
    assert at == sorted(at)


def test_an_effect_without_figures_is_not_said_twice(case: Marked) -> None:
    plain = Mistake(OUT, "said 3", Effect("only words"), "look again")
    only = marked(cast(Drill, Case()), (plain,), case.worked.done, case.worked, hints=0)
    html = marks_page(only, (), 500).html
    assert html.count("only words") == 1
    assert "<svg" not in html


def test_a_sound_way_tells_its_answer(case: Marked) -> None:
    html = worked_page(case.worked).html
    assert "Its answer: error: 1.25; at: 300, 45.5; way: up." in html
    assert "because of this" in html


def test_the_log_runs_on() -> None:
    done = [step("a", 180.0), step(BAD, 7.5, placement=False), step("c", 35.0)]
    table = log_table(done)
    assert table.rows == (
        ("1", "a", "180", "3 min 00 s", "1"),
        ("2", BAD, "7.5", "3 min 08 s", "1"),
        ("3", "c", "35", "3 min 42 s", "2"),
    )
    assert "<script" not in table.html
    assert "[s]" in table.html


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.0, "0 s"), (59.4, "59 s"), (59.6, "1 min 00 s"), (725.0, "12 min 05 s")],
)
def test_times_are_minutes_and_seconds(seconds: float, words: str) -> None:
    assert clock(seconds) == words


@pytest.mark.parametrize(
    ("column", "head", "unit"),
    [
        ("x_mm", "x", "mm"),
        ("own_error_mm_per_m", "own error", "mm/m"),
        ("presses_n_per_mm2", "presses", "N/mm²"),
        ("sag_mm_per_kn", "sag", "mm/kN"),
        ("board x_mm", "board x", "mm"),
        ("load_N", "load", "N"),
        ("work_min", "work", "min"),
        ("from_point", "from point", ""),
        ("mm", "mm", ""),
    ],
)
def test_heads_tell_the_unit_that_a_column_ends_in(column: str, head: str, unit: str) -> None:
    (found,) = frame_table("t", pd.DataFrame({column: [1.0]})).heads
    assert (found.text, found.unit) == (head, unit)


def test_cells_are_rounded_alike_and_gaps_are_dashes() -> None:
    frame = pd.DataFrame(
        {
            "point": ["A", "B"],
            "height_mm": [1043.5, -0.0],
            "fine_mm": [0.12345, np.nan],
            "count": [3, 12],
            "right": [True, False],
            "packers_mm": [(18.0, 1.5), ()],
        }
    )
    assert frame_table("t", frame).rows == (
        ("A", "1043.5", "0.123", "3", "yes", "18, 1.5"),
        ("B", "0.0", "–", "12", "no", ""),
    )


def test_tables_stand_below_their_headings_and_escape_them() -> None:
    frame = pd.DataFrame({BAD: [BAD]})
    html = tables_page((("First", frame), (BAD, frame))).html
    assert html.count("<table") == 2
    assert "<script" not in html
    assert tables_page(()).html == ""
