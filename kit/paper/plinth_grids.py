"""The plinth in tables: its boards, and its heights and cuts place by place."""

from __future__ import annotations

from kit.base.plinth_profile import PlinthBoard, PlinthProfile
from kit.ink.inch_words import in_units
from kit.ink.lengths import NOTHING, Units, length, nominal, rounding, small
from kit.ink.table import Head, Table, records

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
        length(piece.from_mm, units),
        length(piece.to_mm, units),
        *_cut(piece.length_mm, units),
        length(piece.stock_mm, units),
        length(board.board_mm, units),
        length(board.least_mm, units),
        *_cut(board.greatest_mm, units),
        MANNERS[board.manner],
        *_cut(board.rip_mm, units),
        *_cut(board.deepest_cut_mm, units),
        length(board.gap_mm, units),
    )


def height_grid(profile: PlinthProfile, units: Units) -> Table:
    """Return the plinth's height and cut at every place of the table.

    Parameters
    ----------
    profile : PlinthProfile
        From `kit.base.plinth_profile`.
    units : {"mm", "in"}
        Of the job.
    """
    heads = (
        Head("board"),
        *_cut_heads("along the run", units),
        Head("floor's doubt, 1 sd", units),
        *_cut_heads("height", units),
        *_cut_heads("off the board", units),
        Head("joint"),
    )
    rows = tuple(
        (
            str(one["board"]),
            *_cut(one["along_mm"], units),
            small(one["floor_sd_mm"], units),
            *_cut(one["height_mm"], units),
            *_cut(one["cut_mm"], units),
            str(one["joint"]),
        )
        for one in records(profile.table)
    )
    widths = sorted({b.board_mm for b in profile.boards if b.board_mm == b.board_mm})
    wide = " or ".join(f"{nominal(mm)} mm" for mm in widths)
    note = f"Off the board: of its full width, {wide}. " if wide else ""
    note += f"{NOTHING}: not surveyed, or no board is wide enough."
    return Table("Heights and cuts along the plinth", heads, rows, note)


def _cut_heads(text: str, units: Units) -> tuple[Head, ...]:
    return (Head(text, units), *((Head("rounded", units),) if units == "in" else ()))


def _cut(mm: float, units: Units) -> tuple[str, ...]:
    """Return a length that is sawn or set out by, and by how much it is rounded in inches."""
    return (length(mm, units), *((rounding(mm, units),) if units == "in" else ()))
