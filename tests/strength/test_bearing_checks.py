"""What packers, boards and the timber of a bearer bear."""

from __future__ import annotations

import math

import pytest

from kit.job import Floor, Stock
from kit.strength.bearing_checks import packer_contacts

G = 9.81
SOLID = Floor(kind="solid")
BOARDS = Floor(kind="boarded", board_mm=21.0, board_strength_class="C16")
STOCK = Stock(packers=({"mm": 18.0},))


def test_bearing_lengths_at_ends_joints_and_inside(job_of, laid_of):
    job = job_of({}, {}, {}, base={"bearer": {"stock_mm": (1900.0,)}})
    pieces, laid = laid_of(job)
    left, right = (one for one in laid if one.piece.bearer == "B")
    contacts = packer_contacts(left, pieces)
    assert contacts[0].length_mm == 75.0
    assert contacts[0].left_end_mm == 0.0  # its packer lies flush with the bearer's end
    assert contacts[-1].length_mm == 37.5  # half a packer under a joint
    assert contacts[-1].right_end_mm == 0.0
    assert contacts[1].right_clear_mm == contacts[2].left_clear_mm > 300
    assert packer_contacts(right, pieces)[0].length_mm == 37.5


def test_bearing_by_hand(job_of, laid_of, rows_of):
    """An end stack: l = 75, one side at the bearer's end, 30 mm more on the other: 105 mm.

    The force is what stands on that side, 1.35 and 1.5 times, and what the beam adds to it.
    """
    pieces, laid = laid_of(job_of({"mass_kg": 31.0}))
    rows = rows_of(pieces, laid)
    row = rows["bearing of bearer on packer", "B"]
    forces = dict(laid[0].design)["long"].line.reactions_n
    design = 1.5 * 2.2 * 0.7 / 1.3  # kc,90 1.5: 337.5 mm clear, more than twice 20
    assert row.value == pytest.approx(max(forces) / (45 * 105 * design), rel=1e-9)
    # Under the unit's side: 20 mm thick, flush with the bearer's end: 20 + min(30, 20) = 40 mm.
    side = rows["bearing of unit on bearer", "B"]
    to_back = (242.5 - 160.0) / 175.0
    load = (1.35 * 31 + 1.5 * 60) * G * to_back / 2
    assert side.value == pytest.approx(load / (45 * 40 * design), rel=1e-9)


def test_pressure_on_packers_is_told_and_judged_where_a_strength_is_given(job_of, laid_of, rows_of):
    pieces, laid = laid_of(job_of())
    force = max(dict(laid[0].design)["long"].line.reactions_n)
    row = rows_of(pieces, laid)["pressure on packer", "B"]
    assert row.value == pytest.approx(force / (75 * 45))
    assert row.verdict == "not_checked"
    assert math.isnan(row.limit)
    given = STOCK.model_copy(update={"packer_bears_n_per_mm2": row.value})
    assert rows_of(pieces, laid, stock=given)["pressure on packer", "B"].verdict == "ok"
    less = STOCK.model_copy(update={"packer_bears_n_per_mm2": row.value * 0.999})
    assert rows_of(pieces, laid, stock=less)["pressure on packer", "B"].verdict == "refer"


def test_boards_are_judged_where_their_class_is_given(job_of, laid_of, rows_of):
    pieces, laid = laid_of(job_of())
    force = max(dict(laid[0].design)["long"].line.reactions_n)
    row = rows_of(pieces, laid, floor=BOARDS)["bearing on board", "B"]
    assert row.value == pytest.approx(force / (75 * 45) / (2.2 * 0.7 / 1.3), rel=1e-9)
    assert row.verdict == "ok"
    unknown = Floor(kind="boarded", board_mm=21.0)
    row = rows_of(pieces, laid, floor=unknown)["bearing on board", "B"]
    assert (row.verdict, row.source) == ("not_checked", "no floor.board_strength_class given")
    assert ("bearing on board", "B") not in rows_of(pieces, laid, floor=SOLID)


def test_both_pieces_over_a_joint_press_on_the_board(job_of, laid_of, rows_of):
    heavy = {"mass_kg": 200.0, "contents_kg": 0.0}
    job = job_of(heavy, heavy, base={"bearer": {"stock_mm": (1000.0,)}})
    pieces, laid = laid_of(job)
    left, right = (one for one in laid if one.piece.bearer == "B")
    both = sum(dict(one.design)["permanent"].line.reactions_n[end]
               for one, end in ((left, -1), (right, 0)))  # fmt: skip
    row = rows_of(pieces, laid, floor=BOARDS)["bearing on board", "B"]
    assert row.subject == f"B: at {left.piece.supports[-1]}"
    assert row.value == pytest.approx(both / (75 * 45) / (2.2 * 0.6 / 1.3), rel=1e-9)
