"""Compound under whole jobs: level, refusals, bill, traits, checks, cautions, and the joists."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import trapezoid

import kit
from kit.base.layout import GRAVITY_N_PER_KG
from kit.job import Base, Job, NoGo, PlacedProblem, Refusal
from kit.methods import METHODS, Lie, as_expected
from kit.parts import Answer
from kit.results import write_results

DATA = Path(__file__).parents[2] / "data"

COMPOUND = {
    "least_mm": 3.0,
    "greatest_mm": 30.0,
    "powder_kg_per_l": 1.7,
    "set_kg_per_l": 2.0,
    "drying": ({"to_mm": 10.0, "days": 1.0}, {"to_mm": 30.0, "days": 3.0}),
    "price": 21.5,
}

POUR = METHODS["compound"]


def base_of(compound: dict[str, Any] | None = None, **changes: Any) -> Base:
    told = {"name": "pour", "method": "compound", "height_mm": (2.0, 40.0)}
    return Base.model_validate({**told, "compound": COMPOUND | (compound or {}), **changes})


def job_of(folder: str, base: Base, **changes: Any) -> Job:
    job = kit.read_job(DATA / folder)
    return job.model_copy(update={"bases": (base,), **changes})


def with_run(job: Job, **changes: Any) -> Job:
    first, *others = job.runs
    return job.model_copy(update={"runs": (first.model_copy(update=changes), *others)})


@pytest.fixture(scope="module")
def reading_room() -> Answer:
    return kit.solve(job_of("reading-room", base_of()))


def test_the_level_is_the_lowest_that_leaves_the_least_depth(reading_room: Answer) -> None:
    floor = reading_room.under["height_mm"]
    assert reading_room.datum.datum_mm == pytest.approx(floor.max() + 3.0, abs=1e-9)
    assert reading_room.datum.binding_low.startswith("high point + least depth of compound of 3 mm")
    assert "(zone low bookcase 2 at x = 1450 mm)" in reading_room.datum.binding_low
    (low, high) = reading_room.datum.feasible_heights_mm[0]
    assert low == pytest.approx(3.0, abs=1e-9)
    assert high == pytest.approx(30.0 - (floor.max() - floor.min()), abs=1e-9)
    assert reading_room.datum.binding_high == (
        "greatest depth of compound of 30 mm over the lowest floor (zone atlas case at x = 3100,"
        " y = 480 mm)"
    )
    assert reading_room.datum.bearer_mm == 0.0


def test_depths_are_those_over_the_kriged_floor_at_the_corners(reading_room: Answer) -> None:
    zones = reading_room.details["zones.csv"].set_index("zone")
    corners_x = np.array([2000.0, 3100.0, 3100.0, 2000.0])
    corners_y = np.array([0.0, 0.0, 480.0, 480.0])
    at = reading_room.surface.predict(corners_x, corners_y).height_mm
    depths = reading_room.datum.datum_mm - at
    assert zones.loc["atlas case", "greatest_mm"] == pytest.approx(depths.max(), abs=1e-9)
    assert zones.loc["atlas case", "least_mm"] <= depths.min() + 1e-9
    supports = reading_room.supports
    assert supports["target_mm"].to_numpy() == pytest.approx(
        reading_room.datum.datum_mm - supports["floor_mm"].to_numpy(), abs=1e-12
    )


def test_volumes_are_those_of_a_much_finer_grid(reading_room: Answer) -> None:
    zones = reading_room.details["zones.csv"].set_index("zone")
    left = 0.0
    for unit in reading_room.job.runs[0].units:
        x = np.linspace(left, left + unit.width_mm, 201)
        y = np.linspace(0.0, unit.depth_mm, 81)
        grid = [part.ravel() for part in np.meshgrid(x, y)]
        floor = reading_room.surface.predict(*grid).height_mm.reshape(81, 201)
        fine = trapezoid(trapezoid(reading_room.datum.datum_mm - floor, x, axis=1), y) * 1e-6
        # The surface has kinks of its own at the readings: 0.2 % is 0.02 l in 10 l.
        assert zones.loc[unit.name, "volume_l"] == pytest.approx(float(fine), rel=2e-3)
        left += unit.width_mm


def test_the_bill_by_hand(reading_room: Answer) -> None:
    zones, bill = reading_room.details["zones.csv"], reading_room.bill
    powder = zones["volume_l"].sum() * 1.7 * 1.05
    assert zones["powder_kg"].sum() == pytest.approx(powder, rel=1e-12)
    (bags,) = bill.items
    assert (bags.item, bags.count, bags.price) == ("compound bag", math.ceil(powder / 25), 21.5)
    assert math.isnan(bags.size_mm)
    steps = {step.operation: (step.count, step.unit, step.minutes) for step in bill.work}
    area = 1.0 * 0.32 * 2 + 1.1 * 0.48 + 0.9 * 0.32
    # Fronts 4.0 m, the free right end 0.32 m, both sides of the deeper case 0.16 m each.
    edge = 4.0 + 0.32 + 2 * 0.16
    close = {"rel": 1e-12}  # round-off
    assert steps == {
        "clean and prime the floor": (pytest.approx(area, **close), "m2", pytest.approx(area * 20)),
        "form and seal an edge": (pytest.approx(edge, **close), "m", pytest.approx(edge * 6)),
        "mix and pour a bag": (bags.count, "bag", bags.count * 8.0),
        "set and level a unit by itself": (4, "unit", 40.0),
    }


def test_what_it_is_good_for(reading_room: Answer) -> None:
    traits, bill = reading_room.traits, reading_room.bill
    zones = reading_room.details["zones.csv"]
    assert traits.level_error_mm == 1.0
    assert (traits.fixing_line_mm, traits.floor_screws, traits.room_under_mm) == (0.0, 0, 0.0)
    assert (traits.adjust_up_mm, traits.adjust_down_mm) == (0.0, 0.0)
    assert bill.mass_kg == pytest.approx(zones["volume_l"].sum() * 2.0, rel=1e-12)
    assert bill.wait_days == 3.0  # the deepest place, over 10 mm
    assert list(zones["dry_days"]) == [1.0, 1.0, 3.0, 3.0]


def test_supports_stand_where_sides_and_divisions_do_up_to_the_edges(
    reading_room: Answer,
) -> None:
    supports = reading_room.supports
    back, front = (supports[supports["row"] == row] for row in "BF")
    sides = [9.5, 500.0, 990.5, 1009.5, 1500.0, 1990.5]
    assert list(back["own_x_mm"])[:6] == sides
    assert set(back["own_y_mm"]) == {9.5}
    assert set(front["own_y_mm"]) == {320 - 9.5}
    assert len(reading_room.stacks) == len(reading_room.screws) == 0
    assert len(reading_room.clearance) == 0


def test_each_unit_tips_about_its_own_front(reading_room: Answer) -> None:
    for unit, tipping in zip(
        reading_room.job.runs[0].units, reading_room.strength.tippings, strict=True
    ):
        assert tipping.pivot_mm == unit.depth_mm
        # Empty, pushed at the top: mass times lever from the middle of its depth to its front.
        lever = unit.depth_mm / 2 / tipping.push_height_mm
        expected = unit.mass_kg * GRAVITY_N_PER_KG * lever
        assert tipping.tips_empty_N == pytest.approx(expected, rel=1e-9)  # round-off


# --- refusals, word for word


def refused(job: Job) -> str:
    with pytest.raises(Refusal) as caught:
        kit.solve(job)
    return str(caught.value)


def test_a_floor_that_falls_too_far_is_refused_with_both_places() -> None:
    drying = ({"to_mm": 15.0, "days": 1.0},)
    job = job_of("reading-room", base_of({"greatest_mm": 15.0, "drying": drying}))
    assert refused(job) == (
        "job.toml, base 'pour', compound: found a floor that falls 12.1 mm, from zone low bookcase"
        " 2 at x = 1450, y = 0 mm to zone atlas case at x = 3100, y = 480 mm; allowed: at most"
        " 12 mm: 3 mm of compound at the highest place and 15 mm at the lowest; a compound that is"
        " poured deeper, or another method"
    )


def test_a_height_that_the_compound_does_not_reach_is_refused() -> None:
    assert refused(job_of("reading-room", base_of(height_mm=(20.0, 40.0)))) == (
        "job.toml, base 'pour', height_mm: found 17.9 mm at most above the high point (greatest"
        " depth of compound of 30 mm over the lowest floor (zone atlas case at x = 3100, y = 480"
        " mm)); allowed: at least 20.0 mm (lowest height asked for, 20 mm); 2.1 mm are missing"
    )


def test_a_height_below_the_least_depth_is_refused() -> None:
    assert refused(job_of("reading-room", base_of(height_mm=2.5))) == (
        "job.toml, base 'pour', height_mm: found 2.5 mm at most above the high point (greatest"
        " height asked for, 2.5 mm); allowed: at least 3.0 mm (high point + least depth of"
        " compound of 3 mm (zone low bookcase 2 at x = 1450 mm)); 0.5 mm are missing"
    )


def test_floor_that_nobody_read_is_refused_by_zone_and_place() -> None:
    job = job_of("reading-room", base_of({"margin_mm": 50.0}))
    with pytest.raises(Refusal) as caught:
        kit.solve(job)
    case, last = caught.value.problems
    assert isinstance(case, PlacedProblem)
    assert str(case) == (
        "compound under unit 'atlas case': found 23 of 299 places where the floor was not"
        " surveyed, the first at x = 2000, y = 530 mm; allowed: a zone within or close to the"
        " readings: read the floor there too, from the backs of the units to the front of the pour"
    )
    assert case.at_mm == (2000.0, 530.0)
    assert last.where == "compound under unit 'low bookcase 3'"
    with pytest.raises(Refusal) as caught:  # at a wall there is no margin
        kit.solve(with_run(job, right_wall=True))
    assert [problem.where for problem in caught.value.problems] == [case.where]


def test_a_hatch_under_the_units_is_refused() -> None:
    said = refused(job_of("boot-room", base_of()))
    assert "compound under unit 'A: locker 2' would be poured over it" in said
    assert "compound under unit 'A: locker 3' would be poured over it" in said


# --- whole jobs


@pytest.mark.parametrize("folder", ["reading-room", "boot-room", "market-counter"])
def test_every_job_is_answered_and_written(folder: str, tmp_path: Path) -> None:
    job = job_of(folder, base_of(), no_go=())
    answer = kit.solve(job)
    zones = answer.details["zones.csv"]
    assert len(zones) == sum(len(run.units) for run in job.runs)
    assert zones["least_mm"].min() == pytest.approx(3.0, abs=1e-9)
    assert zones["greatest_mm"].max() <= 30.0 + 1e-9
    assert not (answer.checks["verdict"] == "fail").any()
    write_results(answer, tmp_path)
    assert (tmp_path / "zones.csv").read_text().splitlines()[0].startswith("zone,run,unit,area_m2")
    assert "compound bag,," in (tmp_path / "takeoff.csv").read_text()


def test_level_and_bill_follow_the_floor_that_they_are_given(reading_room: Answer) -> None:
    job, base, ground = reading_room.job, reading_room.base, reading_room.ground
    lie = as_expected(ground)
    x = ground.known["x_mm"].to_numpy()
    fallen = Lie.drawn(lie.supports_mm, lie.under_mm - 1.5 * (x > 2500.0))
    datum = POUR.set_level(job, base, ground, fallen)
    assert datum.datum_mm == pytest.approx(reading_room.datum.datum_mm, abs=1e-12)
    deeper = Lie.drawn(lie.supports_mm, lie.under_mm - 9.0 * (x > 1999.0))
    more = POUR.bill(job, base, ground, deeper, datum, reading_room.screws)
    # 9 mm on 1.1 x 0.48 + 0.9 x 0.32 m2: 7.3 l, 13.1 kg of powder on top of 23.4 kg
    assert (reading_room.bill.count_of("compound bag"), more.count_of("compound bag")) == (1, 2)


def test_a_wall_taken_away_changes_what_is_poured_over_the_same_layout() -> None:
    base = base_of({"margin_mm": 20.0})
    walled = kit.solve(job_of("reading-room", base))
    free = with_run(walled.job, left_wall=False)
    after, anew = kit.solve(free, before=walled), kit.solve(free)
    area = after.details["zones.csv"]["area_m2"]
    assert area[0] == pytest.approx(1.02 * 0.34, rel=1e-12)
    assert area[0] > walled.details["zones.csv"]["area_m2"][0]
    assert after.details["zones.csv"].equals(anew.details["zones.csv"])


def test_what_is_carried_over_is_what_is_found_anew(reading_room: Answer) -> None:
    higher = job_of("reading-room", base_of(height_mm=(8.0, 40.0)))
    after, anew = kit.solve(higher, before=reading_room), kit.solve(higher)
    assert after.under is reading_room.under
    assert after.checks.equals(anew.checks)
    # 5 mm more on 1.456 m2 at 2 kg/l.
    more = after.bill.mass_kg - reading_room.bill.mass_kg
    assert more == pytest.approx(5.0 * 1.456 * 2.0, rel=1e-9)


def test_an_area_that_forbids_screws_is_poured_over() -> None:
    area = NoGo(name="mat", corner_mm=(100.0, 20.0), size_mm=(300.0, 200.0), forbids="screws")
    answer = kit.solve(job_of("reading-room", base_of(), no_go=(area,)))
    assert len(answer.details["zones.csv"]) == 4
