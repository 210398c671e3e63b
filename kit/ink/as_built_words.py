"""A finished base in a few words, and its sentences sorted by what they are about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.as_built import Checked
from kit.as_built.feet_turns import Turns
from kit.as_built.judged import (
    CONTRADICT,
    NOT_READ,
    OUTSIDE,
    TOO_CLOSE,
    WITHIN,
    Verdict,
    worst,
)
from kit.as_built.words import change_sentences
from kit.base.cautions import NO_APPROVAL
from kit.ink.before_after import to_change
from kit.ink.escape import cut_text
from kit.ink.inch_words import in_units
from kit.ink.lengths import Units, small
from kit.job.units import MM_PER_INCH, fraction_of_inches

#: Sign before each verdict, so that it is seen without reading.
SIGNS: dict[str, str] = {
    WITHIN: "✓", TOO_CLOSE: "?", OUTSIDE: "✗", NOT_READ: "–", CONTRADICT: "✗",
}  # fmt: skip

#: What is counted under a verdict, the worst first, each in short.
_COUNTED: tuple[tuple[Verdict, str], ...] = (
    (CONTRADICT, "to read again"),
    (OUTSIDE, OUTSIDE),
    (TOO_CLOSE, "too close"),
    (NOT_READ, NOT_READ),
)

#: What is done to a support that is out, where none can be packed.
_TO_DO = {"ladder": "plane or shim", "compound": "grind or fill"}

#: Finest parts of an inch in which a tolerance is given.
_PARTS = 64

#: Names of supports told in a head [letters].
_NAMES = 60


@dataclass(frozen=True)
class InWords:
    """What a person has to know first, in three lines.

    Parameters
    ----------
    about : str
        What is judged.
    word : str
        The verdict.
    why : str
        What it rests on.
    """

    about: str
    word: str
    why: str


def verdict_words(checked: Checked) -> tuple[InWords, ...]:
    """Return the verdict on the base, on the units on it, and what is to be changed.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    tolerance = tolerance_words(checked)
    of_supports = checked.supports["verdict"].tolist()
    of_units = [one.verdict for one in checked.units]
    return (
        InWords(
            f"supports within {tolerance} of one level",
            _word(of_supports),
            _counted(of_supports),
        ),
        InWords("units as they would stand", _word(of_units), _counted(of_units)),
        InWords("to change", *_read_first(checked, *_to_change(checked))),
    )


def _read_first(checked: Checked, word: str, why: str) -> tuple[str, str]:
    """Return what is to be changed, after what is to be read again where readings contradict."""
    points = ", ".join(checked.tops.contradicting)
    if not points:
        return word, why
    if word == "nothing":
        return "read again", cut_text(f"{points}; then judge anew", _NAMES)
    return word, f"{cut_text(why, _NAMES // 2)}; first read {cut_text(points, _NAMES // 2)} again"


def tolerance_words(checked: Checked) -> str:
    """Return how far off a support may be, as exactly as it was given."""
    units = checked.answer.job.units
    if units == "mm":
        return f"{checked.tolerance_mm:g} mm"
    parts = checked.tolerance_mm / MM_PER_INCH * _PARTS
    if abs(parts - round(parts)) < 1e-9:  # a fraction is told as it was given
        return f"{fraction_of_inches(parts / _PARTS, _PARTS)} in"
    return f"{small(checked.tolerance_mm, units)} in"


def _word(verdicts: Sequence[Verdict]) -> str:
    """Return the worst of some verdicts with its sign."""
    word = worst(list(verdicts))
    if word == NOT_READ and set(verdicts) != {NOT_READ}:
        return f"{SIGNS[word]} not all read"
    return f"{SIGNS[word]} {word}"


def _counted(verdicts: Sequence[Verdict]) -> str:
    """Return how many are amiss, the worst first, of how many there are."""
    told = [f"{verdicts.count(word)} {short}" for word, short in _COUNTED if word in verdicts]
    return f"{', '.join(told)}; of {len(verdicts)}" if told else f"all {len(verdicts)}"


def _to_change(checked: Checked) -> tuple[str, str]:
    changes = checked.changes
    if len(changes.turns.table):
        return _to_turn(changes.turns)
    if not changes.on_packers:
        outside = names_of(checked, OUTSIDE)
        if outside:
            return _TO_DO[checked.answer.base.method], cut_text(", ".join(outside), _NAMES)
        return "nothing", "no support is outside"
    if not changes.possible:
        return "no change helps", "why, and what would do, stands below"
    if not changes.opened:
        return "nothing", "no stack has to be opened"
    stacks = "1 stack" if changes.opened == 1 else f"{changes.opened} stacks"
    return f"open {stacks}", cut_text(", ".join(map(str, changes.changed["support"])), _NAMES)


def _to_turn(turns: Turns) -> tuple[str, str]:
    if not turns.possible:
        return "no turning helps", "why, and what would do, stands below"
    names = turns.turned["support"].tolist()
    if not names:
        return "nothing", "no foot has to be turned"
    feet = "1 foot" if len(names) == 1 else f"{len(names)} feet"
    return f"turn {feet}", cut_text(", ".join(names), _NAMES)


def names_of(checked: Checked, verdict: Verdict) -> list[str]:
    """Return the supports of a verdict, in their order."""
    return [
        str(name) for name in checked.supports["support"][checked.supports["verdict"] == verdict]
    ]


@dataclass(frozen=True)
class Said:
    """The sentences of a check by what they are about, in the job's units; none is lost.

    Parameters
    ----------
    base, units, changes : tuple of str
        Of the base as a whole, of each unit, of what to change.
    approval : tuple of str
        That nothing is approved.
    """

    base: tuple[str, ...]
    units: tuple[str, ...]
    changes: tuple[str, ...]
    approval: tuple[str, ...]


def said_of(checked: Checked) -> Said:
    """Return the sentences of a check, sorted.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    """
    sorted_: dict[str, list[str]] = {"base": [], "units": [], "changes": [], "approval": []}
    changes = set(change_sentences(checked.answer, checked.changes))
    subjects = tuple(f"{one.subject}: " for one in checked.units)
    for line in checked.sentences:
        about = (
            "approval" if line == NO_APPROVAL
            else "changes" if line in changes
            else "units" if line.startswith(subjects)
            else "base"
        )  # fmt: skip
        sorted_[about].append(in_units(line, checked.answer.job.units, fine=True))
    return Said(**{about: tuple(lines) for about, lines in sorted_.items()})


def cautions_said(checked: Checked) -> tuple[str, ...]:
    """Return what a check leaves open, in the job's units."""
    units = checked.answer.job.units
    return tuple(in_units(line, units, fine=True) for line in checked.cautions)


def other_level(checked: Checked) -> Iterator[str]:
    """Yield, where it is so, that changes are told against another level than the supports."""
    change, units = to_change(checked), checked.answer.job.units
    if not change.names:
        return
    up = change.level_mm - checked.level.level_mm
    if small(abs(up), units).strip("0."):
        yield (
            f"Changes are told against the level that the base then comes to,"
            f" {small(abs(up), units)} {units} {'above' if up > 0 else 'below'} the one that the"
            " table of supports is told against."
        )


def agreement(checked: Checked) -> str:
    """Return how well the readings agree, in a few words."""
    heights = checked.tops.heights
    if not heights.redundancy:
        return "not told: nothing was read twice"
    return f"sigma0 {heights.sigma0:.2f} (1: as well as their sd says; more: less well)"


def read_words(checked: Checked) -> str:
    """Return of how many supports the top was read, and how many lie between two readings."""
    how = checked.supports["how"].tolist()
    between = f", {how.count('between')} between two readings" if "between" in how else ""
    against = f", {how.count(CONTRADICT)} to be read again" if CONTRADICT in how else ""
    return f"{how.count('read')} of {len(how)}{between}{against}"


def level_said(checked: Checked) -> str:
    """Return how many supports are level, what is not, and what contradicts itself, by name."""
    return said_of(checked).base[1 if checked.tops.contradicting else 0]


def tables_read(checked: Checked) -> str:
    """Return how each table of readings was understood."""
    return "; ".join(checked.tops.heights.understood)


def level_note(units: Units, tolerance: str, lift: str) -> str:
    """Return what the figures of the supports are told against."""
    level = f"Positive is high. The level is the one that brings most supports within {tolerance}"
    return f"{level}, the planned front lift of {lift} {units} taken off." if lift else f"{level}."
