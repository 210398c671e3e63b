"""What stands in words and numbers on the board."""

from __future__ import annotations

from collections.abc import Callable

from kit.answer import Answer
from kit.ink.base_tables import (
    caution_list,
    check_table,
    clearance_table,
    plinth_table,
    stack_table,
    support_table,
)
from kit.ink.buying_tables import cut_table, screw_table, take_off_table
from kit.ink.escape import html_text
from kit.ink.lengths import length_with_unit, small
from kit.ink.words import VERDICTS
from kit.show.board.elevation_frame import zero_name
from kit.show.standing_tables import standing_table, unit_table
from kit.show.strength_sentences import strength_page
from kit.show.strength_tables import bearer_table, joist_table, stack_load_table

#: What each tab of the board shows.
TABS: dict[str, Callable[[Answer], str]] = {
    "Stacks": lambda answer: stack_table(answer).html,
    "Supports": lambda answer: support_table(answer).html + clearance_table(answer).html,
    "Screws": lambda answer: screw_table(answer).html,
    "Cuts and take-off": lambda answer: (
        cut_table(answer).html + take_off_table(answer).html + plinth_table(answer).html
    ),
    "What carries it": lambda answer: (
        strength_page(answer).html
        + stack_load_table(answer).html
        + bearer_table(answer).html
        + joist_table(answer).html
    ),
    "How units stand": lambda answer: unit_table(answer).html + standing_table(answer).html,
    "Checks": lambda answer: check_table(answer).html,
    "Cautions": lambda answer: caution_list(answer).html,
}


def figures_line(answer: Answer, *, last_good: bool = False) -> str:
    """Return the figures that a person looks at first, as HTML.

    Parameters
    ----------
    answer : Answer
        What is shown.
    last_good : bool
        Whether it is the last good answer and no longer what the controls say.
    """
    units, datum = answer.job.units, answer.datum
    verdicts = answer.checks["verdict"].value_counts()
    checks = ", ".join(f"{verdicts.get(v, 0)} {' '.join(VERDICTS[v])}" for v in VERDICTS)
    idle = sum(one.idle for one in answer.strength.stacks)
    rocks = sum(bool(one.rocking) for one in answer.strength.laid)
    lines = {
        "base height, above the high point": length_with_unit(datum.base_height_mm, units),
        f"bearer's underside, above {zero_name(answer)}": length_with_unit(datum.datum_mm, units),
        "packers": f"{answer.pieces} in {len(answer.supports)} stacks",
        "worst stack": f"{small(answer.worst_error_mm, units)} {units} off",
        "carried": f"{idle} of {len(answer.supports)} stacks idle"
        + f", {rocks} pieces of bearer rock" * bool(rocks),
        "checks": checks,
    }
    rows = "".join(
        f'<tr><th scope="row" style="text-align:left;font-weight:400;padding-right:1em;'
        f'vertical-align:top">{html_text(name)}</th><td><b>{html_text(value)}</b></td></tr>'
        for name, value in lines.items()
    )
    head = "Last good answer" if last_good else "Answer"
    return (
        f'<table style="line-height:1.4"><caption style="text-align:left;font-weight:600">{head}'
        f"</caption>{rows}</table>"
    )
