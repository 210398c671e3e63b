"""Two bases in tables: every measure, which is better, by how much and how sure."""

from __future__ import annotations

from collections.abc import Iterable

from kit.ink.lengths import NOTHING, Units
from kit.ink.table import Head, Page, Table, page
from kit.show.two_bases.figures import figure, of_measure, shown_unit
from kit.show.two_bases.groups import chosen, grouped, same, share, untold
from kit.side_by_side import Comparison, Row
from kit.side_by_side.comparison import NO_DIFFERENCE


def comparison_tables(comparison: Comparison) -> Page:
    """Show every measure of two bases, and below it what tells neither of them better.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.

    Returns
    -------
    Page
    """
    return page(comparison_table(comparison), untold_table(comparison))


def comparison_table(comparison: Comparison, keys: Iterable[str] | None = None) -> Table:
    """Return every measure: both figures, which is better, by how much, how sure.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    keys : iterable of str, optional
        Measures; all unless given.

    Returns
    -------
    Table
        Rounded for reading; `Comparison.table` has the figures as they are.
    """
    one, other = comparison.names
    heads = (
        Head("measure", wide=True), Head("unit"), Head(one, right=True), Head(other, right=True),
        Head("better"), Head("by", right=True), Head("how sure", wide=True),
    )  # fmt: skip
    rows = tuple(
        _row(comparison, row)
        for _, of_group in grouped(chosen(comparison, keys))
        for row in of_group
    )
    note = (
        "By: the difference as a part of the larger figure, of margins as a part of the limit."
        f" {NO_DIFFERENCE.capitalize()}: it is"
        " smaller than what counts, or does not go the same way on 90 % of the floors drawn that"
        " fit the readings. How sure: on how many of those floors which base has less, and between"
        " what second less first lies on 95 % of them. Not drawn: worked out on the floor as it is"
        " expected alone."
    )
    return Table(f"{one} and {other}, measure by measure", heads, rows, note)


def _row(comparison: Comparison, row: Row) -> tuple[str, ...]:
    units = comparison.a.job.units
    return (
        row.a.measure,
        shown_unit(row.a.unit, units),
        of_measure(row.a, units),
        of_measure(row.b, units),
        comparison.better(row) or NOTHING,
        by_how_much(row),
        how_sure(row, units),
    )


def by_how_much(row: Row) -> str:
    """Return the difference as a part of the larger figure; a dash where neither is better."""
    return f"{abs(share(row, row.difference)):.0%}" if row.winner else NOTHING


def how_sure(row: Row, units: Units) -> str:
    """Return on how many drawn floors the difference goes which way, and how far.

    Parameters
    ----------
    row : Row
        One measure of both bases.
    units : {"mm", "in"}
        Of the figures.

    Returns
    -------
    str
        "not drawn" where it was worked out on the expected floor alone.
    """
    odds = row.odds
    if not row.known:
        return NOTHING
    if not odds.drawn:
        return "the same" if same(row) else "not drawn"
    if not odds.floors:
        return "no floor on which both can be built"
    low, _, high = (figure(mm, row.key, row.a.unit, units) for mm in odds.difference)
    most = max(odds.a_less, odds.b_less)
    if most == 0:
        return f"alike on all {odds.floors} floors"
    if odds.a_less == odds.b_less:
        return f"each has less on {most:.0%} of {odds.floors}; {low} to {high}"
    which = "first" if odds.a_less > odds.b_less else "second"
    return f"{which} has less on {most:.0%} of {odds.floors}; {low} to {high}"


def untold_table(comparison: Comparison) -> Table:
    """Return the measures by which neither base can be called better, and why.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.

    Returns
    -------
    Table
    """
    units, (one, other) = comparison.a.job.units, comparison.names
    heads = (
        Head("measure", wide=True), Head("unit"), Head(one, right=True), Head(other, right=True),
        Head("why", wide=True),
    )  # fmt: skip
    rows = []
    for _, of_group in grouped(comparison.rows):
        for row in of_group:
            why = untold(comparison, row)
            if why:
                figures = of_measure(row.a, units), of_measure(row.b, units)
                rows.append((row.a.measure, shown_unit(row.a.unit, units), *figures, why))
    return Table("What tells neither better", heads, tuple(rows))
