"""Strength classes and the factors between characteristic and design values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Refusal
from kit.strength.timber import (
    GAMMA_M,
    KH_MOST,
    design_strength,
    kdef,
    kh,
    kmod,
    psi2,
    timber_class,
)

ORDER = ("permanent", "long", "medium", "short", "instantaneous")


@pytest.mark.parametrize("name", ["C18", "c16", "", "GL24h"])
def test_a_class_that_is_not_in_the_table_is_refused(name):
    with pytest.raises(Refusal, match="C16 or C24"):
        timber_class(name)


@pytest.mark.parametrize("service_class", [1, 2, 3])
def test_the_shorter_the_load_the_stronger_the_timber(service_class):
    values = [kmod(service_class, duration) for duration in ORDER]
    assert values == sorted(values)
    assert len(set(values)) == len(ORDER)


@pytest.mark.parametrize("duration", ORDER)
def test_timber_in_the_open_is_weaker_and_creeps_more(duration):
    assert kmod(3, duration) < kmod(2, duration) == kmod(1, duration)
    assert kdef(1) < kdef(2) < kdef(3)


@pytest.mark.parametrize("service_class", [0, 4, -1])
def test_another_service_class_is_refused(service_class):
    with pytest.raises(Refusal, match="1, 2 or 3"):
        kmod(service_class, "long")
    with pytest.raises(Refusal, match="1, 2 or 3"):
        kdef(service_class)


def test_another_duration_or_use_is_refused():
    with pytest.raises(Refusal, match="permanent, long"):
        kmod(1, "weeks")
    with pytest.raises(Refusal, match="stored or rooms"):
        psi2("snow")


def test_the_shares_that_creep():
    assert (psi2("stored"), psi2("rooms")) == (0.8, 0.3)


@pytest.mark.parametrize(
    ("depth_mm", "expected"),
    [
        # By hand: (150/h)^0.2 through the fifth root. 4.6875 mm would give 2, 40.4 mm just 1.3.
        (150.0, 1.0),
        (225.0, 1.0),
        (149.999, 1.0000013),
        (95.0, 1.0956543),
        (40.399, 1.3),
        (20.0, 1.3),
    ],
)
def test_depth_factor(depth_mm, expected):
    assert kh(depth_mm) == pytest.approx(expected, abs=1e-7)  # as many figures as written


@given(st.floats(1.0, 149.0), st.floats(0.1, 50.0))
def test_depth_factor_never_grows_with_depth(depth_mm, more_mm):
    assert 1.0 <= kh(depth_mm + more_mm) <= kh(depth_mm) <= KH_MOST


@pytest.mark.parametrize("depth_mm", [0.0, -10.0, float("nan")])
def test_a_depth_that_is_none_is_refused(depth_mm):
    with pytest.raises(Refusal, match="depth"):
        kh(depth_mm)


def test_design_strength_takes_every_factor_once():
    assert design_strength(13.0, 0.7) == pytest.approx(7.0, rel=1e-15)  # 13 / 1.3 = 10
    assert design_strength(13.0, 0.7, factor=1.1) == pytest.approx(7.7, rel=1e-15)
    assert design_strength(GAMMA_M, 1.0) == pytest.approx(1.0, rel=1e-15)


@pytest.mark.parametrize(
    ("k", "modification", "factor"), [(0, 0.8, 1), (24, -0.8, 1), (24, 0.8, 0)]
)
def test_what_is_not_positive_is_refused(k, modification, factor):
    with pytest.raises(Refusal, match="more than 0"):
        design_strength(k, modification, factor=factor)
