"""A slip in one of two readings: the place is judged by nobody, and the rest as without it."""

from collections.abc import Callable

import pytest

import kit
from kit.as_built import Checked, check_base
from kit.job import Job
from kit.parts import Answer

#: A slip of the staff's reading [mm].
SLIP_MM = 10.0

Staff = Callable[..., list[tuple[object, ...]]]
Rows = list[tuple[object, ...]]


def uneven(x: float, y: float) -> float:
    """Return tops that lie within 0.3 mm of one level."""
    return 53.7 + 0.3 * ((x * 0.37 + y * 0.11) % 1.0)


def slipped(rows: Rows, setup: str, point: str) -> Rows:
    return [
        (s, p, f"{float(str(mm)) + SLIP_MM:.6f}") if (s, p) == (setup, point) else (s, p, mm)
        for s, p, mm in rows
    ]


@pytest.fixture
def checks(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> tuple[Checked, Checked]:
    """The same base read without a slip, and with one at F3 from the second set-up."""
    rows = staff(reading_room, uneven)
    plain = check_base(as_read(reading_room, rows, tolerance_mm=1.0), answer=reading_room)
    job = as_read(reading_room, slipped(rows, "T2", "F3"), tolerance_mm=1.0)
    return plain, check_base(job, answer=reading_room)


def test_the_place_of_the_slip_is_not_judged(checks: tuple[Checked, Checked]) -> None:
    plain, checked = checks
    assert plain.verdict == "within"
    assert not plain.tops.contradicting
    verdicts = checked.supports.set_index("support")["verdict"]
    assert verdicts[verdicts != "within"].to_dict() == {"F3": "readings contradict"}
    assert checked.verdict == "readings contradict"
    assert (
        checked.supports.set_index("support").loc["F3", ["top_mm", "off_mm", "sd_mm"]].isna().all()
    )
    # Rows of the file, its head the first: 24 supports from T1, then 24 from T2; F3 is the 13th.
    assert dict(checked.tops.contradicting) == {"F3": "read.csv, rows 14 and 38"}
    assert checked.sentences[0].startswith(
        "The readings contradict one another at F3 (read.csv, rows 14 and 38): one of them"
    )


def test_nothing_there_is_changed_and_the_rest_is_as_without_the_slip(
    checks: tuple[Checked, Checked],
) -> None:
    plain, checked = checks
    assert checked.changes.opened == 0
    assert checked.changes.unread == ("F3",)
    others = checked.supports["support"] != "F3"
    # One of F3's readings is set aside, so that the slip pulls no set-up: equal to round-off.
    assert checked.supports["sd_mm"][others].max() == pytest.approx(
        plain.supports["sd_mm"].max(), rel=0.01
    )
    apart = (checked.supports["off_mm"] - plain.supports["off_mm"])[others]
    assert (apart - apart.mean()).abs().max() < 1e-6


def test_units_over_it_are_not_read(checks: tuple[Checked, Checked]) -> None:
    plain, checked = checks
    assert [one.verdict for one in plain.units] == ["within"] * 4
    # F3 stands at x = 1000, where the first bookcase meets the second.
    assert [one.verdict for one in checked.units] == ["not read", "not read", "within", "within"]
    told = [line for line in checked.sentences if line.startswith("low bookcase 1: ")]
    assert told == [
        "low bookcase 1: not told, for a corner of it was not read, or its readings contradict one"
        " another."
    ]


def test_with_the_row_left_out_it_comes_right(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = slipped(staff(reading_room, uneven), "T2", "F3")
    job = as_read(reading_room, rows, survey={"leave_out": (38,)}, tolerance_mm=1.0)
    checked = check_base(job, answer=reading_room)
    assert checked.verdict == "within"
    assert not checked.tops.contradicting


def test_a_slip_pulls_nothing_that_was_read_from_its_set_up_alone(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    """Three places tie the set-ups; 10 mm at one of them would shift the others by 3.3 mm."""
    kept = {"B1", "B10", "F3"}
    names = reading_room.supports["support"].tolist()
    first = set(names[::2]) | kept
    rows = [
        row
        for row in slipped(staff(reading_room, uneven), "T2", "F3")
        if row[1] in (first if row[0] == "T1" else (set(names) - first) | kept)
    ]
    job = as_read(reading_room, rows, tolerance_mm=1.0)
    verdicts = check_base(job, answer=reading_room).supports.set_index("support")["verdict"]
    assert verdicts[verdicts != "within"].to_dict() == {"F3": "readings contradict"}


def test_a_benchmark_that_contradicts_itself_holds_no_height(
    market_counter: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    floor, top = market_counter.job.floor, market_counter.datum.base_top_mm
    rows = [
        *staff(market_counter, lambda _x, _y: top + 0.7),
        ("T1", floor.benchmark, 1290.25 - floor.benchmark_mm),
        ("T2", floor.benchmark, 1311.5 - floor.benchmark_mm + SLIP_MM),
    ]
    checked = check_base(as_read(market_counter, rows), answer=market_counter)
    assert not checked.tops.absolute
    assert set(checked.tops.contradicting) == {floor.benchmark}
    assert checked.supports["off_plan_mm"].isna().all()
    assert any("the readings of the benchmark" in line for line in checked.sentences)
    assert checked.verdict == "within"


def test_a_foot_there_is_not_turned(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    feet = kit.solve(reading_room.job, "screw feet", before=reading_room)
    name = str(feet.supports["support"].iloc[4])
    rows = slipped(staff(feet, uneven), "T1", name)
    checked = check_base(as_read(feet, rows, tolerance_mm=1.0), answer=feet)
    assert checked.tops.at_fault.keys() == {name}
    assert checked.changes.turns.turned.empty
