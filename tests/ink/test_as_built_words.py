"""A finished base in a few words: verdicts, what to change, sentences sorted and none lost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kit.as_built import Checked
from kit.base.cautions import NO_APPROVAL
from kit.ink.as_built_words import (
    agreement,
    cautions_said,
    level_said,
    other_level,
    read_words,
    said_of,
    tolerance_words,
    verdict_words,
)


def judged(checked: Checked, *verdicts: str) -> Checked:
    """Return the check with the first supports judged otherwise, all others within."""
    rest = len(checked.supports) - len(verdicts)
    return replace(
        checked, supports=checked.supports.assign(verdict=[*verdicts, *["within"] * rest])
    )


@pytest.mark.parametrize(
    ("verdicts", "word", "why"),
    [
        ((), "✓ within", "all 24"),
        (("not read",), "– not all read", "1 not read; of 24"),
        (("not read",) * 24, "– not read", "24 not read; of 24"),
        (
            ("too close to tell", "not read"),
            "? too close to tell",
            "1 too close, 1 not read; of 24",
        ),
        (
            ("not read", "outside", "too close to tell", "outside"),
            "✗ outside",
            "2 outside, 1 too close, 1 not read; of 24",
        ),
    ],
)
def test_the_worst_of_the_supports_is_the_verdict(
    checked: Checked, verdicts: tuple[str, ...], word: str, why: str
) -> None:
    first = verdict_words(judged(checked, *verdicts))[0]
    assert (first.about, first.word, first.why) == (
        "supports within 1 mm of one level", word, why,
    )  # fmt: skip


def test_units_and_changes_have_a_verdict_of_their_own(checked: Checked) -> None:
    _, units, change = verdict_words(judged(checked))
    assert (units.word, units.why) == ("✗ outside", "2 outside, 2 too close; of 4")
    assert (change.word, change.why) == ("open 2 stacks", "B5, F8")


def test_what_is_to_be_changed_in_a_word(checked: Checked) -> None:
    changes = checked.changes
    told = {
        "nothing": replace(changes, opened=0),
        "open 1 stack": replace(changes, opened=1),
        "no change helps": replace(changes, possible=False),
    }
    for word, one in told.items():
        assert verdict_words(replace(checked, changes=one))[2].word == word


def test_every_sentence_is_sorted_and_none_lost(checked: Checked) -> None:
    said = said_of(checked)
    assert sorted((*said.base, *said.units, *said.changes, *said.approval)) == sorted(
        checked.sentences
    )
    assert said.approval == (NO_APPROVAL,)
    assert [line.split(":")[0] for line in said.units] == [one.unit for one in checked.units]
    assert said.changes[0].startswith("Open 2 stacks")
    within = int((checked.supports["verdict"] == "within").sum())
    assert said.base[0].startswith(f"{within} of 24 supports")


def test_inches_stand_beside_millimetres(checked: Checked, inch_checked: Checked) -> None:
    # 1 mm = 0.0394 in.
    assert "within 1 mm (0.039 in) of one level" in said_of(inch_checked).base[0]
    assert cautions_said(checked) == checked.cautions
    up = replace(inch_checked.changes, level_mm=inch_checked.level.level_mm + 0.3)
    (line,) = other_level(replace(inch_checked, changes=up))
    assert "0.012 in above" in line  # 0.3 mm


def test_one_level_needs_no_words(checked: Checked) -> None:
    same = replace(checked.changes, level_mm=checked.level.level_mm + 0.004)
    assert list(other_level(replace(checked, changes=same))) == []


def test_readings_between_readings_are_counted_apart(checked: Checked) -> None:
    how = ["between"] * 3 + ["not read"] + ["read"] * 20
    told = replace(checked, supports=checked.supports.assign(how=how))
    assert read_words(told) == "20 of 24, 3 between two readings"
    assert read_words(checked) == "24 of 24"


def test_what_was_read_once_agrees_with_nothing(checked: Checked) -> None:
    heights = replace(checked.tops.heights, redundancy=0)
    once = replace(checked, tops=replace(checked.tops, heights=heights))
    assert agreement(once) == "not told: nothing was read twice"
    assert agreement(checked).startswith("sigma0 0.90 ")


def test_what_contradicts_is_said_first(slipped: Checked) -> None:
    base, units, change = verdict_words(slipped)
    assert base.word == "✗ readings contradict"
    assert base.why == "1 to read again, 2 outside, 6 too close; of 24"
    assert "not read" in units.why
    assert change.why.endswith("; first read F3 again")
    assert said_of(slipped).base[0].startswith("The readings contradict one another at F3 (")
    assert level_said(slipped).endswith("; 1 not judged, for readings contradict (F3).")
    assert read_words(slipped) == "23 of 24, 1 to be read again"


def test_a_tolerance_in_a_fraction_of_an_inch_is_told_as_one(inch_checked: Checked) -> None:
    sixteenth = replace(inch_checked, tolerance_mm=25.4 / 16)
    assert tolerance_words(sixteenth) == "1/16 in"
    # 1.5875 mm to a hundredth, and the inches of that to a thousandth.
    assert "within 1.59 mm (0.063 in) of one level" in said_of(sixteenth).base[0]
