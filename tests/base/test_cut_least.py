"""Large work: lengths that share a slot, and plans that stay honest about it."""

from __future__ import annotations

import numpy as np
import pytest

from kit.base import cut_least, cut_programme
from kit.base.cut_joints import BearerLine, facing_joints, possible_pieces
from kit.base.cut_least import least_cuts
from kit.base.cut_programme import Programme
from kit.base.effort import STEPS_A_SECOND

STOCK = (1800.0, 2400.0, 3600.0)


def irregular(seed: int, length: float = 9000.0) -> tuple[BearerLine, ...]:
    rng = np.random.default_rng(seed)
    lines = []
    for name, beside in (("B", ()), ("F", ("B",))):
        stacks = [37.5]
        while stacks[-1] < length - 700:
            stacks.append(stacks[-1] + float(rng.uniform(260, 610)))
        stacks.append(length - 37.5)
        names = tuple(f"{name}{i + 1}" for i in range(len(stacks)))
        lines.append(BearerLine(name, "A", name, 0.0, length, tuple(stacks), names, beside))
    return tuple(lines)


def prepared(lines: tuple[BearerLine, ...]) -> Programme:
    return Programme(lines, possible_pieces(lines, STOCK[-1]), STOCK, 3.0, facing_joints(lines, 75))


def test_slots_hold_their_pieces_when_lengths_share_them(monkeypatch):
    monkeypatch.setattr(cut_programme, "MOST_LENGTHS", 20)
    many = prepared(irregular(4))
    assert not many.is_exact
    assert len(many.cutting.lengths_mm) <= 21
    for piece, slot in zip(many.pieces, many.slots, strict=True):
        spare = many.cutting.lengths_mm[slot] - piece.length_mm
        assert 0 <= spare <= many.step_mm + 1e-9  # rounding of the step


@pytest.mark.parametrize("seed", [4, 5])
def test_shared_slots_give_a_whole_plan_and_no_false_bound(monkeypatch, seed):
    exact = least_cuts(prepared(irregular(seed)), 5 * STEPS_A_SECOND)
    assert exact.least_mm == pytest.approx(exact.bought_mm)  # the search proves it
    monkeypatch.setattr(cut_least, "MOST_PLACEMENTS", 0)
    monkeypatch.setattr(cut_programme, "MOST_LENGTHS", 20)
    many = prepared(irregular(seed))
    found = least_cuts(many, STEPS_A_SECOND)
    assert found.least_mm <= exact.bought_mm <= found.bought_mm
    made = sorted(i for bar in found.bars for i in bar.pieces)
    for line in range(2):
        of = [many.pieces[i] for i in made if many.pieces[i].line == line]
        assert sum(piece.length_mm for piece in of) == pytest.approx(9000.0)  # sums of floats
    for bar in found.bars:
        used = sum(many.pieces[i].length_mm for i in bar.pieces) + 3.0 * (len(bar.pieces) - 1)
        assert used <= bar.stock_mm + 2e-9  # closed to 1e-9, and the sum's own rounding
