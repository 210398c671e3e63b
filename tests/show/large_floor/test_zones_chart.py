"""A run in zones: every place drawn is that of the zones' own answers."""

import dataclasses
import re
import sys

import numpy as np
import pytest

from kit.levels import part_into_zones
from kit.show.large_floor.zones_chart import LETTERS_PX, LINE_PX, NARROW_PX, zones_chart
from kit.show.large_floor.zones_run import zones_run

MODULE = sys.modules[zones_chart.__module__]


def trace_of(chart, meta):
    return next(trace for trace in chart.figure.data if trace.meta == meta)


def boxes(trace):
    """Left, right, low, high of each closed box of a trace."""
    x, y = (np.array([np.nan if v is None else v for v in values]) for values in (trace.x, trace.y))
    starts = [0, *(np.flatnonzero(np.isnan(x)) + 1)]
    parts = [(x[n : n + 5], y[n : n + 5]) for n in starts]
    return [(min(a), max(a), min(b), max(b)) for a, b in parts]


@pytest.fixture(scope="module")
def chart(zones):
    return zones_chart(zones, "A")


def test_levels_lie_over_their_zones(chart, zones):
    x, y = trace_of(chart, "levels").x, trace_of(chart, "levels").y
    one, two = (zones.zone(name) for name in ("AZ1", "AZ2"))
    assert (x[0], x[2], y[0]) == (one.from_mm, one.to_mm, one.base_top_mm)
    assert (x[4], x[6], y[4]) == (two.from_mm, two.to_mm, two.base_top_mm)


def test_every_back_stack_stands_from_floor_to_underside(chart, zones):
    drawn = boxes(trace_of(chart, "stacks"))
    second = zones.zone("AZ2").answer
    back = second.supports[second.supports["bearer"].str.startswith("B")]
    count = sum(
        one.answer.supports["bearer"].str.startswith("B").sum()
        for one in zones.zones
        if one.run == "A"
    )
    assert len(drawn) == count
    own = drawn[-len(back) :]
    # The second zone begins 2100 mm along the run.
    middles = [(left + right) / 2 for left, right, _, _ in own]
    np.testing.assert_allclose(middles, np.sort(back["own_x_mm"]) + 2100.0, atol=1e-6)
    lows = [low for _, _, low, _ in own]
    order = np.argsort(back["own_x_mm"].to_numpy())
    np.testing.assert_allclose(lows, back["floor_mm"].to_numpy()[order], atol=1e-6)
    # A stack meets the bearer to the tolerance of the base.
    np.testing.assert_allclose([high for *_, high in own], second.datum.datum_mm, atol=0.5)


def test_bearers_stop_at_the_movement_joint(chart):
    (_, end, low, high), (start, *_), _ = boxes(trace_of(chart, "bearers"))
    assert (end, start) == (1280.0, 1320.0)  # 20 mm clear of 1300 on both sides
    assert high - low == pytest.approx(22.0)
    joint = trace_of(chart, "movement joint")
    assert joint.x[:2] == (1300.0, 1300.0)
    assert joint.hovertext[0] == "J1"


def test_the_floor_jumps_at_its_step(chart, stalls):
    floor = trace_of(chart, "floor")
    x, z = np.array(floor.x, dtype=float), np.array(floor.y, dtype=float)
    at = int(np.searchsorted(x, 2050.0))
    row = zones_row(stalls)
    # Heights of the made floor, to a tenth: readings have 0.1 mm of doubt.
    assert z[at - 1] == pytest.approx(-0.001 * 2049 - 0.002 * row, abs=0.1)
    assert z[-1] == pytest.approx(-150 - 0.001 * 4800 - 0.002 * row, abs=0.1)
    assert z[at - 1] - z[at + 1] > 149
    assert trace_of(chart, "step of the floor").x[0] == 2050.0
    band = trace_of(chart, "doubt")
    assert max(v for v in band.y if v is not None) > np.nanmax(z)


def zones_row(stalls):
    """Distance of the back row's middle from the wall: set back 45 mm, 45 mm wide."""
    base = stalls[0].bases[0]
    return base.back_mm + base.bearer.width_mm / 2


def test_a_step_is_drawn_from_top_to_top_and_written(chart, zones):
    (step,) = zones.steps
    drawn = trace_of(chart, "steps")
    assert drawn.x[:2] == (step.at_mm, step.at_mm)
    assert drawn.y[1] - drawn.y[0] == pytest.approx(step.step_mm)
    texts = [note.text for note in chart.figure.layout.annotations]
    assert f"<b>down {-step.step_mm:.1f}</b>" in texts
    assert "<b>AZ1: 29.9</b>" in texts


def test_one_level_that_cannot_be_is_dashed_at_the_least_that_is_allowed(chart, zones):
    line = trace_of(chart, "one level")
    high = max(zone.answer.high_point.height_mm for zone in zones.zones if zone.run == "A")
    assert line.y[0] == pytest.approx(high + 30.0)  # the base's least height
    assert line.line.dash == "dash"
    assert "cannot be" in chart.figure.layout.title.text


def test_one_level_that_can_be_is_that_of_the_menu(stalls):
    job, survey = stalls
    alone = job.model_copy(update={"runs": job.runs[1:]})
    two = part_into_zones(alone, survey, zones=2)
    one = part_into_zones(alone, survey, zones=1)
    top = zones_run(two, "B").single.top_mm
    assert top == pytest.approx(one.zones[0].base_top_mm, abs=1e-6)
    assert zones_run(two, "B").single.why_not == ""
    assert trace_of(zones_chart(two, "B"), "one level").y == (top, top)
    # Of one zone there is nothing to compare it with.
    assert not trace_of(zones_chart(one, "B"), "one level").x


def test_what_lies_beside_a_run_is_not_drawn_in_it(zones):
    assert not trace_of(zones_chart(zones, "B"), "step of the floor").x
    assert not trace_of(zones_chart(zones, "B"), "movement joint").x


def test_inches_on_both_axes(zones):
    inch = dataclasses.replace(zones, job=zones.job.model_copy(update={"units": "in"}))
    drawn, plain = zones_chart(inch, "A"), zones_chart(zones, "A")
    top = trace_of(plain, "levels").y[0]
    assert trace_of(drawn, "levels").y[0] == pytest.approx(top / 25.4)
    assert drawn.figure.layout.yaxis.title.text == "height [in], drawn larger"
    assert drawn.figure.layout.yaxis.range[0] == pytest.approx(
        plain.figure.layout.yaxis.range[0] / 25.4
    )
    assert "<b>AZ1: 1 3/16</b>" in [note.text for note in drawn.figure.layout.annotations]


def letter_boxes(chart, length_mm):
    """Left, right, low, high of the letters on a narrow page, those above and those below."""
    found = []
    for note in chart.figure.layout.annotations:
        text = re.sub("<[^>]*>", "", note.text).replace("&lt;", "<").replace("&gt;", ">")
        text = text.replace("&#36;", "$")
        # 0.62 of their size is what a letter of a wide face takes.
        wide, tall = 0.62 * LETTERS_PX * len(text), LINE_PX - 2
        wide, tall = (tall, wide) if note.textangle else (wide, tall)
        x = note.x / length_mm * NARROW_PX
        low = note.yshift + 1000 * note.y
        found.append((text, x - wide / 2, x + wide / 2, low, low + tall))
    return found


@pytest.mark.parametrize("times", [1, 4, 40])
def test_letters_never_lie_on_letters(zones, times, monkeypatch):
    # A run that is drawn so many times smaller has its units and zones so much closer together.
    monkeypatch.setattr(MODULE, "NARROW_PX", NARROW_PX / times)
    chart = zones_chart(zones, "A")
    placed = letter_boxes(chart, 4800.0 * times)
    assert len(placed) >= 4
    for number, (text, left, right, low, high) in enumerate(placed):
        for other, its_left, its_right, its_low, its_high in placed[number + 1 :]:
            across = min(right, its_right) - max(left, its_left)
            up = min(high, its_high) - max(low, its_low)
            assert across <= 0 or up <= 0, (text, other)


def test_narrow_units_have_upright_names_and_very_narrow_ones_not_all(zones, monkeypatch):
    angles = {n.textangle for n in zones_chart(zones, "A").figure.layout.annotations if n.name}
    assert angles == {0}
    monkeypatch.setattr(MODULE, "NARROW_PX", 200.0)
    names = [n for n in zones_chart(zones, "A").figure.layout.annotations if n.name]
    assert {n.textangle for n in names} == {-90}
    assert len(names) == 7
    monkeypatch.setattr(MODULE, "NARROW_PX", 60.0)
    few = [n.text for n in zones_chart(zones, "A").figure.layout.annotations if n.name]
    assert few[0] == "stall 1"
    assert 2 <= len(few) < 7


def test_names_are_shown_as_typed(zones):
    texts = [note.text for note in zones_chart(zones, "B").figure.layout.annotations]
    assert "till &#36;1&#36; &lt;b&gt;" in texts
