"""What is said of the bearers, row by row."""

from __future__ import annotations

import math

import pytest

from kit.job import Floor, Stock
from kit.strength.bearer_checks import (
    bearer_checks,
    packer_contacts,
    rocking_words,
    screw_checks,
    shim_words,
)
from kit.strength.bearers import lay_bearers
from kit.strength.pieces import bearer_pieces
from kit.strength.timber import C16, timber_class

G = 9.81
SOLID = Floor(kind="solid")
BOARDS = Floor(kind="boarded", board_mm=21.0, board_strength_class="C16")
STOCK = Stock(packers=({"mm": 18.0},))


def laid_of(job, laid_out, **errors):
    layout, cuts = laid_out(job)
    pieces = bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)
    names = [name for piece in pieces.pieces for name in piece.supports]
    return pieces, lay_bearers(pieces, dict.fromkeys(names, 0.0) | errors, 1)


def rows_of(pieces, laid, floor=SOLID, stock=STOCK, service_class=1):
    rows = list(bearer_checks(pieces, laid, floor, stock, service_class))
    return {(row.check, row.subject.split(":")[0]): row for row in rows}


def test_level_stacks_are_ok(job_of, laid_out):
    rows = rows_of(*laid_of(job_of(), laid_out))
    assert rows["bearer lifting off a stack", "B"].verdict == "ok"
    assert rows["bearer rocking on one stack", "F"].verdict == "ok"
    assert rows["bearer lifting off a stack", "B"].value == 0.0
    assert {row.verdict for row in rows.values()} == {"ok", "not_checked"}


def test_an_idle_stack_is_named_with_its_shim(job_of, laid_out):
    job = job_of({"width_mm": 1200.0, "divisions_mm": (240.0,)})
    pieces, laid = laid_of(job, laid_out, B3=-0.9)
    row = rows_of(pieces, laid)["bearer lifting off a stack", "B"]
    gap = laid[0].cases["full"].gaps_mm[2]
    assert (row.subject, row.verdict, row.limit, row.unit) == ("B: B3", "refer", 0.0, "mm")
    assert row.value == gap > 0.1
    assert f"B3 is idle: a shim of {gap:.2f} mm brings it to bear" in row.source


@pytest.mark.parametrize(
    ("gap", "words"),
    [
        (0.224, "a shim of 0.22 mm brings it to bear"),
        (0.005, "a shim of 0.01 mm brings it to bear"),
        (0.0049, "it just touches, the least shim brings it to bear"),
    ],
)
def test_shims_are_told_to_a_hundredth(gap, words):
    assert shim_words(gap) == words


def test_a_high_middle_is_said_in_those_words(job_of, laid_out):
    pieces, laid = laid_of(job_of(), laid_out, F2=0.9)
    row = rows_of(pieces, laid)["bearer rocking on one stack", "F"]
    assert (row.subject, row.verdict) == ("F: F2", "refer")
    said = rocking_words(laid[1], laid[1].rocking[0])
    assert said.startswith("Bearer F, piece 1 rocks on one stack, F2, ends in the air: ")
    assert f"{row.value:.2f} mm over F1" in said
    assert said in row.source
    assert row.value == max(laid[1].rocking[0].left_mm, laid[1].rocking[0].right_mm)


def test_bending_by_hand(job_of, laid_out):
    """A division bridged over a hatch, 87.5 and 107.5 mm from its stacks, all others far away.

    The bearer passes over four stacks: its greatest moment, by the three-moment equation worked
    out beside the kit, with 1.35 and 1.5 times the loads and kmod 0.7.
    """
    hatch = {"name": "hatch", "corner_mm": (400.0, 0.0), "size_mm": (120.0, 150.0)}
    pieces, laid = laid_of(job_of({"divisions_mm": (450.0,)}, no_go=(hatch,)), laid_out)
    back = laid[0]
    a, b, c = 362.5 - 37.5, 557.5 - 362.5, 862.5 - 557.5
    to_back = (242.5 - 160.0) / 175.0
    share = 440 / 900  # half of each bay, between centre lines at 10, 450 and 890 mm
    load = (1.35 * 30 + 1.5 * 60) * G * share * to_back
    w = 1.35 * 370e-9 * G * 900
    p, q = 450.0 - 362.5, 557.5 - 450.0
    over = 37.5  # the ends of the bearer hang over
    end = -w * over**2 / 2
    # Three-moment equations for M2, M3 (hogging negative), M1 = M4 = end.
    m2, m3 = _three_moments(
        (a, b, c), w, end, (load * p * q * (b + q) / b, load * p * q * (b + p) / b)
    )
    under = load * p * q / b + m2 * q / b + m3 * p / b + w * p * q / 2
    worst = max(abs(m2), abs(m3), abs(under))
    line = dict(back.design)["long"].line
    assert line.greatest_moment_n_mm == pytest.approx(worst, rel=1e-9)
    # EN 1995-1-1 6.1.6: W = 3000 mm3, kh 1.3, fm,k 16, kmod 0.7, gammaM 1.3.
    ratio = worst / 3000 / (16 * 1.3 * 0.7 / 1.3)
    row = rows_of(pieces, laid)["bearer bending", "B"]
    assert row.value == pytest.approx(ratio, rel=1e-9)
    assert row.subject == "B: piece 1, long load"
    shear = rows_of(pieces, laid)["bearer shear", "B"]
    force = line.greatest_shear_n
    assert shear.value == pytest.approx(1.5 * force / (0.67 * 900) / (3.2 * 0.7 / 1.3), rel=1e-9)


def _three_moments(spans, w, end, point):
    """Clapeyron: M1 a + 2 M2 (a + b) + M3 b = -w a³/4 - w b³/4 - (point load terms)."""
    a, b, c = spans
    first = -w * (a**3 + b**3) / 4 - point[0] - end * a
    second = -w * (b**3 + c**3) / 4 - point[1] - end * c
    left, right = 2 * (a + b), 2 * (b + c)
    determinant = left * right - b * b
    return (first * right - second * b) / determinant, (second * left - first * b) / determinant


def test_a_weak_bearer_is_referred_and_not_failed(job_of, laid_out):
    hatch = {"name": "hatch", "corner_mm": (300.0, 0.0), "size_mm": (300.0, 150.0)}
    job = job_of(
        {"divisions_mm": (450.0,), "contents_kg": 900.0},
        no_go=(hatch,),
        base={"bearer": {"thickness_mm": 12.0}},
    )
    rows = rows_of(*laid_of(job, laid_out))
    assert rows["bearer bending", "B"].value > 1
    assert rows["bearer bending", "B"].verdict == "refer"
    assert rows["bearer sag", "B"].verdict == "refer"
    assert rows["bearer sag", "B"].limit == pytest.approx((637.5 - 262.5) / 250)
    assert rows["bearer bending", "F"].verdict == "ok"


def test_bearing_lengths_at_ends_joints_and_inside(job_of, laid_out):
    job = job_of({}, {}, {}, base={"bearer": {"stock_mm": (1900.0,)}})
    pieces, laid = laid_of(job, laid_out)
    left, right = (one for one in laid if one.piece.bearer == "B")
    contacts = packer_contacts(left, pieces)
    assert contacts[0].length_mm == 75.0
    assert contacts[0].left_end_mm == 0.0  # its packer lies flush with the bearer's end
    assert contacts[-1].length_mm == 37.5  # half a packer under a joint
    assert contacts[-1].right_end_mm == 0.0
    assert contacts[1].right_clear_mm == contacts[2].left_clear_mm > 300
    assert packer_contacts(right, pieces)[0].length_mm == 37.5


def test_bearing_by_hand(job_of, laid_out):
    """An end stack: l = 75, one side at the bearer's end, 30 mm more on the other: 105 mm.

    The force is what stands on that side, 1.35 and 1.5 times, and what the beam adds to it.
    """
    pieces, laid = laid_of(job_of({"mass_kg": 31.0}), laid_out)
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


def test_pressure_on_packers_is_told_and_judged_where_a_strength_is_given(job_of, laid_out):
    pieces, laid = laid_of(job_of(), laid_out)
    force = max(dict(laid[0].design)["long"].line.reactions_n)
    row = rows_of(pieces, laid)["pressure on packer", "B"]
    assert row.value == pytest.approx(force / (75 * 45))
    assert row.verdict == "not_checked"
    assert math.isnan(row.limit)
    given = STOCK.model_copy(update={"packer_bears_n_per_mm2": row.value})
    assert rows_of(pieces, laid, stock=given)["pressure on packer", "B"].verdict == "ok"
    less = STOCK.model_copy(update={"packer_bears_n_per_mm2": row.value * 0.999})
    assert rows_of(pieces, laid, stock=less)["pressure on packer", "B"].verdict == "refer"


def test_boards_are_judged_where_their_class_is_given(job_of, laid_out):
    pieces, laid = laid_of(job_of(), laid_out)
    force = max(dict(laid[0].design)["long"].line.reactions_n)
    row = rows_of(pieces, laid, floor=BOARDS)["bearing on board", "B"]
    assert row.value == pytest.approx(force / (75 * 45) / (2.2 * 0.7 / 1.3), rel=1e-9)
    assert row.verdict == "ok"
    unknown = Floor(kind="boarded", board_mm=21.0)
    row = rows_of(pieces, laid, floor=unknown)["bearing on board", "B"]
    assert (row.verdict, row.source) == ("not_checked", "no floor.board_strength_class given")
    assert ("bearing on board", "B") not in rows_of(pieces, laid, floor=SOLID)


def test_both_pieces_over_a_joint_press_on_the_board(job_of, laid_out):
    heavy = {"mass_kg": 200.0, "contents_kg": 0.0}
    job = job_of(heavy, heavy, base={"bearer": {"stock_mm": (1000.0,)}})
    pieces, laid = laid_of(job, laid_out)
    left, right = (one for one in laid if one.piece.bearer == "B")
    both = sum(dict(one.design)["permanent"].line.reactions_n[end]
               for one, end in ((left, -1), (right, 0)))  # fmt: skip
    row = rows_of(pieces, laid, floor=BOARDS)["bearing on board", "B"]
    assert row.subject == f"B: at {left.piece.supports[-1]}"
    assert row.value == pytest.approx(both / (75 * 45) / (2.2 * 0.6 / 1.3), rel=1e-9)


def test_a_bearer_on_one_stack_is_not_checked(job_of, laid_out):
    pieces, laid = laid_of(job_of({"width_mm": 75.0, "side_mm": 1.0}), laid_out)
    rows = rows_of(pieces, laid)
    assert rows["bearer", "B"].verdict == "not_checked"
    assert list(rows) == [("bearer", "B"), ("bearer", "F")]


def screw_row(laid, points, diameter, bearer="B"):
    rows = list(screw_checks(laid, points, C16, diameter, 1))
    return next(row for row in rows if row.subject.startswith(bearer))


def test_a_screw_that_draws_the_bearer_down(job_of, laid_out):
    """Two spans of 412.5 mm, middle stack 0.9 mm low: 48 EI d / (2L)³ less 5/8 of the weight."""
    _, laid = laid_of(job_of({"mass_kg": 0.0, "contents_kg": 0.0}), laid_out, B2=-0.9)
    span, ei = 412.5, 8000 * 30000
    w = 370e-9 * G * 900
    over = w * 37.5**2 / 2
    carried = 2 * (5 / 8 * w * span) - 2 * (1.5 * over / span)  # what hangs over lifts the middle
    pull = 48 * ei * 0.9 / (2 * span) ** 3 - carried
    row = screw_row(laid, {"B2": 40.0}, None)
    assert (row.subject, row.verdict) == ("B: B2", "not_checked")
    assert row.value == pytest.approx(pull, rel=1e-9)
    assert row.source == "no stock.screw_diameter_mm given"
    assert screw_row(laid, {}, 5.0).source == "no bearer screw from stock serves there"
    short = screw_row(laid, {"B2": 12.0}, 5.0)
    assert short.verdict == "not_checked"
    assert "6 d = 30 mm" in short.source
    held = screw_row(laid, {"B2": 40.0}, 5.0)
    assert held.value == pytest.approx(pull, rel=1e-9)  # NDS: against unfactored loads
    assert held.verdict == "ok"
    assert "packers taken as C16" in held.source
    factored = screw_row(laid, {"B2": 40.0}, 6.0)
    assert factored.value == pytest.approx(1.35 * pull, rel=1e-9)  # EN 1995: design loads


def test_no_pull_where_all_tops_are_level(job_of, laid_out):
    _, laid = laid_of(job_of(), laid_out)
    assert screw_row(laid, {"B1": 40.0, "B2": 40.0, "B3": 40.0}, 5.0, "F").value == 0.0


def test_timber_of_the_job_is_used(job_of, laid_out):
    pieces, _ = laid_of(job_of(base={"bearer": {"strength_class": "C24"}}), laid_out)
    assert pieces.timber == timber_class("C24")
