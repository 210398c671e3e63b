"""One bar a measure: by how much which of two bases is the better."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from kit.ink import paint
from kit.ink.escape import cut_text
from kit.ink.lengths import NOTHING, Units
from kit.ink.svg import Picture, box, element, letters_px, line, words
from kit.ink.table import Page
from kit.show.board.lettering import LINE_PX, Swatch, fitted, key, paragraph
from kit.show.two_bases.drawing import PAGE_PX, bar, bar_swatch, beside
from kit.show.two_bases.figures import of_measure, with_unit
from kit.show.two_bases.groups import barred_by, chosen, grouped, same, share, untold
from kit.show.two_bases.measure_tables import comparison_table
from kit.side_by_side import Comparison, Row
from kit.side_by_side.comparison import NO_DIFFERENCE

#: Thickness of a bar, and from one measure to the next [px].
BAR_PX, STEP_PX = 13.0, 39.0

#: Room for a figure at either end [px].
_FIGURE_PX = 112.0

#: Between the end of a bar or whisker and the words beside it [px].
_GAP_PX = 6.0


@dataclass(frozen=True, eq=False)
class Bars:
    """How the bars lie on their picture.

    Parameters
    ----------
    comparison : Comparison
    rows : tuple of Row
        Measures with a bar.
    width_px : float
        Width of the picture [px].
    """

    comparison: Comparison
    rows: tuple[Row, ...]
    width_px: float

    @property
    def units(self) -> Units:
        """What lengths are written in."""
        return self.comparison.a.job.units

    @property
    def middle_px(self) -> float:
        """Where neither is better [px]."""
        return self.width_px / 2

    @cached_property
    def px_per_share(self) -> float:
        """Scale: the whole of the larger figure, or the longest bar or whisker if it is more."""
        ends = [abs(end) for row in self.rows for end in (self.share(row), *self.whisker(row))]
        # Words stand beyond the end of a bar.
        room = self.middle_px - _FIGURE_PX - letters_px(NO_DIFFERENCE) - 2 * _GAP_PX
        return room / max(1.0, *ends) if ends else room

    def share(self, row: Row) -> float:
        """Return where a bar ends, as a part of the larger figure."""
        return share(row, row.difference)

    def whisker(self, row: Row) -> tuple[float, ...]:
        """Return where 2.5 and 97.5 % of the drawn floors lie; nothing where none are drawn."""
        if not row.odds.floors:
            return ()
        low, _, high = row.odds.difference
        return tuple(sorted((share(row, low), share(row, high))))

    def x(self, part: float) -> float:
        """Return where a share lies [px]."""
        return self.middle_px + part * self.px_per_share


def difference_bars(
    comparison: Comparison, keys: Iterable[str] | None = None, width_px: float = PAGE_PX
) -> Page:
    """Draw by how much which base is better in each measure, above the table of the figures.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    keys : iterable of str, optional
        Measures; all unless given.
    width_px : float
        Width of the picture [CSS px].

    Returns
    -------
    Page
    """
    named = None if keys is None else tuple(keys)
    drawn = difference_picture(comparison, named, width_px)
    return beside([drawn], [comparison_table(comparison, named)])


def difference_picture(
    comparison: Comparison, keys: Iterable[str] | None = None, width_px: float = PAGE_PX
) -> Picture:
    """Draw by how much which base is better in each measure.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    keys : iterable of str, optional
        Measures; all unless given, of which those that are the same in both stand in words.
    width_px : float
        Width of the picture [px].

    Returns
    -------
    Picture
    """
    rows = chosen(comparison, keys)
    barred = tuple(row for row in rows if barred_by(row) and (keys is not None or not same(row)))
    bars = Bars(comparison, barred, width_px)
    head = fitted(_head(bars), width_px - 4)
    drawn, y = [paragraph(2, 13, head)], len(head) * LINE_PX + 8.0
    drawn.append(_sides(bars, y))
    y += LINE_PX + 6
    for name, of_group in grouped(barred):
        drawn.append(words(2, y + 14, name.capitalize(), font_weight="bold"))
        y += 22
        for row in of_group:
            drawn.append(_row(bars, row, y))
            y += STEP_PX
    notes = _notes(comparison, rows, barred)
    named, y = key(_key(bars), y + 2, width_px)
    lines = [part for note in notes for part in fitted(note, width_px - 4)]
    drawn += [named, paragraph(2, y + LINE_PX + 4, lines, fill=paint.INK)]
    said = " ".join([*head, *(_said(bars, row) for row in barred), *notes])
    return Picture(width_px, y + 4 + LINE_PX * (len(lines) + 1), "".join(drawn), said)


def _head(bars: Bars) -> str:
    one, other = bars.comparison.names
    return (
        "By how much which is better, as a part of the larger of the two figures (of margins, of"
        f" the limit): {one} to the left, {other} to the right. The figures stand at both ends,"
        " with their units."
    )


def _sides(bars: Bars, y: float) -> str:
    one, other = bars.comparison.names
    most = int((bars.middle_px - 30) / letters_px("x") / 1.1)
    left = words(2, y + 12, f"← {cut_text(one, most)}", font_weight="bold")
    right = words(
        bars.width_px - 2, y + 12, f"{cut_text(other, most)} →",
        font_weight="bold", text_anchor="end",
    )  # fmt: skip
    return left + right


def _row(bars: Bars, row: Row, y: float) -> str:
    """Return one measure: its name, below it both figures and the bar between them."""
    one, other = (with_unit(m.value, m.key, m.unit, bars.units) for m in (row.a, row.b))
    top, base = y + LINE_PX + 3, y + LINE_PX + 14
    name = cut_text(row.a.measure, int(bars.width_px / letters_px("x")) - 4)
    drawn = [
        words(bars.middle_px, y + 12, name, text_anchor="middle"),
        words(2, base, one),
        words(bars.width_px - 2, base, other, text_anchor="end"),
        line(_FIGURE_PX, y + STEP_PX - 2, bars.width_px - _FIGURE_PX, y + STEP_PX - 2,
             stroke=paint.GRID),
        _bar(bars, row, top),
        line(bars.middle_px, top - 2, bars.middle_px, top + BAR_PX + 2, stroke=paint.INK,
             stroke_width=1.6),
        _whisker(bars, row, top + BAR_PX / 2),
    ]  # fmt: skip
    return element("g", "".join(drawn), class_="ufk-measure", data_key=row.key)


def _bar(bars: Bars, row: Row, top: float) -> str:
    part = bars.share(row)
    left, right = sorted((bars.middle_px, bars.x(part)))
    drawn = bar(left, top, max(right - left, 1.0), BAR_PX, row.winner)
    ends = [part, *bars.whisker(row)]
    text = f"{abs(part):.0%}" if row.winner else NO_DIFFERENCE
    if part < 0:
        x, anchor = bars.x(min(0.0, *ends)) - _GAP_PX, "end"
    else:
        x, anchor = bars.x(max(0.0, *ends)) + _GAP_PX, "start"
    return drawn + words(x, top + 11, text, text_anchor=anchor)


def _whisker(bars: Bars, row: Row, y: float) -> str:
    ends = bars.whisker(row)
    if not ends:
        return ""
    low, high = (bars.x(end) for end in ends)
    rim = box(low - 1, y - 2, high - low + 2, 4, fill=paint.PAPER)
    look = {"stroke": paint.INK, "stroke_width": 1.6}
    marks = "".join(line(x, y - 4, x, y + 4, **look) for x in (low, high))
    drawn = rim + line(low, y, high, y, **look) + marks
    return element("g", drawn, class_="ufk-whisker")


def _key(bars: Bars) -> Iterator[tuple[Swatch, str]]:
    one, other = bars.comparison.names
    yield bar_swatch("a"), f"{cut_text(one, 40)} is better"
    yield bar_swatch("b"), f"{cut_text(other, 40)} is better"
    yield bar_swatch(""), f"{NO_DIFFERENCE}: within its doubt"
    if any(row.odds.floors for row in bars.rows):
        yield _whisker_swatch, "95 % of the floors drawn that fit the readings"


def _whisker_swatch(x: float, y: float) -> str:
    look = {"stroke": paint.INK, "stroke_width": 1.6}
    ends = "".join(line(at, y + 1, at, y + 9, **look) for at in (x, x + 18))
    return line(x, y + 5, x + 18, y + 5, **look) + ends


def _notes(comparison: Comparison, rows: Sequence[Row], barred: Sequence[Row]) -> list[str]:
    """Return what has no bar, in words."""
    units = comparison.a.job.units
    drawn = {row.key for row in barred}
    rest = [row for row in rows if row.key not in drawn]
    alike = [
        f"{row.a.measure} {with_unit(row.a.value, row.key, row.a.unit, units)}"
        for row in rest
        if same(row)
    ]
    notes = [f"The same in both: {', '.join(alike)}."] if alike else []
    by_reason: dict[str, list[str]] = {}
    for row in rest:
        why = untold(comparison, row)
        if why:
            by_reason.setdefault(why, []).append(f"{row.a.measure} ({_both(row, units)})")
    return notes + [f"No bar ({why}): {', '.join(named)}." for why, named in by_reason.items()]


def _both(row: Row, units: Units) -> str:
    one, other = of_measure(row.a, units), of_measure(row.b, units)
    if row.known:
        return f"{one} and {with_unit(row.b.value, row.key, row.b.unit, units)}"
    return f"{one} and {other}" if {one, other} != {NOTHING} else "not known"


def _said(bars: Bars, row: Row) -> str:
    one, other = (with_unit(m.value, m.key, m.unit, bars.units) for m in (row.a, row.b))
    better = bars.comparison.better(row)
    return f"{row.a.measure}: {one} and {other}, {better}."
