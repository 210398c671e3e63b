"""The survey from above: lines by what is shared, names clear of each other."""

from pathlib import Path

import pytest

import kit
from kit.answer import survey_floor
from kit.show.large_floor.network import network
from kit.show.large_floor.network_chart import network_chart

HALL = Path(__file__).parents[3] / "data" / "market-hall"


@pytest.fixture(scope="module")
def net(four_setups):
    return network(four_setups[1])


def trace_of(chart, meta):
    return next(trace for trace in chart.figure.data if trace.meta == meta)


def test_the_picture_tells_ties_by_their_lines(four_setups, net):
    chart = network_chart(four_setups[1], four_setups[0])
    s1, s2 = net.setups["S1"], net.setups["S2"]
    strong = trace_of(chart, "3 points or more shared")
    assert strong.x == (s1[0], s2[0], None)
    assert strong.y == (s1[1], s2[1], None)
    assert trace_of(chart, "2 points shared").x[:2] == (s2[0], net.setups["S-3"][0])
    assert strong.line.width > trace_of(chart, "2 points shared").line.width
    # The one shared point is a weak tie, drawn through that point and named.
    assert not trace_of(chart, "1 point shared").x
    weak = trace_of(chart, "weak ties")
    assert weak.line.dash == "6px,4px"
    rings = trace_of(chart, "tie points")
    assert (rings.x, rings.y) == ((9000.0,), (2500.0,))
    assert (9000.0, 2500.0) in list(zip(weak.x, weak.y, strict=True))
    names = [note.text for note in chart.figure.layout.annotations]
    assert names == ["<b>S1</b>", "<b>S2</b>", "<b>S-3</b>", "<b>S4</b>", "<b>A-4</b>"]
    number = trace_of(chart, "round numbers")
    assert number.text == ("<b>1</b>",)
    assert (number.x[0], number.y[0]) == pytest.approx(net.middle(net.beyond[0]))
    assert trace_of(chart, "rounds").x[-2] is not None
    assert "1 of 3 rounds is further out" in chart.figure.layout.title.text.replace("<br>", " ")


def test_every_point_and_set_up_is_there(four_setups):
    chart = network_chart(four_setups[1], four_setups[0])
    assert len(trace_of(chart, "points").x) == 8
    assert len(trace_of(chart, "set-ups").x) == 4
    front, back = chart.figure.layout.yaxis.range
    assert front > 5200  # of A-7, the farthest from the wall
    assert back < 0  # the wall is at the top


def test_names_of_two_dozen_set_ups_lie_on_nothing_that_must_be_read():
    job = kit.read_job(HALL)
    heights = survey_floor(job).heights
    chart = network_chart(heights, job)
    notes = chart.figure.layout.annotations
    # Set-ups, the point that one of them hangs on, the step of the floor, the excluded area.
    assert len(notes) == 24 + 1 + len(job.floor_steps) + len(job.excluded)
    left, right = chart.figure.layout.xaxis.range
    front, back = chart.figure.layout.yaxis.range
    # On a page of 800 px the drawing has 560 px, and both ways of the plan one scale.
    drawn = chart.figure.layout
    tall = drawn.height - drawn.margin.t - drawn.margin.b
    scale = min(560.0 / (right - left), tall / (front - back))
    boxes = [_box(note, (left, back), scale) for note in notes]
    marks = trace_of(chart, "set-ups")
    for x, y in zip(marks.x, marks.y, strict=True):
        at_x, at_y = scale * (x - left), scale * (y - back)
        assert 0 <= at_y <= tall
        boxes.append((at_x - 6, at_x + 6, at_y - 6, at_y + 6))
    for number, one in enumerate(boxes[: len(notes)]):
        for other in boxes[number + 1 :]:
            across = min(one[1], other[1]) - max(one[0], other[0])
            down = min(one[3], other[3]) - max(one[2], other[2])
            assert across <= 0 or down <= 0


def _box(note, corner, scale):
    """Left, right, top, bottom of a name [px]: 11 px letters, 0.6 of that wide in bold."""
    dx, dy = (note.ax, note.ay) if note.showarrow else (note.xshift, -note.yshift)
    x, y = scale * (note.x - corner[0]) + dx, scale * (note.y - corner[1]) + dy
    half = 0.6 * 11 * len(note.text.removeprefix("<b>").removesuffix("</b>")) / 2
    x += {"left": half, "right": -half}.get(note.xanchor, 0.0)
    y -= 5.5 if note.yanchor == "bottom" else 0.0
    return x - half, x + half, y - 5.5, y + 5.5
