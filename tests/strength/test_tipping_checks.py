"""The rows and cautions of what tips a unit: which there are, their limits, the words."""

import math
from dataclasses import replace

import pytest

from kit.base.checks import Check
from kit.base.runs import PlacedUnit
from kit.job import Unit
from kit.strength.standing import Tipping, tipping
from kit.strength.tipping_checks import (
    easiest_first,
    listed,
    tipped_by_a_person,
    tipping_cautions,
    tipping_checks,
)

HEAVY = Tipping("A", "case", 265.0, 1150.0, 61.0, 190.0, 112.0, 350.0, 0.0, 0.4)
TIPS, SLIDES, PERSON = (
    "push that tips it forward",
    "push that slides it",
    "person on its front edge",
)


def case(name: str = "case", **changes: object) -> PlacedUnit:
    plain = {"name": name, "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1150.0}
    return PlacedUnit("A", Unit.model_validate({**plain, "mass_kg": 38.0, **changes}), 0.0)


def bench(name: str = "bench", **changes: object) -> PlacedUnit:
    return case(name, **{"height_mm": 430.0, "contents_are": "people", **changes})


def rows_of(unit: PlacedUnit, tip: Tipping = HEAVY) -> dict[str, Check]:
    return {check.check: check for check in tipping_checks("A: it", unit, tip)}


def test_pushes_of_a_tall_unit() -> None:
    light = replace(HEAVY, tips_empty_N=44.4, slides_empty_N=44.5)
    rows = rows_of(case(), light)
    assert list(rows) == [TIPS, SLIDES]
    tips, slides = rows[TIPS], rows[SLIDES]
    assert (tips.value, tips.limit, tips.unit, tips.verdict) == (44.4, 44.5, "N", "refer")
    assert (slides.value, slides.limit, slides.verdict) == (44.5, 44.5, "ok")  # closed
    for row in (tips, slides):
        assert row.subject == "A: it"
        assert row.source.startswith("fix to the wall before loading whatever the verdict")
        assert "from memory" in row.source


def test_a_low_unit_has_the_push_that_tips_it_and_nothing_that_slides() -> None:
    low, tall = rows_of(case(height_mm=685.9)), rows_of(case(height_mm=686.0))
    assert list(low) == [TIPS]
    assert low[TIPS].source.startswith("fix it to the wall, or set the front bearer forward")
    assert list(tall) == [TIPS, SLIDES]


def test_a_light_bench_on_a_front_bearer_far_back_is_referred() -> None:
    """25 kg, 400 deep, tipping about 250 mm: 25 * 9.81 * 50 / 450 = 27 N at its top."""
    one = case(mass_kg=25.0, depth_mm=400.0, height_mm=450.0)
    row = rows_of(one, tipping(one, 250.0))[TIPS]
    assert row.value == pytest.approx(25 * 9.81 * 50 / 450, rel=1e-12)
    assert row.verdict == "refer"
    assert "at 450 mm" in row.source


def test_a_unit_that_tips_by_itself_is_referred_at_nothing() -> None:
    one = case(centre_of_gravity_mm=300.0)
    row = rows_of(one, tipping(one, 265.0))[TIPS]
    assert (row.value, row.verdict) == (0.0, "refer")


@pytest.mark.parametrize(("ratio", "verdict"), [(1.0, "ok"), (1.001, "refer"), (math.inf, "refer")])
def test_a_person_on_the_front_edge(ratio: float, verdict: str) -> None:
    row = rows_of(bench(), replace(HEAVY, person_ratio=ratio))[PERSON]
    assert (row.value, row.limit, row.unit, row.verdict) == (ratio, 1.0, "ratio", verdict)
    assert "80 kg" in row.source
    assert "common practice, no source" in row.source
    assert ("fix it to the wall, or set the front bearer" in row.source) == (verdict == "refer")
    assert "front_mm" in row.source or verdict == "ok"


def test_only_units_that_hold_people_have_a_person_on_them() -> None:
    tips = replace(HEAVY, person_ratio=3.0)
    assert PERSON not in rows_of(bench(contents_are="stored"), tips)
    assert tipped_by_a_person(bench(), tips)
    assert not tipped_by_a_person(bench(contents_are="stored"), tips)
    assert not tipped_by_a_person(bench(), replace(tips, person_ratio=1.0))


def test_a_unit_without_mass_is_not_checked() -> None:
    unknown = bench(height_mm=900.0, mass_kg=0.0)
    rows = rows_of(unknown, tipping(unknown, 265.0))
    assert list(rows) == [TIPS, SLIDES, PERSON]
    for row in rows.values():
        assert row.verdict == "not_checked"
        assert math.isnan(row.value)
        assert math.isnan(row.limit)
        assert "mass_kg" in row.source


def said(*pairs: tuple[PlacedUnit, Tipping], several_runs: bool = False) -> list[str]:
    units, tippings = zip(*pairs, strict=True)
    return list(tipping_cautions(units, tippings, several_runs=several_runs))


def test_one_caution_lists_tall_units_and_those_that_tip_early_the_easiest_first() -> None:
    assert said(
        (case("a"), replace(HEAVY, tips_empty_N=61.4)),
        (case("none", mass_kg=0.0), tipping(case(mass_kg=0.0), 265.0)),
        (case("b"), replace(HEAVY, tips_empty_N=34.2, push_height_mm=1422.0)),
        (case("low", height_mm=685.0), replace(HEAVY, tips_empty_N=12.0)),
        (case("safe", height_mm=685.0), replace(HEAVY, tips_empty_N=44.5)),
        (case("c"), replace(HEAVY, tips_empty_N=0.0)),
    ) == [
        "Fix to the wall at the top before loading: 'c' (tips by itself: hold it until it is"
        " fixed), 'low' (unfixed, 12 N at 1.15 m tip it), 'b' (unfixed, 34 N at 1.42 m tip it),"
        " 'a' (unfixed, 61 N at 1.15 m tip it),"
        " 'none' (no mass given, so that nobody knows what tips it)."
    ]


def test_more_than_six_are_counted() -> None:
    pushes = (80.0, 31.0, 77.0, 40.0, 66.0, 52.0, 90.0, 59.0)
    (line,) = said(
        *((case(f"u{push:.0f}"), replace(HEAVY, tips_empty_N=push)) for push in pushes),
        several_runs=True,
    )
    names = [part.split("'")[0] for part in line.split("'A: ")[1:]]
    assert names == ["u31", "u40", "u52", "u59", "u66", "u77"]
    assert line.endswith("'A: u77' (unfixed, 77 N at 1.15 m tip it) and 2 more.")


def test_one_caution_lists_what_a_person_tips() -> None:
    assert said(
        (bench(), replace(HEAVY, person_ratio=2.34)),
        (case("low", height_mm=430.0), replace(HEAVY, person_ratio=5.0)),
        (bench(name="seat"), replace(HEAVY, person_ratio=math.inf)),
        (bench(name="safe"), HEAVY),
    ) == [
        "A person of 80 kg on the front edge tips 'bench' (2.3 times what it holds empty), 'seat'"
        " (more than what it holds empty): fix it to the wall, or set the front bearer forward"
        " (front_mm)."
    ]


def test_low_units_alone_call_for_nothing() -> None:
    assert said((bench(), HEAVY), (case(height_mm=600.0), HEAVY)) == []


def test_lists() -> None:
    assert listed(["a", "b", "c", "d", "e", "f"]) == "a, b, c, d, e, f"
    assert listed(list("abcdefg")) == "a, b, c, d, e, f and 1 more"
    named = [("x", replace(HEAVY, tips_empty_N=math.nan)), ("y", HEAVY)]
    assert [name for name, _ in easiest_first(named)] == ["y", "x"]
