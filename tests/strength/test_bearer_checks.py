"""What is said of the bearers, row by row."""

from __future__ import annotations

import pytest

from kit.job import Floor, Stock
from kit.strength.bearer_checks import rocking_words, shim_words
from kit.strength.timber import timber_class

G = 9.81
SOLID = Floor(kind="solid")
BOARDS = Floor(kind="boarded", board_mm=21.0, board_strength_class="C16")
STOCK = Stock(packers=({"mm": 18.0},))


def test_level_stacks_are_ok(job_of, laid_of, rows_of):
    rows = rows_of(*laid_of(job_of()))
    assert rows["bearer lifting off a stack", "B"].verdict == "ok"
    assert rows["bearer rocking on one stack", "F"].verdict == "ok"
    assert rows["bearer lifting off a stack", "B"].value == 0.0
    assert {row.verdict for row in rows.values()} == {"ok", "not_checked"}


def test_an_idle_stack_is_named_with_its_shim(job_of, laid_of, rows_of):
    job = job_of({"width_mm": 1200.0, "divisions_mm": (240.0,)})
    pieces, laid = laid_of(job, B3=-0.9)
    row = rows_of(pieces, laid)["bearer lifting off a stack", "B"]
    gap = laid[0].cases["full"].gaps_mm[2]
    assert (row.subject, row.verdict, row.limit, row.unit) == ("B: B3", "refer", 0.1, "mm")
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


def test_a_gap_of_a_sheet_of_paper_is_told_and_let_pass(job_of, laid_of, rows_of):
    job = job_of({"width_mm": 1200.0, "divisions_mm": (240.0,)})
    pieces, laid = laid_of(job, B3=-0.9)
    gap = laid[0].cases["full"].gaps_mm[2]
    pieces, laid = laid_of(job, B3=-0.9 + gap - 0.1 + 1e-12)  # 0.1 mm is left: closed
    row = rows_of(pieces, laid)["bearer lifting off a stack", "B"]
    assert row.verdict == "ok"
    assert "B3 is idle: a shim of 0.10 mm" in row.source
    pieces, laid = laid_of(job, B3=-0.9 + gap - 0.101)
    assert rows_of(pieces, laid)["bearer lifting off a stack", "B"].verdict == "refer"


def test_a_high_middle_is_said_in_those_words(job_of, laid_of, rows_of):
    pieces, laid = laid_of(job_of(), F2=0.9)
    row = rows_of(pieces, laid)["bearer rocking on one stack", "F"]
    assert (row.subject, row.verdict) == ("F: F2", "refer")
    said = rocking_words(laid[1], laid[1].rocking[0])
    assert said.startswith("Bearer F, piece 1 rocks on one stack, F2, ends in the air: ")
    assert f"{row.value:.2f} mm over F1" in said
    assert said in row.source
    assert row.value == max(laid[1].rocking[0].left_mm, laid[1].rocking[0].right_mm)


def test_bending_by_hand(job_of, laid_of, rows_of):
    """A division bridged over a hatch, 87.5 and 107.5 mm from its stacks, all others far away.

    The bearer passes over four stacks: its greatest moment, by the three-moment equation worked
    out beside the kit, with 1.35 and 1.5 times the loads and kmod 0.7.
    """
    hatch = {"name": "hatch", "corner_mm": (400.0, 0.0), "size_mm": (120.0, 150.0)}
    pieces, laid = laid_of(job_of({"divisions_mm": (450.0,)}, no_go=(hatch,)))
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


def test_a_weak_bearer_is_referred_and_not_failed(job_of, laid_of, rows_of):
    hatch = {"name": "hatch", "corner_mm": (300.0, 0.0), "size_mm": (300.0, 150.0)}
    job = job_of(
        {"divisions_mm": (450.0,), "contents_kg": 900.0},
        no_go=(hatch,),
        base={"bearer": {"thickness_mm": 12.0}},
    )
    rows = rows_of(*laid_of(job))
    assert rows["bearer bending", "B"].value > 1
    assert rows["bearer bending", "B"].verdict == "refer"
    assert rows["bearer sag", "B"].verdict == "refer"
    assert rows["bearer sag", "B"].limit == pytest.approx((637.5 - 262.5) / 250)
    assert rows["bearer bending", "F"].verdict == "ok"


def test_a_bearer_on_one_stack_is_not_checked(job_of, laid_of, rows_of):
    pieces, laid = laid_of(job_of({"width_mm": 75.0, "side_mm": 1.0}))
    rows = rows_of(pieces, laid)
    assert rows["bearer", "B"].verdict == "not_checked"
    checks = ("bearer", "pressure on packer")
    assert list(rows) == [(check, bearer) for bearer in ("B", "F") for check in checks]
    (back, _) = pieces.alone
    force = 1.35 * (back.own_n + back.units_n) + 1.5 * back.stored_n
    row = rows["pressure on packer", "B"]
    assert row.subject == "B: B1"
    assert row.value == pytest.approx(force / (75 * 45))
    assert laid == ()


def test_timber_of_the_job_is_used(job_of, laid_of):
    pieces, _ = laid_of(job_of(base={"bearer": {"strength_class": "C24"}}))
    assert pieces.timber == timber_class("C24")
