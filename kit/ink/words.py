"""Figures put into words that a fitter works with."""

from __future__ import annotations

from kit.answer import Answer, Ground
from kit.base.datum import Datum
from kit.floor import HighPoint
from kit.ink.lengths import Units, length_with_unit, plan_length, small
from kit.job.ways import way_of
from kit.strength.pieces import Apart

#: Sign and word of each verdict.
VERDICTS = {
    "ok": ("✓", "ok"),
    "refer": ("⚠", "refer"),
    "fail": ("✗", "fail"),
    "not_checked": ("–", "not checked"),
}


def certainty_words(certainty: float) -> str:
    """Return what a certainty means for the work, with its figure."""
    share = f"{certainty:.0%} certain"
    if certainty >= 0.9:
        return f"{share}: settled"
    if certainty >= 0.6:
        return f"{share}: likely, not settled"
    return f"{share}: open, read again before you rely on it"


def high_point_sentence(high: HighPoint, units: Units) -> str:
    """Return where the high point is, how high, and how sure that is."""
    return (
        f"High point under the base: {length_with_unit(high.height_mm, units)}"
        f" ± {small(high.sd_mm, units)} at x {plan_length(high.x_mm, units)},"
        f" y {plan_length(high.y_mm, units)}; {certainty_words(high.certainty)}."
    )


def next_reading_sentence(high: HighPoint, units: Units) -> str:
    """Return which place to read next, or that none is needed."""
    if high.next_reading is None:
        return "No further reading is needed to find the high point."
    x, y = (plan_length(value, units) for value in high.next_reading)
    return (
        f"Next reading: x {x}, y {y} {units}. It tells most about where the floor is highest;"
        f" without it the base may stand over a place {small(high.regret_mm, units)} {units}"
        " higher than thought, on average."
    )


def on_bearers(ground: Ground) -> bool:
    """Tell whether bearers carry the units."""
    return not isinstance(ground.pieces, Apart)


def on_packers(answer: Answer) -> bool:
    """Tell whether the base stands on packers."""
    return any(answer.datum.plan.stacks)


def set_either_way(answer: Answer) -> bool:
    """Tell whether the tops may be off either way by how they are set, which nobody knows before.

    Then lean, wind and gaps are what 95 of 100 units keep within, without sign.
    """
    return answer.strength.within_mm > 0


def datum_sentence(datum: Datum, units: Units) -> str:
    """Return how high the base is, and where the underside of what lies on it is."""
    above = f"Base top {length_with_unit(datum.base_height_mm, units)} above the high point:"
    if not datum.bearer_mm:
        level = length_with_unit(datum.datum_mm, units)
        return f"{above} underside of the units at {level} in the heights of the survey."
    return (
        f"{above}"
        f" bearers' underside at {length_with_unit(datum.datum_mm, units)}, their top at"
        f" {length_with_unit(datum.base_top_mm, units)}, both in the heights of the survey."
    )


def stacks_sentence(answer: Answer) -> str:
    """Return how many packers or other supports there are and how well they meet the level."""
    units, plan = answer.job.units, answer.datum.plan
    if not on_packers(answer):
        count = way_of(answer.base).count(len(answer.supports))
        off = small(answer.worst_error_mm, units)
        return f"{count}, no packers; the top may be up to {off} {units} off, either way."
    return (
        f"{answer.pieces} packers in {len(answer.supports)} stacks; the worst stack is"
        f" {small(answer.worst_error_mm, units)} {units} off,"
        f" {small(answer.base.tolerance_mm, units)} {units} are allowed."
        + (f" {plan.caution}" if plan.caution else "")
        + (f" {plan.feasible_note}" if plan.feasible_note else "")
    )
