"""The buying list on one page, for the merchant's counter."""

from __future__ import annotations

from kit.answer import Answer
from kit.buying import BuyingList, Line
from kit.ink.buying_list_table import (
    buying_sentences,
    counter_table,
    reckoning_table,
    size_words,
    suffices_head,
)
from kit.ink.escape import cut_text
from kit.ink.lengths import NOTHING, Units
from kit.paper.document import Document, Figure, Grid, Heading, Part, Points, Words
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THICK, Area, Drawing, Letters, Mark, Stroke, box

#: Letters of the table that is read across a counter, and of the others [mm].
COUNTER_MM, SMALL_MM = 3.5, 2.5

#: Longest title that stands in the head whole; a longer one stands in full below the list.
_TITLE_LETTERS = 60

#: Height of one thing's bars [mm].
_ROW_MM = 5.5

#: With more things than this the drawing would take the page from the list.
_MOST_ROWS = 12

#: What is drawn: what the level is made of.
_DRAWN = ("packer", "screw foot")

_GREYS = {"plan": 0.55, "enough": 0.8}


def buying_sheet(answer: Answer, bought: BuyingList) -> Document:
    """Return the list for the counter: what, size, how many, packs, a box to tick, cost.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    bought : BuyingList
        Its list, from `kit.buying.buying_list`.

    Returns
    -------
    Document
        Below the list how it comes about, with bars for packers or feet, and what it promises.
    """
    job, units = answer.job, answer.job.units
    title = cut_text(job.title, _TITLE_LETTERS)
    parts: list[Part] = [
        Words(_base_words(answer)),
        Grid(counter_table(bought, units), letters_mm=COUNTER_MM),
        *_reckoning(bought, units),
        *_figure(bought, units),
        Points(buying_sentences(bought, units)),
    ]
    if title != job.title:
        parts += [Heading("Title in full", level=2), Words(job.title)]
    return Document(f"Buying list: {title}", tuple(parts), foot="Buying list")


def _base_words(answer: Answer) -> str:
    sizes = " Packers and screws by the size printed on them." * (answer.job.units == "in")
    return f"Base: {answer.base.name}. Tick what is in hand.{sizes}"


def _reckoning(bought: BuyingList, units: Units) -> list[Part]:
    table = reckoning_table(bought, units)
    return [Grid(table, letters_mm=SMALL_MM)] if table.rows else []


def _figure(bought: BuyingList, units: Units) -> list[Part]:
    lines = [line for line in bought.lines if line.item.startswith(_DRAWN)]
    telling = any(line.in_stock is not None or line.enough > line.plan for line in lines)
    if not telling or len(bought.lines) > _MOST_ROWS:
        return []
    caption = "Dark: what the plan takes. Light: what suffices. Stroke: what is in stock."
    return [Figure(bars(lines, units, suffices_head(bought)), caption)]


def bars(lines: list[Line], units: Units, head: str, wide_mm: float = 186.0) -> Drawing:
    """Draw for each thing how many the plan takes, how many suffice, and how many are in stock.

    Parameters
    ----------
    lines : list of Line
        Packers or feet.
    units : {"mm", "in"}
        Of the job.
    head : str
        What the longer bar is.
    wide_mm : float
        Width of the drawing [mm].
    """
    names = [_name(line, units) for line in lines]
    left = max(letters_wide_mm(name, SMALL_MM) for name in names) + 3.0
    most = max(max(line.plan, line.enough, line.in_stock or 0) for line in lines)
    per_piece = (wide_mm - left - 12.0) / max(most, 1)
    marks: list[Mark] = []
    for place, (line, name) in enumerate(zip(lines, names, strict=True)):
        marks += _row(line, name, (left, place * _ROW_MM), per_piece)
    tall = len(lines) * _ROW_MM + 1.0
    marks.append(Stroke(((left, 0.0), (left, tall - 1.0)), LINE))
    words = "; ".join(
        f"{name}: plan {line.plan}, {head} {line.enough}"
        + ("" if line.in_stock is None else f", in stock {line.in_stock}")
        for line, name in zip(lines, names, strict=True)
    )
    return Drawing(wide_mm, tall, tuple(marks), words)


def _name(line: Line, units: Units) -> str:
    size = size_words(line, units)
    return line.item if size == NOTHING else f"{line.item} {size}"


def _row(line: Line, name: str, at: tuple[float, float], per_piece: float) -> list[Mark]:
    left, top = at
    base = top + _ROW_MM / 2 + SMALL_MM * 0.35
    long, short = line.enough * per_piece, line.plan * per_piece
    marks: list[Mark] = [
        Letters((left - 2.0, base), name, SMALL_MM, anchor="end"),
        Area(box(left, top + 0.8, long, _ROW_MM - 1.6), _GREYS["enough"]),
        Area(box(left, top + 1.9, short, _ROW_MM - 3.8), _GREYS["plan"]),
    ]
    furthest = left + max(long, short)
    if line.in_stock is not None:
        x = left + line.in_stock * per_piece
        marks.append(Stroke(((x, top + 0.3), (x, top + _ROW_MM - 0.3)), THICK))
        if furthest - 1.0 < x < furthest + 8.0:  # the figure stands beside the stroke
            furthest = x
    marks.append(Letters((furthest + 1.5, base), f"{line.enough}", SMALL_MM))
    return marks
