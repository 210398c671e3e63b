"""What is drawn is what was computed: packers at their places, to scale, on their floor."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kit.job import Refusal
from kit.show.elevation import elevation, elevations
from kit.show.scale import ENLARGEMENTS, PAGE, scale_of
from kit.show.section import run_length_mm, sections

#: Drawn figures are the computed ones; only sums of a few floats lie between them [mm].
SUM_MM = 1e-9


def traces(figure: Any, kind: str, axis: str = "x") -> list[Any]:
    return [t for t in figure.data if str(t.meta).startswith(kind) and t.xaxis == axis]


def slabs(figure: Any, axis: str) -> list[tuple[float, float, float]]:
    """Return x, bottom and thickness of every packer drawn in one row."""
    return [
        (float(x), float(low), float(thick))
        for trace in traces(figure, "packers", axis)
        for x, low, thick in zip(trace.x, trace.base, trace.y, strict=True)
    ]


def test_packers_fill_each_stack_without_a_gap_at_its_place(answer: Any) -> None:
    figure = elevations(answer).figure
    built = answer.stacks.groupby("support")["thickness_mm"].sum()
    for axis, bearer in (("x", "B"), ("x2", "F")):
        drawn = slabs(figure, axis)
        on = answer.supports[answer.supports["bearer"] == bearer]
        assert {x for x, _, _ in drawn} == set(on["own_x_mm"])
        for name, x, floor in zip(on["support"], on["own_x_mm"], on["floor_mm"], strict=True):
            stack = sorted((low, thick) for at, low, thick in drawn if at == x)
            assert stack[0][0] == pytest.approx(floor, abs=SUM_MM)
            assert sum(thick for _, thick in stack) == pytest.approx(built[name], abs=SUM_MM)
            tops = [low + thick for low, thick in stack]
            assert tops[:-1] == pytest.approx([low for low, _ in stack[1:]], abs=SUM_MM)


def test_packers_lie_in_the_order_of_the_stack(answer: Any) -> None:
    figure = elevation(answer, "F").figure
    first = answer.supports[answer.supports["bearer"] == "F"].iloc[0]
    drawn = sorted((low, thick) for x, low, thick in slabs(figure, "x") if x == first["own_x_mm"])
    listed = answer.stacks[answer.stacks["support"] == first["support"]].sort_values("position")
    assert [thick for _, thick in drawn] == list(listed["thickness_mm"])


def test_bearer_lies_on_the_datum_with_its_pieces_end_to_end(answer: Any) -> None:
    (bearer,) = traces(elevation(answer, "B").figure, "bearer")
    assert list(bearer.base) == [answer.datum.datum_mm] * len(bearer.x)
    assert np.add(bearer.base, bearer.y) == pytest.approx(answer.datum.base_top_mm, abs=SUM_MM)
    assert sum(bearer.width) == pytest.approx(run_length_mm(answer, "A"), abs=SUM_MM)


def test_units_stand_on_the_base_at_their_places_with_sides_and_divisions(answer: Any) -> None:
    figure = elevation(answer, "B").figure
    (panels,) = traces(figure, "panels")
    edges = [x for x in panels.x if x is not None]
    corners = [edges[5 * n : 5 * n + 2] for n in range(5)]
    assert corners == [[0, 18], [301, 319], [782, 800], [800, 822], [1878, 1900]]
    assert min(y for y in panels.y if y is not None) == answer.datum.base_top_mm
    assert "cheese" in " ".join(str(a.text) for a in figure.layout.annotations)


def test_every_stack_tells_its_name_and_height(answer: Any) -> None:
    figure = elevation(answer, "B").figure
    (names,), (heights,) = traces(figure, "stack names"), traces(figure, "stack heights")
    built = answer.stacks.groupby("support")["thickness_mm"].sum()
    on = answer.layout.on_bearer("B")["support"]
    for name, text, height in zip(on, names.text, heights.text, strict=True):
        assert text.endswith(name)
        assert height.endswith(f"{built[name]:.1f}")


def test_doubt_band_is_two_standard_deviations_wide(answer: Any) -> None:
    part = sections(answer, "A")[0]
    figure = elevation(answer, "B").figure
    (band,) = traces(figure, "doubt")
    x, y = np.array(band.x, float), np.array(band.y, float)
    middle = len(part.profile.x_mm) // 2
    at = part.profile.x_mm[middle]
    drawn = np.ptp(y[np.isclose(x, at)])
    assert drawn == pytest.approx(4 * part.profile.sd_mm[middle], abs=1e-6)  # drawn as floats
    assert "±2 standard deviations" in figure.layout.title.text


def test_enlargement_is_drawn_as_it_is_said(answer: Any) -> None:
    figure = elevations(answer).figure
    ratio = figure.layout.yaxis.scaleratio
    assert ratio in ENLARGEMENTS
    assert ratio == figure.layout.yaxis2.scaleratio
    words = figure.layout.title.text.replace("<br>", " ")
    assert f"drawn {ratio} times larger than lengths" in words
    assert figure.layout.yaxis.scaleanchor == "x"


def test_largest_enlargement_that_fits_is_taken(answer: Any) -> None:
    parts = sections(answer, "A")
    taken = scale_of(parts, 1900.0, answer.datum.base_top_mm, PAGE)
    assert taken.plot_px <= PAGE.tall_px
    assert taken.low_mm < min(part.profile.lowest_mm for part in parts)
    assert taken.high_mm > answer.datum.base_top_mm


def test_no_go_area_high_point_and_plinth_are_drawn_where_they_are(answer: Any) -> None:
    figure = elevations(answer).figure
    (area,) = traces(figure, "no-go", "x")
    assert (area.x[0], area.width[0]) == (1320.0, 140.0)
    assert not traces(figure, "no-go", "x2")
    marks = [t for axis in ("x", "x2") for t in traces(figure, "high point", axis) if len(t.x)]
    assert [(m.x[0], m.y[0]) for m in marks] == [
        pytest.approx((answer.high_point.x_mm, answer.high_point.height_mm))
    ]
    (plinth,) = [t for t in traces(figure, "plinth", "x2") if len(t.x)]
    assert plinth.y[0] == pytest.approx(answer.datum.base_top_mm - 80)


def test_each_kind_is_named_once_in_the_legend(answer: Any) -> None:
    named = [t.name for t in elevations(answer).figure.data if t.showlegend]
    assert len(named) == len(set(named))
    assert {"floor", "bearer", "packer 3 mm", "packer 18 mm (is 17.8)"} <= set(named)


def test_a_bearer_or_run_that_is_not_there_is_refused_by_name(answer: Any) -> None:
    with pytest.raises(Refusal, match="'B', 'F'"):
        elevation(answer, "Z9")
    with pytest.raises(Refusal, match="'A'"):
        elevations(answer, "C")


def test_levels_are_lettered_inside_the_axis_where_they_are_not_hidden(answer: Any) -> None:
    figure = elevation(answer, "B").figure
    (levels,) = traces(figure, "levels")
    lettered = {
        text.strip(): (x, y)
        for text, x, y in zip(*(levels[k] for k in ("text", "x", "y")), strict=True)
        if text
    }
    top, under = answer.datum.base_top_mm, answer.datum.datum_mm
    assert lettered[f"base top {top:.1f}"][1] == top
    assert lettered[f"underside {under:.1f}"][1] == under
    assert all(x < figure.layout.xaxis.range[1] for x, _ in lettered.values())
