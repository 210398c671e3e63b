"""Level, wind, rocking and lean of units against closed forms of twisted bases."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from kit.as_built.tops import look_at_tops
from kit.as_built.units import UnitStands, look_at_units, units_table
from kit.job import Job
from kit.parts import Answer

Staff = Callable[..., list[tuple[object, ...]]]


def units_of(job: Job, answer: Answer) -> tuple[UnitStands, ...]:
    assert job.as_built is not None
    return tuple(look_at_units(look_at_tops(job.folder, answer, job.as_built), answer.layout))


def test_on_a_plane_every_unit_leans_as_the_plane_does(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(reading_room, lambda x, y: 40 + 0.0011 * x + 0.0034 * y)
    units = units_of(as_read(reading_room, rows), reading_room)
    assert [one.unit for one in units] == [
        "low bookcase 1", "low bookcase 2", "atlas case", "low bookcase 3",
    ]  # fmt: skip
    for one in units:
        # Readings to 1e-6 mm; the feet are 0.175 m apart across.
        assert one.along_mm_per_m == pytest.approx(1.1, abs=1e-4)
        assert one.across_mm_per_m == pytest.approx(3.4, abs=1e-4)
        assert one.lean_along_mm == pytest.approx(-1.1 * 1.15, abs=1e-4)
        assert one.lean_out_mm == pytest.approx(-3.4 * 1.15, abs=1e-4)
        assert one.lean_limit_mm == pytest.approx(2 * 1.15)
        assert one.wind_mm == pytest.approx(0, abs=1e-5)
        assert one.rocks == "does not rock"
    atlas = units[2]
    assert atlas.along_mm == pytest.approx(1.1 * 1.1, abs=1e-4)
    assert atlas.across_mm == pytest.approx(3.4 * 0.48, abs=1e-4)


def test_a_twisted_base_winds_and_rocks_by_its_twist(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    twist = 2.0e-5

    def top(x: float, y: float) -> float:
        return 40 - twist * (x - 500) * (y - 67.5)

    first = units_of(as_read(reading_room, staff(reading_room, top)), reading_room)[0]
    # Sides at 9.5 and 990.5, rows at 67.5 and 242.5: wind = BL + FR - BR - FL = -t dx dy.
    wind = -twist * 981 * 175
    assert first.wind_mm == pytest.approx(wind, abs=1e-5)
    assert first.rocks == "rocks"
    # BR and FL stand high; the weight at 160 lies before the middle of the rows, 155: on FR.
    assert first.stands_on == "back right, front left, front right"
    assert first.tips_to == ""
    # The mean of the two ends: the back stays level, the front turns by t * 175 to the left.
    assert first.along_mm_per_m == pytest.approx(-1000 * twist * 175 / 2, abs=1e-4)


def test_a_weight_right_over_the_diagonal_may_tip_either_way(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    run = reading_room.job.runs[0]
    first = run.units[0].model_copy(update={"centre_of_gravity_mm": 155.0})
    units = tuple(
        placed if placed.unit.name != first.name else replace(placed, unit=first)
        for placed in reading_room.layout.units
    )
    layout = replace(reading_room.layout, units=units)
    rows = staff(reading_room, lambda x, y: 40 + 2e-5 * (x - 500) * (y - 67.5))
    job = as_read(reading_room, rows)
    assert job.as_built is not None
    tops = look_at_tops(job.folder, reading_room, job.as_built)
    one = next(look_at_units(tops, layout))
    assert {one.stands_on, one.tips_to} == {
        "back left, front left, front right",
        "back left, back right, front right",
    }


def test_the_doubt_of_a_unit_is_that_of_many_draws(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    job = as_read(reading_room, staff(reading_room, lambda _x, _y: 40.0))
    assert job.as_built is not None
    tops = look_at_tops(job.folder, reading_room, job.as_built)
    last = list(look_at_units(tops, reading_room.layout))[3]  # sides at 3109.5 and 3990.5
    names = tops.points["point"].tolist()
    draw = np.random.default_rng(8)
    noise = draw.multivariate_normal(np.zeros(len(names)), tops.covariance, 4000, method="svd")
    b8, b9, b10, f8, f9, f10 = (
        noise[:, names.index(name)] for name in ("B8", "B9", "B10", "F8", "F9", "F10")
    )
    left, right = 9.5 / 450, 1 + 28 / 412.5
    bl, br = b8 + left * (b9 - b8), b9 + right * (b10 - b9)
    fl, fr = f8 + left * (f9 - f8), f9 + right * (f10 - f9)
    wind = bl + fr - br - fl
    along = ((br + fr) - (bl + fl)) / (2 * 0.881)
    # 4000 draws tell a standard deviation to 1.1 %; three times that.
    assert last.wind_sd_mm == pytest.approx(wind.std(), rel=0.035)
    assert last.along_sd_mm_per_m == pytest.approx(along.std(), rel=0.035)


def test_a_unit_with_an_unread_corner_is_not_judged(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(reading_room, lambda _x, _y: 40.0, leave=("F1", "F2"))
    units = units_of(as_read(reading_room, rows), reading_room)
    assert units[0].verdict == "not read"
    assert units[0].rocks == "not read"
    assert np.isnan(units[0].wind_mm)
    assert units[3].verdict == "within"
    assert len(units_table(units)) == 4
