"""The fewest feet to turn, against every level of a fine grid, and told end to end."""

import math
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

import kit
from kit.as_built import check_base
from kit.as_built.feet_turns import FeetTask, fewest_turns, plan_turns, turn_sentences, turns_to
from kit.job import Job
from kit.parts import Answer

Staff = Callable[..., list[tuple[object, ...]]]

#: Tops, travel and tolerance are whole tenths, so that every level that can be the best, a middle
#: of two of them or less, lies on a grid of 0.05 mm.
GRID_MM = 0.05


def best_of_the_grid(task: FeetTask) -> tuple[int, float, float, float] | None:
    """Return feet turned, greatest error, sum of turns and level of the best level tried."""
    best = None
    for step in range(round(-20 / GRID_MM), round(20 / GRID_MM) + 1):
        level = step * GRID_MM
        if not task.low_mm - 1e-6 <= level <= task.high_mm + 1e-6:
            continue
        turned, errors, total = 0, [0.0], 0.0
        for top, up, down in zip(task.top_mm, task.up_mm, task.down_mm, strict=True):
            if abs(level - top) <= task.tolerance_mm + 1e-6:
                errors.append(abs(level - top))
                continue
            by = min(max(level - top, -down), up)
            turned, total = turned + 1, total + abs(by)
            errors.append(abs(top + by - level))
        if max(errors) <= task.tolerance_mm + 1e-6:
            found = (turned, round(max(errors), 6), round(total, 6), round(level, 6))
            best = found if best is None else min(best, found)
    return best


@pytest.mark.parametrize("first", range(0, 400, 100))
def test_no_level_is_better(first: int) -> None:
    none = 0
    for seed in range(first, first + 100):
        draw = np.random.default_rng(seed)
        count = int(draw.integers(1, 8))
        whole = draw.integers([[-40], [0], [0]], [[41], [50], [50]], (3, count)) / 10
        window = np.sort(draw.integers(-60, 60, 2)) / 10 if seed % 3 == 0 else (-math.inf, math.inf)
        tolerance = int(draw.integers(2, 12)) / 10
        names = tuple("abcdefgh"[:count])
        task = FeetTask(names, *whole, tolerance, float(window[0]), float(window[1]))
        level, best = fewest_turns(task), best_of_the_grid(task)
        if best is None:
            assert math.isnan(level)
            none += 1
            continue
        turns = turns_to(task, level)
        left = np.abs(task.top_mm + turns - level)
        found = (np.count_nonzero(turns), left.max(), np.abs(turns).sum(), level)
        assert found == pytest.approx(best, abs=2e-6)  # the grid's own figures are rounded to 1e-6
    assert 5 < none < 60  # both kinds are met


def test_travel_that_is_lacking_is_named() -> None:
    """The one high foot goes 0.4 mm down, the low one 0.9 mm up; 5 mm lie between them."""
    supports = pd.DataFrame(
        {"support": list("abcd"), "top_mm": [0.1, 3.2, -1.8, math.nan], "sd_mm": 0.1}
    )
    feet = pd.DataFrame(
        {"support": list("dabc"), "up_left_mm": [9, 8, 7, 0.9], "down_left_mm": [9, 8, 0.4, 7]}
    )
    turns = plan_turns(supports, feet, 0.5)
    assert not turns.possible
    assert turns.short == ("b", "c")
    assert turns.lacking_mm == pytest.approx(5 - 0.4 - 0.9 - 2 * 0.5)
    assert turns.turned.empty
    (said,) = turn_sentences(turns)
    assert "b and c lack 2.7 mm of the travel" in said


def test_a_base_on_feet_from_its_table_to_what_is_turned(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    answer = kit.solve(reading_room.job, "screw feet", before=reading_room)
    at = answer.supports.set_index("support")[["x_mm", "y_mm"]]
    high, low = "B3", "F6"
    wrong = {tuple(at.loc[high]): 2.6, tuple(at.loc[low]): -3.3}
    rows = staff(answer, lambda x, y: 57.1 + wrong.get((x, y), 0.0))
    checked = check_base(as_read(answer, rows, tolerance_mm=0.5), answer=answer)
    turned = checked.changes.turns.turned.set_index("support")
    assert turned.index.tolist() == [high, low]
    assert turned["turn_mm"].tolist() == pytest.approx([-2.6, 3.3], abs=1e-5)  # as booked
    planned = answer.details["feet.csv"].set_index("support")
    assert turned.loc[low, "up_left_mm"] == planned.loc[low, "up_left_mm"]
    assert checked.changes.turns.greatest_after_mm < 1e-5
    left = planned.loc[low, "up_left_mm"] - 3.3
    assert any(
        one.startswith(f"{low}: turn up by 3.3 mm; as planned {left:.1f} mm of travel up is left")
        for one in checked.sentences
    )
    # Two readings of each: 0.1 / sqrt(2) against the mean of all, twice that and to a tenth.
    assert any("as sure as they are, ± 0.1 mm at a support (2 sd)" in s for s in checked.sentences)


def test_feet_that_lie_level_stay(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    answer = kit.solve(reading_room.job, "screw feet", before=reading_room)
    rows = staff(answer, lambda x, _y: 57.1 + 0.0002 * x, leave=("B4",))
    checked = check_base(as_read(answer, rows, tolerance_mm=0.5), answer=answer)
    turns = checked.changes.turns
    assert turns.turned.empty
    assert turns.table.set_index("support")["off_before_mm"].isna().sum() == 1
    assert any(one.startswith("No foot has to be turned") for one in checked.sentences)


def test_a_level_base_below_the_heights_asked_for_is_turned_up(
    market_counter: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    """The plan stands at the least height; every foot stands 1.9 mm lower, or 25 mm."""
    job = market_counter.job
    answer = kit.solve(job, "screw feet", before=market_counter)
    plan, mark = answer.datum.base_top_mm, job.floor.benchmark
    assert plan == pytest.approx(answer.datum.window.low.datum_mm)

    def sentences(low_mm: float) -> list[str]:
        rows = [
            *staff(answer, lambda _x, _y: plan - low_mm),
            ("T1", mark, 1290.25 - job.floor.benchmark_mm),
            ("T2", mark, 1311.5 - job.floor.benchmark_mm),
        ]
        checked = check_base(as_read(answer, rows, tolerance_mm=1.0), answer=answer)
        assert checked.verdict == "within"
        return list(turn_sentences(checked.changes.turns))

    said = sentences(1.9)
    assert said[0].startswith(f"Turn {len(answer.supports)} feet")
    assert "not among the heights asked for (base.height_mm)" in said[1]
    assert all("turn up by 1.9 mm" in one for one in said[2:])
    assert sentences(0.9) == ["No foot has to be turned, going by the readings as they are."]
    (stuck,) = sentences(25.0)
    feet = answer.details["feet.csv"].set_index("support")["up_left_mm"]
    lacking = 25.0 - 1.0 - feet.min()
    assert f"for the heights asked for {feet.idxmin()} lacks {lacking:.1f} mm" in stuck
