"""The height window and what binds it; the clearance under bearers; plinth, take-off, cautions."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.base.bill import Bill, bearer_items, packer_items, screw_items
from kit.base.cautions import NO_APPROVAL, base_cautions, standing_cautions, survey_cautions
from kit.base.checks import (
    base_checks,
    check_table,
    clearance_checks,
    load_checks,
    no_approval,
    survey_checks,
)
from kit.base.clearance import clearance_table
from kit.base.cuts import BearerLine, cut_bearers
from kit.base.datum import Datum, choose_datum, height_window
from kit.base.layout import lay_out
from kit.base.plinth import plinth_lines, plinth_places
from kit.floor import HighPoint
from kit.job import Floor, Job, Refusal

UNDER = pd.DataFrame(
    {
        "bearer": ["B", "B", "F"],
        "own_x_mm": [0.0, 450.0, 900.0],
        "x_mm": [0.0, 450.0, 900.0],
        "y_mm": [67.5, 67.5, 242.5],
        "lift_share": [0.0, 0.0, 1.0],
        "height_mm": [-3.0, -1.0, -0.5],
        "sd_mm": [0.3, 0.2, 0.4],
    }
)


UNIT = {"name": "case", "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1100.0}


def job_of(base: dict[str, Any] | None = None, **changes: Any) -> Job:
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": (UNIT | changes.pop("unit", {}),)},),
            "base": ({"name": "b", "height_mm": (40.0, 60.0), **(base or {})},),
            "stock": {
                "packers": ({"mm": 18.0}, {"mm": 3.0, "count": 9, "price": 0.1}, {"mm": 1.0})
            },
            "folder": Path(),
            **changes,
        }
    )


def window_of(job: Job) -> tuple[float, str, float, str]:
    layout = lay_out(job, job.bases[0])
    lift = float(job.bases[0].front_lift_mm)
    window = height_window(job, job.bases[0], UNDER, -0.5, layout, lift)
    low, high = window.low, window.high
    return low.datum_mm, low.reason, high.datum_mm, high.reason


def test_the_heights_asked_for_bind() -> None:
    low, low_reason, high, high_reason = window_of(job_of())
    assert (low, high) == (-0.5 + 40 - 20, -0.5 + 60 - 20)
    assert low_reason == "lowest height asked for, 40 mm"
    assert high_reason == "greatest height asked for, 60 mm"


def test_the_least_room_under_a_bearer_binds_where_the_base_is_low() -> None:
    low, reason, _, _ = window_of(job_of({"height_mm": (5.0, 60.0), "minimum_pack_mm": 4.0}))
    assert low == 3.5  # highest floor -0.5, 4 above it
    assert reason == "high point + minimum pack of 4 mm (bearer F at x = 900 mm)"


def test_a_lifted_front_row_needs_less_room_than_the_back_row() -> None:
    job = job_of({"height_mm": (5.0, 60.0), "front_lift_mm": 2.0})
    low, reason, _, _ = window_of(job)
    assert low == 2.0  # F: -0.5 - 2 + 3 = 0.5; B: -1 + 3 = 2
    assert "bearer B at x = 450 mm" in reason


def test_the_ceiling_binds_over_the_tallest_unit() -> None:
    floor = {"kind": "solid", "benchmark": "P1", "benchmark_mm": 5.0}
    _, _, high, reason = window_of(job_of(floor=floor, room={"ceiling_mm": 1150.0}))
    assert high == 5 + 1150 - 1100 - 20  # the ceiling is above the benchmark
    assert reason == "ceiling over unit 'case', 1100 mm tall"


def test_no_window_is_refused_with_what_binds_at_both_ends() -> None:
    with pytest.raises(Refusal) as refusal:
        window_of(job_of({"height_mm": (10.0, 20.0)}))
    assert str(refusal.value) == (
        "job.toml, base 'b', height_mm: found 20.0 mm at most above the high point (greatest"
        " height asked for, 20 mm); allowed: at least 23.0 mm (high point + minimum pack of 3 mm"
        " (bearer F at x = 900 mm)); 3.0 mm are missing"
    )


def test_the_least_clearance_is_found_at_its_place() -> None:
    table = clearance_table(UNDER, 10.0, 2.0).set_index("bearer")
    assert table.loc["B", "least_mm"] == 11.0
    assert table.loc["B", "own_x_mm"] == 450.0
    assert table.loc["F", "least_mm"] == 12.5


def test_plinth_boards_cover_the_greatest_height() -> None:
    plinth = {"set_back_mm": 40.0, "thickness_mm": 18.0, "board_mm": (95.0, 60.0, 70.0)}
    job = job_of({"plinth": plinth})
    base = job.bases[0]
    places = plinth_places(base, lay_out(job, base))
    assert set(places["y_mm"]) == {280.0}
    assert places["x_mm"].iloc[[0, -1]].tolist() == [0.0, 900.0]
    floor = np.linspace(-2, -14, len(places))
    lines = plinth_lines(base, places.assign(floor_mm=floor), 52.0, 4.0).iloc[0]
    assert (lines["least_mm"], lines["greatest_mm"], lines["board_mm"]) == (50.0, 62.0, 70.0)
    floor[3] = np.nan
    unknown = plinth_lines(base, places.assign(floor_mm=floor), 52.0, 4.0).iloc[0]
    assert np.isnan(unknown["greatest_mm"])
    assert np.isnan(unknown["board_mm"])


def test_take_off_counts_what_is_used() -> None:
    job = job_of()
    base = job.bases[0]
    layout = lay_out(job, base)
    count = len(layout.supports)
    datum = choose_datum(
        job, base, layout, np.linspace(-3, 0, count), height_window(
            job, base, UNDER, -0.5, layout, 0.0
        ), -0.5, 0.0,
    )  # fmt: skip
    screws = pd.DataFrame({"length_mm": [50.0, np.nan, 30.0, 50.0]})
    bought = pd.DataFrame({"stock_mm": [2400.0], "count": [1]})
    items = (
        *packer_items(job.stock, datum.plan),
        *screw_items(job.stock, screws),
        *bearer_items(job.bases[0].bearer, bought),
    )
    table = Bill(items, ()).take_off()
    found = {
        (item, size): (number, cost)
        for item, size, number, cost in zip(
            table["item"], table["size_mm"], table["count"], table["cost"], strict=True
        )
    }
    packs = [number for (item, _), (number, _) in found.items() if item == "packer"]
    assert sum(packs) == datum.plan.pieces
    assert found["packer", 3.0][1] == pytest.approx(0.1 * found["packer", 3.0][0])
    assert found["screw", 50.0][0] == 2
    assert found["screw", 30.0][0] == 1
    assert found["bearer length", 2400.0][0] == 1


def test_checks_tell_ok_from_fail_and_from_not_checked() -> None:
    job = job_of({"minimum_pack_mm": 12.0})
    base = job.bases[0]
    layout = lay_out(job, base)
    plan_job = job_of({"height_mm": (40.0, 60.0)})
    window = height_window(plan_job, plan_job.bases[0], UNDER, -0.5, layout, 0.0)
    floor = np.linspace(-3, 0, len(layout.supports))
    datum = choose_datum(plan_job, plan_job.bases[0], layout, floor, window, -0.5, 0.0)
    clearance = pd.DataFrame({"bearer": ["B", "F", "D"], "least_mm": [11.5, 12.5, 40.0]})
    under = pd.DataFrame(
        {"bearer": ["B", "F", "F", "D", "D"], "surveyed": [True, True, True, True, False]}
    )
    screws = pd.DataFrame(
        {"support": ["B1", "B2"], "step": ["base", "base"], "length_mm": [30.0, np.nan]}
    )
    plinth = pd.DataFrame({"run": ["A"], "greatest_mm": [61.0], "board_mm": [np.nan]})
    rows = check_table(
        [
            *base_checks(job, base, layout, datum, screws, plinth),
            *clearance_checks(base, clearance, under),
            *load_checks(layout),
        ]
    )
    verdicts = dict(zip(rows["check"] + " " + rows["subject"], rows["verdict"], strict=True))
    assert verdicts["least room under bearer B"] == "fail"
    assert verdicts["least room under bearer F"] == "ok"
    assert verdicts["least room under bearer D"] == "not_checked"
    assert verdicts["imposed load on the footprint case"] == "not_checked"  # no mass is given
    assert verdicts["steps without a screw from stock base screws, first B2"] == "refer"
    assert verdicts["plinth board run A"] == "fail"
    assert not [name for name in verdicts if name.startswith("plinth clear")]  # it has none
    assert no_approval().verdict == "not_checked"
    assert no_approval().source == NO_APPROVAL


@pytest.mark.parametrize(
    ("certainty", "p", "redundancy", "verdicts"),
    [
        (0.95, 0.4, 9, ["ok", "ok"]),
        (0.89, 0.0009, 9, ["refer", "refer"]),
        (0.9, np.nan, 0, ["not_checked", "ok"]),
    ],
)
def test_survey_checks(certainty: float, p: float, redundancy: int, verdicts: list[str]) -> None:
    rows = check_table(survey_checks(certainty, 0.3, p, redundancy))
    assert list(rows["verdict"]) == verdicts


def datum_of(job: Job) -> Datum:
    base = job.bases[0]
    layout = lay_out(job, base)
    window = height_window(job, base, UNDER, -0.5, layout, 0.0)
    floor = np.linspace(-3, -0.5, len(layout.supports))
    return choose_datum(job, base, layout, floor, window, -0.5, 0.0)


def cautions_of(**changes: Any) -> str:
    job = job_of(**changes)
    layout = lay_out(job, job.bases[0])
    names = tuple(layout.on_bearer("B")["support"])
    places = tuple(stand.x_mm for stand in layout.stands[0])
    lines = [BearerLine("B", "A", "B", 0.0, job.runs[0].length_mm, places, names, ())]
    cuts = cut_bearers(lines, job.bases[0].bearer, 75.0)
    return "\n".join(base_cautions(job, layout, cuts, datum_of(job)))


def test_cautions_say_what_the_job_calls_for() -> None:
    quiet = cautions_of(unit={"mass_kg": 20.0, "height_mm": 500.0})
    assert quiet == ""
    heavy = cautions_of(unit={"mass_kg": 60.0, "contents_kg": 100.0})
    assert "Lift with two, knees bent: case over 25 kg." in heavy
    # 160 kg * 9.81 / (0.9 m * 0.32 m) = 5.45 kN/m2
    assert "Unit 'case' puts 5.45 kN/m2 on its footprint" in heavy
    assert "No mass_kg, or 0, is given for case" in cautions_of()


@pytest.mark.parametrize(
    ("units", "verdicts"),
    [
        # 0.9 m by 0.32 m: 44.03 kg make 1.5 kN/m2.
        (({"mass_kg": 44.0},), ["ok case"]),
        (({"mass_kg": 44.1},), ["refer case"]),
        (({"mass_kg": 20.0, "contents_kg": 24.1},), ["refer case"]),
        (({},), ["not_checked case"]),
        (({"contents_kg": 50.0},), ["refer case"]),  # too much even without its own mass
        (({"contents_kg": 20.0}, {"name": "other", "mass_kg": 9.0}), ["not_checked case"]),
        (({"name": "other", "mass_kg": 40.0}, {}), ["not_checked case", "ok other"]),
    ],
)
def test_loads_on_the_footprint(units: tuple[dict[str, Any], ...], verdicts: list[str]) -> None:
    job = job_of(run=({"name": "A", "unit": tuple(UNIT | unit for unit in units)},))
    rows = load_checks(lay_out(job, job.bases[0]))
    assert [f"{row.verdict} {row.subject}" for row in rows] == verdicts


def test_a_light_neighbour_does_not_hide_a_heavy_unit() -> None:
    heavy, light = UNIT | {"mass_kg": 60.0}, UNIT | {"name": "empty"}
    found = cautions_of(run=({"name": "A", "unit": (light, heavy)},))
    assert "Unit 'case' puts 2.04 kN/m2" in found
    assert "No mass_kg, or 0, is given for empty" in found


def test_a_unit_that_cannot_tilt_up_on_the_base_is_named() -> None:
    # base top at 39.5 or a little more; diagonal of 1100 x 320 is 1145.6, 10 mm to spare
    job = job_of(room={"ceiling_mm": 1400.0})
    reach = datum_of(job).base_top_mm + (1100**2 + 320**2) ** 0.5 + 10
    assert "stand it up on the floor" in cautions_of(room={"ceiling_mm": reach - 0.1})
    assert "cannot be tilted" not in cautions_of(room={"ceiling_mm": reach + 0.1})
    from_floor = -0.5 + (1100**2 + 320**2) ** 0.5 + 10
    assert "build it in place" in cautions_of(room={"ceiling_mm": from_floor - 0.1})


def test_a_side_beyond_the_end_of_its_bearer_is_named() -> None:
    found = cautions_of(base={"end_inset_mm": 20.0})
    assert "The left side of unit 'case' stands 11 mm beyond the end of bearer B" in found
    assert "The right side of unit 'case' stands 11 mm beyond the end of bearer F" in found


def test_what_always_holds_is_said_of_every_floor() -> None:
    unknown = list(standing_cautions(Floor(kind="boarded", board_mm=21.0)))
    assert unknown[0].startswith("Hold point: locate services before any screw")
    assert unknown[-1] == NO_APPROVAL
    for services in ("checked", "no_fixings"):
        floor = Floor(kind="boarded", board_mm=21.0, services=services)
        said = " ".join(standing_cautions(floor, known_services=True))
        assert "Hold point" not in said
        for words in ("522.6.201", "cannot see", "Pre-drill", "dust", "loose boards", "centre of"):
            assert words in said
    assert "loose boards" not in " ".join(standing_cautions(Floor(kind="solid")))


def test_what_the_readings_leave_open_comes_with_its_figures() -> None:
    rivals = pd.DataFrame({"x_mm": [], "y_mm": [], "height_mm": [], "sd_mm": [], "share": []})
    high = HighPoint(100.0, 50.0, 0.0, 0.3, 0.62, 0.21, rivals, (700.0, 45.0), 0.1)
    under = UNDER.assign(surveyed=[True, False, True])
    said = list(survey_cautions(["a suspect"], ["a note"], high, under))
    assert said[:2] == ["a suspect", "a note"]
    assert "only 62% certain (the floor may be 0.21 mm higher" in said[2]
    assert "x = 700, y = 45" in said[2]
    assert "under bearer B was not surveyed at x = 450 to 450 mm" in said[3]
