from collections import Counter
from collections.abc import Callable

import numpy as np
import pytest

from kit.as_built.changes import Changes, no_changes, plan_changes
from kit.as_built.standing import Standing, what_stands
from kit.job import Job
from kit.parts import Answer

ROWS = [("T", "B1", 1200)]


def changes(
    answer: Answer,
    job: Job,
    off: dict[str, float],
    tolerance_mm: float = 0.5,
    *,
    top_mm: float = 100.0,
    absolute: bool = False,
) -> Changes:
    assert job.as_built is not None
    names = answer.supports["support"]
    tops = np.array([top_mm + off.get(name, 0.0) for name in names])
    supports = answer.supports[["support"]].assign(top_mm=tops, sd_mm=0.2)
    standing = what_stands(job.folder, answer, job.as_built)
    return plan_changes(answer, standing, supports, tolerance_mm, absolute=absolute)


def test_two_wrong_stacks_are_put_right_by_the_packers_that_were_wrong(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job = as_read(reading_room, ROWS)
    found = changes(reading_room, job, {"B5": -3.0, "F8": 3.0, "B2": 0.3})
    rows = found.changed.set_index("support")
    assert rows.index.tolist() == ["B5", "F8"]
    # B5 stands as 18 3 18, F8 as 18 6 3 18; one of each is the fewest that make 3 mm.
    assert rows.loc["F8", ["take_out", "put_in"]].tolist() == ["3", ""]
    assert rows.loc["F8", "stack_after"] == "18 6 18"
    assert rows.loc["B5", ["take_out", "put_in"]].tolist() == ["", "3"]
    assert rows.loc["B5", "stack_after"] == "18 3 3 18"
    assert (found.opened, found.handled) == (2, 2)
    # All but B2 lie on one level, B2 0.3 above: the best level is in the middle.
    assert found.greatest_after_mm == pytest.approx(0.15, abs=1e-9)
    assert found.table["off_after_mm"].isna().sum() == 0


def test_packers_of_the_table_and_of_the_bag_add_up(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job = as_read(reading_room, ROWS, left=({"mm": 1.0, "count": 3},))
    found = changes(reading_room, job, {"B5": -3.0, "F7": -1.4, "D4": 2.0})
    assert found.possible
    out = Counter(" ".join(found.table["take_out"]).split())
    put = Counter(" ".join(found.table["put_in"]).split())
    bag = found.bag.set_index("nominal_mm")
    for size in (1.0, 3.0, 6.0, 18.0):
        more = put[f"{size:g}"] - out[f"{size:g}"]
        assert bag.at[size, "left_after"] == bag.at[size, "left_before"] - more
    assert (bag["left_after"] >= 0).all()
    assert bag["left_before"].tolist() == [3, 0, 0, 0]
    moved = found.table["off_after_mm"] - found.table["off_before_mm"]
    assert moved.to_numpy() == pytest.approx(found.table["raised_mm"].to_numpy(), abs=1e-9)


def test_an_unread_support_is_left_alone(reading_room: Answer, as_read: Callable[..., Job]) -> None:
    found = changes(reading_room, as_read(reading_room, ROWS), {"F3": np.nan, "B5": -3.0})
    assert found.unread == ("F3",)
    row = found.table.set_index("support").loc["F3"]
    assert not row["opened"]
    assert np.isnan(row["off_after_mm"])


def test_what_is_right_is_not_opened(reading_room: Answer, as_read: Callable[..., Job]) -> None:
    found = changes(reading_room, as_read(reading_room, ROWS), {"B3": 0.5, "F4": -0.5})
    # The tolerance is closed: 0.5 above and below are within it.
    assert (found.opened, found.handled, found.possible) == (0, 0, True)
    assert found.greatest_after_mm == pytest.approx(0.5, abs=1e-9)
    assert found.screws.empty


def test_the_window_of_the_height_holds_only_for_heights_of_the_job(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job, window = as_read(reading_room, ROWS), reading_room.datum.window
    top = window.low.datum_mm + reading_room.datum.bearer_mm - 2.0
    among_themselves = changes(reading_room, job, {}, top_mm=top)
    assert among_themselves.opened == 0
    in_the_job = changes(reading_room, job, {}, top_mm=top, absolute=True)
    assert in_the_job.opened == 24
    least = window.low.datum_mm + reading_room.datum.bearer_mm
    assert in_the_job.level_mm >= least - 1e-9


def test_changed_stacks_get_their_screws(reading_room: Answer, as_read: Callable[..., Job]) -> None:
    found = changes(reading_room, as_read(reading_room, ROWS), {"F8": 3.0})
    assert set(found.screws["support"]) == {"F8"}
    planned = reading_room.screws[reading_room.screws["support"] == "F8"]
    # 3 mm less stand there: base screw through 18 alike, and one pack screw as before.
    assert found.screws["step"].tolist() == planned["step"].tolist()


def test_a_bag_that_is_short_tells_what_is_missing(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job, top = as_read(reading_room, ROWS, left=()), reading_room.datum.base_top_mm
    found = changes(reading_room, job, {"B5": -30.0}, top_mm=top, absolute=True)
    assert not found.possible
    (missing,) = found.missing
    assert missing.supports == ("B5",)
    # 30 mm less 4 mm of the window below: two of 18 and a 6 out, or the like.
    assert "would do" in missing.remedy
    assert found.proven
    assert (found.table["stack_after"] == found.table["stack_before"]).all()


def test_a_base_without_packers_has_no_changes() -> None:
    found = no_changes(0.5)
    assert not found.on_packers
    assert found.table.empty
    assert found.unread == ()


def test_stacks_of_the_order_of_the_floor_up(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    job = as_read(reading_room, ROWS)
    assert job.as_built is not None
    standing: Standing = what_stands(job.folder, reading_room, job.as_built)
    found = changes(reading_room, job, {"B5": -4.0}, 0.25)
    after = found.table.set_index("support").loc["B5", "stack_after"]
    assert standing.stacks["B5"] == (3, 1, 3)
    # 4 mm more: the thickest on the floor, the next on top, the thinnest inside.
    assert after == "18 3 3 1 18"
