"""Zones of compound: where they lie, what they may not lie over, the places they are looked at."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import simpson

from kit.base.pour_zones import (
    MOST_PLACES,
    Zone,
    edge_mm,
    extents_mm,
    pour_zones,
    refuse_zones,
    simpson_weights,
    zone_footprint,
)
from kit.base.runs import Frame
from kit.job import Compound, Job, Refusal

COMPOUND = {
    "least_mm": 3.0,
    "greatest_mm": 30.0,
    "powder_kg_per_l": 1.7,
    "set_kg_per_l": 2.0,
    "drying": ({"to_mm": 30.0, "days": 2.0},),
}
BENCH = {"name": "bench", "width_mm": 830.0, "depth_mm": 340.0, "height_mm": 450.0}
PRESS = {
    "name": "linen press",
    "width_mm": 1120.0,
    "depth_mm": 470.0,
    "height_mm": 1900.0,
    "gap_before_mm": 25.0,
}
ALONG = {"name": "A", "left_wall": True, "unit": (BENCH, PRESS)}
RETURN = {
    "name": "R",
    "origin_mm": (1975.0, 480.0),
    "direction_deg": 90.0,
    "unit": ({**BENCH, "width_mm": 640.0},),
}


def compound_of(**changes: Any) -> Compound:
    return Compound.model_validate(COMPOUND | changes)


def job_of(*runs: dict[str, Any], **changes: Any) -> Job:
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": runs or (ALONG,),
            "base": ({"name": "b", "height_mm": (3.0, 60.0)},),
            "stock": {"packers": ({"mm": 3.0},)},
            "folder": Path(),
            **changes,
        }
    )


def test_a_zone_takes_the_gap_before_its_unit_and_the_margin_at_front_and_free_end() -> None:
    bench, press = pour_zones(job_of(), compound_of(margin_mm=15.0))
    assert (bench.name, bench.left_mm, bench.right_mm, bench.front_mm) == ("bench", 0, 830, 355)
    assert (press.left_mm, press.right_mm, press.front_mm) == (830, 1990, 485)
    assert (bench.ends, press.ends) == ((False, False), (False, True))
    assert press.area_m2 == pytest.approx(1.16 * 0.485, rel=1e-12)  # round-off


def test_a_run_between_walls_has_no_margin_at_its_ends() -> None:
    run = {**ALONG, "left_wall": False, "right_wall": True}
    bench, press = pour_zones(job_of(run), compound_of(margin_mm=15.0))
    assert (bench.left_mm, press.right_mm) == (-15, 1975)


def test_zones_of_several_runs_are_named_by_both() -> None:
    zones = pour_zones(job_of(ALONG, RETURN), compound_of())
    assert [zone.name for zone in zones] == ["A: bench", "A: linen press", "R: bench"]
    assert [(zone.run, zone.unit) for zone in zones][2] == ("R", "bench")


def test_the_places_of_a_zone_are_at_most_50_mm_apart_in_even_numbers_of_steps() -> None:
    bench, press = pour_zones(job_of(), compound_of())
    # 830/50 = 16.6 -> 18, 340/50 = 6.8 -> 8; 1145/50 = 22.9 -> 24, 470/50 = 9.4 -> 10
    assert bench.intervals == (18, 8)
    assert press.intervals == (24, 10)
    assert (bench.places, press.places) == (19 * 9, 25 * 11)


def test_a_length_of_whole_steps_takes_no_more_of_them() -> None:
    run = {**ALONG, "unit": ({**BENCH, "width_mm": 1000.0, "depth_mm": 400.0},)}
    assert pour_zones(job_of(run), compound_of())[0].intervals == (20, 8)


def test_many_units_take_wider_steps() -> None:
    unit = {**PRESS, "gap_before_mm": 0.0}
    units = tuple({**unit, "name": f"press {n}"} for n in range(11))
    zones = pour_zones(job_of({**ALONG, "unit": units}), compound_of())
    places = sum(zone.places for zone in zones)
    assert MOST_PLACES < 11 * 25 * 11  # which it would be at 50 mm
    # Steps widen by 5 % at a time and come in pairs: a third short of the bound at worst.
    assert MOST_PLACES * 2 / 3 < places <= MOST_PLACES


def test_units_past_counting_still_have_nine_places_each() -> None:
    unit = {**PRESS, "gap_before_mm": 0.0}
    units = tuple({**unit, "name": f"press {n}"} for n in range(170))
    zones = pour_zones(job_of({**ALONG, "unit": units}), compound_of())
    assert {zone.places for zone in zones} == {9}


@pytest.mark.parametrize("power", [0, 1, 2, 3, 4])
def test_weights_are_those_of_a_reference_library(power: int) -> None:
    x = np.linspace(0.0, 730.0, 11)
    ours = float(simpson_weights(730.0, 10) @ x**power)
    assert ours == pytest.approx(float(simpson(x**power, x=x)), rel=1e-12)  # round-off
    closed = 730.0 ** (power + 1) / (power + 1)
    # Exact to the third power. The fourth: length/180 h^4 24 too much, to the last digit, for the
    # fourth derivative is constant.
    beyond = 730.0 / 180 * 73.0**4 * 24 if power == 4 else 0.0
    assert ours - closed == pytest.approx(beyond, abs=closed * 1e-12)


def test_the_footprint_lies_on_the_site_zone_after_zone() -> None:
    zones = pour_zones(job_of(ALONG, RETURN), compound_of())
    places = zone_footprint(zones)
    assert list(places.columns) == ["bearer", "own_x_mm", "x_mm", "y_mm", "lift_share"]
    assert list(places["bearer"].unique()) == [zone.name for zone in zones]
    turned = places[places["bearer"] == "R: bench"]
    # The return wall's own x runs along the site's y, its own y against the site's x.
    first, last = turned.iloc[0], turned.iloc[-1]
    assert (first["x_mm"], first["y_mm"]) == (1975, 480)
    assert (last["x_mm"], last["y_mm"]) == pytest.approx((1975 - 340, 480 + 640), abs=1e-9)
    assert turned.iloc[1]["y_mm"] - 480 == pytest.approx(640 / 14, abs=1e-9)  # x fastest
    assert (places["lift_share"] == 0).all()


def test_zones_of_two_runs_may_touch_and_not_overlap() -> None:
    job = job_of(ALONG, RETURN)
    # 10 mm lie between press and bench: 5 from each side touch.
    refuse_zones(pour_zones(job, compound_of(margin_mm=5.0)), ())
    wide = pour_zones(job, compound_of(margin_mm=6.0))
    expected = (
        "job.toml, run A, unit 'linen press': found its zone of compound overlaps that under unit"
        " 'bench' of run R; allowed: zones side by side: a smaller compound.margin_mm, or another"
        " origin_mm"
    )
    with pytest.raises(Refusal, match=f"^{re.escape(expected)}$"):
        refuse_zones(wide, ())


HATCH = {"name": "hatch", "corner_mm": (700.0, 350.0), "size_mm": (100.0, 90.0)}


def test_nothing_is_poured_over_an_area_that_must_stay_free() -> None:
    job = job_of(no_go=(HATCH,))
    refuse_zones(pour_zones(job, compound_of(margin_mm=10.0)), job.no_go)  # it touches: 340 + 10
    expected = (
        "job.toml, no_go 'hatch': found compound under unit 'bench' would be poured over it;"
        " allowed: an area that no zone reaches, or a base that bridges it"
    )
    with pytest.raises(Refusal, match=f"^{re.escape(expected)}$"):
        refuse_zones(pour_zones(job, compound_of(margin_mm=11.0)), job.no_go)


def test_an_area_that_forbids_screws_alone_may_be_poured_over() -> None:
    screws = job_of(no_go=({**HATCH, "forbids": "screws"},))
    zones = pour_zones(screws, compound_of(margin_mm=11.0))
    assert [area.forbids for area in screws.no_go] == ["screws"]
    refuse_zones(zones, screws.no_go)
    with pytest.raises(Refusal, match=HATCH["name"]):
        refuse_zones(zones, job_of(no_go=(HATCH,)).no_go)


def test_edges_are_formed_at_fronts_free_ends_and_steps() -> None:
    zones = pour_zones(job_of(), compound_of(margin_mm=15.0))
    # Fronts 830 + 1160, the free right end 485, the step 485 - 355 between the two.
    assert edge_mm(zones) == pytest.approx(830 + 1160 + 485 + 130, abs=1e-9)


def test_no_step_is_formed_between_two_runs() -> None:
    zones = pour_zones(job_of(ALONG, RETURN), compound_of())
    # A: 830 + 1145 + 470 + 130; R, free at both ends: 640 + 2 * 340.
    assert edge_mm(zones) == pytest.approx(2575 + 1320, abs=1e-9)


def test_a_pour_reaches_from_the_first_edge_of_its_run_to_the_last() -> None:
    first = Zone("a", "A", "a", Frame((0.0, 0.0), 0.0), -20.0, 700.0, 340.0, (True, False))
    second = replace(first, name="b", left_mm=700.0, right_mm=1310.0, front_mm=505.0)
    other = replace(first, name="c", run="C", left_mm=15.0, right_mm=615.0)
    assert extents_mm((first, second, other)) == {"A": (1330.0, 505.0), "C": (600.0, 340.0)}
