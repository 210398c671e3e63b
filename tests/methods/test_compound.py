"""Compound under whole jobs: level, refusals, bill, traits, checks, cautions, and the joists."""

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import trapezoid

import kit
from kit.base.layout import GRAVITY_N_PER_KG
from kit.job import Base, Job, NoGo, PlacedProblem, Refusal
from kit.methods import METHODS, Lie, as_expected
from kit.methods.pour_doubt import SURE_DEPTH
from kit.parts import Answer
from kit.results import write_results
from kit.strength.joists import JoistWork

POUR = METHODS["compound"]


def test_the_level_is_the_lowest_that_leaves_the_least_depth(poured: Answer) -> None:
    floor = poured.under["height_mm"]
    assert poured.datum.datum_mm == pytest.approx(floor.max() + 3.0, abs=1e-9)  # round-off
    assert poured.datum.binding_low.startswith("high point + least depth of compound of 3 mm")
    assert "(zone low bookcase 2 at x = 1450 mm)" in poured.datum.binding_low
    (low, high) = poured.datum.feasible_heights_mm[0]
    # Sums and differences of a few heights: round-off, here and below.
    assert low == pytest.approx(3.0, abs=1e-9)
    assert high == pytest.approx(30.0 - (floor.max() - floor.min()), abs=1e-9)
    assert poured.datum.binding_high == (
        "greatest depth of compound of 30 mm over the lowest floor (zone atlas case at x = 3100,"
        " y = 480 mm)"
    )
    assert poured.datum.bearer_mm == 0.0


def test_depths_are_those_over_the_kriged_floor_at_the_corners(poured: Answer) -> None:
    zones = poured.details["zones.csv"].set_index("zone")
    corners_x = np.array([2000.0, 3100.0, 3100.0, 2000.0])
    corners_y = np.array([0.0, 0.0, 480.0, 480.0])
    at = poured.surface.predict(corners_x, corners_y).height_mm
    depths = poured.datum.datum_mm - at
    # The same surface at the same places, once more: round-off.
    assert zones.loc["atlas case", "greatest_mm"] == pytest.approx(depths.max(), abs=1e-9)
    assert zones.loc["atlas case", "least_mm"] <= depths.min() + 1e-9
    supports = poured.supports
    # One subtraction in another order: round-off.
    assert supports["target_mm"].to_numpy() == pytest.approx(
        poured.datum.datum_mm - supports["floor_mm"].to_numpy(), abs=1e-12
    )


def test_volumes_are_those_of_a_much_finer_grid(poured: Answer) -> None:
    zones = poured.details["zones.csv"].set_index("zone")
    left = 0.0
    for unit in poured.job.runs[0].units:
        x = np.linspace(left, left + unit.width_mm, 201)
        y = np.linspace(0.0, unit.depth_mm, 81)
        grid = [part.ravel() for part in np.meshgrid(x, y)]
        floor = poured.surface.predict(*grid).height_mm.reshape(81, 201)
        fine = trapezoid(trapezoid(poured.datum.datum_mm - floor, x, axis=1), y) * 1e-6
        # The surface has kinks of its own at the readings: 0.2 % is 0.02 l in 10 l.
        assert zones.loc[unit.name, "volume_l"] == pytest.approx(float(fine), rel=2e-3)
        left += unit.width_mm


def test_the_bill_by_hand(poured: Answer) -> None:
    zones, bill = poured.details["zones.csv"], poured.bill
    powder = zones["volume_l"].sum() * 1.7 * 1.05
    assert zones["powder_kg"].sum() == pytest.approx(powder, rel=1e-12)  # round-off
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


def test_what_it_is_good_for(poured: Answer) -> None:
    traits, bill = poured.traits, poured.bill
    zones = poured.details["zones.csv"]
    assert traits.level_error_mm == 1.0
    assert (traits.fixing_line_mm, traits.floor_screws, traits.room_under_mm) == (0.0, 0, 0.0)
    assert (traits.adjust_up_mm, traits.adjust_down_mm) == (0.0, 0.0)
    assert bill.mass_kg == pytest.approx(zones["volume_l"].sum() * 2.0, rel=1e-12)  # round-off
    assert bill.wait_days == 3.0  # the deepest place, over 10 mm
    assert list(zones["dry_days"]) == [1.0, 1.0, 3.0, 3.0]


def test_supports_stand_where_sides_and_divisions_do_up_to_the_edges(poured: Answer) -> None:
    supports = poured.supports
    back, front, own = (supports[supports["row"] == row] for row in "BFD")
    sides = [9.5, 500.0, 990.5, 1009.5, 1500.0, 1990.5]
    assert list(back["own_x_mm"])[:6] == sides
    assert set(back["own_y_mm"]) == {9.5}
    assert set(front["own_y_mm"]) == {320 - 9.5}
    assert not front["own_x_mm"].between(2000.0, 3100.0).any()
    # The deeper case bears up to its own front: at 2000 mm, divisions 400 and 740 from there.
    assert list(own["own_x_mm"]) == [2009.5, 2400.0, 2740.0, 3090.5]
    assert set(own["own_y_mm"]) == {480 - 9.5}
    assert len(poured.stacks) == len(poured.screws) == 0
    assert len(poured.clearance) == 0


def test_each_unit_tips_about_its_own_front(poured: Answer) -> None:
    for unit, tipping in zip(poured.job.runs[0].units, poured.strength.tippings, strict=True):
        assert tipping.pivot_mm == unit.depth_mm
        # Empty, pushed at the top: mass times lever from the middle of its depth to its front.
        lever = unit.depth_mm / 2 / tipping.push_height_mm
        expected = unit.mass_kg * GRAVITY_N_PER_KG * lever
        assert tipping.tips_empty_N == pytest.approx(expected, rel=1e-9)  # round-off


def test_a_deeper_units_load_comes_down_at_its_own_front(poured: Answer) -> None:
    loads = {one.support: one.full_n for one in poured.strength.stacks}
    own = poured.supports[poured.supports["row"] == "D"]
    # Its centre of gravity in the middle of its depth: half of 52 + 140 kg at back and front.
    half = 192 * GRAVITY_N_PER_KG / 2
    assert math.fsum(loads[name] for name in own["support"]) == pytest.approx(half)  # round-off
    assert own["load_N"].sum() == pytest.approx(half)  # round-off


def test_a_deeper_unit_leans_with_what_its_own_front_settles_by(poured: Answer) -> None:
    joists = poured.ground.joists
    assert isinstance(joists, JoistWork)
    table = poured.supports.set_index("support")
    left = table[table["own_x_mm"] == 2009.5]
    right = table[table["own_x_mm"] == 3090.5]
    drops = []
    for side in (left, right):
        back, front = (
            joists.stacks[str(side.index[side["row"] == row][0])].inst_mm for row in "BD"
        )
        drops.append(front - back)
    # From 9.5 to 470.5 mm out, 1150 mm tall.
    expected = (drops[0] + drops[1]) / 2 / (470.5 - 9.5) * 1150
    case = poured.strength.settled.units[2]
    assert case.unit == "atlas case"
    assert case.lean_out_mm == pytest.approx(expected, rel=1e-9)  # round-off
    assert abs(expected) > 0.1


def test_units_lean_as_the_whole_surface_slopes(poured: Answer) -> None:
    strength = poured.strength
    assert strength.one_surface
    # 1 mm either way over 4000 mm of pour along and 480 mm out; all units 1150 mm tall.
    for one in strength.units:
        assert one.lean_along_mm == pytest.approx(1150 * 2 / 4000)  # round-off
        assert one.lean_out_mm == pytest.approx(1150 * 2 / 480)  # round-off
        assert (one.wind_mm, one.door_taper_mm) == (0.0, 0.0)
    assert [gap.top_mm - gap.before_mm for gap in strength.gaps] == [0.0] * 3


# --- refusals, word for word


def refused(job: Job) -> str:
    with pytest.raises(Refusal) as caught:
        kit.solve(job)
    return str(caught.value)


def test_a_floor_that_falls_too_far_is_refused_with_both_places(
    pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    drying = ({"to_mm": 15.0, "days": 1.0},)
    job = job_with("reading-room", pour_of({"greatest_mm": 15.0, "drying": drying}))
    assert refused(job) == (
        "job.toml, base 'pour', compound: found a floor that falls 12.1 mm, from zone low bookcase"
        " 2 at x = 1450, y = 0 mm to zone atlas case at x = 3100, y = 480 mm; allowed: at most"
        " 12 mm: 3 mm of compound at the highest place and 15 mm at the lowest; a compound that is"
        " poured deeper, or another method"
    )


def test_a_height_that_the_compound_does_not_reach_is_refused(
    pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    assert refused(job_with("reading-room", pour_of(height_mm=(20.0, 40.0)))) == (
        "job.toml, base 'pour', height_mm: found 17.9 mm at most above the high point (greatest"
        " depth of compound of 30 mm over the lowest floor (zone atlas case at x = 3100, y = 480"
        " mm)); allowed: at least 20.0 mm (lowest height asked for, 20 mm); 2.1 mm are missing"
    )


def test_a_height_below_the_least_depth_is_refused(
    pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    assert refused(job_with("reading-room", pour_of(height_mm=2.5))) == (
        "job.toml, base 'pour', height_mm: found 2.5 mm at most above the high point (greatest"
        " height asked for, 2.5 mm); allowed: at least 3.0 mm (high point + least depth of"
        " compound of 3 mm (zone low bookcase 2 at x = 1450 mm)); 0.5 mm are missing"
    )


def test_floor_that_nobody_read_is_refused_by_zone_and_place(
    pour_of: Callable[..., Base], job_with: Callable[..., Job], with_run: Callable[..., Job]
) -> None:
    job = job_with("reading-room", pour_of({"margin_mm": 50.0}))
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


def test_a_hatch_under_the_units_is_refused(
    pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    said = refused(job_with("boot-room", pour_of()))
    assert "compound under unit 'A: locker 2' would be poured over it" in said
    assert "compound under unit 'A: locker 3' would be poured over it" in said


# --- whole jobs


@pytest.mark.parametrize("folder", ["reading-room", "boot-room", "market-counter"])
def test_every_job_is_answered_and_written(
    folder: str, tmp_path: Path, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    job = job_with(folder, pour_of(), no_go=())
    answer = kit.solve(job)
    zones = answer.details["zones.csv"]
    assert len(zones) == sum(len(run.units) for run in job.runs)
    assert zones["least_mm"].min() == pytest.approx(3.0, abs=1e-9)  # round-off, as below
    assert zones["greatest_mm"].max() <= 30.0 + 1e-9
    assert not (answer.checks["verdict"] == "fail").any()
    write_results(answer, tmp_path)
    assert (tmp_path / "zones.csv").read_text().splitlines()[0].startswith("zone,run,unit,area_m2")
    assert "compound bag,," in (tmp_path / "takeoff.csv").read_text()


def test_level_and_bill_follow_the_floor_that_they_are_given(poured: Answer) -> None:
    job, base, ground = poured.job, poured.base, poured.ground
    lie = as_expected(ground)
    x = ground.known["x_mm"].to_numpy()
    fallen = Lie.drawn(lie.supports_mm, lie.under_mm - 1.5 * (x > 2500.0))
    datum = POUR.set_level(job, base, ground, fallen)
    # What stays high stays as it is: the same sum.
    assert datum.datum_mm == pytest.approx(poured.datum.datum_mm, abs=1e-12)
    deeper = Lie.drawn(lie.supports_mm, lie.under_mm - 9.0 * (x > 1999.0))
    more = POUR.bill(job, base, ground, deeper, datum, poured.screws)
    # 9 mm on 1.1 x 0.48 + 0.9 x 0.32 m2: 7.3 l, 13.1 kg of powder on top of 23.4 kg
    assert (poured.bill.count_of("compound bag"), more.count_of("compound bag")) == (1, 2)


def test_a_wall_taken_away_changes_what_is_poured_over_the_same_layout(
    pour_of: Callable[..., Base], job_with: Callable[..., Job], with_run: Callable[..., Job]
) -> None:
    base = pour_of({"margin_mm": 20.0})
    walled = kit.solve(job_with("reading-room", base))
    free = with_run(walled.job, left_wall=False)
    after, anew = kit.solve(free, before=walled), kit.solve(free)
    area = after.details["zones.csv"]["area_m2"]
    assert area[0] == pytest.approx(1.02 * 0.34, rel=1e-12)  # round-off
    assert area[0] > walled.details["zones.csv"]["area_m2"][0]
    assert after.details["zones.csv"].equals(anew.details["zones.csv"])


def test_what_is_carried_over_is_what_is_found_anew(
    poured: Answer, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    higher = job_with("reading-room", pour_of(height_mm=(8.0, 40.0)))
    after, anew = kit.solve(higher, before=poured), kit.solve(higher)
    assert after.under is poured.under
    assert after.checks.equals(anew.checks)
    # 5 mm more on 1.456 m2 at 2 kg/l, as a difference of two sums: round-off.
    more = after.bill.mass_kg - poured.bill.mass_kg
    assert more == pytest.approx(5.0 * 1.456 * 2.0, rel=1e-9)


def test_an_area_that_forbids_screws_is_poured_over(
    pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    area = NoGo(name="mat", corner_mm=(100.0, 20.0), size_mm=(300.0, 200.0), forbids="screws")
    answer = kit.solve(job_with("reading-room", pour_of(), no_go=(area,)))
    assert len(answer.details["zones.csv"]) == 4


def test_a_pour_that_is_deep_enough_on_the_expected_floor_only_is_referred(
    poured: Answer,
) -> None:
    """At its least depth over the high point: by drawn floors it is too thin on about half."""
    (row,) = poured.checks[poured.checks["check"] == SURE_DEPTH].to_dict("records")
    assert (row["limit"], row["verdict"]) == (3.0, "refer")
    known = poured.ground.known
    x, y = known["x_mm"].to_numpy(), known["y_mm"].to_numpy()
    floors = poured.surface.draws(x, y, 4000, 5)
    depths = poured.datum.datum_mm - floors
    reached = np.quantile(depths, 0.05, axis=0).min()
    # The 5 % quantile of 4,000 draws of sd 0.5 mm is good to about 0.02 mm; the least over some
    # 800 places that hang together is lower by a few of those.
    assert row["value"] == pytest.approx(reached, abs=0.08)
    (said,) = [one for one in poured.cautions if one.startswith("The floor is not known")]
    assert f"Pour {3.0 - row['value']:.1f} mm higher" in said


def test_a_pour_as_much_higher_is_sure(poured: Answer) -> None:
    checks = poured.checks.set_index("check")
    higher = poured.datum.base_height_mm + 3.0 - checks.loc[SURE_DEPTH, "value"]
    base = poured.base.model_copy(update={"height_mm": (float(higher) + 1e-6, 40.0)})
    job = poured.job.model_copy(update={"bases": (base,)})
    sure = kit.solve(job, before=poured)
    assert sure.checks.set_index("check").loc[SURE_DEPTH, "verdict"] == "ok"
    assert not any(one.startswith("The floor is not known") for one in sure.cautions)
