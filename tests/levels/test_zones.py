"""Bases parted into zones: floors of which the parting is known, and what each zone is made of."""

import numpy as np
import pytest

import kit
from kit.answer import solve_on, survey_floor
from kit.base.stack_rules import to_units
from kit.job import Levels, MovementJoint, Refusal, Run
from kit.job.model import Moved
from kit.levels import part_into_zones
from kit.levels.solve_zones import zone_names

#: Readings close to a step at 3550 mm, so that the surface follows it.
XS = np.unique(
    [*np.arange(0, 3400, 300), 3400, 3450, 3500, 3600, 3650, 3700, *np.arange(4000, 7301, 300)]
)
TWO_LEVELS = {"name": "A", "widths": [600] * 10, "gap": 100}


@pytest.fixture(scope="module")
def stepped(hall):
    """A floor of two levels 150 mm apart, the step between the fifth and the sixth unit."""
    levels = {"most": 4, "step_mm": (100.0, 200.0), "ramp_mm_per_m": 60.0, "ramp_room_mm": 1600.0}
    job, survey = hall(
        lambda x, y: np.where(x < 3550, 0.0, -150.0) - 0.001 * y, [TWO_LEVELS], levels, xs=XS
    )
    joints = (
        MovementJoint(name="J1", from_mm=(3550.0, -50.0), to_mm=(3550.0, 900.0)),
        MovementJoint(name="J2", from_mm=(1300.0, 900.0), to_mm=(1300.0, -50.0), clear_mm=20.0),
        MovementJoint(name="J3", from_mm=(0.0, 700.0), to_mm=(7000.0, 700.0)),
    )
    moved = (Moved(bearer="B", from_mm=42.5, to_mm=60.0),)
    base = job.bases[0].model_copy(update={"moved": moved})
    job = job.model_copy(update={"movement_joints": joints, "bases": (base,)})
    told: list[float] = []
    return part_into_zones(job, survey, tell=told.append), told


def test_a_floor_of_two_levels_is_parted_at_its_step(stepped) -> None:
    zones, told = stepped
    assert [(z.from_unit, z.to_unit) for z in zones.zones] == [
        ("stall 1", "stall 5"),
        ("stall 6", "stall 10"),
    ]
    (step,) = zones.steps
    # 150 mm, but for what the surface rings beside the step, and at most the tolerance of a stack
    assert step.step_mm == pytest.approx(-150, abs=25)
    assert 100 <= -step.step_mm <= 200
    assert step.at_mm == 3550
    assert told[-1] == pytest.approx(1)
    assert told == sorted(told)


def test_each_zone_is_the_exact_answer_at_its_level(stepped) -> None:
    zones, _ = stepped
    two = next(choice for choice in zones.menu if choice.zones == 2)
    for zone, level in zip(zones.zones, two.levels, strict=True):
        # only the round-off of turning a level into a height and back
        assert to_units(zone.datum_mm) == pytest.approx(level, abs=100)
        again = solve_on(zone.job, zone.answer.survey, zone.job.bases[0])
        assert again.datum.datum_mm == zone.datum_mm
        assert again.pieces == zone.answer.pieces
        assert zone.answer.datum.base_height_mm >= 30 - 1e-9
        run = zone.job.runs[0]
        assert Run.model_validate(run.model_dump(by_alias=True)).name == zone.name
    assert zones.packing_mm == pytest.approx(two.packing / 1e12, abs=1e-9)
    assert zones.pieces == two.pieces
    one, other = (zone.job.runs[0] for zone in zones.zones)
    assert (one.left_wall, one.right_wall) == (True, False)
    assert (other.left_wall, other.right_wall) == (False, True)
    assert other.origin_mm == (3600, 0)
    assert other.units[0].gap_before_mm == 0
    assert zones.zone("AZ2").answer.supports["x_mm"].min() == pytest.approx(3600 + 5 + 75 / 2)


def test_no_level_below_the_chosen_one_has_stacks(stepped) -> None:
    # least packing is lowest level: solve for a base a little lower, in a window up to just below
    zones, _ = stepped
    zone = zones.zones[1]
    base = zone.job.bases[0]
    height = zone.answer.datum.base_height_mm
    assert height == pytest.approx(30, abs=1e-9)  # the lowest that is asked for
    lower = base.model_copy(update={"height_mm": (height - 10, height - 0.01)})
    less = solve_on(zone.job.model_copy(update={"bases": (lower,)}), zone.answer.survey, lower)
    assert less.stacks["thickness_mm"].sum() < zone.packing_mm


def test_joints_moved_stacks_and_ramps_are_told(stepped) -> None:
    zones, _ = stepped
    one, other = zones.zones
    assert one.joints == ("J2 at 1300 mm from its left end, under unit 'stall 2'",)
    assert other.joints == ()  # J1 lies in the gap, 50 mm from both; J3 in front of the units
    assert any("moved by hand" in words for words in zones.cautions)
    assert any("edge that people trip over" in words for words in zones.cautions)
    assert any("1 in 12 to 1 in 20" in words for words in zones.cautions)
    tables = zones.tables()
    assert set(tables) == {"zones.csv", "zone-steps.csv", "zone-menu.csv", "zone-ramps.csv"}
    row = tables["zone-steps.csv"].iloc[0]
    # the floor's own 150 mm, but for what the surface rings beside a step it is not told of
    assert row["ramp_needed_mm"] == pytest.approx(150 / 0.06, abs=25 / 0.06)
    assert row["ramp_fits"] == "no"  # 1600 mm of room take 96 mm at most
    ramp = tables["zone-ramps.csv"]
    fall = ramp["ramp_mm"].iloc[0] - ramp["ramp_mm"].iloc[-1]
    assert fall == pytest.approx(row["ramp_needed_mm"] * 0.06)
    assert ramp["ramp_mm"].iloc[0] == pytest.approx(0, abs=25)  # the upper floor, not a base top
    assert ramp["x_mm"].iloc[-1] > ramp["x_mm"].iloc[0]  # down to the right


def test_the_menu_says_why_a_number_cannot_be(stepped) -> None:
    zones, _ = stepped
    menu = zones.tables()["zone-menu.csv"].set_index("zones")
    assert menu.loc[2, "chosen"] == "yes"
    assert (menu["chosen"] == "yes").sum() == 1
    # the floor falls 150 mm and the longest stack is 110: one level cannot be
    assert "the longest these packers make is 110 mm" in menu.loc[1, "why_not"]
    can = menu[menu["why_not"] == ""]
    assert can["packing_mm"].idxmin() == 2
    assert (can["highest_stack_mm"] <= 110).all()


def test_one_zone_where_the_floor_is_even(hall) -> None:
    job, survey = hall(
        lambda x, y: -0.001 * x - 0.001 * y,
        [{"name": "A", "widths": [700, 500, 900]}],
        reach=(2100, 800),
    )
    zones = part_into_zones(job, survey)  # no levels in the job: their defaults
    assert Levels().most == 2
    assert len(zones.zones) == 1
    assert zones.steps == ()
    one, two = zones.menu  # a step of 100 mm can be built, and takes more packing
    assert one.packing < two.packing
    assert [abs(step) for step in two.steps_mm] == [pytest.approx(100, abs=1e-9)]
    asked = part_into_zones(job, survey, zones=2)
    assert len(asked.zones) == 2
    assert asked.packing_mm == pytest.approx(two.packing / 1e12, abs=1e-9)
    whole = solve_on(job, survey, job.bases[0])
    (zone,) = zones.zones
    assert len(zone.answer.supports) == len(whole.supports)
    assert zone.packing_mm <= whole.stacks["thickness_mm"].sum()
    low = job.bases[0].model_copy(update={"height_mm": (30.0, 60.0)})
    with pytest.raises(Refusal, match="2 zones: found no 2 levels"):
        part_into_zones(job.model_copy(update={"bases": (low,)}), survey, zones=2)
    with pytest.raises(Refusal, match="4 zones: found the run has 3 units only"):
        part_into_zones(job, survey, zones=4)
    with pytest.raises(Refusal, match="1 or more"):
        part_into_zones(job, survey, zones=0)


def test_each_run_has_a_number_of_its_own(hall) -> None:
    # A falls by 150 mm at 3550 and must step; B, on even floor, is best in one zone.
    runs = [
        {"name": "A", "widths": [600] * 7, "gap": 100},
        {"name": "B", "widths": [700, 500, 900], "origin": (300.0, 1500.0)},
    ]
    levels = {"most": 3, "step_mm": (100.0, 200.0)}
    job, survey = hall(
        lambda x, y: np.where((x < 3550) | (y > 1200), 0.0, -150.0), runs, levels,
        xs=XS, reach=(7300, 2400),
    )  # fmt: skip

    def counts(zones):
        parted = part_into_zones(job, survey, zones=zones)
        return [sum(zone.run == name for zone in parted.zones) for name in "AB"]

    assert counts({}) == counts(None) == [2, 1]
    assert counts({"B": 2}) == [2, 2]
    assert counts({"B": 3}) == [2, 3]
    with pytest.raises(Refusal, match=r"run A, 1 zone: .*allowed: 2 in this run") as one:
        part_into_zones(job, survey, zones=1)
    assert len(one.value.problems) == 1  # B can be
    with pytest.raises(Refusal) as both:
        part_into_zones(job, survey, zones={"A": 1, "B": 4})
    assert [problem.where for problem in both.value.problems] == [
        "job.toml, run A, 1 zone", "job.toml, run B, 4 zones",
    ]  # fmt: skip
    with pytest.raises(Refusal, match="run 'C'; allowed: the job's runs: A, B"):
        part_into_zones(job, survey, zones={"C": 1})


def test_an_even_fall_is_parted_evenly(hall) -> None:
    # 15 mm a metre over 6 m in three zones of two units each: least packing, by convexity
    job, survey = hall(
        lambda x, _: -0.015 * x,
        [{"name": "A", "widths": [1000] * 6}],
        {"most": 3, "step_mm": (20.0, 60.0)},
    )
    zones = part_into_zones(job, survey)
    assert [(z.first, z.last) for z in zones.zones] == [(0, 1), (2, 3), (4, 5)]
    # by hand: each level is its own floor's height + 30 - 22, so that they step by 30 mm
    assert [step.step_mm for step in zones.steps] == pytest.approx([-30, -30], abs=0.2)
    packing = [choice.packing for choice in zones.menu]
    assert packing[0] > packing[1] > packing[2]


def test_runs_that_meet_share_a_level_or_step(hall) -> None:
    # 50 mm a metre into the room: B, from y = 590 on, lies about 30 mm lower than A
    runs = [
        {"name": "A", "widths": [800, 700]},
        {"name": "B", "widths": [600, 500], "origin": (1500.0, 590.0), "direction": 90.0},
    ]
    job, survey = hall(lambda _, y: -0.05 * y, runs, reach=(1600, 2400))
    tied = part_into_zones(job, survey)
    assert tied.meets == (("A", "B"),)
    (step,) = tied.steps
    assert (step.in_run, step.units) == (False, ("stall 2", "stall 1"))
    # 30 mm are no step of 100 to 200: one level, at A's lowest, above the high point of both
    assert step.step_mm == pytest.approx(0, abs=1e-9)
    alone = {choice.run: choice.levels for choice in tied.menu if choice.zones == 1}
    assert to_units(tied.zones[0].datum_mm) == pytest.approx(alone["A"][0], abs=100)

    base = job.bases[0].model_copy(update={"levels": Levels(most=1, step_mm=(20.0, 40.0))})
    stepped = part_into_zones(job.model_copy(update={"bases": (base,)}), survey)
    assert stepped.packing_mm < tied.packing_mm
    levels = [to_units(zone.datum_mm) for zone in stepped.zones]
    assert levels == pytest.approx([alone["A"][0], alone["B"][0]], abs=100)

    far = job.runs[1].model_copy(update={"origin_mm": (1500.0, 700.0)})
    free = part_into_zones(job.model_copy(update={"runs": (job.runs[0], far)}), survey)
    assert free.meets == ()
    assert free.zones[0].datum_mm - free.zones[1].datum_mm == pytest.approx(35, abs=3)


def test_the_demo_round_the_corner_shares_its_level() -> None:
    from pathlib import Path

    job = kit.read_job(Path(__file__).parents[2] / "data" / "boot-room")
    zones = part_into_zones(job, survey_floor(job))
    assert zones.meets == (("A", "B"),)
    assert [zone.name for zone in zones.zones] == ["AZ1", "BZ1"]
    assert zones.zones[0].datum_mm == pytest.approx(zones.zones[1].datum_mm, abs=1e-9)
    assert zones.tables()["zone-steps.csv"]["step_mm"].tolist() == [0]


def test_one_bag_for_all_zones(hall) -> None:
    job, survey = hall(
        lambda x, _: -0.02 * x,
        [{"name": "A", "widths": [1000] * 6}],
        {"most": 3, "step_mm": (20.0, 60.0)},
    )
    ample = part_into_zones(job, survey)
    used = ample.zones[0].answer.stacks["nominal_mm"].value_counts()

    def with_twenties(count):
        packers = tuple(
            packer.model_copy(update={"count": count}) if packer.mm == 20 else packer
            for packer in job.stock.packers
        )
        return job.model_copy(update={"stock": job.stock.model_copy(update={"packers": packers})})

    owned = int(used[20]) + 1
    zones = part_into_zones(with_twenties(owned), survey)
    taken = sum((z.answer.stacks["nominal_mm"] == 20).sum() for z in zones.zones)
    assert taken <= owned
    assert zones.zones[1].job.stock.packers[4].count == owned - used[20]
    assert zones.pieces > ample.pieces
    small = with_twenties(2)
    few = tuple(p.model_copy(update={"count": 12}) for p in small.stock.packers)
    small = small.model_copy(update={"stock": small.stock.model_copy(update={"packers": few})})
    with pytest.raises(Refusal, match=r"12 owned, .* used before it, .* taken by all zones"):
        part_into_zones(small, survey)


def test_a_base_without_packers_is_refused(hall) -> None:
    job, survey = hall(
        lambda x, _: -0.001 * x, [{"name": "A", "widths": [700, 500]}], reach=(1300, 800)
    )
    feet = ({"low_mm": 40.0, "high_mm": 65.0},)
    told = {**job.bases[0].model_dump(), "method": "feet", "feet": feet}
    feet_base = job.bases[0].model_validate(told)
    with pytest.raises(Refusal, match="not made of packers"):
        part_into_zones(job.model_copy(update={"bases": (feet_base,)}), survey)


def test_names_of_zones_differ_and_are_short() -> None:
    def run(name):
        unit = {"name": "u", "width_mm": 600.0, "depth_mm": 400.0, "height_mm": 800.0}
        return Run.model_validate({"name": name, "unit": (unit,)})

    assert zone_names([run("A"), run("B")], [2, 1]) == [["AZ1", "AZ2"], ["BZ1"]]
    long = zone_names([run("Northwall12a"), run("Northwall12b")], [1, 2])
    assert long == [["Zone1"], ["Zone2", "Zone3"]]
    (one,) = zone_names([run("Northwall12a")], [12])
    assert max(map(len, one)) <= 12
    assert len(set(one)) == 12
