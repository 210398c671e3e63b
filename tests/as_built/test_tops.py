from collections.abc import Callable

import numpy as np
import pytest

import kit
from kit.as_built.tops import Tops, look_at_tops
from kit.job import Job
from kit.parts import Answer

Staff = Callable[..., list[tuple[object, ...]]]


def tops_of(job: Job, answer: Answer) -> Tops:
    assert job.as_built is not None
    return look_at_tops(job.folder, answer, job.as_built)


def test_heights_among_themselves_without_a_benchmark(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    def top(x: float, y: float) -> float:
        return 40 + 0.0011 * x - 0.0032 * y

    tops = tops_of(as_read(reading_room, staff(reading_room, top)), reading_room)
    assert not tops.absolute
    expected = np.array([top(x, y) for x, y in tops.points[["x_mm", "y_mm"]].to_numpy()])
    found = tops.points["height_mm"].to_numpy()
    # Readings stand there to 1e-6 mm.
    np.testing.assert_allclose(found - found.max(), expected - expected.max(), atol=2e-6)
    # Two readings of 0.1 mm each; set-ups cost less than a tenth of that here.
    assert tops.points["sd_mm"].to_numpy() == pytest.approx(0.1 / np.sqrt(2), rel=0.1)


def test_the_benchmark_puts_them_into_the_frame_of_the_job(
    market_counter: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    mark = market_counter.job.floor.benchmark
    height = market_counter.job.floor.benchmark_mm
    rows = [
        *staff(market_counter, lambda x, _y: 61.0 + 0.0004 * x),
        ("T1", mark, f"{1290.25 - height}"),
        ("T2", mark, f"{1311.5 - height}"),
    ]
    tops = tops_of(as_read(market_counter, rows), market_counter)
    assert tops.benchmark == mark
    assert mark not in set(tops.points["point"])
    at = tops.points.set_index("point").loc["B4"]
    assert at["height_mm"] == pytest.approx(61.0 + 0.0004 * at["x_mm"], abs=2e-6)


def test_the_planned_front_lift_is_taken_off(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    (first, *others) = reading_room.job.bases
    lifted = first.model_copy(update={"front_lift_mm": 2.0, "tolerance_mm": 1.0})
    job = reading_room.job.model_copy(update={"bases": (lifted, *others)})
    answer = kit.solve(job, before=reading_room)
    assert answer.datum.front_lift_mm == 2.0
    rows = staff(answer, lambda _x, y: 40 + 2.0 * (y - 67.5) / 175)  # as planned
    tops = tops_of(as_read(answer, rows), answer)
    assert np.ptp(tops.top_mm) < 1e-5  # readings to 1e-6 mm
    lift = tops.points.set_index("point")["lift_mm"]
    assert lift[["B1", "F1", "D1"]].tolist() == pytest.approx([0.0, 2.0, 2 * 335 / 175])


def made(answer: Answer, as_read: Callable[..., Job], staff: Staff, *leave: str) -> Tops:
    rows = staff(answer, lambda x, y: 40 + x / 500 + y / 900, leave=leave)
    return tops_of(as_read(answer, rows), answer)


def test_between_two_readings_of_a_piece_lies_the_straight_line(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    tops = made(reading_room, as_read, staff)
    name = tops.points["point"].tolist()
    weights = tops.at("B", 620.0)  # B2 at 500, B3 at 1000
    assert {name[i]: share for i, share in weights.items()} == pytest.approx(
        {"B2": 0.76, "B3": 0.24}
    )
    beyond = tops.at("B", 9.5)  # 28 mm beyond B1 at 37.5, along the line of B1 and B2
    rise = 28 / 462.5
    assert {name[i]: share for i, share in beyond.items()} == pytest.approx(
        {"B1": 1 + rise, "B2": -rise}
    )
    assert tops.at("D", 1990.0) == {}  # beyond the bearer's end
    assert tops.at("none", 100.0) == {}


def test_over_an_unread_support_nothing_is_told(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    tops = made(reading_room, as_read, staff, "B3")  # B2 and B4 are 1000 mm apart, span 600
    assert tops.at("B", 980.0) == {}
    assert tops.at_support("B3", "B", 1000.0) == ({}, "not read")
    assert tops.at_support("B2", "B", 500.0)[1] == "read"


def test_a_support_between_two_near_readings_is_told_from_both(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    header = ("setup", "point", "x_mm", "y_mm", "reading_mm")
    at = reading_room.supports.set_index("support")
    rows = [
        (setup, name, at.at[name, "x_mm"], at.at[name, "y_mm"], float(read))
        for setup, name, read in staff(reading_room, lambda x, _y: 40 + x / 500, leave=("B3",))
    ]
    rows += [("T1", "l", 800, 67.5, 1290.25 - 41.6), ("T1", "r", 1250, 67.5, 1290.25 - 42.5)]
    tops = tops_of(as_read(reading_room, rows, header), reading_room)
    weights, how = tops.at_support("B3", "B", 1000.0)
    assert how == "between"
    b2 = float(tops.points.set_index("point").at["B2", "height_mm"])
    assert tops.value_mm(weights) - b2 == pytest.approx(1.0, abs=1e-5)  # readings to 1e-6 mm


def test_a_joint_parts_what_is_told(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    # The back bearer is joined over B9 at 3550: left of it nothing is told from B10.
    tops = made(reading_room, as_read, staff, "B9")
    assert [pieces[-1][0] for name, pieces in tops.pieces.items() if name == "B"] == [3550.0]
    assert tops.at("B", 3540.0) == {}
    name = tops.points["point"].tolist()
    assert {name[i] for i in tops.at("B", 3990.5)} == {"B10"}


def test_where_every_support_stands_alone_the_nearest_counts(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    feet = kit.solve(reading_room.job, "screw feet", before=reading_room)
    tops = made(feet, as_read, staff)
    name = tops.points["point"].tolist()
    assert [name[i] for i in tops.at("B", 1009.5)] == ["B4"]  # feet at 972.5 and 1027.5
    assert tops.at("B", 700.0) == {}
