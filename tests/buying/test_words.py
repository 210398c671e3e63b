"""What a list promises, in sentences that a fitter reads."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kit.buying import Line
from kit.buying.words import Found, notes_of, percent

FOUND = Found(2000, 20, 0.95, 0.957, 0.036, 0.0, 0.0, 0.0)
PACKER = Line("packer", "75 × 45 mm", 6.0, 13, 18, 1, 60, "pack", 25, 0.1)
BOARD = Line("ladder board, 70 mm deep", "18 mm thick", 2440.0, 5, 5, 0, None, "board", 1, math.nan)


def said(answer, found: Found, *lines: Line) -> str:
    return " ".join(notes_of(answer, lines, found))


def test_what_the_difference_of_plan_and_list_is(reading_room) -> None:
    text = said(reading_room, FOUND, PACKER)
    assert text.startswith("On 19 floors of 20 that fit the readings this list suffices")
    assert "suffices on 3.6 % of them. Beyond the plan it has 5 × packer of 6 mm." in text
    assert "2000 drawn floors, seed 20" in text
    assert "5 %, at least one of each kind (common practice, no source)" in text
    assert "No price" not in text
    assert "it sufficed on 95.7 %" in text
    assert "Plinth of run A: the return at the right end: not on this paper" in text


def test_a_box_that_nobody_gave_and_why_the_list_costs_more(reading_room) -> None:
    screw = replace(PACKER, item="screw", in_stock=None, sold_by="box", pack=200, price=0.001)
    text = said(reading_room, FOUND, screw)
    assert "A box of screws is taken to hold 200: say stock.screw_box." in text
    # One box of 200 at 0.001 is 0.20: less than the plan's material.
    assert "costs more than the material" not in text
    dear = replace(screw, price=50.0)
    planned = f"{reading_room.bill.cost:.2f} GBP"
    assert f"costs more than the material of the plan, {planned}" in said(reading_room, FOUND, dear)
    job = reading_room.job
    stock = job.stock.model_validate({**job.stock.model_dump(exclude_unset=True), "screw_box": 100})
    given = replace(reading_room, job=job.model_copy(update={"stock": stock}))
    assert "is taken to hold" not in said(given, FOUND, screw)
    assert "is taken to hold" not in said(reading_room, FOUND, PACKER)


def test_what_is_not_known_is_said(reading_room) -> None:
    text = said(reading_room, FOUND, BOARD, replace(PACKER, item="peg", in_stock=0))
    assert "where nothing was said of a thing none of it is counted on" in text
    assert "No price is given of ladder board, 70 mm deep, 2440 mm long" in text
    assert "Spares" not in text


def test_where_there_are_no_prices_at_all_it_is_said_once(reading_room) -> None:
    text = said(reading_room, FOUND, BOARD, replace(PACKER, price=math.nan))
    assert "No prices are given" in text
    assert "No price is given of" not in text


def test_floors_on_which_it_cannot_be_built_are_told_apart(reading_room) -> None:
    text = said(reading_room, replace(FOUND, not_built=0.05, moved=0.12), PACKER)
    assert "on which the base can be built this list suffices" in text
    assert "on 12 % of the floors the base cannot be built there and the level is set anew" in text
    assert "On 5 % of the floors the base cannot be built so at all" in text


def test_where_no_floor_judges_nothing_is_promised(reading_room) -> None:
    text = said(reading_room, replace(FOUND, reached=math.nan, not_built=0.9995), PACKER)
    assert "no more than the plan takes" in text
    assert "this list suffices" not in text


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0, "0 %"), (0.0005, "less than 0.1 %"), (0.0361, "3.6 %"), (0.9995, "more than 99.9 %"),
     (1.0, "100 %")],
)  # fmt: skip
def test_little_is_not_none(share: float, words: str) -> None:
    assert percent(share) == words
