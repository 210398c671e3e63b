from collections.abc import Callable
from pathlib import Path

import pytest

import kit
from kit.as_built import Checked, check_base
from kit.base.cautions import NO_APPROVAL
from kit.job import Job
from kit.parts import Answer

Staff = Callable[..., list[tuple[object, ...]]]


@pytest.fixture(scope="module")
def demo(reading_room: Answer) -> Checked:
    return check_base(reading_room.job, answer=reading_room)


def test_the_demo_in_words(demo: Checked) -> None:
    said = demo.sentences
    assert said[0].startswith("16 of 24 supports lie within 1 mm of one level; 2 outside (in mm:"
                              " B5 +2.9, F8 -3.8); 6 too close to tell (in mm: B3")  # fmt: skip
    assert "the job names no benchmark" in said[1]
    assert "Open 2 stacks, 3 packers taken out or put in" in " ".join(said)
    assert "B5: take out 6, put in 3; from the floor up then 18 3 18." in said
    assert "F8: put in 3; from the floor up then 18 6 3 18." in said
    assert said[-1] == NO_APPROVAL


def test_what_can_hurt_is_said_where_stacks_are_opened(demo: Checked) -> None:
    said = " ".join(demo.cautions)
    assert "read again afterwards" in said
    assert "reach deeper into the floor" in said
    assert "Undo the bearer over a stack before it is opened" in said
    assert "names 2 of 24 stacks" in said


def test_where_nothing_is_opened_nothing_of_it_is_said(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(reading_room, lambda _x, _y: 53.7)
    checked = check_base(as_read(reading_room, rows, tolerance_mm=1.0), answer=reading_room)
    assert "No stack has to be opened." in checked.sentences
    assert "24 of 24 supports lie within 1 mm of one level." in checked.sentences
    assert not any("reach deeper" in one for one in checked.cautions)


def test_points_read_once_are_named(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = [row for row in staff(reading_room, lambda _x, _y: 53.7) if row[0] == "T1"]
    checked = check_base(as_read(reading_room, rows, tolerance_mm=1.0), answer=reading_room)
    (once,) = [one for one in checked.cautions if "are read once" in one]
    assert once.startswith("24 points are read once (B1, B2,")
    assert "and 12 more" in once


@pytest.mark.parametrize(
    ("base", "found"),
    [
        ("screw feet", "feet, the fewest that do"),
        ("ladder frame", "plane a board that is high"),
        ("levelling compound", "grind what is high"),
    ],
)
def test_bases_without_packers_say_what_is_done_instead(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff, base: str, found: str
) -> None:
    answer = kit.solve(reading_room.job, base, before=reading_room)
    rows = staff(answer, lambda x, _y: 40.0 + 3 * (x > 3300))
    checked = check_base(as_read(answer, rows, tolerance_mm=1.0), answer=answer)
    assert any(found in one for one in checked.sentences)


def test_the_height_against_the_plan_and_a_lift_are_said(
    market_counter: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    floor, top = market_counter.job.floor, market_counter.datum.base_top_mm
    rows = [
        *staff(market_counter, lambda _x, _y: top + 1.2),
        ("T1", floor.benchmark, 1290.25 - floor.benchmark_mm),
        ("T2", floor.benchmark, 1311.5 - floor.benchmark_mm),
    ]
    checked = check_base(as_read(market_counter, rows), answer=market_counter)
    assert checked.sentences[1].startswith("The base stands 1.2 ± 0.1 mm higher than planned")


def test_a_level_base_below_the_heights_asked_for_says_why_it_is_opened(
    market_counter: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    floor, low = market_counter.job.floor, market_counter.datum.window.low.datum_mm
    top = low + market_counter.datum.bearer_mm - 4.2
    rows = [
        *staff(market_counter, lambda _x, _y: top),
        ("T1", floor.benchmark, 1290.25 - floor.benchmark_mm),
        ("T2", floor.benchmark, 1311.5 - floor.benchmark_mm),
    ]
    checked = check_base(as_read(market_counter, rows, tolerance_mm=1.0), answer=market_counter)
    assert checked.verdict == "within"
    assert checked.changes.opened == len(market_counter.supports)
    assert any("not among the heights asked for (base.height_mm)" in s for s in checked.sentences)


def test_the_doubt_of_the_readings_goes_with_every_change(demo: Checked) -> None:
    """Two readings of 0.3 mm against the mean of 24: 0.3 / sqrt(2) less a fiftieth, twice that.

    B1 was read a third time, so that no doubt is greater than that.
    """
    (said,) = [one for one in demo.sentences if "goes by the readings as they are" in one]
    assert "± 0.4 mm at a support (2 sd)" in said
    assert not any("not among the heights asked for" in one for one in demo.sentences)


def test_what_is_missing_is_said(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    # Half of it stands 0.37 mm higher, and the bag is empty: nothing comes within 0.05 mm.
    rows = staff(reading_room, lambda x, _y: 40.0 + 0.37 * (x > 1800))
    job = as_read(reading_room, rows, tolerance_mm=0.05, left=())
    checked = check_base(job, answer=reading_room)
    (said,) = [one for one in checked.sentences if one.startswith("No change of packers")]
    assert "do not suffice" in said or "would have to be" in said
    assert not any(one.startswith("Open ") for one in checked.sentences)
    assert not any("goes by the readings as they are" in one for one in checked.sentences)


def test_a_unit_leans_somewhere_and_no_doubt_reads_as_nothing(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    # Rises 0.2 mm/m to the right, falls 17.2 mm/m to the front; units are 0.32 m deep, 1.15 high.
    rows = staff(reading_room, lambda x, y: 50.0 + 0.0002 * x - 0.0172 * y)
    checked = check_base(as_read(reading_room, rows, tolerance_mm=1.0), answer=reading_room)
    unit = checked.units[0]
    (said,) = [line for line in checked.sentences if line.startswith(f"{unit.subject}: ")]
    assert "It rises 0.2 mm/m to the right (" in said
    assert "and falls 17.2 mm/m to the front (" in said
    assert f"its top leans {abs(unit.lean_along_mm):.1f} mm to the left and" in said
    assert f"{unit.lean_out_mm:.1f} mm out; wind" in said
    assert unit.lean_out_mm > 0
    (run,) = [line for line in checked.sentences if line.startswith("Run A: ")]
    sd = float(checked.whole.falls["along_sd_mm_per_m"].iloc[0])
    assert 0.005 <= sd < 0.05  # would read as ± 0.0
    assert run.startswith(f"Run A: rises 0.20 ± {sd:.2f} mm/m to the right, falls 17.")


def test_a_stack_that_only_the_plan_knows_is_looked_at_before_it_is_opened(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff, tmp_path: Path
) -> None:
    low = {500.0, 1000.0}
    rows = staff(reading_room, lambda x, y: 50.0 - 3.0 * (x in low and y < 100))
    (tmp_path / "stacks.csv").write_text("support,packers_mm\nB2,18 18\n")
    job = as_read(reading_room, rows, tolerance_mm=1.0, stacks_file="stacks.csv")
    checked = check_base(job, answer=reading_room)
    assert checked.changes.changed["support"].tolist() == ["B2", "B3"]
    stands = checked.changes.table.set_index("support").loc["B3", "stack_before"]
    looked = [line for line in checked.sentences if "first look whether" in line]
    assert len(looked) == 1
    assert looked[0].startswith(f"Before B3 is opened, first look whether {stands} stands there")
    assert looked[0].endswith("if not, put that right first.")
