"""Hollow and hump by zones of the plan."""

import numpy as np
import pytest

from kit.flatness.volume_zones import PlanZone, Powder, bands, volume_tables, volumes_by_zone
from kit.flatness.volumes import volumes
from kit.height_grid import HeightGrid
from kit.job import Compound, Refusal


@pytest.fixture
def grid():
    height = np.random.default_rng(2).normal(0, 3, (8, 11))
    height[2, 5] = np.nan
    known = np.isfinite(height)
    x, y = 50 + 100.0 * np.arange(11), 50 + 100.0 * np.arange(8)
    return HeightGrid(x, y, height, np.where(known, 0.2, np.nan), known.astype(int))


def compound():
    made = {"least_mm": 3, "greatest_mm": 5, "powder_kg_per_l": 1.7, "set_kg_per_l": 2.0}
    return Compound.model_validate({**made, "drying": ({"to_mm": 10, "days": 2},)})


def test_zones_and_what_lies_elsewhere_add_up_to_the_whole(grid):
    zones = [
        PlanZone.rectangle("stacks", (0, 400), (0, 300)),
        PlanZone("corner", ((400.0, 800.0), (1100.0, 800.0), (1100.0, 350.0))),
    ]
    found = volumes_by_zone(grid, 0.4, zones, common_sd_mm=0.1)
    assert list(found) == ["stacks", "corner", "elsewhere", "whole floor"]
    *parts, whole = found.values()
    # Sums of the same numbers in another order.
    assert sum(one.fill.litres for one in parts) == pytest.approx(whole.fill.litres, rel=1e-12)
    assert sum(one.cut.area_m2 for one in parts) == pytest.approx(whole.cut.area_m2, rel=1e-12)
    assert found["stacks"].area_m2 == pytest.approx(0.12)
    assert sum(one.holes_m2 for one in parts) == pytest.approx(0.01)


def test_a_zones_doubt_is_the_same_taken_out_of_the_whole_floor(grid):
    zone = PlanZone.rectangle("middle", (300, 700), (200, 600))
    alone = volumes_by_zone(grid, 0.4, [zone])["middle"]
    whole = volumes(grid, 0.4, cells=zone.cells(grid))
    # The same sums, over fewer noughts.
    assert list(vars(alone.fill).values()) == pytest.approx(list(vars(whole.fill).values()))
    assert list(vars(alone.cut).values()) == pytest.approx(list(vars(whole.cut).values()))


def test_bands_tell_how_a_ramp_goes(grid):
    ramp = HeightGrid(
        grid.x_mm, grid.y_mm, np.tile(0.01 * grid.x_mm, (8, 1)), grid.sd_mm, grid.count
    )
    parts = bands(ramp, "x", 400.0)
    assert [one.name for one in parts] == ["x 0 to 400 mm", "x 400 to 800 mm", "x 800 to 1100 mm"]
    found = volumes_by_zone(ramp, 0.0, parts)
    assert "elsewhere" not in found
    heights = [found[one.name].cut.mean_mm for one in parts]
    # Means of 0.01 x over each band; the border's half cells are level: 0.0125 mm over 400 mm.
    assert heights == pytest.approx([2.0, 6.0, 9.5], abs=0.07)


def test_polygon_cells_are_those_whose_middles_lie_in_it(grid):
    triangle = PlanZone("triangle", ((0.0, 0.0), (500.0, 0.0), (0.0, 500.0)))
    cells = triangle.cells(grid)
    x, y = np.meshgrid(grid.x_mm, grid.y_mm)
    inside = x + y < 500
    edge = x + y == 500  # on the line: in or out, either is right
    assert (cells == inside)[~edge].all()
    assert cells.sum() in range(inside.sum(), (inside | edge).sum() + 1)


def test_the_table_has_powder_and_bags(grid):
    found = volumes_by_zone(grid, 6.0, bands(grid, "y", 500.0))
    table = volume_tables(found, compound())["volumes.csv"].set_index("zone")
    whole = table.loc["whole floor"]
    # 1.7 kg a litre and 5 % that is mixed and not used.
    assert whole["powder_kg"] == pytest.approx(whole["fill_l"] * 1.7 * 1.05)
    assert whole["bags"] == np.ceil(whole["powder_kg"] / 25)
    assert not whole["within_greatest"]
    assert list(table.index) == ["y 0 to 500 mm", "y 500 to 800 mm", "whole floor"]


def test_a_whole_bag_is_not_rounded_up():
    assert Powder.of(compound(), 50 / (1.7 * 1.05)).bags == 2
    assert Powder.of(compound(), 50.1 / (1.7 * 1.05)).bags == 3


def test_slips_in_zones_are_refused(grid):
    one = PlanZone.rectangle("one", (0, 400), (0, 300))
    with pytest.raises(Refusal, match="side by side"):
        volumes_by_zone(grid, 0.0, [one, PlanZone.rectangle("two", (350, 600), (0, 200))])
    with pytest.raises(Refusal, match="a name of its own"):
        volumes_by_zone(grid, 0.0, [one, one])
    with pytest.raises(Refusal, match="no cell"):
        volumes_by_zone(grid, 0.0, [PlanZone.rectangle("far", (9000, 9900), (0, 300))])
    with pytest.raises(Refusal, match="three or more"):
        PlanZone("line", ((0.0, 0.0), (1.0, 1.0)))
    with pytest.raises(Refusal, match="or more"):
        bands(grid, "x", 30.0)
