"""A finished base on one page: what was found, supports, units, changes, what is left open."""

from __future__ import annotations

from kit.as_built import Checked
from kit.ink.as_built_tables import change_table, tops_table, unit_tops_table
from kit.ink.inch_words import in_units
from kit.ink.table import Page, page, sentences


def checked_page(checked: Checked) -> Page:
    """Return the check of a finished base: sentences, tables, cautions.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    job, as_built = checked.answer.job, checked.as_built
    title = (
        f"{job.short_title}: {checked.answer.base.name}, read on {as_built.date.isoformat()} by"
        f" {as_built.by} with {as_built.instrument}"
    )
    said = sentences((in_units(line, job.units) for line in checked.sentences), title)
    changes = (change_table(checked),) if checked.changes.opened else ()
    open_ = (f"⚠ {in_units(line, job.units)}" for line in checked.cautions)
    return page(
        said,
        *changes,
        tops_table(checked),
        unit_tops_table(checked),
        sentences(open_, "What this leaves open"),
    )
