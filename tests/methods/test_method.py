"""What all ways of building share: what they say, and which keys of a base they look at."""

from functools import cache
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest

import kit
from kit.answer import Answer
from kit.base.bill import Item, Operation
from kit.job import Base, Job, Refusal
from kit.job.ways import unused_keys, way_of
from kit.methods.method import Lie, as_expected, bill_of, no_cuts, no_screws, no_stacks, under_lie

DATA = Path(__file__).parents[2] / "data"
METHODS = get_args(Base.model_fields["method"].annotation)

#: Of each key another value than any base of the reading room has.
OTHER: dict[str, Any] = {
    "end_inset_mm": 12.0,
    "max_span_mm": 410.0,
    "max_pieces": 4,
    "max_stack_mm": 25.0,
    "minimum_pack_mm": 60.5,
    "tolerance_mm": 0.45,
    "back_mm": 31.0,
    "front_mm": 72.0,
    "bearer": {"width_mm": 70.0, "thickness_mm": 33.0},
    "feet": ({"low_mm": 30.0, "high_mm": 99.0, "plate_mm": 80.0},),
    "ladder": {"boards": ({"mm": 120.0},)},
    "compound": {
        "least_mm": 2.0,
        "greatest_mm": 60.0,
        "powder_kg_per_l": 1.5,
        "set_kg_per_l": 1.9,
        "drying": ({"to_mm": 60.0, "days": 4.0},),
    },
}


@cache
def reading_room() -> Job:
    return kit.read_job(DATA / "reading-room")


@cache
def answer_of(method: str) -> Answer:
    job = reading_room()
    return kit.solve(job, next(base.name for base in job.bases if base.method == method))


def changed(method: str, **changes: Any) -> Answer:
    before = answer_of(method)
    base = Base.model_validate(before.base.model_dump(exclude_unset=True) | changes)
    return kit.solve(reading_room().model_copy(update={"bases": (base,)}), before=before)


def same(one: Answer, other: Answer) -> bool:
    return (
        one.datum.datum_mm == other.datum.datum_mm
        and one.bill == other.bill
        and one.traits == other.traits
        and one.supports.equals(other.supports)
        and one.stacks.equals(other.stacks)
        and one.checks.equals(other.checks)
    )


@pytest.mark.parametrize("method", METHODS)
def test_keys_that_are_told_unused_change_nothing_and_are_named_once(method: str) -> None:
    before = answer_of(method)
    unused = way_of(before.base).unused
    other = changed(method, **{key: OTHER[key] for key in unused})
    assert same(before, other)
    said = [one for one in other.cautions if "not used by this way of building" in one]
    assert said == [
        f"Given in the job file, and not used by this way of building: {', '.join(unused)}."
    ]
    assert not any("not used by this way" in one for one in before.cautions)


@pytest.mark.parametrize("method", METHODS)
def test_keys_that_are_not_told_unused_change_something(method: str) -> None:
    before = answer_of(method)
    used = [key for key in OTHER if key not in way_of(before.base).unused]
    if method == "ladder":
        used.remove("minimum_pack_mm")  # of members that bridge an area; there is none here
    for key in used:
        try:
            other = changed(method, **{key: OTHER[key]})
        except Refusal:
            continue
        assert not same(before, other), key
    assert used


def test_a_key_that_says_what_holds_without_it_is_not_told() -> None:
    feet = ({"low_mm": 40.0, "high_mm": 65.0},)
    base = Base.model_validate(
        {"name": "b", "method": "feet", "height_mm": 60.0, "feet": feet, "end_inset_mm": 0.0,
         "max_stack_mm": 80.0, "max_span_mm": 600.0}
    )  # fmt: skip
    assert unused_keys(base) == ("max_stack_mm",)


@pytest.mark.parametrize("method", METHODS)
def test_of_screws_is_spoken_only_where_the_base_has_some(method: str) -> None:
    answer = answer_of(method)
    said = " ".join(answer.cautions)
    screwed = len(answer.screws) > 0
    assert screwed == (method in ("packers", "stacks"))
    for words in ("Pre-drill", "Set each screw beside", "522.6.201"):
        assert (words in said) == screwed
    assert ("this base puts no screw into the floor" in said) == (not screwed)
    assert said.endswith("Local codes and licensed practice come first.")
    assert ("bearer" in said.replace("No bearer", "")) <= (method == "packers")


@pytest.mark.parametrize(
    ("method", "along"),
    [("packers", "bearer"), ("stacks", "row"), ("feet", "row"), ("ladder", "member")],
)
def test_a_support_outside_the_survey_is_told_by_what_lies_there(method: str, along: str) -> None:
    job = reading_room()
    run = job.runs[0]
    far = run.model_copy(update={"origin_mm": (run.origin_mm[0] + 2500.0, run.origin_mm[1])})
    base = answer_of(method).base
    with pytest.raises(Refusal) as refused:
        kit.solve(job.model_copy(update={"runs": (far,), "bases": (base,)}))
    told = str(refused.value)
    assert told.startswith(f"{along} B, support B")
    assert ("bearer" in told) == (along == "bearer")


def test_a_drawn_floor_is_as_high_as_its_highest_place() -> None:
    lie = Lie.drawn(np.array([1.5, -2.0]), np.array([0.25, 3.75, -8.0]))
    assert lie.high_point_mm == 3.75
    ground = answer_of("packers").ground
    expected = as_expected(ground)
    assert under_lie(ground, expected)["height_mm"].tolist() == expected.under_mm.tolist()
    raised = under_lie(ground, Lie.drawn(expected.supports_mm, expected.under_mm + 1.25))
    assert (raised["height_mm"] - ground.known["height_mm"]).to_numpy() == pytest.approx(1.25)


def test_a_bill_lists_only_what_there_is_and_empty_tables_have_their_columns() -> None:
    some, none = Item("packer", 3.0, 2, None, 0.5), Item("packer", 6.0, 0)
    work = Operation("lay", 2, "packer", 1.5, "from memory"), Operation("cut", 0, "m", 4.0, "")
    bill = bill_of((some, none), work, mass_kg=1.25, wait_days=3.0)
    assert bill.items == (some,)
    assert bill.work == work[:1]
    assert (bill.mass_kg, bill.litres, bill.wait_days) == (1.25, 0.0, 3.0)
    made = answer_of("packers")
    assert list(no_stacks().columns) == list(made.stacks.columns)
    assert list(no_screws().columns) == list(made.screws.columns)
    assert list(no_cuts().cuts.columns) == list(made.cuts.cuts.columns)
    assert list(no_cuts().bought.columns) == list(made.cuts.bought.columns)
