"""The plan of a practice room: all in its place, nothing hidden before the answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from kit.job import Refusal
from kit.practice.drill import Given
from kit.practice.floors import PracticeFloor
from kit.practice.moves import Done, Move, OnPlan, Seen
from kit.practice.tools import laid_ends
from kit.show.practice.plan import plan_picture

Classed = Callable[[str, str], list[ElementTree.Element]]
REVEALED = (
    OnPlan("place", ((1999.0, 540.0),), "high point 3.4 mm"),
    OnPlan("outline", ((2900.0, 900.0), (3500.0, 1500.0)), "no screws here"),
)


def laid_out(svg: str, name: str) -> list[ElementTree.Element]:
    """Return marks of one class on the plan; its key draws the same ones."""
    (marks,) = [n for n in ElementTree.fromstring(svg) if n.get("class") == "ufk-marks"]
    return [node for node in marks.iter() if node.get("class") == name]


class Room:
    """The room of a picture, read back from it."""

    def __init__(self, svg: str, classed: Classed) -> None:
        (room,) = classed(svg, "ufk-room")
        self.scale = float(room.get("data-px-per-mm", ""))
        self.left, self.top = float(room.get("data-left", "")), float(room.get("data-top", ""))

    def at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return where a place is [px]."""
        return self.left + x_mm * self.scale, self.top + y_mm * self.scale


@pytest.mark.parametrize("width_px", [390, 1090])
def test_an_instrument_lies_where_it_was_laid(
    given: Given, done: tuple[Done, ...], width_px: float, classed: Classed
) -> None:
    svg = plan_picture(given, done, width_px).svg
    room = Room(svg, classed)
    newest = [line for line in laid_out(svg, "ufk-line") if line.get("stroke-width") == "6"]
    (line,) = newest
    start, end = laid_ends(done[-1].move)
    found = [float(line.get(key, "")) for key in ("x1", "y1", "x2", "y2")]
    assert found == pytest.approx([*room.at(*start), *room.at(*end)], abs=0.06)  # to a tenth
    bar = laid_out(svg, "ufk-marked-end")[-1]
    middle = (
        (float(bar.get("x1", "")) + float(bar.get("x2", ""))) / 2,
        (float(bar.get("y1", "")) + float(bar.get("y2", ""))) / 2,
    )
    assert middle == pytest.approx(room.at(*start), abs=0.1)


def test_places_and_outlines_lie_where_they_were_given(
    given: Given, done: tuple[Done, ...], classed: Classed
) -> None:
    svg = plan_picture(given, done, 777).svg
    room = Room(svg, classed)
    (square,) = [n for n in laid_out(svg, "ufk-place") if n.get("data-whose") == "given"]
    corner = (float(square.get("x", "")) + 4, float(square.get("y", "")) + 4)
    assert corner == pytest.approx(room.at(900, 2000), abs=0.06)  # rounded to a tenth
    _, front = laid_out(svg, "ufk-outline")
    found = [float(front.get(key, "")) for key in ("x", "y", "width", "height")]
    # Its corners were told the other way round.
    wanted = [*room.at(600, 515), 2800 * room.scale, 45 * room.scale]
    assert found == pytest.approx(wanted, abs=0.06)
    dots = [n for n in laid_out(svg, "ufk-place") if n.get("data-whose") == "laid"]
    places = [p for one in done for thing in one.seen.on_plan for p in thing.places_mm
              if thing.kind == "place"]  # fmt: skip
    at = [(float(dot.get("cx", "")), float(dot.get("cy", ""))) for dot in dots]
    assert len(at) == len(places) > 20
    for found_at, place in zip(at, places, strict=True):
        assert found_at == pytest.approx(room.at(*place), abs=0.06)


@pytest.mark.parametrize("width_px", [300, 390, 740, 1090])
@pytest.mark.parametrize("after", [False, True])
def test_letters_keep_apart_and_inside(
    given: Given,
    done: tuple[Done, ...],
    made: PracticeFloor,
    width_px: float,
    after: bool,
    touching: Callable[[str], list[tuple[str, str]]],
    outside: Callable[[str], list[str]],
) -> None:
    shown = (REVEALED, (made,)) if after else ((), ())
    svg = plan_picture(given, done, width_px, *shown).svg
    assert touching(svg) == []
    assert outside(svg) == []
    assert 'font-size="12"' in svg


@pytest.mark.parametrize("width_px", [390, 1090])
def test_what_was_given_and_the_newest_move_keep_their_labels(
    given: Given, done: tuple[Done, ...], width_px: float, classed: Classed
) -> None:
    labels = [n.text for n in classed(plan_picture(given, done, width_px).svg, "ufk-label")]
    for wanted in ("back bearer", "front bearer", "A", "joist", "long"):
        assert wanted in labels


def test_the_floor_shows_only_where_it_is_handed_over(
    given: Given, done: tuple[Done, ...], made: PracticeFloor, classed: Classed
) -> None:
    before = plan_picture(given, done, 700)
    after = plan_picture(given, done, 700, REVEALED, (made,))
    for name in ("ufk-band", "ufk-loose", "ufk-soft", "ufk-heated"):
        assert classed(before.svg, name) == []
        assert classed(after.svg, name) != []
    for word in ("Loose", "Gives", "Heating", "humps"):
        assert word not in before.words
        assert word in after.words
    assert "high point 3.4 mm at x 1999, y 540 mm" in after.words
    assert after.height_px > before.height_px  # its key stands below


def test_a_drill_without_a_plan_takes_its_room_from_the_floor(
    made: PracticeFloor, classed: Classed
) -> None:
    bare = Given(("no plan",))
    (room,) = classed(plan_picture(bare, (), 640, (), (made,)).svg, "ufk-room")
    assert (room.get("data-width-mm"), room.get("data-depth-mm")) == ("3700", "2300")
    with pytest.raises(Refusal, match="a width and a depth"):
        plan_picture(bare, (), 640)


def test_hostile_labels_are_only_letters(given: Given) -> None:
    bad = '"><script>&x</script>'
    hostile = replace(given, on_plan=(OnPlan("place", ((900, 900),), bad),))
    seen = Seen(bad, 3.0, on_plan=(OnPlan("line", ((10, 10), (900, 20)), bad),))
    picture = plan_picture(hostile, (Done(Move("lay"), seen),), 640)
    root = ElementTree.fromstring(picture.svg)
    assert not [node for node in root.iter() if "script" in node.tag]
    assert [node.text for node in root.iter() if node.get("class") == "ufk-label"] == [bad, bad]
    assert bad in (root.get("aria-label") or "")


def test_a_long_label_is_cut_on_the_plan_and_whole_in_words(given: Given, classed: Classed) -> None:
    long = "a very long name that nobody would write on any plan"
    picture = plan_picture(replace(given, on_plan=(OnPlan("place", ((900, 900),), long),)), (), 640)
    (label,) = classed(picture.svg, "ufk-label")
    assert (label.text or "").endswith("…")
    assert long in picture.words


def test_a_hand_meets_the_room_whatever_is_drawn_on_it(
    given: Given, done: tuple[Done, ...], made: PracticeFloor
) -> None:
    root = ElementTree.fromstring(plan_picture(given, done, 640, REVEALED, (made,)).svg)
    for part in root:
        assert (
            part.get("class") in ("ufk-room", "ufk-key") or part.get("pointer-events") == "none"
        ), part.get("class")
