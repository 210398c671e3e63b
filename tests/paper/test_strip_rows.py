"""What is marked along each row."""

from itertools import pairwise

import pytest

from kit.paper.strip_rows import strip_rows
from kit.parts import Answer


def test_marks_of_a_bearer(reading_room: Answer) -> None:
    back, front, deeper = strip_rows(reading_room)
    kinds = {kind: [m.at_mm for m in back.marks if m.kind == kind] for kind in ("end", "joint")}
    cuts = reading_room.cuts.cuts
    joints = cuts[(cuts["bearer"] == "B") & (cuts["from_x_mm"] > 0)]["from_x_mm"].tolist()
    assert kinds == {"end": [0.0, 4000.0], "joint": joints}
    supports = [m.at_mm for m in back.marks if m.kind == "support"]
    mids = [m.at_mm for m in back.marks if m.kind == "mid"]
    assert mids == [(a + b) / 2 for a, b in pairwise(supports)]
    assert (front.out_mm, front.along, front.pad_mm) == (242.5, "bearer", 75.0)
    # The deeper row lies under one unit, 2 m along: its strip begins there.
    assert (deeper.from_mm, deeper.to_mm) == (2000.0, 3100.0)
    assert deeper.sides_mm == (2000.0, 3100.0)
    assert [m.at_mm for m in back.marks] == sorted(m.at_mm for m in back.marks)


def test_what_the_other_ways_have_none_of(ways: dict[str, Answer]) -> None:
    for method in ("stacks", "feet"):
        marks = [mark for row in strip_rows(ways[method]) for mark in row.marks]
        assert {mark.kind for mark in marks} == {"support"}
    (pour,) = strip_rows(ways["compound"])
    assert [mark.at_mm for mark in pour.marks] == [0, 1000, 2000, 3100, 4000]
    assert pour.control_mm == (0, 4000)
    assert {row.along for row in strip_rows(ways["ladder"])} == {"member"}


@pytest.mark.parametrize("room", ["long_hall", "one_small_unit"])
def test_control_marks_are_first_and_last_support(
    request: pytest.FixtureRequest, room: str
) -> None:
    answer = request.getfixturevalue(room)
    for row in strip_rows(answer):
        places = answer.layout.on_bearer(row.name)["own_x_mm"]
        assert row.control_mm == (places.min(), places.max())
