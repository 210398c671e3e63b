"""The floor map shows the residuals of the surface, and everything at its own place."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

import kit
from kit.ink.paint import HOLLOW_TO_HUMP, lightness
from kit.show.floor_map import LONG, Box, floor_map, residual_trace

DATA = Path(__file__).parents[2] / "data"


def trace(figure: Any, kind: str) -> Any:
    return next(t for t in figure.data if t.meta == kind)


@pytest.fixture
def figure(answer: Any) -> Any:
    return floor_map(answer.job, answer.survey, answer.ground).figure


def test_map_is_surface_less_plane_and_empty_where_not_surveyed(answer: Any) -> None:
    drawn = residual_trace(answer.survey, Box(-900, 2400, -200, 1300), "mm")
    z = np.array(drawn["z"], dtype=float)
    x, y = np.meshgrid(drawn["x"], drawn["y"])
    known = answer.surface.surveyed(x.ravel(), y.ravel()).reshape(z.shape)
    assert (np.isfinite(z) == known).all()
    assert not known.all()
    height = answer.surface.predict(x[known], y[known]).height_mm
    wanted = height - answer.plane.height_mm(x[known], y[known])
    assert z[known] == pytest.approx(wanted, abs=6e-5)  # sent with four decimals


def test_lightness_of_the_scale_rises_all_the_way() -> None:
    steps = [lightness(colour) for _, colour in HOLLOW_TO_HUMP]
    assert np.diff(steps).min() > 5  # steps that the eye tells apart in grey
    assert steps[0] > 50  # dark letters stay readable on the darkest tone


def test_lightness_agrees_with_published_values() -> None:
    # CIE L* of white, mid grey and pure blue in sRGB (from memory: 100, 53.59, 32.30).
    assert lightness("#ffffff") == pytest.approx(100.0, abs=0.01)
    assert lightness("#808080") == pytest.approx(53.59, abs=0.02)
    assert lightness("#0000ff") == pytest.approx(32.30, abs=0.02)


def test_readings_tell_name_height_doubt_and_residual(answer: Any, figure: Any) -> None:
    drawn = trace(figure, "readings")
    points = answer.heights.points
    assert list(drawn.x) == list(points["x_mm"])
    at = list(points["point"]).index("Q8")
    assert "Q8" in drawn.hovertext[at]
    assert f"{answer.plane.residual_mm[at]:+.2f}" in drawn.hovertext[at]


def test_packers_are_drawn_to_plan_size(answer: Any, figure: Any) -> None:
    drawn = trace(figure, "packers")
    x = list(drawn.x[:5])
    y = list(drawn.y[:5])
    first = answer.supports.iloc[0]
    assert (min(x) + max(x)) / 2 == pytest.approx(first["x_mm"])
    assert (max(x) - min(x), max(y) - min(y)) == pytest.approx(answer.layout.packer_size_mm)


def test_wall_is_on_top_and_lengths_are_equal(figure: Any) -> None:
    low, high = figure.layout.yaxis.range
    assert low > high
    left, right = figure.layout.xaxis.range
    long = right - left > LONG * (low - high)
    assert figure.layout.yaxis.scaleanchor == (None if long else "x")
    assert ("drawn larger" in figure.layout.yaxis.title.text) is long


def test_a_long_narrow_floor_is_drawn_deeper_than_it_is_and_says_so() -> None:
    for name, long in (("reading-room", True), ("boot-room", False)):
        answer = kit.solve(kit.read_job(DATA / name))
        axis = floor_map(answer.job, answer.survey, answer.ground).figure.layout.yaxis
        assert (axis.scaleanchor is None) is long
        assert ("drawn larger" in axis.title.text) is long


def test_marks_differ_in_shape_and_not_only_in_colour(answer: Any, figure: Any) -> None:
    kinds = ("high point", "rivals", "next reading", "readings")
    symbols = [trace(figure, kind).marker.symbol for kind in kinds]
    assert len(set(symbols)) == len(kinds)
    high = trace(figure, "high point")
    assert (high.x[0], high.y[0]) == (answer.high_point.x_mm, answer.high_point.y_mm)
    assert f"{answer.high_point.certainty:.0%} certain" in high.name


def test_service_is_dashed_and_hatched_area_has_its_corners(figure: Any) -> None:
    pipe = trace(figure, "service")
    assert pipe.line.dash == "dash"
    assert (pipe.x[0], pipe.x[-1], pipe.y[-1]) == (1700, 1750, 500)
    area = trace(figure, "no-go")
    assert area.fillpattern.shape == "x"
    assert (min(area.x), max(area.x), max(area.y)) == (1250, 1390, 120)


def test_floor_alone_needs_no_base(answer: Any) -> None:
    kinds = {t.meta for t in floor_map(answer.job, answer.survey).figure.data}
    assert "packers" not in kinds
    assert {"residuals", "readings"} <= kinds


def test_inches_are_shown_in_inches(answer: Any) -> None:
    job = answer.job.model_copy(update={"units": "in"})
    inches = floor_map(job, answer.survey, answer.ground).figure
    millimetres = floor_map(answer.job, answer.survey, answer.ground).figure
    ratio = trace(millimetres, "residuals").zmax / trace(inches, "residuals").zmax
    assert ratio == pytest.approx(25.4)
    assert "[in]" in inches.layout.xaxis.title.text
    assert "12" in inches.layout.xaxis.ticktext
