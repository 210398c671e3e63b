"""Units that stand stiff on stacks: idle stacks, leans, and what the stacks that carry bear."""

from collections.abc import Callable

import numpy as np
import pytest

from kit.base.datum import Bound, Datum, Window
from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.base.stack_plan import without_stacks
from kit.job import Job
from kit.strength.direct import Tops, carry_apart, loads_apart
from kit.strength.joists import NoJoists
from kit.strength.stiff_checks import BOARD, IDLE, PRESSURE, carry_stiff
from kit.strength.whole import Strength

PACKER = (75.0, 45.0)
#: No joists: the floor is solid.
NO_JOISTS = NoJoists("not known here")


def level_at(layout: Layout, datum_mm: float) -> Datum:
    window = Window(Bound(datum_mm, "asked"), Bound(datum_mm, "asked"))
    plan = without_stacks(datum_mm, len(layout.supports), [(datum_mm, datum_mm)])
    return Datum(window, plan, 0.0, 0.0, 0.0)


def stiff_on(job: Job, **errors: float) -> Strength:
    layout, every = on_stacks(job, **errors)
    apart = loads_apart(layout)
    return carry_stiff(job, layout, apart, NO_JOISTS, level_at(layout, 40.0), every, ("said",))


def on_stacks(job: Job, **errors: float) -> tuple[Layout, dict[str, float]]:
    layout = lay_out(job, job.bases[0], Footing(PACKER[1], PACKER, joined=False))
    return layout, dict.fromkeys(layout.supports["support"], 0.0) | errors


def test_the_stack_that_a_stiff_unit_hangs_over_is_named_with_its_shim(
    job_of: Callable[..., Job],
) -> None:
    # midway along, the diagonal from B1 to F2 is at 155 from the wall, behind the centre of
    # gravity: the unit comes down on F1
    found = stiff_on(job_of({"centre_of_gravity_mm": 165.0}), B1=0.6)
    (row,) = [check for check in found.checks if check.check == IDLE]
    assert row.subject == "case 1: B2"
    assert row.value == pytest.approx(0.6)
    assert (row.limit, row.verdict) == (0.1, "refer")
    assert "stands on B1, F1, F2" in row.source
    assert [(one.support, one.gap_mm) for one in found.stacks if one.idle] == [
        ("B2", pytest.approx(0.6))
    ]
    said = "A stiff unit hangs over stacks until these are shimmed: case 1 over B2 by 0.60 mm."
    assert said in found.cautions
    assert "said" in found.cautions


def test_on_level_stacks_all_carry_and_nothing_is_said(job_of: Callable[..., Job]) -> None:
    found = stiff_on(job_of({}))
    assert not any(one.idle for one in found.stacks)
    (row,) = [check for check in found.checks if check.check == IDLE]
    assert (row.value, row.verdict) == (0.0, "ok")
    assert not any("stiff" in caution for caution in found.cautions)


def test_loads_of_stacks_stay_those_of_all_bearing(job_of: Callable[..., Job]) -> None:
    found = stiff_on(job_of({}), B1=0.6, F2=0.3)
    weight = 9.81 * 90
    assert sum(one.full_n for one in found.stacks) == pytest.approx(weight)
    assert found.stacks[0].full_n == found.stacks[1].full_n > 0


def test_a_unit_leans_with_its_plane_and_winds_by_its_stacks(job_of: Callable[..., Job]) -> None:
    job = job_of({"centre_of_gravity_mm": 165.0})
    found = stiff_on(job, B1=0.6)
    (unit,) = found.units
    # the plane through B1 (0.6), F1 and F2 (0): level along, the front 0.6 lower in 175
    assert unit.lean_along_mm == pytest.approx(0.0, abs=1e-9)
    assert unit.lean_out_mm == pytest.approx(1100 * 0.6 / 175)
    layout, errors = on_stacks(job, B1=0.6)
    apart = loads_apart(layout)
    level = level_at(layout, 40.0)
    loose = carry_apart(job, layout, apart, NO_JOISTS, level, Tops(errors), ())
    assert loose.units[0].lean_out_mm == pytest.approx(1100 * 0.3 / 175)  # mean of both sides
    assert unit.wind_mm == loose.units[0].wind_mm == pytest.approx(0.6)


def test_a_shared_stack_is_idle_where_one_of_its_units_hangs_over_it(
    job_of: Callable[..., Job],
) -> None:
    found = stiff_on(job_of({}, {"width_mm": 700.0}), B1=-0.4, B2=0.3, F2=0.1, F3=0.2)
    idle = {one.support: one.idle_pieces for one in found.stacks if one.idle}
    assert all(numbers in ((1,), (2,), (1, 2)) for numbers in idle.values())
    assert idle["B1"] == (1,)
    assert "B2" not in idle


def test_packer_and_board_bear_what_a_stiff_unit_puts_on_them(job_of: Callable[..., Job]) -> None:
    floor = {"kind": "boarded", "board_mm": 21.0, "board_strength_class": "C16"}
    case = {"centre_of_gravity_mm": 165.0, "contents_are": "stored"}
    job = job_of(case, floor=floor, stock={"packer_bears_n_per_mm2": 1.0})
    found = stiff_on(job, B1=0.6)
    rows = {(check.check, check.subject): check for check in found.checks}
    behind = (242.5 - 165) / 175  # all of the back row's share comes on B1
    design = 9.81 * (1.35 * 30 + 1.5 * 60)
    pressed = rows[PRESSURE, "B: B1"]
    assert pressed.value == pytest.approx(design * behind / (20 * 45))  # a side of 20 on 45
    assert pressed.verdict == "ok"
    assert pressed.value < 1.0
    strength = 2.2 * 0.7 / 1.3  # EN 338 C16; EN 1995-1-1, service class 1, stored goods
    on_board = rows[BOARD, "B: at B1"]
    assert on_board.value == pytest.approx(design * behind / (75 * 45 * strength))
    # along the run B1 and F1 hold up half of it, F2 the other half
    front = next(row for key, row in rows.items() if key[0] == PRESSURE and "F:" in key[1])
    assert front.value == pytest.approx(design * 0.5 / (20 * 45))


def test_without_the_packers_figure_or_a_mass_nothing_is_ok(job_of: Callable[..., Job]) -> None:
    job = job_of({})
    (row, *_) = [check for check in stiff_on(job, B1=0.2).checks if check.check == PRESSURE]
    assert row.verdict == "not_checked"
    assert np.isnan(row.limit)
    weightless = job_of({"mass_kg": 0.0}, stock={"packer_bears_n_per_mm2": 50.0})
    for check in stiff_on(weightless, B1=0.2).checks:
        if check.check == PRESSURE:
            assert check.verdict == "not_checked"
            assert "no mass_kg given of case 1" in check.source


def test_a_narrow_unit_on_one_stack_a_row_stands_on_both_its_sides(
    job_of: Callable[..., Job],
) -> None:
    found = stiff_on(job_of({"width_mm": 75.0}), B1=0.5)
    assert [one.support for one in found.stacks] == ["B1", "F1"]
    assert not any(one.idle for one in found.stacks)
    assert found.units[0].lean_out_mm == pytest.approx(1100 * 0.5 / 175)
    assert found.units[0].lean_along_mm == pytest.approx(0.0, abs=1e-9)


def test_over_a_stack_under_two_panels_the_shim_fits_where_the_gap_is_least(
    job_of: Callable[..., Job],
) -> None:
    # a division at 855 on the right sides' stacks; stands on B1, F1 and the division over F2
    found = stiff_on(
        job_of({"divisions_mm": (855.0,), "centre_of_gravity_mm": 165.0}), B1=0.6, F1=-0.2
    )
    gaps = {one.support: one.gap_mm for one in found.stacks if one.idle}
    # 0.8 over B2 at the division, and more at the side, 35 mm further
    assert gaps == {"B2": pytest.approx(0.8)}


def test_each_unit_is_named_with_the_gaps_over_its_own_stacks(job_of: Callable[..., Job]) -> None:
    # the back stack that both share is 0.9 mm low
    found = stiff_on(
        job_of({"centre_of_gravity_mm": 165.0}, {"width_mm": 700.0, "centre_of_gravity_mm": 165.0}),
        B2=-0.9,
    )
    (said,) = [caution for caution in found.cautions if "stiff" in caution]
    assert said == (
        "A stiff unit hangs over stacks until these are shimmed: case 1 over B2 by 0.90 mm; case 2"
        " over B2 by 0.90 mm."
    )
    assert "three" not in said
