"""Two answers side by side: which is better, when neither is, and both ways round."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest

import kit
from kit.job import Refusal, Unit
from kit.side_by_side.comparison import NO_DIFFERENCE, Row
from kit.side_by_side.doubt import NOT_DRAWN, Odds
from kit.side_by_side.measure import KEYS, Measure, in_order
from kit.side_by_side.words import verdict


def measure(
    value: float,
    better: str = "less",
    least: float = 0.0,
    basis: str = "",
    still_open: tuple[str, ...] = (),
) -> Measure:
    return Measure("cost", "material", "money", value, better, least, basis=basis, open=still_open)


@pytest.mark.parametrize(
    ("a", "b", "odds", "winner"),
    [
        (measure(12.0), measure(19.0), NOT_DRAWN, "a"),
        (measure(12.0, "more"), measure(19.0, "more"), NOT_DRAWN, "b"),
        (measure(12.0, ""), measure(19.0, ""), NOT_DRAWN, ""),
        # A base without any feet is no better for that.
        (measure(0.0, ""), measure(19.0), NOT_DRAWN, ""),
        (measure(12.0), measure(12.0), NOT_DRAWN, ""),
        # The larger of both least differences counts, and it is closed.
        (measure(12.0, "less", 0.5), measure(14.0, "less", 2.0), NOT_DRAWN, ""),
        (measure(12.0, "less", 0.5), measure(14.1, "less", 2.0), NOT_DRAWN, "a"),
        (measure(12.0), measure(math.nan), NOT_DRAWN, ""),
        # Nine floors of ten must agree, and with the difference as it is expected.
        (measure(12.0), measure(19.0), Odds(50, 0.90, 0.06, of=50), "a"),
        (measure(12.0), measure(19.0), Odds(50, 0.88, 0.06, of=50), ""),
        (measure(12.0), measure(19.0), Odds(50, 0.04, 0.96, of=50), ""),
        (measure(19.0), measure(12.0), Odds(50, 0.04, 0.96, of=50), "b"),
        # Beyond what counts in the middle of the drawn floors too.
        (measure(12.0, "less", 2.0), measure(19.0), Odds(50, 1.0, 0.0, (1.0, 1.5, 9.0), 50), ""),
        (measure(12.0, "less", 2.0), measure(19.0), Odds(50, 1.0, 0.0, (1.0, 2.5, 9.0), 50), "a"),
        # Both must be built on half of the floors; drawn and never built is not "not drawn".
        (measure(12.0), measure(19.0), Odds(25, 1.0, 0.0, of=50), "a"),
        (measure(12.0), measure(19.0), Odds(24, 1.0, 0.0, of=50), ""),
        (measure(12.0), measure(19.0), Odds(0, 0.0, 0.0, of=50), ""),
        # Two bases of reckoning do not compare.
        (measure(12.0, basis="known"), measure(19.0, basis="by hand"), NOT_DRAWN, ""),
        (measure(12.0, basis="known"), measure(19.0, basis="known"), NOT_DRAWN, "a"),
        # What is open of the better one might make it the worse; of the other it cannot.
        (measure(12.0, still_open=("bearing",)), measure(19.0), NOT_DRAWN, ""),
        (measure(12.0), measure(19.0, still_open=("bearing",)), NOT_DRAWN, "a"),
        (measure(12.0, still_open=("x",)), measure(19.0, still_open=("x", "y")), NOT_DRAWN, "a"),
    ],
)
def test_which_is_better(a: Measure, b: Measure, odds: Odds, winner: str) -> None:
    assert Row(a, b, odds).winner == winner
    band = tuple(-one for one in reversed(odds.difference))
    mirrored = Odds(odds.floors, odds.b_less, odds.a_less, band, odds.of)
    assert Row(b, a, mirrored).winner == {"a": "b", "b": "a", "": ""}[winner]


BASES = ("bearers on packers", "screw feet", "ladder frame", "levelling compound",
         "stacks without bearers")  # fmt: skip


@pytest.mark.parametrize(("one", "other"), list(combinations(BASES, 2)))
def test_swapped_it_is_the_same_to_the_last_bit(comparison_of, one: str, other: str) -> None:
    forth = comparison_of("reading-room", one, other)
    back = comparison_of("reading-room", other, one)
    assert back.table()[list(forth.table().columns)].equals(forth.table())
    for there, here in zip(forth.rows, back.rows, strict=True):
        # As they are written: what is not a number equals nothing, itself included.
        assert (repr(there.a), repr(there.b)) == (repr(here.b), repr(here.a))
        assert {"a": "b", "b": "a", "": ""}[there.winner] == here.winner
        assert (there.odds.a_less, there.odds.b_less) == (here.odds.b_less, here.odds.a_less)
        assert [-d for d in reversed(there.odds.difference)] == list(here.odds.difference)


@pytest.mark.parametrize("base", BASES)
def test_a_base_beside_itself_shows_no_difference(comparison_of, base: str) -> None:
    itself = comparison_of("reading-room", base, base)
    table = itself.table()
    assert itself.names == (base, f"{base} (again)")
    known = table[base].notna()
    assert set(table["better"][known]) == {NO_DIFFERENCE}
    assert set(table["better"][~known]) <= {""}
    assert known.sum() > 20


def test_the_order_is_always_the_same(packers_and_feet) -> None:
    keys = [row.key for row in packers_and_feet.rows]
    assert keys == in_order(reversed(keys))
    assert [key for key in keys if not key.startswith("margin ")] == [k for k in KEYS if k in keys]
    margins = [key for key in keys if key.startswith("margin ")]
    assert margins == sorted(margins)
    assert len(margins) > 10


def test_what_one_base_has_nothing_of_is_told(packers_and_feet) -> None:
    row = packers_and_feet.row("margin bearer bending")
    assert row.a.known
    assert (row.b.known, packers_and_feet.better(row)) == (False, "")
    assert row.b.why_unknown == "this base has nothing of the kind to check"
    told = packers_and_feet.doubts().set_index("measure").loc["least margin: bearer bending"]
    assert told["why_unknown"] == row.b.why_unknown


def test_two_floors_are_not_compared(answer_of) -> None:
    one = answer_of("reading-room", "bearers on packers")
    other = answer_of("boot-room", "bearers on packers")
    with pytest.raises(Refusal, match="on the same floor"):
        kit.compare(one, other)


def test_no_floor_drawn_is_refused(answer_of) -> None:
    one = answer_of("reading-room", "bearers on packers")
    with pytest.raises(Refusal, match="1 or more"):
        kit.compare(one, one, floors=0)


def test_answers_of_one_floor_with_other_furniture_are_compared(job_of, answer_of) -> None:
    """A heavier unit: more on the joists, the same packers."""
    job = job_of("reading-room")
    (run,) = job.runs
    deep: Unit = run.units[2].model_copy(update={"contents_kg": 290.0})
    heavier = run.model_copy(update={"units": (*run.units[:2], deep, run.units[3])})
    name = "bearers on packers"
    before = answer_of("reading-room", name)
    after = kit.solve(job.model_copy(update={"runs": (heavier,)}), name, before=before)
    compared = kit.compare(before, after, floors=5)
    assert compared.row("least_margin").winner == "a"
    assert compared.row("reaction_N").winner == "a"
    assert compared.row("packers").difference == 0


def test_an_unknown_measure_is_refused(packers_and_feet) -> None:
    with pytest.raises(Refusal, match="'beauty'; allowed: one of built, lowest_top_mm"):
        packers_and_feet.row("beauty")


def test_what_is_not_priced_costs_nobody_knows_what(job_of) -> None:
    job = job_of("reading-room")
    feet = job.bases[1]
    unpriced = tuple(replace_price(foot) for foot in feet.feet)
    bases = (job.bases[0], feet.model_copy(update={"feet": unpriced}))
    job = job.model_copy(update={"bases": bases})
    first = kit.solve(job)
    compared = kit.compare(first, kit.solve(job, feet.name, before=first), floors=5)
    row = compared.row("cost")
    assert math.isnan(row.b.value)
    assert (row.b.why_unknown, row.winner) == ("no price of screw foot, 40-65 mm", "")


def replace_price(foot):
    return foot.model_copy(update={"price": None})


def test_a_row_is_sure_only_of_what_is_known() -> None:
    row = Row(measure(1.0), replace(measure(2.0), value=math.nan), NOT_DRAWN)
    assert (row.sure, row.comparable, row.known) == (False, False, False)


def test_a_check_that_one_base_lacks_makes_it_no_better(job_of) -> None:
    """Feet of which nobody says what they bear, beside the same feet with their maker's figure."""
    job = job_of("reading-room")
    feet = job.bases[1]
    nobody_says = feet.model_copy(
        update={
            "name": "unvouched",
            "feet": tuple(foot.model_copy(update={"bears_n": None}) for foot in feet.feet),
        }
    )
    job = job.model_copy(update={"bases": (feet, nobody_says)})
    first = kit.solve(job, feet.name)
    compared = kit.compare(first, kit.solve(job, "unvouched", before=first), floors=5)
    row = compared.row("least_margin")
    assert row.b.value > row.a.value
    assert (row.winner, compared.better(row)) == ("", "")
    assert row.why_not.startswith("not checked of the one that seems better: load on foot")
    assert "unvouched is no worse" not in verdict(compared)


def test_compound_that_no_floor_allows_is_no_better(job_of) -> None:
    """The greatest depth just suffices on the expected floor: on hardly any that fits."""
    job = job_of("reading-room")
    bearers, pour = job.bases[0], job.bases[3]
    first = kit.solve(job)
    deepest = kit.solve(job, pour.name, before=first).details["zones.csv"]["greatest_mm"].max()
    compound = pour.compound.model_copy(update={"greatest_mm": float(deepest) + 0.01})
    tight = pour.model_copy(update={"compound": compound})
    job = job.model_copy(update={"bases": (bearers, tight)})
    compared = kit.compare(first, kit.solve(job, tight.name, before=first), floors=60)
    assert compared.doubt.b.built.mean() < 0.5
    assert compared.row("built").winner == "a"
    for key in ("things", "hours", "cost"):
        assert compared.row(key).winner == ""
