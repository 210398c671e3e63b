"""All joists at once, against the same beams one by one."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.strength.beam import Beam, Loads
from kit.strength.joist_lines import JoistLines
from kit.strength.line import Line, held

EI, GA = 2.3e11, 3.7e6

# Spans of 0.4 to 5 m, and places of loads as shares of the whole, often on a bearing.
SPANS = st.lists(st.floats(400.0, 5000.0), min_size=1, max_size=4)
SHARES = st.lists(st.sampled_from([0.0, 1.0]) | st.floats(0.0, 1.0), min_size=1, max_size=5)
FORCES = st.lists(st.floats(0.0, 5000.0), min_size=10, max_size=10)


def beam_over(spans: list[float], start: float = -130.0, ga: float = GA) -> Beam:
    places = tuple((start + np.cumsum([0.0, *spans])).tolist())
    return Beam(places, places[0], places[-1], EI, ga)


def case(spans, shares, forces) -> tuple[JoistLines, np.ndarray, list[Line]]:
    """Two joists under loads at the same places, and the lines that they bend to."""
    beam = beam_over(spans)
    first, last = beam.supports_mm[0], beam.supports_mm[-1]
    places = np.unique([min(first + share * (last - first), last) for share in shares])
    loads = np.array(forces).reshape(2, -1)[:, : len(places)]
    heights = np.zeros(len(beam.supports_mm))
    lines = [
        held(beam, Loads(tuple(zip(places.tolist(), each.tolist(), strict=True))), heights)
        for each in loads
    ]
    return JoistLines(beam, places), loads, lines


@given(spans=SPANS, shares=SHARES, forces=FORCES)
def test_sag_is_that_of_each_beam(spans, shares, forces) -> None:
    found, loads, lines = case(spans, shares, forces)
    at = np.linspace(found.bearings_mm[0], found.bearings_mm[-1], 37)
    for sags, line in zip(loads @ found.sag_mm(at).T, lines, strict=True):
        # 5 kN on these beams is some 10 mm: cubes of 20 m in round-off are far below 1e-7 mm.
        assert sags == pytest.approx(-line.height_mm(at), abs=1e-7)


@given(spans=SPANS, shares=SHARES, forces=FORCES)
def test_deepest_is_the_deepest(spans, shares, forces) -> None:
    found, loads, lines = case(spans, shares, forces)
    at = np.linspace(found.bearings_mm[0], found.bearings_mm[-1], 801)
    number = np.clip(np.searchsorted(found.bearings_mm, at, side="right") - 1, 0, len(spans) - 1)
    for deepest, line in zip(found.deepest(loads), lines, strict=True):
        sags = -line.height_mm(at)
        assert deepest.sag_mm >= sags.max() - 1e-7  # round-off, as above
        assert deepest.sag_mm == pytest.approx(-float(line.height_mm(deepest.at_mm)), abs=1e-7)
        share = deepest.span_sag_mm / deepest.span_mm
        assert share >= (np.abs(sags) / np.diff(found.bearings_mm)[number]).max() - 1e-9
        assert min(abs(deepest.span_mm - span) for span in spans) < 1e-9  # sums of spans


@given(spans=SPANS, shares=SHARES, forces=FORCES, each=st.sampled_from([0.0, 0.3, 2.1]))
def test_moment_and_shear_are_those_of_each_beam(spans, shares, forces, each) -> None:
    found, loads, lines = case(spans, shares, forces)
    moments, shears = found.greatest(loads, each)
    first, last = found.bearings_mm[0], found.bearings_mm[-1]
    for moment, shear, line in zip(moments, shears, lines, strict=True):
        whole = line.loads + Loads(patches=((first, last, each),))
        alone = held(line.beam, whole, line.heights_mm)
        # Round-off: 1e-9 of 5 kN over 20 m, and of 25 kN.
        assert moment == pytest.approx(alone.greatest_moment_n_mm, rel=1e-9, abs=0.1)
        assert shear == pytest.approx(alone.greatest_shear_n, rel=1e-9, abs=3e-5)


@given(
    spans=SPANS,
    shares=SHARES,
    forces=FORCES,
    each=st.lists(st.sampled_from([0.0, 0.4, 2.3]), min_size=4, max_size=4),
)
def test_even_loads_span_by_span(spans, shares, forces, each) -> None:
    found, loads, lines = case(spans, shares, forces)
    places, each = found.bearings_mm.tolist(), each[: len(spans)]
    moments, shears = found.greatest(loads, each)
    for moment, shear, line in zip(moments, shears, lines, strict=True):
        patches = tuple(zip(places, places[1:], each, strict=False))
        alone = held(line.beam, line.loads + Loads(patches=patches), line.heights_mm)
        # Round-off, as above.
        assert moment == pytest.approx(alone.greatest_moment_n_mm, rel=1e-9, abs=0.1)
        assert shear == pytest.approx(alone.greatest_shear_n, rel=1e-9, abs=3e-5)


@given(spans=SPANS, shares=SHARES)
def test_maxwell_and_no_lift_under_a_load(spans, shares) -> None:
    found, _, _ = case(spans, shares, [1.0] * 10)
    under = found.sag_mm(found.places_mm)
    greatest = max(float(np.abs(under).max()), 1e-9)
    # What one newton at a does at b is what one at b does at a (reciprocity of work).
    assert under == pytest.approx(under.T, abs=1e-8 * greatest + 1e-12)
    assert (np.diag(under) >= -1e-12).all()


@given(spans=SPANS, shares=SHARES)
def test_bearings_carry_all_and_hold_the_line(spans, shares) -> None:
    found, _, _ = case(spans, shares, [1.0] * 10)
    points, even = np.split(found.reactions, [len(found.places_mm)], axis=1)
    assert points.sum(axis=0) == pytest.approx(1.0, rel=1e-9)
    assert even.sum(axis=0) == pytest.approx(spans, rel=1e-9)
    # A newton sags a beam of 20 m by less than 1 mm: round-off.
    assert found.sag_mm(found.bearings_mm) == pytest.approx(0.0, abs=1e-9)


def test_a_kink_by_shear_may_be_the_lowest_place() -> None:
    """Soft in shear: the lowest place lies right under the load, and not where bending has it."""
    beam = beam_over([2000.0], start=0.0, ga=2e4)
    (found,) = JoistLines(beam, np.array([500.0])).deepest(np.array([[100.0]]))
    assert found.at_mm == 500.0
    by_shear = 100.0 * 500.0 * 1500.0 / 2000.0 / 2e4
    by_bending = 100.0 * (500.0 * 1500.0) ** 2 / (3 * EI * 2000.0)
    assert found.sag_mm == pytest.approx(by_shear + by_bending, rel=1e-9)  # closed form


def test_the_shorter_span_may_be_the_worse_one() -> None:
    """A load in the long span lifts the short one next to it by more of its span."""
    beam = beam_over([800.0, 4000.0], start=0.0, ga=math.inf)
    at = np.array([400.0, 4700.0])
    (found,) = JoistLines(beam, at).deepest(np.array([[9000.0, 100.0]]))
    assert (found.span_mm, found.at_mm < 800.0) == (800.0, True)
    (other,) = JoistLines(beam, at).deepest(np.array([[100.0, 9000.0]]))
    assert other.span_mm == 4000.0


def test_loads_on_bearings_alone_bend_nothing() -> None:
    beam = beam_over([1500.0, 2100.0], start=0.0)
    lines = JoistLines(beam, np.array([0.0, 1500.0, 3600.0]))
    (found,) = lines.deepest(np.array([[700.0, 900.0, 300.0]]))
    assert found.sag_mm == pytest.approx(0.0, abs=1e-9)  # round-off
    moment, shear = lines.greatest(np.array([[700.0, 900.0, 300.0]]), 0.0)
    assert (moment[0], shear[0]) == pytest.approx((0.0, 0.0), abs=1e-6)


def test_no_loads_at_all() -> None:
    lines = JoistLines(beam_over([3000.0], start=0.0), np.array([]))
    assert [each.sag_mm for each in lines.deepest(np.zeros((2, 0)))] == [0.0, 0.0]
    moment, shear = lines.greatest(np.zeros((1, 0)), 0.8)
    # q l²/8 and q l/2.
    assert (moment[0], shear[0]) == pytest.approx((0.8 * 3000.0**2 / 8, 1200.0))
