"""Screws of every step of a stack: lengths, points, limits and the reasons given."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.base.screws import (
    StackAt,
    choose_screws,
    screw_limit,
    steps_of,
)
from kit.job import Floor, NoGo, Packer, Refusal, Service, Stock

CLOSED_MM = 1e-9  # the limits are closed; sums of decimals miss by less


def floor(**change) -> Floor:
    return Floor(**{"kind": "boarded", "board_mm": 21.0, "reserve_mm": 2.0, **change})


def stock(*lengths: float, countersink: float = 1.0) -> Stock:
    return Stock(packers=(Packer(mm=18.0),), screws_mm=lengths, countersink_mm=countersink)


def stack(*thicknesses: float, name: str = "B1", x: float = 140.0, y: float = 67.5) -> StackAt:
    return StackAt(name, x, y, thicknesses)


FULL = stock(30.0, 40.0, 50.0, 70.0)


def rows(table):
    return list(
        table[["step", "length_mm", "point_below_floor_mm"]].itertuples(index=False, name=None)
    )


def test_columns_and_every_step_of_a_tall_stack():
    """24 + 1 + 12 + 18: through 24, through 12 and the thin 1, through 18, through the bearer."""
    table = choose_screws(floor(), FULL, 20.0, [stack(24.0, 1.0, 12.0, 18.0)])
    assert table.columns.tolist() == [
        "support", "step", "length_mm", "point_below_floor_mm", "limit_mm", "reason",
    ]  # fmt: skip
    assert rows(table) == [
        ("base", 40.0, 17.0),  # 40 + 1 - 24; 50 would reach 27
        ("pack", 50.0, 14.0),  # 50 + 1 - 37; passes 13 and bites 38
        ("pack", 70.0, 16.0),  # 70 + 1 - 55
        ("bearer", 70.0, -4.0),  # 70 + 1 - 75: ends above the floor
    ]
    assert table["limit_mm"].tolist() == [19.0] * 4
    assert "board of 21 mm less 2 mm in reserve" in table["reason"].iloc[0]


def test_stacks_keep_their_order_and_names():
    stacks = [stack(18.0, name="F2"), stack(6.0, name="B1")]
    table = choose_screws(floor(), FULL, 20.0, stacks)
    assert table["support"].tolist() == ["F2", "F2", "B1", "B1"]
    assert table["step"].tolist() == ["base", "bearer", "base", "bearer"]


def test_thin_packers_alone_have_no_base_screw():
    table = choose_screws(floor(), FULL, 20.0, [stack(3.0, 1.0)])
    assert rows(table) == [("bearer", 40.0, 17.0)]  # through 20 and 4 into the floor


def test_six_is_screwed_and_just_under_is_not():
    assert [s.name for s in steps_of(stack(6.0, 6.0), 0.0)] == ["base", "pack"]
    assert [s.name for s in steps_of(stack(6.0, 5.9), 0.0)] == ["base"]


def test_thin_packers_on_top_are_held_by_the_bearer_screw():
    table = choose_screws(floor(), FULL, 20.0, [stack(18.0, 3.0, 1.0)])
    assert table["step"].tolist() == ["base", "bearer"]
    assert rows(table)[1] == ("bearer", 50.0, 9.0)


def test_point_in_thin_packers_is_said():
    """Bearer 30, thin packers 5 + 5 + 5 on top: the bite of 12 reaches only two and a bit."""
    table = choose_screws(
        floor(services="no_fixings"), stock(43.0), 30.0, [stack(18.0, 5.0, 5.0, 5.0)]
    )
    assert "glue those beneath" in table["reason"].iloc[1]


@pytest.mark.parametrize(
    ("length", "bites"), [(25.0, True), (24.9, False), (36.0, True), (36.1, False)]
)
def test_base_screw_bites_eight_and_keeps_its_limit_both_closed(length, bites):
    """Packer 18, countersink 1: 8 mm of point at 25, limit 19 at 36."""
    table = choose_screws(floor(), stock(length), 20.0, [stack(18.0)])
    assert math.isfinite(table["length_mm"].iloc[0]) == bites


@pytest.mark.parametrize(("length", "bites"), [(29.0, True), (28.9, False)])
def test_pack_screw_bites_twelve(length, bites):
    """Through 15 + 3 (thin, beneath), countersink 1: 15 + 3 + 12 - 1 = 29."""
    table = choose_screws(floor(), stock(length), 20.0, [stack(18.0, 3.0, 15.0)])
    assert math.isfinite(table["length_mm"].iloc[1]) == bites


def test_what_is_missing_is_said_with_the_lengths_that_would_serve():
    table = choose_screws(floor(), stock(40.0, 50.0), 20.0, [stack(18.0)])
    assert math.isnan(table["length_mm"].iloc[0])
    assert math.isnan(table["point_below_floor_mm"].iloc[0])
    assert table["reason"].iloc[0] == (
        "none in stock: 25 to 36 mm would serve (board of 21 mm less 2 mm in reserve);"
        " in stock: 40, 50"
    )
    empty = choose_screws(floor(), stock(), 20.0, [stack(18.0)])
    assert empty["reason"].iloc[0].endswith("in stock: none")


def test_no_length_can_serve_is_said():
    table = choose_screws(floor(board_mm=9.0), FULL, 20.0, [stack(18.0)])
    assert "no length can serve" in table["reason"].iloc[0]
    assert "25 mm, and the limit leaves 24 mm" in table["reason"].iloc[0]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"services": "no_fixings"}, "bonded instead"),
        ({"kind": "solid", "board_mm": None}, "plugged fixing by the fitter's own choice"),
        ({"kind": "solid", "board_mm": None, "services": "no_fixings"}, "bonded instead"),
    ],
)
def test_nothing_enters_these_floors(given, words):
    """The bearer screw may bite through the stack, never into the floor."""
    stacks = [stack(18.0, 18.0), stack(24.0), stack(6.0)]
    table = choose_screws(floor(**given), FULL, 20.0, stacks)
    assert table["limit_mm"].tolist() == [0.0] * 7
    base = table[table["step"] == "base"]
    assert base["length_mm"].isna().all()
    assert base["reason"].str.contains(words).all()
    assert rows(table)[1] == ("pack", 30.0, -5.0)  # 40 would reach 5 mm into the floor
    assert rows(table)[2] == ("bearer", 50.0, -5.0)
    assert rows(table)[4] == ("bearer", 40.0, -3.0)
    assert math.isnan(table["length_mm"].iloc[6])  # 20 + 12 - 1 = 31 and 26 - 1 = 25
    assert "no length can serve" in table["reason"].iloc[6]


def test_checked_depth_stands_in_place_of_the_board():
    checked = floor(services="checked", clear_below_mm=60.0)
    assert screw_limit(checked, 0.0, 0.0).depth_mm == 58.0
    table = choose_screws(checked, FULL, 20.0, [stack(18.0)])
    assert rows(table)[0] == ("base", 70.0, 53.0)
    assert screw_limit(floor(services="checked"), 0.0, 0.0).depth_mm == 19.0


PIPE = Service(
    name="heating pipe", from_mm=(0.0, 300.0), to_mm=(900.0, 300.0), depth_mm=16.0, clear_mm=50.0
)


@pytest.mark.parametrize(
    ("x", "y", "limit"),
    [
        (450.0, 250.1, 14.0),
        (450.0, 250.0, 19.0),  # at clear_mm it is no longer nearer
        (930.0, 339.9, 14.0),  # 49.9 from the end of the pipe: 30 along, 39.9 across
        (930.0, 340.1, 19.0),
        (-51.0, 300.0, 19.0),  # on its line, beyond its end
    ],
)
def test_near_a_service_the_limit_is_its_depth_less_the_reserve(x, y, limit):
    found = screw_limit(floor(), x, y, [PIPE])
    assert found.depth_mm == limit
    assert ("heating pipe" in found.why) == (limit == 14.0)


def test_a_deep_service_does_not_raise_the_limit():
    deep = PIPE.model_copy(update={"depth_mm": 80.0})
    assert screw_limit(floor(), 450.0, 300.0, [deep, PIPE]).depth_mm == 14.0
    assert screw_limit(floor(), 450.0, 300.0, [deep]).depth_mm == 19.0
    assert screw_limit(floor(services="no_fixings"), 450.0, 300.0, [deep]).depth_mm == 0.0


def test_a_service_just_under_the_floor_keeps_the_point_above_it():
    """1 mm down, 2 mm in reserve: the point stays 1 mm above the floor."""
    shallow = PIPE.model_copy(update={"depth_mm": 1.0})
    table = choose_screws(floor(), stock(36.0, 37.0), 20.0, [stack(18.0, y=300.0)], [shallow])
    assert rows(table)[1] == ("bearer", 36.0, -1.0)
    assert table["limit_mm"].tolist() == [-1.0, -1.0]


@pytest.mark.parametrize("forbids", ["screws", "supports"])
def test_an_area_without_screws_counts_as_a_floor_without_fixings(forbids):
    area = NoGo(name="floor hatch", corner_mm=(100.0, 60.0), size_mm=(40.0, 250.0), forbids=forbids)
    stacks = [stack(18.0), stack(18.0, x=140.1)]  # on its edge, and just outside
    table = choose_screws(floor(), FULL, 20.0, stacks, no_go=[area])
    assert table["limit_mm"].tolist() == [0.0, 0.0, 19.0, 19.0]
    assert "'floor hatch'" in table["reason"].iloc[0]
    assert "bonded" in table["reason"].iloc[0]


def test_no_bearer_no_bearer_screw():
    assert choose_screws(floor(), FULL, 0.0, [stack(18.0)])["step"].tolist() == ["base"]


@pytest.mark.parametrize("bad", [(), (18.0, 0.0), (18.0, math.nan), (-3.0,)])
def test_stacks_that_are_none_are_refused_by_name(bad):
    with pytest.raises(Refusal, match="stack at B7"):
        choose_screws(floor(), FULL, 20.0, [stack(*bad, name="B7")])


def test_a_bearer_without_a_real_thickness_is_refused():
    with pytest.raises(Refusal, match="thickness"):
        choose_screws(floor(), FULL, -1.0, [stack(18.0)])


thickness = st.sampled_from([1.0, 3.0, 5.9, 6.0, 12.0, 17.8, 24.0])


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    st.lists(thickness, min_size=1, max_size=6),
    st.lists(st.floats(12, 120), max_size=6),
    st.sampled_from(["unknown", "no_fixings"]),
    st.sampled_from([0.0, 1.0, 2.5]),
)
def test_no_chosen_screw_breaks_its_rule_and_no_longer_one_keeps_it(given, lengths, services, sunk):
    """Worked again from the floor up, screw by screw."""
    table = choose_screws(
        floor(services=services), stock(*lengths, countersink=sunk), 20.0, [stack(*given)]
    )
    limit = 0.0 if services == "no_fixings" else 19.0
    screwed = [i for i, t in enumerate(given) if t >= 6]
    assert (
        table["step"].tolist()
        == ["base", "pack"][:1] * bool(screwed) + ["pack"] * (len(screwed) - 1) + ["bearer"] * 1
    )
    tops = [sum(given[: i + 1]) for i in screwed] + [sum(given) + 20.0]
    under = [0.0, *tops[:-2], sum(given)] if screwed else [sum(given)]
    for row, top, below in zip(table.itertuples(), tops, under, strict=True):
        bite = 8.0 if row.step == "base" else 12.0
        allowed = [
            length
            for length in lengths
            if length + sunk - (top - below) >= bite - CLOSED_MM
            and length + sunk - top <= limit + CLOSED_MM
            and not (row.step == "base" and limit == 0)
        ]
        if allowed:
            assert row.length_mm == max(allowed)
            assert row.point_below_floor_mm == pytest.approx(
                max(allowed) + sunk - top, abs=CLOSED_MM
            )
        else:
            assert math.isnan(row.length_mm)
            assert row.reason
