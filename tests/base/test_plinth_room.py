"""The room before a plinth, reckoned by hand from depths, set-backs and widths."""

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.base.checks import plinth_checks
from kit.base.layout import lay_out
from kit.base.plinth_ends import plinth_ends
from kit.base.plinth_room import least_room_mm, rows_at_plinth
from kit.job import Base, Job
from kit.methods import method_of


def unit(name: str, wide: float, deep: float) -> dict[str, Any]:
    return {"name": name, "width_mm": wide, "depth_mm": deep, "height_mm": 900.0}


def job_of(runs: tuple[dict[str, Any], ...], **base: Any) -> tuple[Job, Base]:
    made = {"name": "b", "height_mm": 60.0, "back_mm": 45.0, "front_mm": 55.0, **base}
    job = Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": runs,
            "base": (made,),
            "stock": {"packers": ({"mm": 3.0},), "packer_size_mm": (75.0, 60.0)},
            "folder": Path(),
        }
    )
    return job, job.bases[0]


ONE = ({"name": "A", "left_wall": True, "unit": (unit("low", 900, 350), unit("deep", 800, 650))},)
PLINTH = {"set_back_mm": 30.0, "thickness_mm": 18.0, "board_mm": (95.0,)}
FEET = {"method": "feet", "feet": ({"low_mm": 40.0, "high_mm": 65.0, "plate_mm": 50.0},)}
LADDER = {"method": "ladder", "ladder": {"boards": ({"mm": 70.0},), "thickness_mm": 20.0}}


@pytest.mark.parametrize(
    ("method", "room"),
    [
        # The face stands 350 - 30 = 320 out, its back 302. A bearer of 45 ends at 350 - 55 = 295,
        # but packers of 60 lie under its middle and reach (60 - 45) / 2 further, or take up the
        # room themselves; a plate of 50 and a member of 20 end at 295.
        ({"method": "packers"}, None),
        ({"method": "stacks"}, None),
        (FEET, 7.0),
        (LADDER, 7.0),
    ],
)
def test_room_is_from_front_edge_to_the_back_of_the_board(
    method: dict[str, Any], room: float | None
) -> None:
    job, base = job_of(ONE, plinth=PLINTH, **method)
    layout = method_of(base).lay_out(job, base)
    (front,) = [row for row in layout.rows if row.label == "F"]
    wide = {"packers": 60.0, "stacks": 60.0, "feet": 50.0, "ladder": 20.0}[base.method]
    wanted = 302.0 - (front.y_mm + wide / 2)
    found = least_room_mm(base, layout)
    assert found == {"A": pytest.approx(wanted, abs=1e-9)}
    if room is not None:
        assert found["A"] == pytest.approx(room, abs=1e-9)


def test_a_further_row_in_front_of_it_is_no_clash_and_a_front_row_is() -> None:
    job, base = job_of(ONE, plinth=PLINTH)
    rows = {one.row.label: one for one in rows_at_plinth(base, lay_out(job, base))}
    assert rows["D"].beyond
    assert not rows["D"].clashes
    assert not rows["F"].beyond
    far = base.model_copy(
        update={"plinth": base.plinth.model_copy(update={"set_back_mm": 200.0})}  # type: ignore[union-attr]
    )
    behind = {one.row.label: one for one in rows_at_plinth(far, lay_out(job, far))}
    assert behind["F"].clashes  # the board would stand behind the front bearer


@pytest.mark.parametrize(("thickness", "verdict"), [(10.0, "ok"), (30.0, "refer")])
def test_the_check_refers_a_clash(thickness: float, verdict: str) -> None:
    job, base = job_of(ONE, plinth={**PLINTH, "thickness_mm": thickness}, **FEET)
    layout = method_of(base).lay_out(job, base)
    nothing = pd.DataFrame({"run": [], "greatest_mm": [], "board_mm": []})
    (row,) = plinth_checks(job, base, layout, nothing)
    assert (row.check, row.subject) == ("plinth clear of the front row", "run A")
    assert row.value == pytest.approx(320 - thickness - 295, abs=1e-9)
    assert (row.limit, row.verdict) == (0.0, verdict)
    assert "common practice, no source" in row.source


def test_without_a_plinth_there_is_nothing() -> None:
    job, base = job_of(ONE)
    layout = lay_out(job, base)
    assert least_room_mm(base, layout) == {}
    assert plinth_ends(job, base, layout) == {}


def test_open_ends_and_corners() -> None:
    job, base = job_of(ONE, plinth=PLINTH)
    assert plinth_ends(job, base, lay_out(job, base)) == {"A": "the return at the right end"}
    right = {
        "name": "B",
        "origin_mm": (2200.0, 700.0),
        "direction_deg": 90.0,
        "right_wall": True,
        "unit": (unit("side", 600, 500),),
    }
    # B begins 50 mm in front of A's deep unit, and stands at A's right end.
    job, base = job_of((*ONE, right), plinth=PLINTH)
    found = plinth_ends(job, base, lay_out(job, base))
    assert found == {
        "A": "the closing piece at the corner to run B (right end)",
        "B": "the closing piece at the corner to run A (left end)",
    }
    far = {**right, "origin_mm": (2200.0, 900.0)}
    job, base = job_of((*ONE, far), plinth=PLINTH)
    apart = plinth_ends(job, base, lay_out(job, base))
    assert apart == {"A": "the return at the right end", "B": "the return at the left end"}
