"""What is sawn: every bought length with its pieces, as a picture and as a table."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from kit.answer import Answer
from kit.ink.lengths import run_length
from kit.ink.table import Head, Table, records
from kit.ink.words import on_bearers
from kit.paper.cut_bars import Bar, bars_drawings
from kit.paper.document import Figure, Grid, Heading, Part, Words
from kit.paper.job_sheet_places import off_note, set_out

_LETTERS_MM = 3.5


def cut_parts(answer: Answer, room_mm: tuple[float, float]) -> Iterator[Part]:
    """Yield how the timber is cut; nothing where there is none.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    room_mm : tuple of float
        Width and height that a drawing may have [mm].
    """
    bars = _bars(answer)
    if not bars:
        return
    yield Heading("Cutting the bearers" if on_bearers(answer.ground) else "Cutting the frame")
    yield Words(_joints(answer), leads=True)
    drawn = [_drawn_bar(answer, number, pieces) for number, pieces in bars.items()]
    for drawing in bars_drawings(drawn, room_mm):
        yield Figure(drawing, "Grey: left over. Lines beyond the edge: saw cuts.")
    yield Grid(_cut_table(answer, bars), _LETTERS_MM)


def _bars(answer: Answer) -> dict[int, list[dict[str, Any]]]:
    """Return the pieces of each bought length, the longest piece first."""
    found: dict[int, list[dict[str, Any]]] = {}
    for one in records(answer.cuts.cuts.sort_values(["bar", "bearer", "piece"], kind="stable")):
        found.setdefault(int(one["bar"]), []).append(one)
    for pieces in found.values():
        pieces.sort(key=lambda one: -float(one["length_mm"]))
    return found


def _kerf_mm(answer: Answer) -> float:
    """Return what a saw cut takes [mm]."""
    ladder = answer.base.ladder
    framed = answer.base.method == "ladder" and ladder is not None
    return ladder.kerf_mm if framed and ladder is not None else answer.base.bearer.kerf_mm


def _left_over(answer: Answer, pieces: list[dict[str, Any]]) -> float:
    """Return what is left of a bought length [mm], a saw cut behind each piece that ends in it."""
    rest = float(pieces[0]["stock_mm"]) - math.fsum(float(one["length_mm"]) for one in pieces)
    # The last cut may eat all that is left: then there is nothing to keep.
    return max(rest - _kerf_mm(answer) * len(pieces), 0.0)


def _name(answer: Answer, piece: dict[str, Any]) -> str:
    """Return what a piece is marked with: its bearer, and its number where there are several."""
    bearer, cuts = str(piece["bearer"]), answer.cuts.cuts
    several = int((cuts["bearer"] == bearer).sum()) > 1
    return f"{bearer}/{int(piece['piece'])}" if several else bearer


def _drawn_bar(answer: Answer, number: int, pieces: list[dict[str, Any]]) -> Bar:
    units, stock = answer.job.units, float(pieces[0]["stock_mm"])
    return Bar(
        f"Length {number}, {run_length(stock, units)} {units}",
        stock,
        _kerf_mm(answer),
        tuple(
            (
                _name(answer, one),
                set_out(answer, float(one["length_mm"])),
                float(one["length_mm"]),
            )
            for one in pieces
        ),
        f"left over {run_length(_left_over(answer, pieces), units)} {units}",
    )


def _joints(answer: Answer) -> str:
    """Return where pieces butt, how they are marked, and what is left over."""
    units, bearers = answer.job.units, on_bearers(answer.ground)
    joints = ", ".join(f"{name} over {support}" for name, support in answer.cuts.joints)
    said = f"Joints: {joints}." if joints else "No joints."
    marked = "bearer/number" if bearers else "member/number, rungs R"
    cut, left = (run_length(mm, units) for mm in (_kerf_mm(answer), answer.cuts.waste_mm))
    return (
        f"{said} Pieces are marked {marked} from the left. A saw cut takes {cut} {units}; left over"
        f" in all {left} {units}, saw cuts included."
    )


def _cut_table(answer: Answer, bars: dict[int, list[dict[str, Any]]]) -> Table:
    units = answer.job.units
    heads = (
        Head("cut"),
        Head("length", "no."),
        Head("of", units),
        Head("piece", wide=True),
        Head("cut to", units),
        Head("lies from", units),
        Head("to", units),
    )
    rows = tuple(
        ("☐", f"{number}", *line)
        for number, pieces in bars.items()
        for line in _piece_lines(answer, pieces)
    )
    return Table("Pieces", heads, rows, _note(answer))


def _piece_lines(answer: Answer, pieces: list[dict[str, Any]]) -> Iterator[tuple[str, ...]]:
    """Yield a line for each piece of one bought length; pieces that are alike share one."""
    units = answer.job.units
    alike: dict[tuple[str, ...], list[str]] = {}
    for one in pieces:
        stock, lies = run_length(float(one["stock_mm"]), units), ("from_x_mm", "to_x_mm")
        cut = set_out(answer, float(one["length_mm"]))
        line = (stock, cut, *(set_out(answer, float(one[end])) for end in lies))
        alike.setdefault(line, []).append(_name(answer, one))
    for (stock, cut, *lies_at), names in alike.items():
        yield stock, ", ".join(names), cut, *lies_at


def _note(answer: Answer) -> str:
    said = "From and to along the run from its left end"
    if not on_bearers(answer.ground):
        said += "; of a rung out from the units' backs"
    return f"{said}.{off_note(answer)}"
