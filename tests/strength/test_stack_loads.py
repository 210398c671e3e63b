"""What each stack carries."""

from __future__ import annotations

import pytest

from kit.base.layout import GRAVITY_N_PER_KG
from kit.strength.bearers import lay_bearers
from kit.strength.pieces import bearer_pieces
from kit.strength.stack_loads import stack_loads


def pieces_of(job, laid_out):
    layout, cuts = laid_out(job)
    return bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)


def errors_of(pieces, **errors):
    names = [name for piece in pieces.pieces for name in piece.supports]
    return dict.fromkeys([*names, *(one.support for one in pieces.alone)], 0.0) | errors


def lay(pieces, **errors):
    return lay_bearers(pieces, errors_of(pieces, **errors), 1)


def test_a_stack_under_a_joint_carries_both_pieces(job_of, laid_out):
    job = job_of({}, {}, {}, base={"bearer": {"stock_mm": (1900.0,)}})
    pieces = pieces_of(job, laid_out)
    laid = lay(pieces)
    errors = errors_of(pieces)
    left, right = (one for one in laid if one.piece.bearer == "B")
    joint = left.piece.supports[-1]
    both = next(one for one in stack_loads(laid, (), errors) if one.support == joint)
    assert both.full_n == pytest.approx(
        left.cases["full"].line.reactions_n[-1] + right.cases["full"].line.reactions_n[0]
    )
    assert not both.idle
    assert [one.support for one in stack_loads(laid, (), errors)] == list(errors)


def test_one_piece_may_be_idle_over_a_joint(job_of, laid_out):
    job = job_of({}, {"mass_kg": 0.0, "contents_kg": 0.0, "width_mm": 300.0}, {},
                 base={"bearer": {"stock_mm": (960.0, 1300.0), "thickness_mm": 60.0},
                       "height_mm": 90.0})  # fmt: skip
    pieces = pieces_of(job, laid_out)
    joint = next(p.supports[-1] for p in pieces.pieces if p.bearer == "B")
    # The left piece is weighed down onto the joint, the right one spans over it unloaded.
    errors = errors_of(pieces, **{joint: -0.02})
    laid = lay(pieces, **{joint: -0.02})
    found = next(one for one in stack_loads(laid, (), errors) if one.support == joint)
    assert len(found.idle_pieces) == 1
    assert found.idle
    assert found.gap_mm == max(gap for one in laid for name, gap in one.idle if name == joint)


def test_a_bearer_on_one_stack_puts_all_on_it(job_of, laid_out):
    job = job_of({"width_mm": 75.0, "side_mm": 1.0, "centre_of_gravity_mm": 140.0})
    pieces = pieces_of(job, laid_out)
    assert lay(pieces) == ()
    back, front = stack_loads((), pieces.alone, {"B1": 0.3, "F1": -0.2})
    timber = 370e-9 * GRAVITY_N_PER_KG * 900 * 75
    assert (back.support, back.bearer, back.error_mm) == ("B1", "B", 0.3)
    assert back.laid_n == pytest.approx(timber)
    # Rows at 67.5 and 242.5 mm: 102.5/175 of it come down behind.
    assert back.empty_n == pytest.approx(timber + 30 * GRAVITY_N_PER_KG * 102.5 / 175)
    assert back.full_n + front.full_n == pytest.approx(2 * timber + 90 * GRAVITY_N_PER_KG)
    assert not back.idle
    assert back.gap_mm == 0.0
