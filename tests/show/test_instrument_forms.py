"""The forms answer what is typed, refuse in words, and can be read by everyone."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest

from kit.job import Refusal
from kit.readings.instruments import (
    ReversalTest,
    TwoPegTest,
    TwoWallTest,
    reversal_test,
    two_peg_test,
    two_wall_test,
)
from kit.show.instrument_form import InstrumentForm
from kit.show.instrument_forms import ReversalForm, TwoPegForm, TwoWallForm
from kit.show.instrument_pictures import reversal_picture, two_peg_picture, two_wall_picture
from kit.show.instrument_tables import reversal_table, two_peg_table, two_wall_table

FORMS = [TwoPegForm, ReversalForm, TwoWallForm]


@pytest.mark.parametrize(
    ("kind", "test", "error"),
    # (1486 - 1595 + 113)/30; mean of 0.5, 0.6, 0.4 over 2.4; (8.5 - 6)/(2·5.2)
    [(TwoPegForm, TwoPegTest, 4 / 30), (ReversalForm, ReversalTest, 0.5 / 2.4),
     (TwoWallForm, TwoWallTest, 2.5 / 10.4)],
)  # fmt: skip
def test_each_opens_on_an_example(kind: type, test: type, error: float) -> None:
    form = kind()
    assert isinstance(form.found, test)
    assert form.found.error_mm_per_m == pytest.approx(error, abs=1e-9)
    assert "⚠ correct by" in form.line.value
    assert 'role="status"' in form.line.value
    assert f"{error:.3f}" in form.table.value
    assert "<svg" in form.picture.value


@pytest.mark.parametrize("kind", FORMS)
def test_every_box_has_a_name_with_its_unit_that_is_shown_whole(kind: Any) -> None:
    form = kind()
    names = [box.description for box in form.boxes.values()]
    assert len(set(names)) == len(names)
    for name, box in zip(names, form.boxes.values(), strict=True):
        assert name.endswith(("[mm]", "[m]", "[mm/m]", "[no.]"))
        # No letter of a screen font is wider than its size; half of it is their mean.
        assert float(box.style.description_width.removesuffix("em")) >= 0.5 * len(name)
        assert box in form.widget.children[0].children


@pytest.mark.parametrize("kind", FORMS)
def test_use_and_doubt_decide_the_verdict(kind: Any) -> None:
    form = kind()
    form.boxes["allowed_mm"].value = 40.0
    assert "✓ use it" in form.line.value
    form.boxes["allowed_mm"].value = 0.5
    form.boxes["sd_mm"].value = 3.0
    assert "↻ test again: the readings scatter too much to tell" in form.line.value
    form.boxes["sd_mm"].value = 0.05
    form.boxes["service_mm_per_m"].value = 0.05
    assert "✗ have it serviced" in form.line.value


@pytest.mark.parametrize(
    ("kind", "key", "bad", "words"),
    [
        (TwoPegForm, "apart_m", -3.0, "distance of the pegs: found -3 m"),
        (TwoPegForm, "beyond_m", -15.0, "two that differ by 1 m or more"),
        (TwoPegForm, "b1", -2.0, "midway readings"),
        (ReversalForm, "length_mm", 1.2, "length of the level"),
        (ReversalForm, "lines", 9.0, "a whole number, 1 to 4"),
        (ReversalForm, "lines", 1.5, "a whole number, 1 to 4"),
        (TwoWallForm, "near_a_m", 5.0, "below half the distance"),
        (TwoWallForm, "longest_m", 0.0, "longest_m"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_clamped(
    kind: Any, key: str, bad: float, words: str
) -> None:
    form = kind()
    good = form.boxes[key].value
    form.boxes[key].value = bad
    assert isinstance(form.found, Refusal)
    assert 'role="alert"' in form.line.value
    assert words in form.line.value
    assert form.boxes[key].value == bad
    assert form.table.value == form.picture.value == ""
    form.boxes[key].value = good
    assert 'role="status"' in form.line.value
    assert form.picture.value


def test_only_the_lines_that_are_read_count() -> None:
    form = ReversalForm()
    assert form.boxes["d4"].layout.display == "none"
    form.boxes["lines"].value = 1.0
    assert form.boxes["r2"].layout.display == "none"
    assert form.found.error_mm_per_m == pytest.approx(0.5 / 2.4)
    assert len(form.found.difference_mm) == 1
    form.boxes["lines"].value = 4.0
    assert form.boxes["d4"].layout.display == ""
    assert len(form.found.difference_mm) == 4


def test_a_form_shows_itself_in_a_notebook() -> None:
    form: InstrumentForm[TwoPegTest] = TwoPegForm()
    assert "application/vnd.jupyter.widget-view+json" in form._repr_mimebundle_()


def drawing(picture: str) -> ET.Element:
    return ET.fromstring(picture[: picture.index("</svg>") + 6])


def heights(svg: ET.Element, colour: str) -> list[float]:
    """Return by how much each line of a colour ends higher than it begins [px]."""
    lines = [line for line in svg.iter("line") if line.get("stroke") == colour]
    return [float(line.get("y1", "")) - float(line.get("y2", "")) for line in lines]


@pytest.mark.parametrize(("error", "way"), [(0.3, 1), (-0.3, -1), (0.0, 0)])
def test_sights_lean_the_way_they_do(error: float, way: int) -> None:
    from kit.ink.paint import MARK

    for picture in (two_peg_picture(30, 4, error), two_wall_picture(6, (0.5, 0.8), error)):
        ends = heights(drawing(picture), MARK)
        assert len(ends) == 4
        assert all((end > 0) - (end < 0) == way for end in ends)
        words = {1: "rises", -1: "falls", 0: "is level"}[way]
        assert words in drawing(picture).get("aria-label", "")


@pytest.mark.parametrize(("booked", "turned"), [(4.1, 3.6), (-1.3, -1.9), (0.4, -0.2), (0.0, 0.0)])
def test_packers_lie_under_the_end_that_was_lifted(booked: float, turned: float) -> None:
    from kit.ink.paint import TIMBER

    svg = drawing(reversal_picture(booked, turned, 0.2))
    packs = [float(r.get("height", "")) for r in svg.iter("rect") if r.get("fill") == TIMBER]
    under = [(packs[0], packs[1], booked), (packs[2], packs[3], turned)]
    for at_from, at_to, packer in under:
        assert (at_from > 0) == (packer > 0)
        assert (at_to > 0) == (packer < 0)


def test_what_was_found_is_a_table_of_its_own() -> None:
    pegs = two_peg_test((1391.0, 1504.0), (1486.0, 1595.0), (33.0, 3.0))
    assert two_peg_table(pegs).rows[2:] == (
        ("staff A, second stand, put right", "1481.6", "mm"),
        ("staff B, second stand, put right", "1594.6", "mm"),
        ("peg B above peg A", "-113.0", "mm"),
    )
    level = reversal_test(4.1, 2.9, 1200.0)
    assert reversal_table(level).rows[2:] == (
        ("line 1, 'to' above 'from'", "3.50", "mm"),
        ("scatter of the lines, 1 sd", "–", "mm/m"),
    )
    laser = two_wall_test((1012.0, 1020.5), (1037.0, 1043.0), 6.4, (0.5, 0.7), 0.3)
    assert [row[1] for row in two_wall_table(laser).rows] == [
        "0.240", "0.058", "1011.9", "1019.1", "1035.6", "1042.8",
    ]  # fmt: skip
