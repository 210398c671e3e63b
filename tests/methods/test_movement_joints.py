"""Bases on both sides of a movement joint: the parts are bearers of their own."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

import kit
from kit.job import Base, Job, MovementJoint, Run, Unit
from kit.parts import Answer

JOINT = MovementJoint(name="bay line", from_mm=(1520.0, -40.0), to_mm=(1520.0, 900.0), clear_mm=20)
PACKERS = {"name": "b", "height_mm": (50.0, 75.0)}


def unit(name: str, wide: float, **more: Any) -> Unit:
    told = {"depth_mm": 320.0, "height_mm": 1000.0, "mass_kg": 31.0, "contents_kg": 57.0} | more
    return Unit(name=name, width_mm=wide, **told)


FIRST = unit("left case", 1500.0, divisions_mm=(640.0,))
SECOND = unit("right case", 1900.0, mass_kg=44.0, divisions_mm=(700.0, 1310.0))
AFTER = {"gap_before_mm": 40.0}


@pytest.fixture(scope="module")
def both(job_with: Callable[..., Job]) -> tuple[Answer, Answer]:
    """One run over a joint in the middle of a gap of twice its clearance; two runs side by side.

    A bearer ends flush with its run: to the joint's clearance both are laid out alike.
    """
    base = Base.model_validate(PACKERS)
    second = SECOND.model_copy(update=AFTER)
    one = job_with("reading-room", base, runs=(Run(unit=(FIRST, second)),), services=())
    parted = one.model_copy(update={"movement_joints": (JOINT,)})
    apart = one.model_copy(
        update={
            "runs": (
                Run(name="A", unit=(FIRST,)),
                Run(name="B", origin_mm=(1540.0, 0.0), unit=(SECOND,)),
            )
        }
    )
    return kit.solve(parted), kit.solve(apart)


def by_place(answer: Answer, table: pd.DataFrame) -> pd.DataFrame:
    """Put a table of supports in the order of their places on the site."""
    at = answer.supports[["support", "x_mm", "y_mm"]]
    merged = table.drop(columns=["x_mm", "y_mm"], errors="ignore").merge(at, on="support")
    return merged.sort_values(["y_mm", "x_mm"], kind="stable").reset_index(drop=True)


def test_each_part_stands_as_a_run_of_its_own(both: tuple[Answer, Answer]) -> None:
    one, two = (by_place(answer, answer.supports) for answer in both)
    assert len(one) == 22
    # Places are reckoned from another origin: round-off.
    for column in ("x_mm", "y_mm", "floor_mm", "target_mm", "load_N"):
        np.testing.assert_allclose(one[column], two[column], atol=1e-6, err_msg=column)
    assert one["reasons"].str.replace("+joint", "").tolist() == two["reasons"].str.replace(
        "+joint", ""
    ).tolist()  # fmt: skip
    assert both[0].datum.datum_mm == both[1].datum.datum_mm


def test_its_packers_and_reactions_are_those_of_a_run_of_its_own(
    both: tuple[Answer, Answer],
) -> None:
    stacks = [
        by_place(answer, answer.stacks.groupby("support")["thickness_mm"].sum().reset_index())
        for answer in both
    ]
    assert stacks[0]["thickness_mm"].tolist() == stacks[1]["thickness_mm"].tolist()
    found = []
    for answer in both:
        loads = [(s.support, s.laid_n, s.empty_n, s.full_n) for s in answer.strength.stacks]
        table = pd.DataFrame(loads, columns=["support", "laid", "empty", "full"])
        found.append(by_place(answer, table))
    for case in ("laid", "empty", "full"):
        # Newtons of some hundred; round-off of places along the run.
        np.testing.assert_allclose(found[0][case], found[1][case], atol=1e-5, err_msg=case)
    weight = (31 + 57 + 44 + 57) * 9.81
    own = 2 * (1500 + 1900) * 45 * 20 * 370e-9 * 9.81  # EN 338, C16, mean density
    assert found[0]["full"].sum() == pytest.approx(weight + own, rel=1e-4)


def test_its_pieces_and_spans_are_those_of_a_run_of_its_own(both: tuple[Answer, Answer]) -> None:
    lengths = [sorted(answer.cuts.cuts["length_mm"].round(6)) for answer in both]
    assert lengths[0] == lengths[1]
    bearers = both[0].cuts.cuts["bearer"].unique().tolist()
    assert bearers == ["Ba", "Bb", "Fa", "Fb"]
    spans = [
        answer.checks[answer.checks["check"] == "longest span"]["value"].tolist() for answer in both
    ]
    assert spans[0] == pytest.approx([spans[1][n] for n in (0, 2, 1, 3)])


def test_how_units_stand_is_as_in_runs_of_their_own(both: tuple[Answer, Answer]) -> None:
    one, two = (answer.strength.units for answer in both)
    for a, b in zip(one, two, strict=True):
        assert a.lean_along_mm == pytest.approx(b.lean_along_mm, abs=1e-6)
        assert a.wind_mm == pytest.approx(b.wind_mm, abs=1e-6)


@pytest.mark.parametrize(
    "told",
    [
        PACKERS,
        {"name": "s", "method": "stacks", "height_mm": (50.0, 75.0)},
        {
            "name": "f",
            "method": "feet",
            "height_mm": (50.0, 75.0),
            "feet": ({"low_mm": 30.0, "high_mm": 90.0},),
        },
        {
            "name": "l",
            "method": "ladder",
            "height_mm": (50.0, 75.0),
            "ladder": {"boards": ({"mm": 120.0},)},
        },
    ],
)
def test_a_unit_across_a_joint_is_built_by_every_method(
    job_with: Callable[..., Job], told: dict[str, Any]
) -> None:
    """The second joint runs under the right case, obliquely."""
    oblique = MovementJoint(name="K", from_mm=(2560.0, -40.0), to_mm=(2680.0, 500.0), clear_mm=15)
    second = SECOND.model_copy(update=AFTER)
    base = Base.model_validate(told)
    job = job_with("reading-room", base, runs=(Run(unit=(FIRST, second)),), services=())
    answer = kit.solve(job.model_copy(update={"movement_joints": (JOINT, oblique)}))
    of_joint = answer.checks[answer.checks["check"].str.contains("clear of movement joint")]
    assert of_joint["verdict"].tolist() == ["ok", "ok"]
    assert (of_joint["value"] >= [20.0 - 1e-6, 15.0 - 1e-6]).all()
    assert any(
        one.startswith("Unit 'right case' stands across movement joint 'K'")
        for one in answer.cautions
    )
    names = answer.supports[answer.supports["row"] == "B"]["support"].tolist()
    assert names == [f"B{n}" for n in range(1, len(names) + 1)]
    # Each side and division has come down once.
    assert answer.supports["load_N"].sum() == pytest.approx(189 * 9.81)
    loads = sum(one.full_n for one in answer.strength.stacks)
    assert loads >= 189 * 9.81 - 1e-6


def test_a_frame_s_rungs_cross_no_joint(job_with: Callable[..., Job]) -> None:
    told = {"name": "l", "method": "ladder", "height_mm": (50.0, 75.0)}
    base = Base.model_validate(
        told | {"ladder": {"boards": ({"mm": 120.0},), "stock_mm": (3600.0,)}}
    )
    along = MovementJoint(name="K", from_mm=(-50.0, 200.0), to_mm=(2200.0, 200.0))
    second = SECOND.model_copy(update=AFTER)
    job = job_with("reading-room", base, runs=(Run(unit=(FIRST, second)),), services=())
    free = kit.solve(job).details["members.csv"]
    members = kit.solve(job.model_copy(update={"movement_joints": (along,)})).details["members.csv"]
    rungs = members[members["at_x_mm"].notna()]["at_x_mm"]
    every = free[free["at_x_mm"].notna()]["at_x_mm"]
    assert rungs.tolist() == [x for x in every if x > 2200.0 + 10.0 + 9.0]
    assert 0 < len(rungs) < len(every)


def test_a_row_of_two_bases_is_shown_whole(both: tuple[Answer, Answer]) -> None:
    from kit.show.two_bases.row_view import row_view

    view = row_view(both[0], "A", "B")
    assert view is not None
    assert view.part.row.name == "B"
    assert view.part.row.end_mm == 3440.0
    assert [stack.support for stack in view.part.stacks] == [f"B{n}" for n in range(1, 12)]
    assert len(view.part.pieces) == len(both[0].cuts.cuts) / 2
