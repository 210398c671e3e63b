"""A frame over a floor that is not known exactly: too shallow, too weak, what can be done."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import kit
from kit.base.datum import Bound, Datum, Window
from kit.base.scribe import Ways
from kit.base.stack_plan import without_stacks
from kit.job import Base, Ladder
from kit.methods.ladder_doubt import (
    SURE_DEPTH,
    SURE_LEFT,
    SureFrame,
    doubt_cautions,
    doubt_checks,
    sure_frame,
)
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"

#: Depths at 50 mm: 28, 42, 46 and, bridged 5 mm clear, 55 less 5.
KNOWN = pd.DataFrame(
    {
        "bearer": ["B", "R2", "F", "F"],
        "lies": ["member", "rung", "member", "member"],
        "own_x_mm": [120.0, 640.0, 910.0, 1400.0],
        "sd_mm": [0.6, 2.0, 0.5, 3.0],
        "lift_share": 0.0,
        "over": ["", "", "", "hatch"],
    }
)
FLOOR = np.array([22.0, 8.0, 4.0, -5.0])


def ladder(least_mm: float, *boards_mm: float) -> Ladder:
    boards = tuple({"mm": mm} for mm in boards_mm)
    told = {"boards": boards, "stock_mm": (2440.0,), "least_mm": least_mm}
    return Ladder.model_validate(told)


def frame(made: Ladder, board_mm: float, most_mm: float = 90.0) -> SureFrame:
    window = Window(Bound(50.0, "low"), Bound(most_mm, "high"))
    datum = Datum(window, without_stacks(50.0, 2, [(50.0, most_mm)]), 22.0, 0.0, 0.0)
    ways = Ways.under(KNOWN, FLOOR, 0.0, 5.0)
    return sure_frame(made, KNOWN, ways, datum, board_mm)


def said(made: Ladder, board_mm: float, **level: float) -> list[str]:
    return list(doubt_cautions(made, frame(made, board_mm, **level)))


def test_both_ends_by_hand() -> None:
    made = ladder(27.0, 46.82, 95.0)
    depth, left = doubt_checks(made, frame(made, 46.82), "")
    # 28 - 1.645 x 0.6; of 42 + 1.645 x 2 and 46 + 1.645 x 0.5 the second; the bridge reaches
    # down to nothing. Round-off.
    assert (left.check, left.value) == (SURE_LEFT, pytest.approx(27.013))
    assert (depth.check, depth.value) == (SURE_DEPTH, pytest.approx(46.8225))
    assert (left.subject, left.limit, left.verdict) == ("member B at x = 120 mm", 27.0, "ok")
    assert (depth.subject, depth.limit) == ("member F at x = 910 mm", 46.82)
    assert depth.verdict == "refer"
    made = ladder(27.1, 46.83)
    assert [r.verdict for r in doubt_checks(made, frame(made, 46.83), "")] == ["ok", "refer"]
    _, left = doubt_checks(ladder(27.0, 50.0), frame(ladder(27.0, 50.0), 50.0), "not surveyed")
    assert (left.verdict, left.source) == ("not_checked", "not surveyed")


def test_a_deeper_board_is_named_where_there_is_one() -> None:
    (one,) = said(ladder(25.0, 46.5, 46.7, 95.0), 46.5)
    assert "ask for 46.8 mm or more at member F at x = 910 mm, and the board is 46.5 mm" in one
    assert one.endswith(
        "Take the next deeper board that reaches, 95 mm, or read the floor there again."
    )
    (one,) = said(ladder(25.0, 46.5), 46.5)
    assert one.endswith("Read the floor there again, or have a board deeper than 46.5 mm at hand.")
    assert not said(ladder(25.0, 47.0), 47.0)


def test_higher_is_said_only_where_the_window_and_a_board_allow_it() -> None:
    # 27.4 - 27.013 = 0.387 mm are missing; 46.8225 + 0.387 = 47.2095 mm would be needed.
    (one,) = said(ladder(27.4, 47.3), 47.3)
    assert "leave 27.0 mm or less at member B at x = 120 mm, where 27.4 mm must be left" in one
    assert one.endswith("Set the frame 0.4 mm higher, or read the floor there again.")
    (one,) = said(ladder(27.4, 47.2, 95.0), 47.2)
    assert "Set the frame 0.4 mm higher and take the next deeper board that reaches, 95 mm" in one
    for made, most in ((ladder(27.4, 47.2), 90.0), (ladder(27.4, 47.3), 50.38)):
        (one,) = said(made, made.boards[0].mm, most_mm=most)
        assert one.endswith("Read the floor there again, or take another way of building.")


def test_a_board_that_hardly_reaches_the_expected_floor_is_referred_in_a_job() -> None:
    job = kit.read_job(DATA / "reading-room")

    def solved(*boards_mm: float) -> Answer:
        made = ladder(25.0, *boards_mm).model_dump()
        told = {"name": "frame", "method": "ladder", "height_mm": (40.0, 90.0), "ladder": made}
        return kit.solve(job.model_copy(update={"bases": (Base.model_validate(told),)}))

    needs = float(solved(120.0).checks.set_index("check").loc["greatest depth", "value"])
    answer = solved(needs + 0.05, 120.0)
    checks = answer.checks.set_index("check")
    assert checks.loc["greatest depth", "verdict"] == "ok"
    assert checks.loc[SURE_DEPTH, "verdict"] == "refer"
    known = answer.ground.known
    x, y = known["x_mm"].to_numpy(), known["y_mm"].to_numpy()
    depths = answer.datum.datum_mm - answer.surface.draws(x, y, 4000, 5)
    # As good as the quantile of 4,000 draws of sd 0.5 mm, see the pour's.
    drawn = np.quantile(depths, 0.95, axis=0).max(), np.quantile(depths, 0.05, axis=0).min()
    assert checks.loc[SURE_DEPTH, "value"] == pytest.approx(drawn[0], abs=0.08)
    assert checks.loc[SURE_LEFT, "value"] == pytest.approx(drawn[1], abs=0.08)
    (doubt,) = [one for one in answer.cautions if one.startswith("The floor is not known")]
    assert "Take the next deeper board that reaches, 120 mm" in doubt
