"""Stress of the joists: by hand, one combination after the other."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Joists
from kit.strength.beam import Loads
from kit.strength.joist_lines import JoistLines
from kit.strength.joist_stress import arrangements, governing
from kit.strength.joists import beam_of
from kit.strength.line import held

SPAN, AT = 3300.0, 1200.0


def joists(dead: float = 0.0, imposed: float = 0.0, depth: float = 170.0) -> Joists:
    return Joists(
        along="x",
        width_mm=45.0,
        depth_mm=depth,
        centres_mm=350.0,
        first_mm=0.0,
        bearing_mm=(0.0, SPAN),
        strength_class="C24",
        dead_kn_per_m2=dead,
        imposed_kn_per_m2=imposed,
    )


def found(of: Joists, service_class: int, *forces: tuple[float, float, float]):
    """Governing bending and shear of joists, each under (permanent, stored, people) at AT."""
    lines = JoistLines(beam_of(of), np.array([AT]))
    return governing(of, service_class, lines, np.array(forces).T[:, :, None])


def by_hand(force: float, factor: float, depth: float = 170.0) -> tuple[float, float]:
    """Ratios under one design force: W = b h²/6, f_m 24, f_v 4, kcr 0.67, gammaM 1.3, ksys 1.1."""
    moment, shear = force * AT * (SPAN - AT) / SPAN, force * (SPAN - AT) / SPAN
    bending = moment / (45 * depth**2 / 6) / (24 * factor * 1.1 / 1.3)
    return bending, 1.5 * shear / (0.67 * 45 * depth) / (4 * factor * 1.1 / 1.3)


@pytest.mark.parametrize(
    ("forces", "design", "factor", "duration"),
    [
        # kmod .6, .7, .8 in service classes 1 and 2.
        ((3000.0, 0.0, 0.0), 1.35 * 3000, 0.6, "permanent"),
        ((3000.0, 100.0, 0.0), 1.35 * 3000, 0.6, "permanent"),  # a little more, with more strength
        ((1000.0, 2500.0, 0.0), 1.35 * 1000 + 1.5 * 2500, 0.7, "long"),
        ((1000.0, 2500.0, 200.0), 1.35 * 1000 + 1.5 * 2500, 0.7, "long"),
        ((1000.0, 2500.0, 900.0), 1.35 * 1000 + 1.5 * 3400, 0.8, "medium"),
        ((500.0, 0.0, 1800.0), 1.35 * 500 + 1.5 * 1800, 0.8, "medium"),
    ],
)
def test_the_combination_that_governs(forces, design, factor, duration) -> None:
    ((bending, shear),) = found(joists(), 2, forces)
    assert (bending.ratio, shear.ratio) == pytest.approx(by_hand(design, factor), rel=1e-9)
    assert (bending.duration, bending.kmod) == (duration, factor)
    assert (shear.duration, shear.kmod) == (duration, factor)


def test_service_class_3_is_weaker() -> None:
    ((bending, shear),) = found(joists(), 3, (1000.0, 2500.0, 0.0))
    expected = by_hand(1.35 * 1000 + 1.5 * 2500, 0.55)
    assert (bending.ratio, shear.ratio) == pytest.approx(expected, rel=1e-9)


def test_floor_and_its_use_lie_all_along() -> None:
    """A stack in the way of nothing: q = 0.35 m (1.35 dead + 1.5 imposed)."""
    ((bending, shear),) = found(joists(0.6, 1.9), 1, (0.0, 0.0, 0.0))
    each = 0.35 * (1.35 * 0.6 + 1.5 * 1.9)
    stress = each * SPAN**2 / 8 / (45 * 170**2 / 6)
    assert bending.ratio == pytest.approx(stress / (24 * 0.8 * 1.1 / 1.3), rel=1e-9)
    stress = 1.5 * each * SPAN / 2 / (0.67 * 45 * 170)
    assert shear.ratio == pytest.approx(stress / (4 * 0.8 * 1.1 / 1.3), rel=1e-9)


def test_own_weight_of_the_floor_goes_with_stored_contents() -> None:
    """Long-term: both greatest moments do not meet, so the joist is cut at the stack by hand."""
    ((bending, _),) = found(joists(0.9), 1, (0.0, 6000.0, 0.0))
    each, force = 1.35 * 0.9 * 0.35, 1.5 * 6000.0
    left = force * (SPAN - AT) / SPAN + each * SPAN / 2
    assert left - each * AT > 0 > left - each * AT - force  # shear changes sign at the stack
    stress = (left * AT - each * AT**2 / 2) / (45 * 170**2 / 6)
    assert bending.duration == "long"
    assert bending.ratio == pytest.approx(stress / (24 * 0.7 * 1.1 / 1.3), rel=1e-9)


def test_a_shallow_joist_is_stronger_by_its_depth() -> None:
    ((bending, _),) = found(joists(depth=120.0), 1, (3000.0, 0.0, 0.0))
    plain, _ = by_hand(1.35 * 3000, 0.6, depth=120.0)
    assert bending.ratio == pytest.approx(plain / (150 / 120) ** 0.2, rel=1e-9)  # eq. (3.1)


def test_arrangements_of_one_to_four_spans() -> None:
    assert arrangements(1).tolist() == [[1]]
    assert arrangements(2).tolist() == [[0, 1], [1, 0], [1, 1]]
    rows = {"".join(str(int(on)) for on in row) for row in arrangements(4)}
    assert rows == {"1111", "1010", "0101", "1100", "0110", "0011"}


@given(
    spans=st.lists(st.floats(900.0, 4000.0), min_size=1, max_size=4),
    share=st.floats(0.0, 1.0),
    force=st.floats(0.0, 4000.0),
)
def test_the_worst_arrangement_governs(spans, share, force) -> None:
    """Each arrangement laid on the beam by itself: its use in part, with and without furniture."""
    bearings = tuple(np.cumsum([0.0, *spans]).tolist())
    many = joists(0.6, 1.9).model_copy(update={"bearing_mm": bearings})
    at, beam = share * bearings[-1], beam_of(many)
    lines = JoistLines(beam, np.array([at]))
    ((bending, shear),) = governing(many, 1, lines, np.array([0.0, 0.0, force])[:, None, None])
    moments, shears = [], []
    for row, there in product(arrangements(len(spans)), (1.0, 0.0)):
        each = 0.35 * (1.35 * 0.6 + 1.5 * 1.9 * row)
        patches = tuple(zip(bearings, bearings[1:], each.tolist(), strict=False))
        line = held(beam, Loads(((at, 1.5 * there * force),), patches), np.zeros(len(bearings)))
        moments.append(line.greatest_moment_n_mm)
        shears.append(line.greatest_shear_n)
    stress = max(moments) / (45 * 170**2 / 6) / (24 * 0.8 * 1.1 / 1.3)
    # Round-off; the floor's own load sees to it that there is always something to bend.
    assert bending.ratio == pytest.approx(stress, rel=1e-7)
    stress = 1.5 * max(shears) / (0.67 * 45 * 170) / (4 * 0.8 * 1.1 / 1.3)
    assert shear.ratio == pytest.approx(stress, rel=1e-7)


def test_furniture_that_relieves_a_span_is_left_out() -> None:
    """A stack in the short middle span lifts the long ones beside it: it may not be there."""
    bearings = (0.0, 3000.0, 4100.0, 7100.0)
    three = joists(0.5, 1.5).model_copy(update={"bearing_mm": bearings})
    lines = JoistLines(beam_of(three), np.array([3550.0]))
    for group in range(3):
        forces = np.zeros((3, 1, 1))
        ((empty, _),) = governing(three, 1, lines, forces)
        forces[group] = 1500.0
        ((loaded, _),) = governing(three, 1, lines, forces)
        assert loaded.ratio >= empty.ratio


def test_use_of_the_other_span_does_not_relieve_a_heavy_stack() -> None:
    """A stack in a long span: the imposed load on the short one would lift what it presses."""
    two = joists(0.0, 2.4).model_copy(update={"bearing_mm": (0.0, SPAN, SPAN + 2400.0)})
    lines = JoistLines(beam_of(two), np.array([AT]))
    forces = np.array([0.0, 0.0, 9000.0])[:, None, None]
    ((bending, _),) = governing(two, 1, lines, forces)
    each = 1.5 * 2.4 * 0.35
    whole, _ = lines.greatest(1.5 * forces[2], each)
    one, _ = lines.greatest(1.5 * forces[2], [each, 0.0])
    assert one[0] > 1.01 * whole[0]
    stress = one[0] / (45 * 170**2 / 6) / (24 * 0.8 * 1.1 / 1.3)
    assert bending.ratio == pytest.approx(stress, rel=1e-9)


def test_each_joist_has_its_own() -> None:
    pair = found(joists(), 1, (3000.0, 0.0, 0.0), (1000.0, 2500.0, 0.0))
    assert [bending.duration for bending, _ in pair] == ["permanent", "long"]
    assert pair[0][0].ratio != pair[1][0].ratio
