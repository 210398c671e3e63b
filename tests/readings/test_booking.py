"""A booking sheet is reduced both ways, checked three ways, closed and refused by its rows."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job.refusal import Refusal
from kit.readings import Readings, Table, adjust
from kit.readings.allowance import ORDINARY, Allowance
from kit.readings.booking import reduce_booking, staff_readings
from kit.readings.booking_lines import BookingLine
from kit.readings.equations import assemble, difference_rows
from kit.readings.least_squares import solve

NAN = float("nan")

#: An invented line through a boot room: three set-ups of unequal length, 4 mm too high at the end.
BOOT_ROOM = [
    BookingLine("door sill", 1312.0),
    BookingLine("drain", intermediate_mm=1498.0),
    BookingLine("bench", 1207.0, foresight_mm=1391.0),
    BookingLine("stair", 1633.0, foresight_mm=1120.0),
    BookingLine("rack", intermediate_mm=1555.0),
    BookingLine("boiler", intermediate_mm=1701.0),
    BookingLine("bolt", foresight_mm=1588.0),
]


@st.composite
def sheets(draw: st.DrawFn) -> list[BookingLine]:
    """Return a sheet of 1 to 4 set-ups with 0 to 3 intermediate sights each, whole millimetres."""
    reading = st.integers(11, 3999).map(float)
    lines = [BookingLine("P0", draw(reading))]
    for setup in range(draw(st.integers(1, 4))):
        if setup:
            lines[-1] = replace(lines[-1], backsight_mm=draw(reading))
        for _ in range(draw(st.integers(0, 3))):
            lines.append(BookingLine(f"P{len(lines)}", intermediate_mm=draw(reading)))
        lines.append(BookingLine(f"P{len(lines)}", foresight_mm=draw(reading)))
    return lines


def written(lines: list[BookingLine], start_mm: float) -> list[BookingLine]:
    """Return a sheet on which everything is worked out rightly."""
    table = reduce_booking(lines, start_mm).lines
    columns = ["rise_mm", "fall_mm", "collimation_mm", "height_mm"]
    rows = table[columns].to_dict("records")
    return [replace(line, **row) for line, row in zip(lines, rows, strict=True)]


def test_every_line_of_a_sheet() -> None:
    sheet = reduce_booking(BOOT_ROOM, 500.0, 441.0 + 8.0)
    table = sheet.lines
    assert table["setup"].tolist() == [1, 1, 1, 2, 3, 3, 3]
    assert table["row"].tolist() == [1, 2, 3, 4, 5, 6, 7]
    assert table["height_mm"].tolist() == [500, 314, 421, 508, 586, 440, 553]
    assert table["by_rise_and_fall_mm"].tolist() == [500, 314, 421, 508, 586, 440, 553]
    assert table["collimation_mm"].tolist() == [1812, 1812, 1628, 2141, 2141, 2141, 2141]
    rise = [NAN, NAN, 107, 87, 78, NAN, 113]
    fall = [NAN, 186, NAN, NAN, NAN, 146, NAN]
    np.testing.assert_array_equal(table["rise_mm"], rise)
    np.testing.assert_array_equal(table["fall_mm"], fall)
    check = sheet.arithmetic
    assert (check.by_readings_mm, check.by_rises_mm, check.by_heights_mm) == (53, 53, 53)
    assert check.ok
    assert check.complete


def test_an_allowed_misclosure_is_shared_by_set_ups() -> None:
    sheet = reduce_booking(BOOT_ROOM, 500.0, 549.5)
    assert sheet.closure.misclosure_mm == 3.5
    assert sheet.distributed
    step = -3.5 / 3
    # Products and quotients of a few numbers: rounding alone.
    assert sheet.lines["correction_mm"].tolist() == pytest.approx(
        [0, step, step, 2 * step, 3 * step, 3 * step, 3 * step], abs=1e-12
    )
    assert sheet.lines["adjusted_mm"].iloc[-1] == pytest.approx(549.5, abs=1e-9)
    assert "within the allowance" in sheet.closure.verdict


def test_a_misclosure_beyond_it_is_not() -> None:
    sheet = reduce_booking(BOOT_ROOM, 500.0, 541.0)
    assert sheet.closure.misclosure_mm == 12.0
    assert sheet.closure.allowed_mm == pytest.approx(5 * math.sqrt(3))
    assert not sheet.distributed
    assert sheet.lines["adjusted_mm"].equals(sheet.lines["height_mm"])
    assert "Find the slip, or level again" in sheet.closure.verdict


def test_the_allowance_itself_is_allowed() -> None:
    rule = Allowance("this test", 2.0, "set-up")
    one = [*BOOT_ROOM[:2], replace(BOOT_ROOM[2], backsight_mm=NAN)]
    at = reduce_booking(one, 500.0, 419.0 - 1e-12, allowance=rule)
    assert at.closure.setups == 1
    assert at.distributed
    beyond = reduce_booking(one, 500.0, 418.9, allowance=rule)
    assert not beyond.distributed


def test_an_allowance_by_length() -> None:
    sheet = reduce_booking(BOOT_ROOM, 500.0, 549.5, allowance=ORDINARY, length_km=0.09)
    assert sheet.closure.allowed_mm == pytest.approx(3.6)
    assert sheet.distributed
    limits = sheet.closure.limits
    assert limits["allowed_mm"].tolist() == pytest.approx(
        [3.6, 5 * math.sqrt(3), 7.2, 1.96 * 0.5 * math.sqrt(6)]
    )
    assert limits["within"].tolist() == [True, True, True, False]
    assert limits["decides"].tolist() == [True, False, False, False]


def test_an_open_sheet_is_not_checked() -> None:
    sheet = reduce_booking(BOOT_ROOM, 500.0)
    assert not sheet.closure.checked
    assert not sheet.distributed
    assert "not checked" in sheet.closure.verdict
    assert any("intermediate sight" in words for words in sheet.words)


def test_a_round_closes_on_its_own_start() -> None:
    round_trip = [*BOOT_ROOM[:-1], BookingLine("door sill", foresight_mm=1639.5)]
    closure = reduce_booking(round_trip, 500.0).closure
    assert closure.known_mm == 500.0
    assert closure.misclosure_mm == 1.5
    with pytest.raises(Refusal, match="one height a point"):
        reduce_booking(round_trip, 500.0, 503.0)


def test_a_misclosure_larger_than_the_readings_make_likely_is_said() -> None:
    few = [BookingLine("A", 1500.0), BookingLine("B", foresight_mm=1400.0)]
    said = reduce_booking(few, 0.0, 97.0, sd_mm=0.5).words
    assert any("this one is not among them" in words for words in said)
    said = reduce_booking(few, 0.0, 99.0, sd_mm=0.5).words
    assert any("this one is among them" in words for words in said)


def test_doubts_of_adjusted_heights_by_simulation() -> None:
    rng = np.random.default_rng(7)
    allowed = Allowance("this test", 100.0, "set-up")
    columns = ["backsight_mm", "intermediate_mm", "foresight_mm"]
    frame = pd.DataFrame(BOOT_ROOM)
    found = []
    for _ in range(250):
        noisy = frame.assign(**(frame[columns] + rng.normal(0, 0.7, (len(frame), 3))))
        found.append(reduce_booking(noisy, 500.0, 553.0, allowance=allowed).lines["adjusted_mm"])
    said = reduce_booking(BOOT_ROOM, 500.0, 553.0, sd_mm=0.7).lines["sd_mm"]
    # The sd of 250 draws has itself an sd of 1/sqrt(500) = 4.5 %: four of them.
    assert np.std(found, axis=0) == pytest.approx(said.to_numpy(), rel=0.18, abs=1e-9)
    assert said.iloc[[0, -1]].tolist() == [0, 0]


def test_doubts_of_an_open_sheet() -> None:
    said = reduce_booking(BOOT_ROOM, 500.0, sd_mm=0.3).lines["sd_mm"]
    # sd·sqrt(2 k): two readings a set-up.
    expected = [0, *(0.3 * math.sqrt(2 * k) for k in (1, 1, 2, 3, 3, 3))]
    assert said.tolist() == pytest.approx(expected, rel=1e-12)


# --- both methods, and what is written ---------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(sheets(), st.integers(-5000, 200_000))
def test_rise_and_fall_gives_what_collimation_gives(lines: list[BookingLine], start: int) -> None:
    sheet = reduce_booking(lines, float(start))
    assert sheet.methods_agree
    assert sheet.arithmetic.ok
    assert sheet.lines["height_mm"].tolist() == sheet.lines["by_rise_and_fall_mm"].tolist()


@settings(max_examples=60, deadline=None)
@given(sheets(), st.integers(0, 100_000))
def test_a_right_sheet_has_no_slip(lines: list[BookingLine], start: int) -> None:
    sheet = reduce_booking(written(lines, start), start)
    assert sheet.slips.empty
    assert sheet.written_arithmetic.ok
    assert "Everything written on the sheet" in " ".join(sheet.words)


@settings(max_examples=100, deadline=None)
@given(st.data(), sheets(), st.integers(-4000, 4000).filter(bool))
def test_any_wrong_height_is_named_at_its_row(
    data: st.DataObject, lines: list[BookingLine], off: int
) -> None:
    right = written(lines, 7000.0)
    at = data.draw(st.integers(0, len(lines) - 1))
    wrong = list(right)
    wrong[at] = replace(right[at], height_mm=right[at].height_mm + off)
    slips = reduce_booking(wrong, 7000.0).slips
    assert slips[["row", "column"]].values.tolist() == [[at + 1, "height_mm"]]
    assert slips["written_mm"].iloc[0] - slips["readings_mm"].iloc[0] == pytest.approx(off)


@settings(max_examples=60, deadline=None)
@given(st.data(), sheets())
def test_a_rise_booked_as_a_fall_is_named_so(data: st.DataObject, lines: list[BookingLine]) -> None:
    right = written(lines, 7000.0)
    at = data.draw(st.integers(1, len(lines) - 1))
    rise, fall = right[at].rise_mm, right[at].fall_mm
    if rise == 0:
        return  # neither a rise nor a fall
    wrong = list(right)
    wrong[at] = replace(right[at], rise_mm=fall, fall_mm=rise)
    sheet = reduce_booking(wrong, 7000.0)
    said = "a rise booked as a fall" if rise > 0 else "a fall booked as a rise"
    assert sheet.slips[["row", "likely"]].values.tolist() == [[at + 1, said]]
    assert not sheet.written_arithmetic.ok


def test_a_slip_that_is_carried_on_leads_back_to_its_row() -> None:
    lines = written(BOOT_ROOM, 500.0)
    carried = [
        replace(line, height_mm=line.height_mm + 100 * (i >= 2)) for i, line in enumerate(lines)
    ]
    slips = reduce_booking(carried, 500.0).slips
    assert slips["row"].tolist() == [3, 4, 5, 6, 7]
    assert slips["likely"].iloc[0] == "one figure wrong: off by 100 mm"
    assert all("like row 3" in words for words in slips["likely"].iloc[1:])


def test_two_figures_changed_over() -> None:
    lines = written(BOOT_ROOM, 500.0)
    lines[4] = replace(lines[4], height_mm=568.0)  # 586
    said = reduce_booking(lines, 500.0).words
    assert any("Row 5 (rack), height: 568 mm" in w and "changed over" in w for w in said)


def test_noughts_in_empty_cells_are_no_slip() -> None:
    lines = written(BOOT_ROOM, 500.0)
    filled = [
        replace(
            line,
            rise_mm=0.0 if math.isnan(line.rise_mm) else line.rise_mm,
            fall_mm=0.0 if math.isnan(line.fall_mm) else line.fall_mm,
        )
        for line in lines
    ]
    sheet = reduce_booking(filled, 500.0)
    assert sheet.slips.empty
    assert sheet.written_arithmetic.ok


def test_what_is_not_written_is_not_checked() -> None:
    check = reduce_booking(BOOT_ROOM, 500.0).written_arithmetic
    assert math.isnan(check.by_rises_mm)
    assert math.isnan(check.by_heights_mm)
    assert not check.complete
    assert "rises less falls not written" in check.words


# --- into the adjustment -----------------------------------------------------------------------


def as_survey(lines: list[BookingLine]) -> Readings:
    booked = staff_readings(lines)
    place = {point: 700.0 * i for i, point in enumerate(dict.fromkeys(booked["point"]))}
    frame = booked.assign(x_mm=booked["point"].map(place), y_mm=0.0, sd_mm=0.5)
    return Readings((Table("book.csv", "booking", "", frame, pd.DataFrame(index=frame.index)),))


def test_staff_readings_by_set_up() -> None:
    booked = staff_readings(BOOT_ROOM)
    bench = booked[booked["point"] == "bench"]
    assert bench[["row", "setup", "observed_mm"]].values.tolist() == [
        [3, "1", 1391.0],
        [3, "2", 1207.0],
    ]
    assert booked["setup"].tolist() == ["1", "1", "1", "2", "2", "3", "3", "3", "3"]
    assert list(booked.columns) == ["row", "point", "setup", "observed_mm"]


@settings(max_examples=25, deadline=None)
@given(sheets())
def test_adjustment_gives_the_same_heights(lines: list[BookingLine]) -> None:
    if len(lines) < 3:
        return  # no floor
    heights = adjust(as_survey(lines), "P0", 812.0).points.set_index("point")
    sheet = reduce_booking(lines, 812.0, sd_mm=0.5).lines.set_index("point")
    # No more readings than unknowns: equal but for rounding in the solution.
    assert heights["height_mm"].to_numpy() == pytest.approx(
        sheet["height_mm"].loc[heights.index].to_numpy(), abs=1e-6
    )
    assert heights["sd_mm"].to_numpy() == pytest.approx(
        sheet["sd_mm"].loc[heights.index].to_numpy(), abs=1e-6
    )


def test_change_points_are_those_of_least_squares_where_set_ups_are_alike() -> None:
    sheet = reduce_booking(BOOT_ROOM, 500.0, 549.5).lines.set_index("point")
    back, fore = ["door sill", "bench", "stair"], ["bench", "stair", "bolt"]
    observed = sheet["height_mm"].loc[fore].to_numpy() - sheet["height_mm"].loc[back].to_numpy()
    alike = solve(
        assemble([difference_rows(back, fore, observed, 0.7)]), {"door sill": 500.0, "bolt": 549.5}
    )
    found = dict(zip(alike.model.names, alike.values, strict=True))
    assert sheet["adjusted_mm"]["bench"] == pytest.approx(found["bench"], abs=1e-9)
    assert sheet["adjusted_mm"]["stair"] == pytest.approx(found["stair"], abs=1e-9)
    unequal = solve(
        assemble([difference_rows(back, fore, observed, [0.7, 1.4, 0.7])]),
        {"door sill": 500.0, "bolt": 549.5},
    )
    found = dict(zip(unequal.model.names, unequal.values, strict=True))
    # The doubtful set-up takes 4/6 of the misclosure: bench 1/6 of 3.5 mm.
    assert found["bench"] == pytest.approx(421 - 3.5 / 6, abs=1e-9)


# --- refusals ----------------------------------------------------------------------------------


def changed(at: int, **cells: object) -> list[BookingLine]:
    lines = list(BOOT_ROOM)
    lines[at] = replace(lines[at], **cells)
    return lines


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (BOOT_ROOM[:1], "1 line; allowed: two or more"),
        ([], "0 lines"),
        (changed(0, backsight_mm=NAN), "row 1: found no reading"),
        (changed(0, backsight_mm=NAN, intermediate_mm=1.5e3), "row 1: found no backsight"),
        (changed(0, foresight_mm=1.5e3), "a foresight with the first backsight on the first line"),
        (BOOT_ROOM[:-1], "row 6: found no foresight on the last line"),
        (BOOT_ROOM[:3], "row 3: found a backsight after which nothing is read on the last line"),
        (
            changed(1, foresight_mm=1400.0),
            "row 2: found an intermediate and a foresight on one line",
        ),
        (changed(4, intermediate_mm=NAN), "row 5: found no reading"),
        (changed(3, foresight_mm=NAN), "row 4: found a backsight without a foresight"),
        (changed(2, backsight_mm=NAN), "row 3: found a foresight without a backsight"),
        (changed(1, intermediate_mm=-1498.0), "row 2, intermediate_mm: found -1498 mm"),
        (changed(5, intermediate_mm=math.inf), "row 6, intermediate_mm: found inf"),
        (changed(5, point=" "), "row 6, point: found no name"),
        (changed(5, fall_mm=-3.0), r"row 6, fall_mm: found -3 mm; .* what goes up"),
        (
            [
                replace(line, **{
                    c: getattr(line, c) / 1000
                    for c in ("backsight_mm", "intermediate_mm", "foresight_mm")
                })
                for line in BOOT_ROOM
            ],
            "which look like metres",
        ),
    ],
)  # fmt: skip
def test_what_is_no_booking_sheet_is_refused_by_its_row(
    lines: list[BookingLine], words: str
) -> None:
    with pytest.raises(Refusal, match=words):
        reduce_booking(lines, 500.0)
    with pytest.raises(Refusal, match=words):
        staff_readings(lines)


def test_the_last_line_of_a_shortened_sheet_is_refused_where_it_is_a_change_point() -> None:
    with pytest.raises(Refusal, match="after which nothing is read"):
        reduce_booking(BOOT_ROOM[:4], 500.0)


def test_all_faults_are_told_at_once_with_the_file_and_its_rows() -> None:
    frame = pd.DataFrame(BOOT_ROOM).assign(row=range(12, 19))
    frame.loc[2, "foresight_mm"] = -5.0
    frame = frame.astype({"intermediate_mm": object})
    frame.loc[4, "intermediate_mm"] = "tall"
    with pytest.raises(Refusal) as refused:
        reduce_booking(frame, 500.0, name="boots.csv")
    said = str(refused.value)
    assert "boots.csv, row 14, foresight_mm: found -5 mm" in said
    assert "boots.csv, row 16, intermediate_mm: found 'tall'" in said


def test_a_table_without_a_column_is_refused() -> None:
    frame = pd.DataFrame(BOOT_ROOM)
    with pytest.raises(Refusal, match="column foresight_mm"):
        reduce_booking(frame.drop(columns="foresight_mm"), 500.0)
    least = frame[["point", "backsight_mm", "intermediate_mm", "foresight_mm"]]
    assert reduce_booking(least, 500.0).lines["height_mm"].iloc[-1] == 553.0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"start_mm": NAN}, "start_mm"),
        ({"close_mm": math.inf}, "close_mm"),
        ({"sd_mm": 0.0}, "sd_mm"),
        ({"sd_mm": NAN}, "sd_mm"),
        ({"allowance": ORDINARY}, "length_km"),
        ({"allowance": ORDINARY, "length_km": -1.0}, "length_km"),
    ],
)
def test_figures_that_cannot_be_are_refused(more: dict[str, object], words: str) -> None:
    given_values: dict[str, object] = {"start_mm": 500.0} | more
    with pytest.raises(Refusal, match=words):
        reduce_booking(BOOT_ROOM, **given_values)
