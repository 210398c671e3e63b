"""Where bearers may be joined, and which joints face each other."""

from __future__ import annotations

import pytest

from kit.base.cut_joints import BearerLine, check_lines, facing_joints, possible_pieces
from kit.job import Refusal


def line(name: str, stacks: list[float], neighbours: tuple[str, ...] = ()) -> BearerLine:
    names = tuple(f"{name}{i + 1}" for i in range(len(stacks)))
    ends = stacks[0] - 37.5, stacks[-1] + 37.5
    return BearerLine(name, "A", name, *ends, tuple(stacks), names, neighbours)


def facing(first: list[float], second: list[float]) -> set[tuple[float, float]]:
    """The places of facing joints of two neighbours."""
    lines = [line("B", first, ("F",)), line("F", second)]
    return {
        (lines[a].supports_mm[i], lines[b].supports_mm[j])
        for (a, i), (b, j) in facing_joints(lines, 75.0)
    }


def test_pieces_end_at_ends_and_inner_stacks_only():
    one = line("B", [137.5, 420.0, 990.0, 1462.5])
    assert one.cuts_mm == (100.0, 420.0, 990.0, 1500.0)
    assert one.support_at(2) == "B3"
    pieces = possible_pieces([one], 900.0)
    assert [(p.left, p.right, p.length_mm) for p in pieces] == [
        (0, 1, 320.0), (0, 2, 890.0), (1, 2, 570.0), (2, 3, 510.0),
    ]  # fmt: skip


@pytest.mark.parametrize("stacks", [[500.0], [100.0, 900.0]])
def test_without_inner_stacks_there_is_one_piece(stacks):
    one = line("B", stacks)
    assert [p.length_mm for p in possible_pieces([one], 2000.0)] == [one.length_mm]


@pytest.mark.parametrize(
    ("longest", "words"),
    [(500.0, "570 mm from B2 to B3"), (300.0, "320 mm from its left end to B2")],
)
def test_out_of_reach_names_the_stacks(longest, words):
    with pytest.raises(Refusal, match=words):
        possible_pieces([line("B", [137.5, 420.0, 990.0, 1462.5])], longest)


@pytest.mark.parametrize(
    ("first", "second", "pairs"),
    [
        # one layout: the same stack of both, and no other
        ([0, 400, 900, 1500], [0, 400, 900, 1500], {(400, 400), (900, 900)}),
        # shifted by more than a packer: still one station, each the other's nearest
        ([0, 400, 900, 1500], [0, 490, 1050, 1500], {(400, 490), (900, 1050)}),
        # nearer than a packer's length faces, whoever else is near
        ([0, 600, 690, 1500], [0, 645, 1500], {(600, 645), (690, 645)}),
        # half way between two: at neither station
        ([0, 600, 1200, 1800], [0, 900, 1800], set()),
        # a little off half way: at one
        ([0, 600, 1200, 1800], [0, 880, 1800], {(600, 880)}),
        # a short bearer beside a long one; end stacks carry no joint
        ([0, 500, 1100, 1700, 2300], [1100, 1420, 1800], set()),
        ([0, 500, 1100, 1700, 2300], [1000, 1660, 2300], {(1700, 1660)}),
    ],
)
def test_facing_joints(first, second, pairs):
    assert facing(first, second) == pairs
    assert facing(second, first) == {(b, a) for a, b in pairs}


def test_a_packer_apart_does_not_face_by_length_alone():
    """Exactly 75 apart, and each has a nearer stack elsewhere."""
    assert facing([0, 500, 600, 1500], [0, 425, 520, 1500]) == {(500, 520)}


def test_only_neighbours_face():
    stacks = [0.0, 400.0, 900.0]
    lines = [line("B", stacks), line("M", stacks, ("B", "F")), line("F", stacks)]
    assert {(a, b) for (a, _), (b, _) in facing_joints(lines, 75.0)} == {(0, 1), (1, 2)}


def test_names_twice_are_refused():
    with pytest.raises(Refusal, match="bearer B: found the name twice"):
        check_lines([line("B", [0.0, 400.0]), line("B", [0.0, 500.0])])
