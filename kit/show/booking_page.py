"""A booking sheet for the eye: both reductions side by side, and its checks in words."""

from __future__ import annotations

from kit.ink.lengths import NOTHING, Units, length, signed_small, small
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.readings.booking_sheet import BookingSheet


def booking_page(sheet: BookingSheet, units: Units = "mm") -> Page:
    """Return a reduced booking sheet: lines, checks, allowances.

    Parameters
    ----------
    sheet : BookingSheet
        From `kit.readings.booking.reduce_booking`.
    units : {"mm", "in"}
        What the tables are shown in; sentences stay in millimetres.
    """
    parts: list[Table | Page] = [
        booking_table(sheet, units),
        sentences(sheet.words, "Checks of the sheet"),
    ]
    if len(sheet.slips):
        parts.append(slip_table(sheet, units))
    if sheet.closure.checked:
        parts.append(allowance_table(sheet, units))
    return page(*parts)


def booking_table(sheet: BookingSheet, units: Units = "mm") -> Table:
    """Return the lines of a sheet with its sums; rows with a slip are heavier.

    Parameters
    ----------
    sheet : BookingSheet
        The reduced sheet.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    wrong = set(sheet.slips["row"].tolist())
    lines = records(sheet.lines)
    marks = _marks(sheet)
    rows = [(*_line(one, units), *mark) for one, mark in zip(lines, marks, strict=True)]
    bad = frozenset(n for n, one in enumerate(lines) if one["row"] in wrong)
    adjusted = "height, distributed" if sheet.distributed else "height, not distributed"
    heads = (
        Head("row", right=True),
        Head("point"),
        Head("set-up", right=True),
        Head("back", units),
        Head("intermediate", units),
        Head("fore", units),
        Head("rise", units),
        Head("fall", units),
        Head("height of collimation", units),
        Head("height by collimation", units),
        Head("height by rise and fall", units),
        Head("correction", units),
        Head(adjusted, units),
        Head("doubt, 1 sd", units),
        *([Head("as written")] if sheet.has_written else []),
    )
    note = (
        "A change point has a fore- and a backsight on one line; its height of collimation is the"
        " new set-up's."
    )
    title = f"Booking sheet {sheet.name}" if sheet.name != "booking sheet" else "Booking sheet"
    return Table(title, heads, (*rows, _sums(sheet, units)), note, bad)


def _line(one: dict[str, object], units: Units) -> tuple[str, ...]:
    readings = ("backsight_mm", "intermediate_mm", "foresight_mm", "rise_mm", "fall_mm")
    begins = float(str(one["backsight_mm"])) >= 0
    heights = ("height_mm", "by_rise_and_fall_mm")
    return (
        str(one["row"]),
        str(one["point"]),
        str(one["setup"]),
        *(_blank(one[column], units) for column in readings),
        _level(one["collimation_mm"], units) if begins else "",
        *(_level(one[column], units) for column in heights),
        signed_small(float(str(one["correction_mm"])), units),
        _level(one["adjusted_mm"], units),
        small(float(str(one["sd_mm"])), units),
    )


def _marks(sheet: BookingSheet) -> list[tuple[str, ...]]:
    """Return whether what stands on each line is right; nothing where nobody wrote anything."""
    if not sheet.has_written:
        return [()] * len(sheet.lines)
    wrong = set(sheet.slips["row"].tolist())
    stands = sheet.written.notna().any(axis=1).tolist()
    rows = zip(sheet.lines["row"].tolist(), stands, strict=True)
    return [("✗ slip" if row in wrong else "✓" if written else "",) for row, written in rows]


def _sums(sheet: BookingSheet, units: Units) -> tuple[str, ...]:
    check = sheet.arithmetic
    parts = (check.backsights_mm, None, check.foresights_mm, check.rises_mm, check.falls_mm)
    return (
        "sum",
        "",
        "",
        *("" if mm is None else _level(mm, units) for mm in parts),
        *[""] * (7 if sheet.has_written else 6),
    )


def slip_table(sheet: BookingSheet, units: Units = "mm") -> Table:
    """Return what stands on the sheet and is not what the readings give.

    Parameters
    ----------
    sheet : BookingSheet
        The reduced sheet.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    heads = (
        Head("row", right=True),
        Head("point"),
        Head("column"),
        Head("stands there", units),
        Head("readings give", units),
        Head("looks like", wide=True),
    )
    rows = tuple(
        (
            str(one["row"]),
            str(one["point"]),
            str(one["column"]).removesuffix("_mm"),
            _level(one["written_mm"], units),
            _level(one["readings_mm"], units),
            str(one["likely"]),
        )
        for one in records(sheet.slips)
    )
    note = "A negative rise is a fall, a negative fall a rise." if rows else ""
    return Table("What is written and not so", heads, rows, note)


def allowance_table(sheet: BookingSheet, units: Units = "mm") -> Table:
    """Return the misclosure beside every allowance that can be applied.

    Parameters
    ----------
    sheet : BookingSheet
        The reduced sheet.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    heads = (
        Head("for"),
        Head("rule"),
        Head("allowed", units),
        Head("misclosure", units),
        Head("within"),
        Head("source"),
    )
    misclosure = signed_small(sheet.closure.misclosure_mm, units)
    rows = tuple(
        (
            f"{one['work']}{' (decides)' if one['decides'] else ''}",
            str(one["formula"]),
            small(one["allowed_mm"], units),
            misclosure,
            "✓ within" if one["within"] else "✗ beyond",
            str(one["source"]),
        )
        for one in records(sheet.closure.limits)
    )
    return Table("Misclosure and allowances", heads, rows)


def _level(mm: object, units: Units) -> str:
    """Return a height or a reading: a sixteenth of an inch would be too coarse for levelling."""
    value = float(str(mm))
    return length(value, units) if units == "mm" else small(value, units)


def _blank(mm: object, units: Units) -> str:
    """Return a reading; an empty cell stays empty, as on the sheet."""
    said = _level(mm, units)
    return "" if said == NOTHING else said
