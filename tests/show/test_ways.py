"""Every way of building is shown, and nothing is said of bearers or packers where none are."""

import html
import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

import kit
from kit import show
from kit.ink.words import set_either_way, stacks_sentence
from kit.job import Rates
from kit.show.display import cut_plan_table, datum_page

METHODS = ("packers", "stacks", "feet", "ladder", "compound")

#: What is exported of an answer, but for checks and cautions, whose texts other rooms write.
OF_AN_ANSWER: dict[str, Callable[[Any], Any]] = {
    name: getattr(show, name)
    for name in (
        "bearer_table",
        "clearance_table",
        "cut_table",
        "detail_page",
        "elevations",
        "height_window_table",
        "joist_table",
        "load_pictures",
        "plinth_table",
        "screw_table",
        "stack_load_table",
        "stack_table",
        "standing_table",
        "strength_page",
        "support_table",
        "take_off_table",
        "unit_table",
        "work_table",
    )
} | {
    "datum": lambda answer: datum_page(answer.datum),
    "cuts": lambda answer: cut_plan_table(answer.cuts),
    "ground": lambda answer: show.high_point_page(answer.ground),
}


def words(part: Any) -> str:
    """Return what a reader sees of a page."""
    text = re.sub(r"<style>.*?</style>", "", part.html)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


@pytest.mark.parametrize("name", OF_AN_ANSWER)
@pytest.mark.parametrize("method", METHODS)
def test_nothing_is_said_of_what_is_not_there(ways: dict[str, Any], method: str, name: str) -> None:
    answer = ways[method]
    said = words(OF_AN_ANSWER[name](answer))
    assert said.strip()
    assert "nan" not in re.findall(r"\w+", said)
    # That there are none, or that they are drawn here and here are none, is true.
    said = re.sub(
        r"[Nn]o bearers?\b|[Nn]o packers\b|Bearers under load|bearers are drawn", "", said
    )
    if method != "packers":
        # An empty table of bearers keeps its head.
        assert "bearer" not in said.replace("bearer None.", "").lower()
    if method not in ("packers", "stacks"):
        assert "packer" not in said.replace("packers from the floor up", "").lower()


@pytest.mark.parametrize("method", METHODS)
def test_checks_cautions_and_the_whole_page_are_shown(ways: dict[str, Any], method: str) -> None:
    answer = ways[method]
    assert len(show.check_table(answer).rows) == len(answer.checks)
    assert html.unescape(show.caution_list(answer).html).count("⚠") == len(answer.cautions)
    page = words(show.answer_page(answer))
    assert ("packers from the floor up" in page) == (method in ("packers", "stacks"))
    assert show.html_of(answer.strength)


@pytest.mark.parametrize("method", METHODS)
def test_the_map_draws_bearers_only_where_they_are(ways: dict[str, Any], method: str) -> None:
    answer = ways[method]
    chart = show.floor_map(answer.job, answer.survey, answer.ground)
    names = {trace.meta: trace.name for trace in chart.figure.data}
    assert ("bearers" in names) == (method == "packers")
    assert names["packers"] == (
        "packer stack, to size" if method == "packers" else "support, to size"
    )


@pytest.mark.parametrize("method", METHODS)
def test_every_load_is_told(ways: dict[str, Any], method: str) -> None:
    answer = ways[method]
    table = show.stack_load_table(answer)
    full = [head.text for head in table.heads].index("units full")
    told = [0.5 if row[full] == "under 1" else float(row[full]) for row in table.rows]
    carried = math.fsum(one.full_n for one in answer.strength.stacks)
    assert sum(told) == pytest.approx(carried, abs=0.5 * len(told))  # whole newtons


def test_feet_that_are_set_by_hand_may_be_off_either_way(ways: dict[str, Any]) -> None:
    assert [method for method in METHODS if set_either_way(ways[method])] == [
        "feet",
        "ladder",
        "compound",
    ]
    feet = ways["feet"]
    assert stacks_sentence(feet).endswith("feet, no packers; the top may be up to 0.20 mm off,"
                                          " either way.")  # fmt: skip
    table = show.unit_table(feet)
    assert table.rows[0][1].endswith("either way")
    assert "out" not in table.rows[0][2]
    assert "where feet are off by up to 0.20 mm" in table.note
    assert "either way" not in "".join(show.unit_table(ways["stacks"]).rows[0])


def test_the_height_window_of_a_base_without_packers(ways: dict[str, Any]) -> None:
    answer = ways["ladder"]
    table = show.height_window_table(answer)
    low, high = answer.datum.feasible_heights_mm[0]
    assert table.rows[0] == (f"{low:.1f}", f"{high:.1f}")
    assert f"Chosen: {answer.datum.base_height_mm:.1f} mm" in table.note


def test_prices_and_what_has_none(ways: dict[str, Any]) -> None:
    feet = show.take_off_table(ways["feet"])
    (row,) = [row for row in feet.rows if "foot" in row[0]]
    count = int(row[2])
    assert row[4:] == ("1.85", f"{1.85 * count:.2f}")
    assert f"The base costs {1.85 * count:.2f} in all, as priced." in feet.note
    packers = show.take_off_table(ways["packers"])
    assert "cannot be told: no price is given of packer of 1, 3, 6, 18 mm; " in packers.note
    assert "Plinth board, " in packers.note
    assert " deep: beside the base, not counted." in packers.note
    assert "spare packers" in packers.note
    assert "spare packers" not in feet.note
    bags = show.take_off_table(ways["compound"])
    assert "no price is given of compound bag. The rest comes to 0.00." in bags.note


def test_the_work_is_told_step_by_step(ways: dict[str, Any]) -> None:
    answer = ways["packers"]
    table = show.work_table(answer)
    steps = {row[0]: row for row in table.rows}
    assert steps["lay a packer"][1] == f"{answer.pieces}"
    assert steps["lay a packer"][5] == "rates.packer_min, from memory"
    minutes = sum(float(row[1]) * float(row[3]) for row in table.rows)
    assert table.note.startswith(f"In all {minutes / 60:.1f} hours, ")
    assert "waiting" not in table.note
    assert "3.5 days of waiting" in show.work_table(ways["compound"]).note or (
        "1 days of waiting" in show.work_table(ways["compound"]).note
    )


def test_own_minutes_and_an_hours_price_are_used(job: Any) -> None:
    own = job.model_copy(update={"rates": Rates(packer_min=1.25, hour_price=40.0, day_hours=6.0)})
    answer = kit.solve(own)
    table = show.work_table(answer)
    (row,) = [row for row in table.rows if row[0] == "lay a packer"]
    assert row[3:] == ("1.25", f"{1.25 * answer.pieces:.0f}", "job.toml, rates.packer_min")
    hours = answer.bill.minutes / 60
    assert f"{hours / 6:.1f} days of 6; at 40.00 an hour {hours * 40:.2f}." in table.note


def test_what_hangs_under_stiff_units_is_told_where_it_hangs(ways: dict[str, Any]) -> None:
    answer = ways["stacks"]
    table = show.stack_load_table(answer)
    hanging = {one.support: one.gap_mm for one in answer.strength.stacks if one.gap_mm > 0}
    assert hanging  # packers of 1 mm do not meet this floor exactly
    for row in table.rows:
        gap = hanging.get(row[0])
        assert row[4] == ("–" if gap is None else f"{gap:.2f}")
        assert ("✓ carries" in row[5]) == (gap is None)
    worst = max(hanging, key=lambda name: hanging[name])
    said = words(show.strength_page(answer))
    count = len(answer.strength.stacks)
    assert f"Stiff units hang over {len(hanging)} of {count} stacks until these are shimmed" in said
    assert f"most over {worst}: shim {hanging[worst]:.2f} mm." in said
    assert "gap" not in "".join(head.text for head in show.stack_load_table(ways["feet"]).heads)


def test_own_tables_keep_their_units(ways: dict[str, Any]) -> None:
    answer = ways["feet"]
    page = words(show.detail_page(answer))
    assert "set [mm]" in page
    assert "load [N]" in page
    first = answer.details["feet.csv"].iloc[0]
    assert f"{first['set_mm']:.1f}" in page
    inches = answer.job.model_copy(update={"units": "in"})
    assert "set [in]" in words(show.detail_page(replace(answer, job=inches)))
    assert "no further tables" in words(show.detail_page(ways["packers"]))
