"""Tables of how the units stand: which way they lean, how they are stood up, what tips them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.answer import Answer
from kit.ink.table import Table
from kit.job import Job
from kit.show.standing_tables import standing_table, unit_table
from kit.strength.furniture import Consequence
from kit.strength.unit_checks import AS_LAID, GAP, SETTLED, SETTLED_GAP

DATA = Path(__file__).parents[2] / "data"
END = "Nothing here approves a floor or a structure."


@pytest.fixture(scope="module")
def room() -> Answer:
    """Return the reading room, on joists."""
    return kit.solve(kit.read_job(DATA / "reading-room"))


def with_strength(answer: Answer, **changed: Any) -> Answer:
    return replace(answer, strength=replace(answer.strength, **changed))


def with_unit(answer: Answer, place: int, **changed: float) -> Answer:
    return with_strength(answer, units=changed_at(answer.strength.units, place, changed))


def with_settled(answer: Answer, place: int, **changed: float) -> Answer:
    settled = answer.strength.settled
    units = changed_at(settled.units, place, changed)
    return with_strength(answer, settled=replace(settled, units=units))


def changed_at(
    units: tuple[Consequence, ...], place: int, changed: dict[str, float]
) -> tuple[Consequence, ...]:
    return (*units[:place], replace(units[place], **changed), *units[place + 1 :])


def row_of(table: Table, name: str) -> tuple[str, ...]:
    (row,) = [row for row in table.rows if row[0] == name]
    return row


# ---- lean, wind, gaps ---------------------------------------------------------------------


def test_each_lean_says_which_way_in_one_word(room: Answer) -> None:
    answer = with_unit(
        room, 1, lean_along_mm=-1.234, lean_out_mm=0.456, wind_mm=-0.55001, door_taper_mm=0.61,
    )  # fmt: skip
    answer = with_settled(answer, 1, lean_along_mm=2.0, lean_out_mm=-0.789, wind_mm=1.5)
    table = unit_table(answer)
    assert row_of(table, "low bookcase 2")[1:5] == ("1.2 left", "0.5 out", "0.6 right", "0.6")
    assert row_of(table, "low bookcase 2, settled")[1:4] == ("2.0 right", "0.8 back", "1.5 left")
    answer = with_unit(room, 1, lean_along_mm=0.04, lean_out_mm=-0.04, wind_mm=0.0)
    assert row_of(unit_table(answer), "low bookcase 2")[1:4] == ("0.0", "0.0", "0.0")
    assert table.note.endswith(END)


def test_each_unit_has_a_row_and_one_settled(room: Answer) -> None:
    names = [placed.unit.name for placed in room.layout.units]
    expected = [said for name in names for said in (name, f"{name}, settled")]
    assert [row[0] for row in unit_table(room).rows] == expected


def test_where_settlement_is_not_known_the_lift_alone_is_said() -> None:
    answer = kit.solve(kit.read_job(DATA / "boot-room"))
    names = [row[0] for row in unit_table(answer).rows]
    assert len(names) == len(answer.layout.units)
    lifted = with_unit(answer, 1, lean_out_mm=1.1, lifted_lean_mm=-7.5)
    table = unit_table(lifted)
    assert [row[0] for row in table.rows] == [*names[:2], f"{names[1]}, with the lift", *names[2:]]
    assert table.rows[2][1:] == ("–", "6.4 back", "–", "–", "–")


def test_gaps_say_whether_they_open_or_press(room: Answer) -> None:
    first, second, third = room.strength.gaps
    gaps = (replace(first, top_mm=-1.13), replace(second, before_mm=3.0, top_mm=4.21), third)
    later = replace(room.strength.settled, gaps=(replace(first, top_mm=0.04), *gaps[1:]))
    table = unit_table(with_strength(room, gaps=gaps, settled=later))
    assert row_of(table, "low bookcase 1")[5] == "1.1 press (0)"
    assert row_of(table, "low bookcase 1, settled")[5] == "0.0 touch (0)"
    assert row_of(table, "low bookcase 2")[5] == "4.2 open (3)"
    # The last unit of a run has no next one.
    assert row_of(table, "low bookcase 3")[5] == "–"


COLUMNS = {name: at for names in (AS_LAID, SETTLED) for at, name in enumerate(names, start=1)} | {
    GAP: 5,
    SETTLED_GAP: 5,
}


def marked_in(table: Table) -> set[tuple[str, int]]:
    return {
        (row[0], place)
        for row in table.rows
        for place, text in enumerate(row)
        if text.startswith("⚠ ")
    }


def test_what_the_checks_refer_is_marked_in_its_own_cell(room: Answer) -> None:
    table = unit_table(room)
    expected = {
        (f"{check.subject}{', settled' * (check.check in (*SETTLED, SETTLED_GAP))}",
         COLUMNS[check.check])
        for check in room.strength.checks
        if check.verdict == "refer" and check.check in COLUMNS
    }  # fmt: skip
    # 1150 mm high, 2 mm a metre: 2.3 mm; it leans 2.6 mm with lift and settlement.
    assert marked_in(table) == expected == {("low bookcase 1, settled", 2)}
    assert table.bad == {1}


def test_a_gap_that_is_amiss_is_marked_in_both_rows(room: Answer) -> None:
    def refer(name: str) -> Answer:
        checks = tuple(
            replace(
                one, verdict="refer" if (one.check, one.subject) == (name, "atlas case") else "ok"
            )
            for one in room.strength.checks
        )
        return with_strength(room, checks=checks)

    assert marked_in(unit_table(refer(GAP))) == {("atlas case", 5)}
    assert marked_in(unit_table(refer(SETTLED_GAP))) == {("atlas case, settled", 5)}
    # Settlement that leaves the gap alone has no row of checks: both are judged by the first.
    same = replace(room.strength.settled, gaps=room.strength.gaps)
    both = marked_in(unit_table(with_strength(refer(GAP), settled=same)))
    assert both == {("atlas case", 5), ("atlas case, settled", 5)}


def test_units_in_inches(inch_job: Job) -> None:
    answer = with_unit(kit.solve(inch_job), 0, lean_along_mm=2.54, lean_out_mm=-0.508)
    table = unit_table(answer)
    assert table.rows[0][1].removeprefix("⚠ ") == "0.10 right"
    assert table.rows[0][2].removeprefix("⚠ ") == "0.02 back"
    assert table.heads[1].text == "top leans along [in]"
    assert table.heads[4].unit == "in"


def test_cells_are_short_enough_for_a_narrow_page(room: Answer) -> None:
    """Six and a half pixels a letter at 13 px, 18 px of padding: both fit in 620 px."""
    for table in (unit_table(room), standing_table(room)):
        wide = [place for place, head in enumerate(table.heads) if head.wide]
        letters = [
            max(len(row[place]) for row in table.rows)
            for place in range(len(table.heads))
            if place not in wide
        ]
        assert sum(6.5 * count + 18 for count in letters) + 182 * len(wide) <= 620


# ---- standing up, tipping -----------------------------------------------------------------


def test_room_and_pushes_are_those_of_the_sums(room: Answer) -> None:
    table = standing_table(room)
    # sqrt(1150² + 480²) = 1246.2; the ceiling, 2750 mm, less 10 mm and the heights below it.
    tilt = room.strength.tilts[2]
    assert table.rows[2][:5] == (
        "atlas case",
        "1246",
        f"{tilt.room_on_base_mm:.0f}",
        f"{tilt.room_on_floor_mm:.0f}",
        "✓ on base",
    )
    # 52 kg empty, half of 480 mm its middle, tipping about 425 mm, pushed 1150 mm up; 192 kg full;
    # friction 0.3.
    empty, full = (f"{mass * 9.81 * (425 - 240) / 1150:.0f}" for mass in (52, 192))
    assert table.rows[2][5] == f"{empty} / {full}"
    assert table.rows[2][6] == f"{0.3 * 52 * 9.81:.0f}"
    # It holds a push of 44.5 N and the child by itself: no 0 that reads as leave.
    assert table.rows[2][7] == "–"
    assert "fix it all the same" in table.note
    # 44.5 N less the push that tips it, both at its top, rounded up.
    assert table.rows[3][7] == str(math.ceil(44.5 - room.strength.tippings[3].tips_empty_N))
    assert table.bad == frozenset()
    assert table.note.startswith("Fix to the wall at the top before loading, whatever stands here:")
    assert "'atlas case'" in table.note.split(". ")[0]
    assert table.note.endswith(END)


def test_what_cannot_be_tilted_up_is_said(room: Answer) -> None:
    low, lower, none, last = room.strength.tilts
    tilts = (
        replace(low, room_on_base_mm=1190.0, room_on_floor_mm=1200.0),
        replace(lower, room_on_base_mm=1100.0, room_on_floor_mm=1150.0),
        replace(none, room_on_base_mm=math.nan, room_on_floor_mm=math.nan),
        last,
    )
    table = standing_table(with_strength(room, tilts=tilts))
    assert [row[4] for row in table.rows] == [
        "⚠ on floor",
        "✗ nowhere",
        "– no ceiling",
        "✓ on base",
    ]
    assert table.rows[2][2:4] == ("–", "–")
    assert table.bad == {0, 1}


def test_forces_that_are_none_or_not_known(room: Answer) -> None:
    first, second, *others = room.strength.tippings
    nan = math.nan
    tippings = (
        replace(first, tips_empty_N=0.0, tips_full_N=12.6, fixing_N=87.1),
        replace(
            second, tips_empty_N=nan, tips_full_N=nan, slides_empty_N=nan, slides_full_N=nan,
            fixing_N=nan,
        ),
        replace(others[0], tips_empty_N=0.0, tips_full_N=0.0, fixing_N=0.0),
        replace(others[1], fixing_N=88.0 + 1e-12),
    )  # fmt: skip
    rows = standing_table(with_strength(room, tippings=tippings)).rows
    assert rows[0][5:] == ("by itself / 13", "112", "88")
    assert rows[1][5:] == ("–", "–", "–")
    assert (rows[2][5], rows[2][7]) == ("by itself", "–")
    assert rows[3][7] == "88"


def test_standing_in_inches_with_several_runs() -> None:
    job = kit.read_job(DATA / "boot-room")
    answer = kit.solve(job.model_copy(update={"units": "in"}))
    table = standing_table(answer)
    assert table.rows[0][0].startswith("A: ")
    assert table.rows[-1][0].startswith("B: ")
    placed = answer.layout.units[0].unit
    diagonal = math.hypot(placed.height_mm, placed.depth_mm) / 25.4
    whole, _, part = table.rows[0][1].partition(" ")
    top, _, bottom = part.partition("/")
    # To a sixteenth of an inch.
    assert int(whole) + int(top or 0) / int(bottom or 1) == pytest.approx(diagonal, abs=1 / 31)
    assert "56 in up" in table.note


def test_whom_a_person_tips_is_said(room: Answer) -> None:
    assert "person" not in standing_table(room).note
    answer = kit.solve(kit.read_job(DATA / "boot-room"))
    # 80 kg 60 mm before the bearer's edge, 29 kg 150 mm behind it
    assert "A person of 80 kg on the front edge tips 'B: bench'." in standing_table(answer).note
