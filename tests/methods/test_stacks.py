"""Stacks alone in the demo reading room: units that stand stiff on them."""

import json
from pathlib import Path

import pytest

import kit
from kit.answer import Answer
from kit.job import Base
from kit.results import write_results
from kit.strength.bearers import IDLE_MM
from kit.strength.stiff import stiff_units

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def answer() -> Answer:
    job = kit.read_job(DATA / "reading-room")
    base = {"name": "stacks", "method": "stacks", "height_mm": (50.0, 62.0)}
    return kit.solve(job.model_copy(update={"bases": (Base.model_validate(base),)}))


def test_idle_stacks_are_those_that_stiff_units_hang_over(answer: Answer, tmp_path: Path) -> None:
    write_results(answer, tmp_path / "out")
    listed = json.loads((tmp_path / "out" / "summary.json").read_text())["idle"]
    assert {one["support"] for one in listed} == {
        one.support for one in answer.strength.stacks if one.idle
    }
    rows = answer.checks[answer.checks["check"] == "stack idle under a stiff unit"]
    assert len(rows) == 4
    assert rows["value"].max() == max(one["shim_mm"] for one in listed)
    assert (rows["verdict"] == "refer").tolist() == (rows["value"] > IDLE_MM).tolist()
    assert all(one["let_pass"] == (one["shim_mm"] <= IDLE_MM) for one in listed)


def test_the_errors_of_the_answer_hold_every_unit_in_equilibrium(answer: Answer) -> None:
    errors = dict(zip(answer.supports["support"], answer.datum.plan.error_mm.tolist(), strict=True))
    for unit, consequence in zip(
        stiff_units(answer.layout, errors), answer.strength.units, strict=True
    ):
        out = sum(
            share * prop.y_mm
            for share, prop in zip(unit.rest.shares.tolist(), unit.props, strict=True)
        )
        assert out == pytest.approx(unit.placed.unit.centre_of_gravity_from_back_mm, abs=1e-6)
        height = unit.placed.unit.height_mm
        lean = consequence.lean_along_mm, consequence.lean_out_mm
        assert lean == pytest.approx(tuple(-height * slope for slope in unit.rest.slope), abs=1e-9)
        assert unit.rest.gaps_mm.max() > IDLE_MM


def test_pressure_and_boards_are_judged_for_every_row(answer: Answer) -> None:
    checks = answer.checks
    for name in ("pressure on packer, unit stiff", "bearing on board, unit stiff"):
        rows = checks[checks["check"] == name]
        assert [subject[0] for subject in rows["subject"]] == [
            row.name for row in answer.layout.rows
        ]
