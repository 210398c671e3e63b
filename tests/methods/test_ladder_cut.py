"""A frame cut to the floor: its weight, and that it is judged over the openings it bridges."""

from pathlib import Path

import pytest

import kit
from kit.job import Base, Ladder, LadderBoard, NoGo
from kit.methods.ladder import frame_of
from kit.methods.ladder_cut import carry_frame, cut_to_floor, n_per_mm

DATA = Path(__file__).parents[2] / "data"
LADDER = Ladder(boards=(LadderBoard(mm=95.0),), thickness_mm=21.0, density_kg_per_m3=700.0)


def test_a_millimetre_of_member_weighs_what_is_left_of_it() -> None:
    # 21 x 47.5 mm at 700 kg/m3.
    told = n_per_mm(LADDER, {"B": 47.5, "R1": 95.0})
    assert told["B"] == pytest.approx(0.021 * 0.0475 * 700 * 9.81 / 1000)  # round-off
    assert told["R1"] == pytest.approx(2 * told["B"])  # round-off


def test_a_frame_is_judged_on_its_edge_and_over_its_openings() -> None:
    base = Base(name="frame", height_mm=(50.0, 62.0), method="ladder", ladder=LADDER)
    hatch = NoGo(name="hatch", corner_mm=(1400.0, 20.0), size_mm=(200.0, 100.0))
    job = kit.read_job(DATA / "reading-room")
    answer = kit.solve(job.model_copy(update={"bases": (base,), "no_go": (hatch,)}))
    frame = frame_of(answer.job, answer.layout, base)
    cut = cut_to_floor(answer.survey, frame, answer.datum, 95.0, 3.0)
    assert cut.profile["depth_mm"].equals(answer.details["profile.csv"]["depth_mm"])
    found = carry_frame(answer.job, answer.ground, LADDER, answer.datum, cut)
    subjects = {(one.check, one.subject.split(":")[0]) for one in found.checks}
    assert ("member over an opening", "B") in subjects
    assert ("member over an opening", "F") not in subjects
    assert {("bearing of frame on board", row) for row in "BFD"} <= subjects
    weight = found.stacks[0].laid_n
    heavier = LADDER.model_copy(update={"density_kg_per_m3": 1400.0})
    twice = carry_frame(answer.job, answer.ground, heavier, answer.datum, cut)
    assert twice.stacks[0].laid_n == pytest.approx(2 * weight)  # round-off
