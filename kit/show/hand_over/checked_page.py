"""A finished base on one page: verdict, what was found, changes, supports, units, what is open."""

from __future__ import annotations

from kit.as_built import Checked
from kit.ink.as_built_tables import (
    bag_table,
    change_table,
    changed_screws_table,
    tops_table,
    turn_table,
    unit_tops_table,
)
from kit.ink.as_built_words import cautions_said, said_of, verdict_words
from kit.ink.before_after import to_change
from kit.ink.escape import html_text
from kit.ink.table import STYLE, Page, Table, page, sentences


def checked_page(checked: Checked) -> Page:
    """Return the check of a finished base: verdict, sentences, tables, cautions.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    job, as_built, said = checked.answer.job, checked.as_built, said_of(checked)
    title = (
        f"{job.short_title}: {checked.answer.base.name}, read on {as_built.date.isoformat()} by"
        f" {as_built.by} with {as_built.instrument}"
    )
    return page(
        verdict_page(checked),
        sentences((*said.approval, *said.base), title),
        sentences(said.changes, "Changes"),
        *change_tables(checked),
        tops_table(checked),
        unit_tops_table(checked),
        sentences(said.units, "The units"),
        sentences((f"⚠ {line}" for line in cautions_said(checked)), "What this leaves open"),
    )


def verdict_page(checked: Checked) -> Page:
    """Return the verdict in large words, with what it rests on."""
    cells = "".join(
        '<div style="border:1px solid currentColor;padding:.3em .8em;min-width:13em;flex:1 1 0">'
        f"<div>{html_text(one.about)}</div>"
        f'<div style="font-size:1.7em;font-weight:700;line-height:1.25">{html_text(one.word)}</div>'
        f"<div>{html_text(one.why)}</div></div>"
        for one in verdict_words(checked)
    )
    style = "display:flex;flex-wrap:wrap;gap:.5em;max-width:60em"
    return Page(f'{STYLE}<div class="ufk" style="{style}">{cells}</div>')


def change_tables(checked: Checked) -> tuple[Table, ...]:
    """Return what to change, its screws and the bag; nothing where nothing is to be changed."""
    changes, change = checked.changes, to_change(checked)
    if not change.names:
        return ()
    if not changes.on_packers:
        return (turn_table(checked),)
    screws = (changed_screws_table(checked),) if len(changes.screws) else ()
    return (change_table(checked), bag_table(checked), *screws)
