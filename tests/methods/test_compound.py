"""Compound under whole jobs: level, refusals, bill, traits, checks, cautions, and the joists."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import trapezoid

import kit
from kit.base.layout import GRAVITY_N_PER_KG
from kit.base.pour_zones import pour_zones
from kit.job import Base, Job, NoGo, PlacedProblem, Refusal
from kit.methods import METHODS, Lie, as_expected
from kit.parts import Answer
from kit.results import write_results
from kit.strength.carry import press_on_joists
from kit.strength.direct import loads_apart
from kit.strength.joists import JoistWork, NoJoists, Pressed

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
    traits, zones = reading_room.traits, reading_room.details["zones.csv"]
    assert traits.level_error_mm == 1.0
    assert (traits.fixing_line_mm, traits.floor_screws, traits.room_under_mm) == (0.0, 0, 0.0)
    assert (traits.adjust_up_mm, traits.adjust_down_mm) == (0.0, 0.0)
    assert traits.mass_added_kg == pytest.approx(zones["volume_l"].sum() * 2.0, rel=1e-12)
    assert traits.wait_days == 3.0  # the deepest place, over 10 mm
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


def check_of(answer: Answer, name: str, subject: str | None = None) -> Any:
    rows = answer.checks[answer.checks["check"] == name]
    return (rows if subject is None else rows[rows["subject"] == subject]).iloc[0]


def test_depths_and_weights_are_checked_zone_by_zone(reading_room: Answer) -> None:
    zones = reading_room.details["zones.csv"].set_index("zone")
    for zone in zones.index:
        least = check_of(reading_room, "least depth of compound", zone)
        assert (least["value"], least["limit"]) == (zones.loc[zone, "least_mm"], 3.0)
        greatest = check_of(reading_room, "greatest depth of compound", zone)
        assert (greatest["value"], greatest["limit"]) == (zones.loc[zone, "greatest_mm"], 30.0)
        assert least["verdict"] == greatest["verdict"] == "ok"
    weight = check_of(reading_room, "weight of compound on the floor")
    heaviest = zones["mean_mm"].max() * 2.0 * 9.81 / 1000
    assert weight["value"] == pytest.approx(heaviest, rel=1e-12)
    assert (weight["subject"], weight["verdict"]) == ("low bookcase 3", "not_checked")
    both = check_of(reading_room, "load on the footprint, with compound")
    own = (35 + 95) * 9.81 / 1000 / (0.9 * 0.32)
    assert both["value"] == pytest.approx(own + heaviest, rel=1e-12)
    assert (both["subject"], both["verdict"]) == ("low bookcase 3", "refer")


def test_a_pour_that_sets_less_level_than_was_asked_for_is_referred(reading_room: Answer) -> None:
    assert check_of(reading_room, "level of the pour")["verdict"] == "refer"
    finer = kit.solve(job_of("reading-room", base_of({"level_within_mm": 0.4})))
    row = check_of(finer, "level of the pour")
    assert (row["value"], row["limit"], row["verdict"]) == (0.4, 0.5, "ok")


def test_a_depth_out_of_range_fails_its_check(reading_room: Answer) -> None:
    # No level that is chosen leaves the range: a level set by hand 2 mm lower does.
    low = replace(reading_room.datum.plan, datum_mm=reading_room.datum.datum_mm - 2.0)
    datum = replace(reading_room.datum, plan=low)

    class Lower(type(POUR)):  # type: ignore[misc]
        def set_level(self, *_: Any) -> Any:
            return datum

    answer = Lower().build(
        reading_room.job, reading_room.survey, reading_room.ground, reading_room.base
    )
    verdicts = {
        zone: check_of(answer, "least depth of compound", zone)["verdict"]
        for zone in ("low bookcase 1", "low bookcase 2", "atlas case")
    }
    assert verdicts == {"low bookcase 1": "fail", "low bookcase 2": "fail", "atlas case": "ok"}


def test_what_is_said_on_boards_and_on_all_floors(reading_room: Answer) -> None:
    said = " ".join(reading_room.cautions)
    for words in ("only as its maker says", "alkaline", "silica", "expansion joint", "3 days"):
        assert words in said
    assert "'heating pipe'" in said
    solid = " ".join(kit.solve(job_of("market-counter", base_of())).cautions)
    assert "only as its maker says" not in solid
    assert "alkaline" in solid


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


def test_a_plinth_is_refused() -> None:
    plinth = {"set_back_mm": 40.0, "thickness_mm": 18.0, "board_mm": (70.0,)}
    assert refused(job_of("reading-room", base_of(plinth=plinth))) == (
        "job.toml, base 'pour', plinth: found a plinth with compound, which fills the floor up to"
        " the front of the units; allowed: no plinth with this method"
    )


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
    more = after.traits.mass_added_kg - reading_room.traits.mass_added_kg
    assert more == pytest.approx(5.0 * 1.456 * 2.0, rel=1e-9)


def test_an_area_that_forbids_screws_is_poured_over() -> None:
    area = NoGo(name="mat", corner_mm=(100.0, 20.0), size_mm=(300.0, 200.0), forbids="screws")
    answer = kit.solve(job_of("reading-room", base_of(), no_go=(area,)))
    assert len(answer.details["zones.csv"]) == 4


def test_without_joists_the_load_is_not_judged_ok() -> None:
    job = job_of("reading-room", base_of())
    light = tuple(
        unit.model_copy(update={"mass_kg": 12.0, "contents_kg": 4.0}) for unit in job.runs[0].units
    )
    job = with_run(job, units=light)
    known = kit.solve(job)
    assert check_of(known, "load on the footprint, with compound")["verdict"] == "ok"
    floor = job.floor.model_copy(update={"joists": None})
    unknown = kit.solve(job.model_copy(update={"floor": floor}))
    assert isinstance(unknown.ground.joists, NoJoists)
    row = check_of(unknown, "load on the footprint, with compound")
    assert (row["verdict"], row["source"]) == ("not_checked", "no [floor.joists] given")
    weightless = with_run(job, units=(light[0].model_copy(update={"mass_kg": 0.0}), *light[1:]))
    row = check_of(kit.solve(weightless), "load on the footprint, with compound")
    assert row["source"] == "no mass_kg given of low bookcase 1"
    assert row["verdict"] == "not_checked"


def joists_of(answer: Answer) -> JoistWork:
    assert isinstance(answer.ground.joists, JoistWork)
    return answer.ground.joists


def test_the_joists_carry_the_compound(reading_room: Answer) -> None:
    heavy = kit.solve(job_of("reading-room", base_of({"set_kg_per_l": 4.0})))
    for answer in (reading_room, heavy):
        carried = [part for joist in joists_of(answer).joists for part in joist.carries]
        own = [part.force_n for part in carried if part.support.startswith("compound ")]
        weight = answer.traits.mass_added_kg * GRAVITY_N_PER_KG
        assert math.fsum(own) == pytest.approx(weight, rel=1e-9)  # round-off
    lighter, heavier = joists_of(reading_room), joists_of(heavy)
    for one, other in zip(lighter.joists, heavier.joists, strict=True):
        assert other.greatest_final_mm > one.greatest_final_mm
        assert other.bending.ratio > one.bending.ratio


def test_what_the_joists_give_under_the_wet_compound_does_not_show_in_its_top(
    reading_room: Answer,
) -> None:
    job, layout, supports = reading_room.job, reading_room.layout, reading_room.supports
    apart = loads_apart(layout)
    units = press_on_joists(job, apart, supports)
    # The compound once more, here as one weight at each place of the grid.
    x, y, floor = (reading_room.under[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm"))
    assert reading_room.base.compound
    zones = pour_zones(job, reading_room.base.compound)
    weights = np.concatenate([zone.weights_mm2() for zone in zones])
    force = weights * (reading_room.datum.datum_mm - floor) * 2e-6 * GRAVITY_N_PER_KG
    every = [
        Pressed(f"{n}", "C", float(a), float(b), float(f), run="A")
        for n, (a, b, f) in enumerate(zip(x, y, force, strict=True))
    ]
    both = press_on_joists(job, apart, supports, every)
    assert isinstance(units, JoistWork)
    assert isinstance(both, JoistWork)
    seen = joists_of(reading_room)
    assert set(seen.stacks) == set(supports["support"])
    for name, stack in seen.stacks.items():
        assert stack.inst_mm == units.stacks[name].inst_mm
        at_once = both.stacks[name].inst_mm - stack.inst_mm
        assert at_once > 0
        # EN 1995-1-1 table 3.2, solid timber, service class 1: kdef = 0.6. Parts of 300 mm sag
        # like the places of the grid to 3 %: the lever between joists, and sag bends little.
        crept = stack.final_mm - units.stacks[name].final_mm
        assert crept == pytest.approx(0.6 * at_once, rel=0.01, abs=1e-5)
    for row in seen.settlements[0].back, seen.settlements[0].front:
        of_row = [s.inst_mm for s in units.stacks.values() if s.row == row.row]
        assert row.mean_inst_mm == pytest.approx(sum(of_row) / len(of_row), rel=1e-12)


def test_joists_are_told_of_compound_by_one_word(reading_room: Answer) -> None:
    seen = joists_of(reading_room)
    assert seen.before_first == ("B1", "F1", "compound")
    assert seen.off_joist[0] in set(reading_room.supports["support"])
