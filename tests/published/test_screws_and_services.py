"""Screws, services and cutting against sources outside the project; one row a case."""

from __future__ import annotations

import math

import pytest

from kit.base.cautions import standing_cautions
from kit.base.cuts import BearerLine, cut_bearers
from kit.base.screws import StackAt, choose_screws
from kit.job import Bearer, Floor, Packer, Stock

BOARD = Floor(kind="boarded", board_mm=21.0, reserve_mm=2.0)


@pytest.mark.parametrize(
    ("thicknesses", "in_stock", "step", "length"),
    [
        # Common practice, no source: what a fitter puts into a floor board of 21 mm.
        ((18.0,), (30.0, 40.0), "base", 30.0),  # the first packer takes a 30
        ((18.0,), (40.0,), "base", math.nan),  # a 40 comes out below: refused
        ((18.0, 18.0), (30.0, 40.0, 50.0), "pack", 50.0),  # the stack above is joined with 50
    ],
)
def test_trade_lengths(thicknesses, in_stock, step, length):
    stock = Stock(packers=(Packer(mm=18.0),), screws_mm=in_stock, countersink_mm=1.0)
    table = choose_screws(BOARD, stock, 20.0, [StackAt("B1", 0.0, 0.0, thicknesses)])
    found = table.loc[table["step"] == step, "length_mm"].iloc[0]
    assert found == pytest.approx(length, abs=0, nan_ok=True)  # a length in stock, exactly


@pytest.mark.parametrize("services", ["unknown", "checked", "no_fixings"])
def test_cable_rule(services):
    """BS 7671, 522.6.201: a cable through a joist 50 mm or more from its top, or protected.

    Read in public copies: owelectric.co.uk, forums.diydoctor.org.uk.
    """
    said = " ".join(standing_cautions(Floor(kind="boarded", board_mm=21.0, services=services)))
    assert "BS 7671 522.6.201: a cable through a joist lies at least 50 mm from the top" in said
    assert "or is protected" in said


@pytest.mark.parametrize("board_mm", [15.0, 18.0, 21.0, 22.0, 28.0])
def test_a_screw_that_keeps_to_the_board_stays_above_the_cable_of_the_rule(board_mm):
    """No point is deeper than the board; a cable by 522.6.201 lies the board and 50 mm down."""
    stock = Stock(packers=(Packer(mm=18.0),), screws_mm=tuple(float(n) for n in range(12, 121)))
    floor = Floor(kind="boarded", board_mm=board_mm, reserve_mm=2.0)
    table = choose_screws(floor, stock, 20.0, [StackAt("B1", 0.0, 0.0, (18.0, 3.0, 12.0))])
    assert table["point_below_floor_mm"].max() <= board_mm - 2.0  # whole numbers: exact
    assert board_mm + 50.0 - table["point_below_floor_mm"].max() >= 52.0


# Cutting stock with the optimum known: each ordered width is a bearer that allows no joint.
CUTTING_STOCK = [
    # The encyclopaedia article "Cutting stock problem" (Wikipedia, read in public copies): bars of
    # 5600, 13 widths, 219 pieces, optimum 73 bars, waste 0.401 %.
    (
        5600.0,
        {1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12,
         2100: 14, 2140: 16, 2150: 18, 2200: 20},
        73,
    ),
    # V. Chvatal, Linear Programming (1983), chapter 13: raws of 100, finals of 45, 36, 31, 14.
    # Data read in public model libraries; the optimum 453 (bound 452.25) is from memory.
    (100.0, {45: 97, 36: 610, 31: 395, 14: 211}, 453),
]  # fmt: skip


@pytest.mark.parametrize(("bar_mm", "orders", "bars"), CUTTING_STOCK)
def test_cutting_stock_with_known_optimum(bar_mm, orders, bars):
    lines = [
        BearerLine(f"{width}-{n}", "A", "B", 0.0, float(width), (width / 2,), (f"S{width}-{n}",))
        for width, often in orders.items()
        for n in range(often)
    ]
    plan = cut_bearers(lines, Bearer(stock_mm=(bar_mm,), kerf_mm=0.0), 10.0)
    assert plan.bought["count"].tolist() == [bars]
    assert plan.proven
    assert plan.cuts.groupby("bar")["length_mm"].sum().max() <= bar_mm
    assert len(plan.cuts) == sum(orders.values())


def test_waste_of_the_encyclopaedia_case():
    """0.401 % of 73 bars, as printed (three decimals)."""
    bar_mm, orders, bars = CUTTING_STOCK[0]
    ordered = sum(width * often for width, often in orders.items())
    assert ordered == 407160  # as printed
    assert 100 * (1 - ordered / (bars * bar_mm)) == pytest.approx(0.401, abs=0.0005)
