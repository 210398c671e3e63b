"""The measures that a client cares for, in a client's words."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kit.ink.escape import html_text
from kit.ink.lengths import NOTHING
from kit.show.two_bases.figures import with_unit
from kit.show.two_bases.measure_tables import by_how_much
from kit.side_by_side import Comparison, Row

#: What each measure is called for a client, in the order of the page.
PLAIN: Mapping[str, str] = MappingProxyType(
    {
        "built": "Floors that fit the readings on which it can be built",
        "top_mm": "Height at which the furniture stands, from the zero of the heights",
        "things": "Pieces to place",
        "cost": "Material",
        "cost_and_labour": "Material and labour",
        "hours": "Working time",
        "days": "Working days until the furniture can stand on it",
        "level_error_mm": "How far it may be out of level at one place, as planned",
        "lean_mm": "How far a unit may lean at its top",
        "up_mm": "How far it can be raised later",
        "down_mm": "How far it can be lowered later",
        "floor_screws": "Screws that go into the floor",
        "room_mm": "Free height below for pipes and cables",
        "fixing_m": "Timber below that the furniture can be screwed to",
        "mass_kg": "Timber or mortar that it adds to the floor",
        "reaction_N": "Largest load at one place",
        "least_margin": "Least reserve of what carries it",
        "refer": "Points to be referred to an engineer or a maker",
        "fail": "Points that fail",
        "not_checked": "Points that could not be checked",
    }
)


def plain_table(comparison: Comparison) -> str:
    """Return the table of these measures as HTML, with caption and scopes.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.

    Returns
    -------
    str
        A measure that neither base has is left out.
    """
    one, other = comparison.names
    known = {row.key: row for row in comparison.rows}
    body = "".join(
        _row(comparison, words, known[key]) for key, words in PLAIN.items() if key in known
    )
    heads = "".join(
        f'<th scope="col"{style}>{html_text(text)}</th>'
        for text, style in (
            ("What", ""), (one, ' class="n"'), (other, ' class="n"'), ("Better", ""),
        )
    )  # fmt: skip
    caption = "Both ways side by side, on the floor as it is expected"
    return (
        f"<table><caption>{caption}</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{body}</tbody></table>"
    )


def _row(comparison: Comparison, words: str, row: Row) -> str:
    units = comparison.a.job.units
    figures = "".join(
        f'<td class="n">{html_text(with_unit(one.value, one.key, one.unit, units))}</td>'
        for one in (row.a, row.b)
    )
    return (
        f'<tr><th scope="row">{html_text(words)}</th>{figures}'
        f"<td>{html_text(_better(comparison, row))}</td></tr>"
    )


def _better(comparison: Comparison, row: Row) -> str:
    """Return which is better and by how much, or why that is not said."""
    name = comparison.better(row)
    if row.winner and 0 in (row.a.value, row.b.value):
        return f"{name}: none of it" if row.a.better == "less" else f"{name}; the other has none"
    if row.winner:
        return f"{name}, by {by_how_much(row)}"
    if name:
        return name
    return row.why_not or f"not known{_whose(comparison, row)}"


def _whose(comparison: Comparison, row: Row) -> str:
    whys = [
        f"{name}: {one.why_unknown}"
        for name, one in zip(comparison.names, (row.a, row.b), strict=True)
        if one.why_unknown
    ]
    return f" ({'; '.join(whys)})" if whys else f" {NOTHING}"
