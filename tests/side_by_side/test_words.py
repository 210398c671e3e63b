"""What is said of two bases: dominance, odds, what is open."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from kit.side_by_side import Comparison, verdict
from kit.side_by_side.comparison import Row
from kit.side_by_side.doubt import Odds
from kit.side_by_side.measure import KEYS, Measure
from kit.side_by_side.words import buildable_sentence, odds_sentence


def row(name: str, a: float, b: float, better: str = "less", odds: Odds | None = None) -> Row:
    key = name if name in KEYS else "cost"
    one = Measure(key, name, "h" if name == "hours" else "", a, better)
    return Row(one, replace(one, value=b), odds or Odds(0, 0.0, 0.0))


def comparison(*rows: Row, built: tuple[float, float] = (1.0, 1.0)) -> Comparison:
    """Return a comparison of nothing but these rows."""

    def base(name: str) -> SimpleNamespace:
        return SimpleNamespace(base=SimpleNamespace(name=name))

    def drawn(share: float) -> SimpleNamespace:
        return SimpleNamespace(built=np.arange(50) < share * 50)

    doubt = SimpleNamespace(floors=50, a=drawn(built[0]), b=drawn(built[1]))
    return Comparison(base("bearers"), base("feet"), rows, doubt)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            (row("time", 3, 4), row("cost", 10, 12), row("screws", 5, 5)),
            "bearers is no worse in anything, and better in time and cost.",
        ),
        (
            (row("time", 3, 2), row("cost", 10, 12), row("room", 50, 34, "more")),
            "bearers is no worse in all but time; it is better in cost and room.",
        ),
        (
            (row("time", 3, 2), row("cost", 12, 12)),
            "feet is no worse in anything, and better in time.",
        ),
        ((row("time", 3, 3),), "No measure tells the two apart."),
        (
            (row("time, with breaks", 3, 4), row("cost", 10, 12), row("screws", 5, 6)),
            "bearers is no worse in anything, and better in time, with breaks; cost and screws.",
        ),
        (
            (row("time", 3, 2), row("cost", 10, 12)),
            "Neither is better in all: bearers is better in cost; feet is better in time.",
        ),
        (
            tuple(row(f"m{n}", 1, 2) for n in range(7)) + tuple(row(f"n{n}", 2, 1) for n in "abc"),
            "Neither is better in all: bearers is better in m0, m1, m2, m3 and 3 more; feet is"
            " better in na, nb and nc.",
        ),
        (
            (row("time", 3, 4), row("cost", math.nan, 12), row("height", math.nan, 1, "")),
            "bearers is no worse in anything that could be compared, and better in time. By 1 more"
            " measure they cannot be compared.",
        ),
    ],
)
def test_dominance_in_words(rows: tuple[Row, ...], said: str) -> None:
    assert verdict(comparison(*rows)) == said


def test_odds_in_words() -> None:
    odds = Odds(200, 0.94, 0.02, (-1.0, 4.0, 9.0), of=200)
    told = comparison(row("packers", 91, 95, odds=odds))
    assert odds_sentence(told, "packers") == (
        "bearers: fewer packers on 94% of the 200 floors drawn that fit these readings (the same on"
        " 4%), from 1 more to 9 less, 4 in the middle."
    )
    mirrored = Odds(200, 0.02, 0.94, (-9.0, -4.0, 1.0), of=200)
    told = comparison(row("packers", 95, 91, odds=mirrored))
    assert odds_sentence(told, "packers") == (
        "feet: fewer packers on 94% of the 200 floors drawn that fit these readings (the same on"
        " 4%), from 1 more to 9 less, 4 in the middle."
    )


def test_odds_of_what_does_not_count_and_of_floors_that_are_not_built_on() -> None:
    odds = Odds(54, 0.80, 0.20, (-0.125, 0.25, 0.5), of=200)
    told = comparison(row("hours", 3, 3.2, odds=odds))
    assert odds_sentence(told, "hours") == (
        "bearers: less working time on 80% of the 54 floors on which both can be built, of 200"
        " drawn that fit these readings, from 0.125 more to 0.5 h less, 0.25 in the middle; that"
        " counts as no difference."
    )


def test_a_tie_names_nobody() -> None:
    for a, b in ((0.3, 0.3), (0.5, 0.5)):
        odds = Odds(200, a, b, (-1.0, 0.0, 1.0), of=200)
        assert odds_sentence(comparison(row("packers", 9, 9, odds=odds)), "packers") == (
            f"Each takes fewer packers on {a:.0%} of the 200 floors drawn that fit these readings."
        )


def test_nothing_is_said_of_what_was_not_drawn() -> None:
    assert odds_sentence(comparison(row("packers", 1, 2)), "packers") == ""
    same = Odds(200, 0.0, 0.0, (0.0, 0.0, 0.0), of=200)
    assert odds_sentence(comparison(row("packers", 1, 1, odds=same)), "packers") == ""


def test_floors_on_which_one_cannot_be_built() -> None:
    assert buildable_sentence(comparison()) == ""
    assert buildable_sentence(comparison(built=(1.0, 0.84))) == (
        "Of the 50 floors drawn, feet can be built on 84%: within the heights allowed."
    )
