"""The rows of each unit: which there are, their verdicts at and beyond the limit, the words."""

import math
import time
from dataclasses import replace
from pathlib import Path

import pytest

from kit.base.checks import Check
from kit.base.layout import footprint_loads, lay_out
from kit.base.runs import PlacedUnit
from kit.job import Job, Unit, read_job
from kit.strength.furniture import Consequence, Gap, consequence, feet_of, gaps
from kit.strength.standing import TiltUp, Tipping, pivot_mm, tilt_up, tipping
from kit.strength.unit_checks import subject_of, tipping_cautions, unit_checks

PLUMB = Consequence("A", "case", 0.0, 0.0, 0.0, 0.0, 0.0, math.nan)
FITS = TiltUp("A", "case", 1194.0, 2600.0, 2660.0)
HEAVY = Tipping("A", "case", 265.0, 1150.0, 61.0, 190.0, 112.0, 350.0, 0.0)


def case(**changes: object) -> PlacedUnit:
    plain = {"name": "case", "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1150.0}
    return PlacedUnit("A", Unit.model_validate({**plain, "mass_kg": 38.0, **changes}), 0.0)


def checked(
    one: Consequence = PLUMB,
    tilt: TiltUp = FITS,
    tip: Tipping = HEAVY,
    unit: PlacedUnit | None = None,
    between: tuple[Gap, ...] = (),
) -> dict[str, Check]:
    found = unit_checks((unit or case(),), (one,), between, (tilt,), (tip,), several_runs=False)
    return {check.check: check for check in found}


def test_all_rows_of_a_unit_that_stands_well() -> None:
    rows = checked(between=(Gap("A", "case", "next", 1150.0, 3.0, 3.5),))
    assert list(rows) == [
        "lean along the run",
        "lean into the room",
        "wind of the base",
        "taper of a door's gap",
        "gap to the next unit at the top",
        "tilting up on the base",
        "tilting up on the floor, then lifted",
        "push that tips it forward",
        "push that slides it",
    ]
    assert {row.verdict for row in rows.values()} == {"ok"}
    assert {row.subject for row in rows.values()} == {"case"}
    assert all(row.source for row in rows.values())


@pytest.mark.parametrize(
    ("field", "check", "limit"),
    [
        ("lean_along_mm", "lean along the run", 2.3),  # 2 mm/m at 1150 mm
        ("lean_out_mm", "lean into the room", 2.3),
        ("settled_lean_mm", "lean into the room, with lift and settlement", 2.3),
        ("wind_mm", "wind of the base", 2.0),
        ("door_taper_mm", "taper of a door's gap", 2.0),
    ],
)
@pytest.mark.parametrize("sign", [1, -1])
def test_limits_are_closed_and_two_sided(field: str, check: str, limit: float, sign: int) -> None:
    at = checked(replace(PLUMB, **{field: sign * limit}))
    row = at[check]
    assert (row.verdict, row.unit) == ("ok", "mm")
    assert (row.value, row.limit) == pytest.approx((limit, limit), abs=1e-12)  # 2 * 1150 / 1000
    beyond = checked(replace(PLUMB, **{field: sign * (limit + 1e-6)}))
    assert beyond[check].verdict == "refer"
    assert "common practice, no source" in beyond[check].source
    others = [row for name, row in beyond.items() if name != check]
    assert {row.verdict for row in others} == {"ok"}


def test_the_source_says_which_way() -> None:
    one = replace(PLUMB, lean_along_mm=-1.0, lean_out_mm=0.4, wind_mm=0.3, settled_lean_mm=-0.2)
    rows = checked(one)
    assert rows["lean along the run"].source.startswith("top to the left")
    assert rows["lean into the room"].source.startswith("top into the room")
    settled = rows["lean into the room, with lift and settlement"]
    assert settled.source.startswith("top back to the wall")
    assert rows["wind of the base"].source.startswith("back left and front right stand high")
    assert checked()["lean along the run"].source.startswith("plumb")


def test_unknown_heights_are_not_checked() -> None:
    rows = checked(
        Consequence("A", "case", *[math.nan] * 4, 0.0, math.nan),
        between=(Gap("A", "case", "next", 1150.0, 3.0, math.nan),),
    )
    open_ = [name for name, row in rows.items() if row.verdict == "not_checked"]
    assert len(open_) == 5
    for name in open_:
        assert math.isnan(rows[name].value)
        assert math.isnan(rows[name].limit)
        assert "not known" in rows[name].source


@pytest.mark.parametrize(
    ("before", "top", "limit", "verdict"),
    [
        (3.0, 5.0, 5.0, "ok"),  # wider by 2: closed
        (3.0, 5.1, 5.0, "refer"),
        (3.0, 1.0, 1.0, "ok"),  # narrower by 2: closed
        (3.0, 0.9, 1.0, "refer"),
        (1.0, 0.0, 0.0, "ok"),  # just touching
        (1.0, -0.2, 0.0, "refer"),  # pressing, although the change is below 2
        (0.0, -1.9, -2.0, "ok"),  # butted units are screwed together and share it
        (0.0, -2.1, -2.0, "refer"),
        (0.0, 1.9, 2.0, "ok"),
    ],
)
def test_a_gap_changes_by_two_at_most_and_one_that_was_meant_never_closes(
    before: float, top: float, limit: float, verdict: str
) -> None:
    gap = Gap("A", "case", "next", 1150.0, before, top)
    row = checked(between=(gap,))["gap to the next unit at the top"]
    assert (row.value, row.limit, row.verdict) == (top, limit, verdict)
    assert "'next'" in row.source
    assert ("press" in row.source) == (top < 0)


def test_a_gap_belongs_to_the_unit_on_its_left_in_its_own_run() -> None:
    other = (Gap("B", "case", "next", 1150.0, 3.0, 3.5), Gap("A", "before", "case", 900.0, 3, 3))
    assert "gap to the next unit at the top" not in checked(between=other)


@pytest.mark.parametrize(
    ("diagonal", "on_base", "on_floor"),
    [(2600.0, "ok", "ok"), (2600.1, "refer", "ok"), (2660.1, "refer", "fail")],
)
def test_tilting_up(diagonal: float, on_base: str, on_floor: str) -> None:
    rows = checked(tilt=replace(FITS, diagonal_mm=diagonal))
    base, floor = rows["tilting up on the base"], rows["tilting up on the floor, then lifted"]
    assert (base.value, base.limit, base.verdict) == (diagonal, 2600.0, on_base)
    assert (floor.value, floor.limit, floor.verdict) == (diagonal, 2660.0, on_floor)
    assert ("build it in place" in floor.source) == (on_floor == "fail")


def test_tilting_up_without_a_ceiling_is_not_checked() -> None:
    rows = checked(tilt=tilt_up(case(), 60.0, 0.0))
    for name in ("tilting up on the base", "tilting up on the floor, then lifted"):
        assert rows[name].verdict == "not_checked"
        assert "ceiling_mm" in rows[name].source


def test_pushes_of_a_tall_unit() -> None:
    light = replace(HEAVY, tips_empty_N=44.4, slides_empty_N=44.5)
    rows = checked(tip=light)
    tips, slides = rows["push that tips it forward"], rows["push that slides it"]
    assert (tips.value, tips.limit, tips.unit, tips.verdict) == (44.4, 44.5, "N", "refer")
    assert (slides.value, slides.limit, slides.verdict) == (44.5, 44.5, "ok")  # closed
    for row in (tips, slides):
        assert row.source.startswith("fix to the wall before loading whatever the verdict")
        assert "from memory" in row.source


def test_a_low_unit_has_no_push_rows_and_one_at_the_limit_has() -> None:
    low, tall = checked(unit=case(height_mm=685.9)), checked(unit=case(height_mm=686.0))
    assert not [name for name in low if name.startswith("push")]
    assert len([name for name in tall if name.startswith("push")]) == 2


def test_a_unit_without_mass_is_not_checked() -> None:
    rows = checked(tip=tipping(case(mass_kg=0.0), 265.0))
    for name in ("push that tips it forward", "push that slides it"):
        assert rows[name].verdict == "not_checked"
        assert math.isnan(rows[name].limit)
        assert "mass_kg" in rows[name].source


def test_a_unit_that_tips_by_itself_is_referred_at_nothing() -> None:
    row = checked(tip=tipping(case(centre_of_gravity_mm=300.0), 265.0))["push that tips it forward"]
    assert (row.value, row.verdict) == (0.0, "refer")


def said(tip: Tipping, **changes: object) -> list[str]:
    return list(tipping_cautions((case(**changes),), (tip,), several_runs=False))


def test_cautions_in_words() -> None:
    assert said(replace(HEAVY, tips_empty_N=31.2, fixing_N=120.4)) == [
        "Fix 'case' to the wall at its top before loading: unfixed, a push of 31 N at 1.15 m"
        " tips it, and the fixing must take 120 N if a child hangs on its front."
    ]
    assert said(HEAVY) == [
        "Fix 'case' to the wall at its top before loading: unfixed, a push of 61 N at 1.15 m"
        " tips it; a child of 27 kg hanging still on its front does not, one that climbs may."
    ]
    (alone,) = said(replace(HEAVY, tips_empty_N=0.0, fixing_N=15.0))
    assert "tips by itself: hold it until it is fixed, and the fixing must take 15 N" in alone
    (unknown,) = said(tipping(case(mass_kg=0.0), 265.0))
    assert unknown.startswith("Fix 'case' to the wall at its top before loading: no mass is given")
    assert said(HEAVY, height_mm=600.0) == []


@pytest.fixture(scope="module")
def boot_room() -> Job:
    return read_job(Path(__file__).parents[2] / "data" / "boot-room")


def test_subjects_are_the_words_of_the_footprint_loads(boot_room: Job) -> None:
    layout = lay_out(boot_room, boot_room.bases[0])
    assert len(layout.frames) > 1
    names = [subject_of(placed, several_runs=True) for placed in layout.units]
    assert names == list(footprint_loads(layout))


def test_a_whole_room_takes_no_time(boot_room: Job) -> None:
    """All of it for two runs, with rows for every unit, in far less than a key press."""
    base = boot_room.bases[0]
    layout = lay_out(boot_room, base)

    def whole() -> list[Check]:
        feet = [feet_of(one, layout.rows, lambda _, x: x / 1e4) for one in layout.units]
        found = [consequence(*pair) for pair in zip(layout.units, feet, strict=True)]
        pivots = [pivot_mm(one, layout.rows, base.bearer.width_mm) for one in layout.units]
        tips = [tipping(*pair) for pair in zip(layout.units, pivots, strict=True)]
        tilts = [tilt_up(one, 60.0, 0.0, 2400.0) for one in layout.units]
        between = gaps(layout.units, found)
        return list(unit_checks(layout.units, found, between, tilts, tips, several_runs=True))

    rows = whole()
    assert {row.subject for row in rows} == set(footprint_loads(layout))
    took = []
    for _ in range(20):
        start = time.perf_counter()
        whole()
        took.append(time.perf_counter() - start)
    # 1 ms for ten units on a quiet machine; the best of 20, with room for a slow one
    assert min(took) < 0.005 * max(1.0, len(layout.units) / 10)
