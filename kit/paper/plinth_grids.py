"""The plinth in tables: its boards, and its heights and cuts place by place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import zip_longest
from typing import Any

from kit.base.plinth_profile import PlinthBoard, PlinthProfile
from kit.ink.inch_words import in_units
from kit.ink.lengths import NOTHING, Units, length, printed_with_unit, rounding, run_length, small
from kit.ink.table import Head, Table, records

#: A table of so many places is set in two halves side by side; so many rows find room on a page.
_FOLDED_FROM, _ROWS = 14, 22

#: What is done to a board, in words.
MANNERS = {"straight": "straight", "scribe": "scribe", "open": "open: not surveyed"}


def board_grid(profile: PlinthProfile, units: Units) -> Table:
    """Return the boards: from where to where, out of which length and width, how they are cut.

    Parameters
    ----------
    profile : PlinthProfile
        From `kit.base.plinth_profile`.
    units : {"mm", "in"}
        Of the job.
    """
    heads = (
        Head("board"),
        Head("from", units),
        Head("to", units),
        *_cut_heads("long", units),
        Head("out of", units),
        Head("board is wide", units),
        Head("narrowest", units),
        *_cut_heads("widest", units),
        Head("manner"),
        *_cut_heads("rip to", units),
        *_cut_heads("then cut at most", units),
        Head("gap left", units),
    )
    rows = tuple(_board_row(board, units) for board in profile.boards)
    note = (
        "Heights from the finished floor to the base top; out of: the length to buy. Straight where"
        " the floor line keeps within 2 mm over the board."
    )
    if units == "in":
        note += " Rounded: shown less true. Sizes of boards to buy stand in the job as sold."
    return Table("Boards", heads, rows, in_units(note, units))


def _board_row(board: PlinthBoard, units: Units) -> tuple[str, ...]:
    piece = board.piece
    return (
        board.name,
        run_length(piece.from_mm, units),
        run_length(piece.to_mm, units),
        run_length(piece.length_mm, units),
        *_off(piece.length_mm, units),
        run_length(piece.stock_mm, units),
        run_length(board.board_mm, units),
        length(board.least_mm, units),
        *_cut(board.greatest_mm, units),
        MANNERS[board.manner],
        *_cut(board.rip_mm, units),
        *_cut(board.deepest_cut_mm, units),
        length(board.gap_mm, units),
    )


def height_grids(profile: PlinthProfile, units: Units) -> tuple[Table, ...]:
    """Return the plinth's height and cut at every place: tables that each find room on a page.

    Parameters
    ----------
    profile : PlinthProfile
        From `kit.base.plinth_profile`.
    units : {"mm", "in"}
        Of the job.
    """
    rows = [(str(one["run"]), _height_row(one, units)) for one in records(profile.table)]
    parts = []
    for run in profile.runs:
        of_run = [row for name, row in rows if name == run]
        each = _ROWS if units == "in" else 2 * _ROWS  # inches have no room for two halves
        parts += [(run, of_run[at : at + each]) for at in range(0, len(of_run), each)]
    of = " of run {}" if len(profile.runs) > 1 else ""
    return tuple(
        _height_grid(f"Heights and cuts along the plinth{of.format(run)}", part, profile, units)
        for run, part in parts
    )


def _height_row(one: Mapping[str, Any], units: Units) -> tuple[str, ...]:
    return (
        str(one["board"]),
        run_length(one["along_mm"], units),
        *_off(one["along_mm"], units),
        *_cut(one["height_mm"], units),
        *_cut(one["cut_mm"], units),
        small(one["floor_sd_mm"], units),
        str(one["joint"]),
    )


def _height_grid(
    title: str, rows: Sequence[tuple[str, ...]], profile: PlinthProfile, units: Units
) -> Table:
    """Return places of one run as a table, in two halves side by side where they are many."""
    heads = (
        Head("board"),
        *_cut_heads("along the run", units),
        *_cut_heads("height", units),
        *_cut_heads("off the board", units),
        Head("doubt, 1 sd", units),
        Head("joint"),
    )
    widths = sorted({b.board_mm for b in profile.boards if b.board_mm == b.board_mm})
    wide = " or ".join(printed_with_unit(mm, units) for mm in widths)
    note = in_units(f"Off the board: of its full width, {wide}. ", units) if wide else ""
    note += f"Doubt: of the floor. {NOTHING}: not surveyed, or no board is wide enough."
    if units == "in" or len(rows) < _FOLDED_FROM:
        return Table(title, heads, tuple(rows), note)
    half = -(-len(rows) // 2)
    folded = zip_longest(rows[:half], rows[half:], fillvalue=("",) * len(heads))
    beside = tuple((*left, *right) for left, right in folded)
    return Table(title, heads * 2, beside, f"Down the left half, then the right. {note}")


def _cut_heads(text: str, units: Units) -> tuple[Head, ...]:
    return (Head(text, units), *((Head("rounded", units),) if units == "in" else ()))


def _cut(mm: float, units: Units) -> tuple[str, ...]:
    """Return a length that is sawn or set out by, and by how much it is rounded in inches."""
    return (length(mm, units), *_off(mm, units))


def _off(mm: float, units: Units) -> tuple[str, ...]:
    return (rounding(mm, units),) if units == "in" else ()
