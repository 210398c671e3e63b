"""What carries the bearer: forces and heights to scale, idle and rocking told, nothing touches."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree

import pytest

import kit
from kit.answer import Answer
from kit.ink.svg import letters_px
from kit.job import Job, Refusal
from kit.show.board import load_frame, load_notes
from kit.show.board.elevation_picture import elevation_picture
from kit.show.board.load_forces import rocking_words
from kit.show.board.load_picture import load_picture
from kit.show.section import sections
from kit.strength.bearers import lay_bearers
from kit.strength.stack_loads import stack_loads

Touching = Callable[[str], list[tuple[str, str]]]
Element = ElementTree.Element
SVG = "{http://www.w3.org/2000/svg}"
WIDTHS = (340, 620, 1040)
CASES = ("laid", "empty", "full")

#: Half the thickness of the bearer's line, which is drawn on its underside [px].
HALF_LINE_PX = 2.3

#: Places are written to a tenth of a pixel; two of them make a length.
ROUNDED_PX = 0.11

LONG_JOB = """schema = 1
title = "Market hall, long counter"
units = "mm"

[floor]
kind = "solid"
services = "unknown"

[[survey]]
kind = "heights"
file = "heights.csv"

[[run]]
name = "A"
{bays}
[[base]]
name = "base"
height_mm = [{low}, {high}]
back_mm = 40
front_mm = 50
max_span_mm = {span}
bearer = {{ width_mm = 45, thickness_mm = {thick}, stock_mm = [4800], splice = {splice} }}

[stock]
packers = [ {{mm = 1}}, {{mm = 3}}, {{mm = 6}}, {{mm = 18}} ]
screws_mm = [30, 50, 70]
"""

BAY = """
  [[run.unit]]
  name = "bay {n}"
  width_mm = {wide}
  depth_mm = 400
  height_mm = 900
  side_mm = 18
  mass_kg = 30
  contents_kg = 50
"""


def counter(folder: Path, bays: int, wide: int, **given: object) -> Answer:
    """Solve a row of bays on a floor that is uneven along and across."""
    folder.mkdir()
    said = {"low": 48, "high": 66, "span": 450, "thick": 20, "splice": "false", **given}
    text = "".join(BAY.format(n=n + 1, wide=wide) for n in range(bays))
    (folder / "job.toml").write_text(LONG_JOB.format(bays=text, **said))
    grid = itertools.product(range(8), enumerate((0, 470)))
    places = [(round(bays * wide * k / 7), y, k, j) for k, (j, y) in grid]
    rows = [f"P{k}{j},{x},{y},{0.2 * k - 1.3 * ((3 * k + j) % 5)},0.3" for x, y, k, j in places]
    table = "\n".join(["point,x_mm,y_mm,height_mm,sd_mm", *rows])
    (folder / "heights.csv").write_text(table + "\n")
    return kit.solve(kit.read_job(folder))


def with_errors(answer: Answer, error_mm: Mapping[str, float]) -> Answer:
    """Return an answer whose stacks came out as told."""
    pieces = answer.ground.pieces
    laid = lay_bearers(pieces, error_mm, 1)
    stacks = stack_loads(laid, pieces.alone, error_mm)
    strength = dataclasses.replace(answer.strength, laid=laid, stacks=stacks)
    return dataclasses.replace(answer, strength=strength)


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """Return forty-one stacks under one bearer, 190 mm from each to the next."""
    answer = counter(tmp_path_factory.mktemp("long") / "job", 10, 800, span=250)
    assert len(answer.layout.on_bearer("B")) == 41
    names = answer.supports["support"].tolist()
    return with_errors(answer, {name: 0.5 - (7 * n) % 11 / 10 for n, name in enumerate(names)})


@pytest.fixture(scope="module")
def high_middle(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """Return a stiff bearer over five stacks of which the middle one is a millimetre high."""
    folder = tmp_path_factory.mktemp("stiff") / "job"
    answer = counter(folder, 2, 900, thick=95, low=120, high=150)
    names = answer.supports["support"].tolist()
    return with_errors(answer, {name: 0.6 if name == "B3" else -0.4 for name in names})


def bearers(answer: Answer) -> list[str]:
    """Return the names of all bearers."""
    return [row.name for row in answer.layout.rows]


def stacks(svg: str) -> dict[str, Element]:
    """Return the stacks of a picture by their names, from left to right."""
    found = ElementTree.fromstring(svg).iter(f"{SVG}g")
    return {g.get("data-support", ""): g for g in found if g.get("class") == "ufk-stack"}


def of_class(node: Element, name: str) -> list[Element]:
    """Return what is drawn of a kind."""
    return [one for one in node.iter() if one.get("class") == name]


def top(group: Element) -> tuple[float, float]:
    """Return middle and upper edge of a stack's top [px]."""
    (one,) = of_class(group, "ufk-top")
    return float(one.get("x", "")) + float(one.get("width", "")) / 2, float(one.get("y", ""))


def arrow_px(one: Element) -> float:
    """Return how long an upright arrow is, from its foot to its point [px]."""
    numbers = re.match(r"M\S+ (\S+?)V.*?L\S+ (\S+?)L", one.get("d", ""))
    assert numbers
    return abs(float(numbers[1]) - float(numbers[2]))


def pressing(svg: str) -> list[tuple[str, float]]:
    """Return the loads' arrows: what is said of each, and its length [px]."""
    groups = [g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("role") == "img"]
    return [
        (g.get("aria-label", ""), arrow_px(one))
        for g in groups
        for one in of_class(g, "ufk-pressing")
    ]


def pieces(svg: str) -> list[list[tuple[float, float]]]:
    """Return the lines of the bearer's pieces, point by point along their underside [px]."""
    groups = [g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("role") == "img"]
    drawn = [g for g in groups if (g.get("aria-label") or "").startswith("bearer ")]
    lines = [next(g.iter(f"{SVG}path")).get("d", "") for g in drawn]
    points = [[pair.split() for pair in d.removeprefix("M").split("L")] for d in lines]
    return [[(float(x), float(y) + HALF_LINE_PX) for x, y in line] for line in points]


def times(words: str) -> int:
    """Return the factor that the heading says."""
    found = re.search(r"heights (\d+) times", words)
    assert found
    return int(found[1])


def scale_px_per_mm(answer: Answer, svg: str) -> float:
    """Return the scale of lengths, from the places of the outermost stacks."""
    drawn, table = stacks(svg), answer.supports
    at = dict(zip(table["support"], table["own_x_mm"], strict=True))
    first, *_, last = drawn
    return float((top(drawn[last])[0] - top(drawn[first])[0]) / (at[last] - at[first]))


# ---- forces ---------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_an_arrow_for_each_stack_that_carries_and_a_triangle_for_each_idle_one(
    demos: dict[str, Answer], case: str
) -> None:
    idle = 0
    for answer in demos.values():
        carried = {one.support: getattr(one, f"{case}_n") for one in answer.strength.stacks}
        for bearer in bearers(answer):
            drawn = stacks(load_picture(answer, bearer, 620, case=case).svg)
            assert list(drawn) == answer.layout.on_bearer(bearer)["support"].tolist()
            for name, group in drawn.items():
                assert len(of_class(group, "ufk-carried")) == (carried[name] > 0), name
            gaps = _idle(answer, bearer, case)
            found = {name: len(of_class(g, "ufk-idle")) for name, g in drawn.items()}
            assert {name: n for name, n in found.items() if n} == gaps
            idle += len(gaps)
    assert idle > 4  # else nothing was tried


def _idle(answer: Answer, bearer: str, case: str) -> dict[str, int]:
    names = [
        name
        for one in answer.strength.on(bearer)
        for name, n in zip(
            one.piece.supports, one.cases[case].line.reactions_n.tolist(), strict=True
        )
        if n <= 0
    ]
    return {name: names.count(name) for name in names}


@pytest.mark.parametrize("case", CASES)
def test_arrows_are_as_long_as_forces_are_large(demos: dict[str, Answer], case: str) -> None:
    for answer in demos.values():
        force = {s.support: getattr(s, f"{case}_n") for s in answer.strength.stacks}
        for bearer in bearers(answer):
            svg = load_picture(answer, bearer, 620, case=case).svg
            long = {
                name: arrow_px(*of_class(group, "ufk-carried"))
                for name, group in stacks(svg).items()
                if force[name] > 0
            }
            per_n = sum(long.values()) / sum(force[name] for name in long)
            for name, px in long.items():
                assert px == pytest.approx(force[name] * per_n, abs=2 * ROUNDED_PX), name
            loads = [px for _, px in pressing(svg)]
            panels = sum(_panels_n(answer, bearer, case))
            # in the same scale; each arrow is rounded once
            assert sum(loads) == pytest.approx(panels * per_n, abs=ROUNDED_PX * len(loads) + 0.5)


def _panels_n(answer: Answer, bearer: str, case: str) -> list[float]:
    count = {"laid": 0, "empty": 1, "full": 3}[case]
    panels = [panel for one in answer.strength.on(bearer) for panel in one.piece.panels]
    return [sum(panel[2 : 2 + count]) for panel in panels]


def test_newtons_and_their_sum_are_written(
    reading_room: Answer, texts_of: Callable[[str], list[Any]]
) -> None:
    picture = load_picture(reading_room, "F", 1040)
    texts = [one.text for one in texts_of(picture.svg)]
    on_f = [one for one in reading_room.strength.stacks if one.bearer == "F"]
    assert len(on_f) == 10
    assert all(f"{one.full_n:.0f}" in texts for one in on_f)
    whole, empty = sum(one.full_n for one in on_f), sum(one.empty_n for one in on_f)
    assert f"front row: units full, {whole:.0f} N in all" in picture.words
    other = load_picture(reading_room, "F", 1040, case="empty").words
    assert f"units empty, {empty:.0f} N in all" in other


def test_sides_that_stand_together_share_an_arrow_that_names_both(reading_room: Answer) -> None:
    said = [words for words, _ in pressing(load_picture(reading_room, "F", 620).svg)]
    assert len(said) < sum(n > 0 for n in _panels_n(reading_room, "F", "full"))
    left, right = reading_room.strength.on("F")[0].piece.panels[2:4]
    assert right[0] - left[0] == 19  # the right side of one unit and the left one of the next
    both = f"{math.floor(left[0] + 0.5)}, {math.floor(right[0] + 0.5)} mm"
    force = sum(left[2:]) + sum(right[2:])
    assert f"sides or divisions at {both}: {force:.0f} N" in said


def test_people_press_where_the_units_are_full(reading_room: Answer) -> None:
    first, *others = reading_room.strength.laid
    sitting = ((600.0, 19.0, 11.0, 20.0, 300.0), (1800.0, 19.0, 40.0, 70.0, 0.0))
    bench = dataclasses.replace(first, piece=dataclasses.replace(first.piece, panels=sitting))
    strength = dataclasses.replace(reading_room.strength, laid=(bench, *others))
    answer = dataclasses.replace(reading_room, strength=strength)
    said = [words for words, _ in pressing(load_picture(answer, "B", 620).svg)]
    assert said[:2] == ["side or division at 600 mm: 331 N", "side or division at 1800 mm: 110 N"]
    said = [words for words, _ in pressing(load_picture(answer, "B", 620, case="empty").svg)]
    assert said[:2] == ["side or division at 600 mm: 11 N", "side or division at 1800 mm: 40 N"]


def test_the_bearer_alone_has_no_loads_on_it(reading_room: Answer) -> None:
    picture = load_picture(reading_room, "B", 620, case="laid")
    assert pressing(picture.svg) == []
    assert "bearer alone" in picture.words
    assert "nothing but its own weight presses on it" in picture.svg
    assert "nothing but its own weight" not in load_picture(reading_room, "B", 620).svg


# ---- heights --------------------------------------------------------------------------------


@pytest.mark.parametrize("width", WIDTHS)
def test_heights_are_as_many_times_enlarged_as_the_heading_says(
    demos: dict[str, Answer], width: float
) -> None:
    for answer in demos.values():
        error = {one.support: one.error_mm for one in answer.strength.stacks}
        for bearer in bearers(answer):
            picture = load_picture(answer, bearer, width)
            factor, root = times(picture.words), ElementTree.fromstring(picture.svg)
            assert str(factor).rstrip("0") in {"1", "2", "5"}
            per_mm = scale_px_per_mm(answer, picture.svg) * factor
            (meant,) = [m for m in of_class(root, "ufk-meant") if m.get("y1") == _meant_y(root)]
            for name, group in stacks(picture.svg).items():
                high = float(meant.get("y1", "")) - top(group)[1]
                # a scale read off two places rounded to a tenth is good to a thousandth
                assert high == pytest.approx(error[name] * per_mm, abs=3 * ROUNDED_PX), name


def _meant_y(root: Element) -> str | None:
    # the key's swatch is the last one
    return of_class(root, "ufk-meant")[0].get("y1")


def test_heights_use_the_room(demos: dict[str, Answer]) -> None:
    room = load_frame.HEIGHTS_PX
    for answer in demos.values():
        for bearer in bearers(answer):
            svg = load_picture(answer, bearer, 620).svg
            line = [y for piece in pieces(svg) for _, y in piece]
            tops = [top(group)[1] for group in stacks(svg).values()]
            meant = float(_meant_y(ElementTree.fromstring(svg)) or "")
            heights = [*line, *tops, meant]
            # from 2 to 5 is the largest step of the series
            assert room / 2.5 - 1 <= max(heights) - min(heights) <= room + 1, bearer


@pytest.mark.parametrize("case", CASES)
def test_the_gap_over_an_idle_stack_is_open_and_one_that_carries_is_touched(
    market: Answer, case: str
) -> None:
    picture = load_picture(market, "B", 1040, case=case)
    per_mm = scale_px_per_mm(market, picture.svg) * times(picture.words)
    drawn, lines = stacks(picture.svg), pieces(picture.svg)
    for one, line in zip(market.strength.on("B"), lines, strict=True):
        # ends at a joint are drawn apart
        for name, gap in list(zip(one.piece.supports, one.cases[case].gaps_mm, strict=True))[1:-1]:
            x, y = top(drawn[name])
            at = min(line, key=lambda point: abs(point[0] - x))
            assert at[0] == pytest.approx(x, abs=ROUNDED_PX)
            assert y - at[1] == pytest.approx(gap * per_mm, abs=3 * ROUNDED_PX), name


@pytest.fixture(scope="module")
def market(demos: dict[str, Answer]) -> Answer:
    """Return the market counter: bearers in two pieces, idle stacks in each."""
    return demos["market-counter"]


def test_idle_stacks_say_their_gaps(market: Answer, texts_of: Callable[[str], list[Any]]) -> None:
    picture = load_picture(market, "B", 1040)
    written = [one.text for one in texts_of(picture.svg)]
    idle = [one for one in market.strength.stacks if one.bearer == "B" and one.idle]
    assert len(idle) == 3
    for one in idle:
        assert f"idle, {one.gap_mm:.2f} mm" in written
        said = stacks(picture.svg)[one.support].get("aria-label") or ""
        assert f"carries nothing; idle, {one.gap_mm:.2f} mm" in said
        assert said in picture.words


def test_a_joint_is_a_break_and_a_splice_a_ring(market: Answer, tmp_path: Path) -> None:
    svg = load_picture(market, "B", 620).svg
    left, right = pieces(svg)
    assert right[0][0] - left[-1][0] > 6
    joint = market.strength.on("B")[1].piece.supports[0]
    assert (left[-1][0] + right[0][0]) / 2 == pytest.approx(top(stacks(svg)[joint])[0], abs=0.2)
    assert not of_class(ElementTree.fromstring(svg), "ufk-splice")
    spliced = counter(tmp_path / "job", 6, 900, splice="true")
    svg = load_picture(spliced, "B", 620).svg
    assert len(pieces(svg)) == 1
    ring, _key = of_class(ElementTree.fromstring(svg), "ufk-splice")
    (hinge,) = spliced.strength.on("B")[0].piece.beam.hinges
    at = list(stacks(svg).values())[hinge]
    assert float(ring.get("cx", "")) == pytest.approx(top(at)[0], abs=ROUNDED_PX)


def test_under_a_joint_the_piece_that_is_idle_is_told_from_the_one_that_bears(
    reading_room: Answer,
) -> None:
    # the bearer by itself: piece 1 hangs in the air over F6, piece 2 lies on it
    on_f6 = [
        one.cases["laid"].carries[one.piece.supports.index("F6")]
        for one in reading_room.strength.on("F")
    ]
    assert on_f6 == [False, True]
    group = stacks(load_picture(reading_room, "F", 620, case="laid").svg)["F6"]
    (idle,), (carries,) = of_class(group, "ufk-idle"), of_class(group, "ufk-carries")
    assert _left(idle) + 8 < float(carries.get("x", ""))  # beside each other, piece 1 to the left
    assert re.search(r"idle, \S+ mm under piece 1", group.get("aria-label") or "")


def _left(one: Element) -> float:
    return min(float(x) for x in re.findall(r"[ML](\S+) ", one.get("d", "")))


# ---- rocking --------------------------------------------------------------------------------


def test_a_piece_that_rocks_is_marked_where_it_rocks(high_middle: Answer) -> None:
    for case, words in (
        ("laid", "rocks here, ends in the air"),
        ("empty", "rocks here, ends in the air"),
        ("full", "rocks here until loaded"),
    ):
        for width in WIDTHS:
            picture = load_picture(high_middle, "B", width, case=case)
            drawn = stacks(picture.svg)
            assert [n for n, g in drawn.items() if of_class(g, "ufk-rocks")] == ["B3"]
            assert f">{words}</text>" in picture.svg
            assert words in (drawn["B3"].get("aria-label") or "")
    assert "rocks" not in load_picture(high_middle, "F", 620, case="full").svg


@pytest.mark.parametrize(
    ("case", "carries", "words"),
    [
        ("full", (False, True, False), "rocks here, ends in the air"),
        ("full", (True, True, False), "rocks here"),
        ("full", (False, True, True), "rocks here"),
        ("empty", (True, False, True), "rocks here until loaded"),
        ("laid", (True, True, True), "rocks here when loaded"),
    ],
)
def test_ends_are_in_the_air_only_where_none_is_held_down(
    case: str, carries: tuple[bool, ...], words: str
) -> None:
    one: Any = SimpleNamespace(cases={case: SimpleNamespace(carries=carries)})
    assert rocking_words(one, case) == words


def test_what_a_stack_does_is_told_by_shape(high_middle: Answer) -> None:
    drawn = stacks(load_picture(high_middle, "B", 620, case="laid").svg)
    (idle,) = of_class(drawn["B1"], "ufk-idle")
    (carries,) = of_class(drawn["B3"], "ufk-carries")
    (rocks,) = of_class(drawn["B3"], "ufk-rocks")
    assert carries.tag == f"{SVG}rect"
    assert [one.get("d", "").count("L") for one in (idle, rocks)] == [2, 3]  # corners less one
    assert idle.get("fill") == "#ffffff"
    assert "#ffffff" not in {carries.get("fill"), rocks.get("fill")}


# ---- letters --------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "case"), itertools.product(WIDTHS, CASES))
def test_no_letters_touch(
    demos: dict[str, Answer],
    crowded: Answer,
    high_middle: Answer,
    touching: Touching,
    width: float,
    case: str,
) -> None:
    for answer in (*demos.values(), crowded, high_middle):
        for bearer in bearers(answer):
            assert touching(load_picture(answer, bearer, width, case=case).svg) == [], bearer


@pytest.mark.parametrize("case", CASES)
def test_words_stand_on_no_mark_and_on_no_line(
    demos: dict[str, Answer], crowded: Answer, high_middle: Answer, case: str
) -> None:
    tried = 0
    for answer in (*demos.values(), crowded, high_middle):
        for bearer in bearers(answer):
            svg = load_picture(answer, bearer, 620, case=case).svg
            drawn = stacks(svg).values()
            solid = [point for line in pieces(svg) for point in line]
            solid += [top(group) for group in drawn]
            marks = [m for g in drawn for m in of_class(g, "ufk-idle") + of_class(g, "ufk-rocks")]
            solid += [(_left(m) + 5, _lowest(m) - 5) for m in marks]
            for note in (one for one in ElementTree.fromstring(svg).iter() if _is_note(one)):
                x, y = float(note.get("x", "")), float(note.get("y", ""))
                half = letters_px(note.text or "") / 2
                hit = [at for at in solid if abs(at[0] - x) < half and y - 9.6 < at[1] < y + 2.4]
                assert hit == [], (bearer, note.text)
                tried += 1
    assert tried > 8


def _is_note(one: Element) -> bool:
    return one.get("class") == "ufk-note"


def _lowest(one: Element) -> float:
    return max(float(y) for y in re.findall(r"[ML]\S+ ([\d.]+)", one.get("d", "")))


def test_forty_stacks_keep_their_names_and_their_newtons(
    crowded: Answer, texts_of: Callable[[str], list[Any]]
) -> None:
    svg = load_picture(crowded, "B", 620).svg
    texts = texts_of(svg)
    assert len(stacks(svg)) == 41
    for name, group in stacks(svg).items():
        (written,) = [one for one in texts if one.text == name]
        assert (written.left + written.right) / 2 == pytest.approx(top(group)[0], abs=ROUNDED_PX)
    assert "No room here" not in svg


def test_what_has_no_room_is_counted_and_not_lost(
    crowded: Answer, touching: Touching, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(load_frame, "MOST_LANES", 1)
    monkeypatch.setattr(load_notes, "BRIEF_DOWN_PX", 1)
    monkeypatch.setattr(load_frame, "MARKS_PX", 8.0)
    picture = load_picture(crowded, "B", 620, case="laid")
    said = re.search(
        r"No room here for (\d+) names with their newtons and (\d+) of the words", picture.words
    )
    assert said, picture.words[-300:]
    texts = [t.text for g in stacks(picture.svg).values() for t in g.iter(f"{SVG}text")]
    names = [text for text in texts if str(text).startswith("B")]
    assert 0 < len(names) == 41 - int(said[1])
    idle = [m for g in stacks(picture.svg).values() for m in of_class(g, "ufk-idle")]
    notes = [one for one in ElementTree.fromstring(picture.svg).iter() if _is_note(one)]
    assert 0 < len(notes) == len(idle) - int(said[2])
    assert touching(picture.svg) == []
    # pointing still tells all of them
    assert all(g.find(f"{SVG}title") is not None for g in stacks(picture.svg).values())


def test_letters_are_never_small(reading_room: Answer) -> None:
    svg = load_picture(reading_room, "B", 340).svg
    assert set(re.findall(r'font-size="([^"]+)"', svg)) == {"12"}


def test_inches_are_written_where_the_job_is_in_inches(
    inch_job: Job, texts_of: Callable[[str], list[Any]]
) -> None:
    answer = kit.solve(inch_job)
    names = answer.supports["support"].tolist()
    answer = with_errors(answer, {n: 0.4 * (-1) ** place for place, n in enumerate(names)})
    picture = load_picture(answer, "B", 620, case="laid")
    texts = [one.text for one in texts_of(picture.svg)]
    gap = max(float(g) for one in answer.strength.on("B") for g in one.cases["laid"].gaps_mm)
    assert f"idle, {gap / 25.4:.3f} in" in texts
    assert not [text for text in (*texts, picture.words) if re.search(r"\bmm\b", text)]
    (bar,) = of_class(ElementTree.fromstring(picture.svg), "ufk-scale")
    (said,) = [text for text in texts if re.fullmatch(r"0\.0*[125] in", text)]
    per_mm = scale_px_per_mm(answer, picture.svg) * times(picture.words)
    long = float(bar.get("y2", "")) - float(bar.get("y1", ""))
    assert long == pytest.approx(float(said[:-3]) * 25.4 * per_mm, abs=2 * ROUNDED_PX)


# ---- beside the elevation -------------------------------------------------------------------


@pytest.mark.parametrize("width", WIDTHS)
def test_stacks_lie_below_those_of_the_elevation(
    demos: dict[str, Answer], answer: Answer, width: float
) -> None:
    for one in (*demos.values(), answer):
        for part in (p for run in one.job.runs for p in sections(one, run.name)):
            above = elevation_picture(one, part, width)
            below = load_picture(one, part.row.name, width)
            assert below.width_px == above.width_px
            there, here = stacks(above.svg), stacks(below.svg)
            assert list(here) == list(there)
            for name, group in here.items():
                touch = next(there[name].iter(f"{SVG}rect"))
                x = float(touch.get("x", "")) + float(touch.get("width", "")) / 2
                assert top(group)[0] == pytest.approx(x, abs=ROUNDED_PX), name


def test_the_chosen_stack_is_marked_as_in_the_elevation(reading_room: Answer) -> None:
    drawn = stacks(load_picture(reading_room, "B", 620, chosen="B6").svg)
    assert [n for n, g in drawn.items() if g.get("aria-pressed") == "true"] == ["B6"]
    assert [n for n, g in drawn.items() if of_class(g, "ufk-ring")] == ["B6"]
    lined = [t.text for g in drawn.values() for t in g.iter() if t.get("text-decoration")]
    assert lined == ["B6"]
    assert {(g.get("role"), g.get("tabindex")) for g in drawn.values()} == {("button", "0")}


def test_all_that_is_drawn_can_be_pointed_at_and_read_out(reading_room: Answer) -> None:
    svg = load_picture(reading_room, "B", 620).svg
    told = [g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("role")]
    assert len(told) == 10 + 2 + 1 + len(pressing(svg))  # stacks, pieces, scale bar, loads
    for group in told:
        title = group.find(f"{SVG}title")
        assert title is not None
        assert title.text == group.get("aria-label")


# ---- what cannot be drawn -------------------------------------------------------------------


def test_a_bearer_on_one_stack_is_told_in_words(reading_room: Answer) -> None:
    others = tuple(one for one in reading_room.strength.laid if one.piece.bearer != "D")
    strength = dataclasses.replace(reading_room.strength, laid=others)
    picture = load_picture(dataclasses.replace(reading_room, strength=strength), "D", 620)
    assert "It lies on one stack, and nothing of it bends." in picture.words
    assert stacks(picture.svg) == {}


@pytest.mark.parametrize(
    ("bearer", "case", "allowed"), [("X", "full", "B, F, D"), ("B", "half", "laid, empty, full")]
)
def test_unknown_names_are_refused(
    reading_room: Answer, bearer: str, case: str, allowed: str
) -> None:
    with pytest.raises(Refusal, match=allowed):
        load_picture(reading_room, bearer, 620, case=case)
