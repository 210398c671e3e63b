"""Bearers laid on stacks: what carries, what is idle, what rocks."""

from __future__ import annotations

import numpy as np
import pytest

from kit.strength.bearers import HAND_N, lay_bearers, tops_under
from kit.strength.pieces import bearer_pieces
from kit.strength.stack_loads import stack_loads
from kit.strength.timber import kdef

G = 9.81


def pieces_of(job, laid_out):
    layout, cuts = laid_out(job)
    return bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)


def errors_of(pieces, **errors):
    names = [name for piece in pieces.pieces for name in piece.supports]
    return dict.fromkeys([*names, *(one.support for one in pieces.alone)], 0.0) | errors


def lay(pieces, service_class=1, **errors):
    return lay_bearers(pieces, errors_of(pieces, **errors), service_class)


def test_on_level_tops_everything_carries(job_of, laid_out):
    pieces = pieces_of(job_of(), laid_out)
    laid = lay(pieces)
    for one in laid:
        assert one.idle == ()
        assert one.rocking == ()
        assert all(one.cases["laid"].carries)
    loads = {one.support: one for one in stack_loads(laid, (), errors_of(pieces))}
    # 900 mm of bearer weigh 2.94 N; over three stacks the middle one takes most.
    assert loads["B2"].full_n == pytest.approx(loads["B2"].laid_n, abs=1e-9)
    total = sum(loads[name].full_n for name in ("B1", "B2", "B3"))
    assert total == pytest.approx(2.94 + 90 * G * 82.5 / 175, abs=0.01)


def test_a_high_middle_rocks_on_one_stack(job_of, laid_out):
    laid = lay(pieces_of(job_of(), laid_out), B2=0.9)
    back, front = laid
    (rocking,) = back.rocking
    assert (rocking.support, rocking.left, rocking.right) == ("B2", "B1", "B3")
    # Balanced: both ends hang alike. A rigid stick would show twice 0.9 mm when pressed; this one
    # droops a little by its own weight.
    gaps = back.cases["laid"].gaps_mm
    assert gaps[0] == pytest.approx(gaps[2], rel=1e-6)
    # The droop of 450 mm of 45 x 20: w (L^4 / 8) with the part over the stack's own half, above 0.
    assert 0.8 < gaps[0] < 0.9
    assert 1.6 < rocking.left_mm == pytest.approx(rocking.right_mm, rel=1e-6)
    assert rocking.left_mm < 1.8
    assert front.rocking == ()


def test_the_side_that_hangs_lower_is_told_apart(job_of, laid_out):
    (back, _) = lay(pieces_of(job_of({"divisions_mm": (300.0,)}), laid_out), B2=0.9, B1=0.3)
    names = back.piece.supports
    assert names[:2] == ("B1", "B2")
    (rocking,) = back.rocking
    assert rocking.support == "B2"
    assert rocking.left_mm < rocking.right_mm  # the short arm swings less


def test_a_thin_bearer_that_droops_onto_its_stacks_does_not_rock(job_of, laid_out):
    (back, _) = lay(pieces_of(job_of(), laid_out), B2=0.04)
    assert all(back.cases["laid"].carries)
    assert back.rocking == ()


def test_ends_in_the_air_over_two_middle_stacks_do_not_rock(job_of, laid_out):
    job = job_of({"width_mm": 1500.0, "divisions_mm": (500.0, 1000.0)})
    (back, _) = lay(pieces_of(job, laid_out), B2=1.0, B3=1.0)
    assert back.piece.supports == ("B1", "B2", "B3", "B4")
    assert back.cases["laid"].carries == (False, True, True, False)
    assert back.rocking == ()


def test_what_bends_over_two_stacks_and_is_drawn_down_does_not_rock(job_of, laid_out):
    """Only one stack carries both times, but the press at one end draws the other down as well."""
    hatch = {"name": "hatch", "corner_mm": (375.0, 0.0), "size_mm": (225.0, 150.0)}
    job = job_of({"divisions_mm": (450.0,)}, no_go=(hatch,))
    (back, _) = lay(pieces_of(job, laid_out), B1=-0.56, B2=0.25, B3=-0.15, B4=-0.49)
    assert back.piece.beam.supports_mm == (37.5, 337.5, 637.5, 862.5)
    laid = back.cases["laid"]
    assert laid.carries == (False, True, True, False)
    assert back.rocking == ()


@pytest.mark.parametrize(("high", "rocks"), [(0.13, True), (0.05, False)])
def test_what_rocks_by_less_than_a_sheet_of_paper_is_let_pass(job_of, laid_out, high, rocks):
    job = job_of(base={"bearer": {"thickness_mm": 45.0}, "height_mm": 80.0})
    (back, _) = lay(pieces_of(job, laid_out), B2=high)
    assert back.cases["laid"].carries == (False, True, False)
    assert bool(back.rocking) == rocks


def test_a_stiff_bearer_rocks_under_full_units(job_of, laid_out):
    """95 mm on edge: 300 N at each side do not bring the ends down by 1.5 mm."""
    job = job_of(base={"bearer": {"width_mm": 45.0, "thickness_mm": 95.0}, "height_mm": 130.0})
    (back, _) = lay(pieces_of(job, laid_out), B2=1.5)
    full = back.cases["full"]
    assert full.carries == (False, True, False)
    assert back.idle[0][0] == "B1"
    assert back.rocking[0].support == "B2"
    assert back.spans == ()  # nothing lies between two stacks that carry


def test_an_idle_stack_touches_with_its_shim_and_bears_with_more(job_of, laid_out):
    pieces = pieces_of(job_of({"width_mm": 1200.0, "divisions_mm": (240.0,)}), laid_out)
    low = {"B3": -0.9}
    (back, _) = lay(pieces, **low)
    (idle,) = back.idle
    assert idle[0] == "B3"
    shimmed = lay(pieces, B3=low["B3"] + idle[1])[0]
    assert shimmed.cases["full"].line.reactions_n[2] == pytest.approx(0, abs=1e-6)
    assert shimmed.cases["full"].gaps_mm[2] == pytest.approx(0, abs=1e-9)
    more = lay(pieces, B3=low["B3"] + idle[1] + 0.02)[0]
    assert more.idle == ()
    assert more.cases["full"].line.reactions_n[2] > 0.3


def test_design_loads_are_those_of_en_1990(job_of, laid_out):
    pieces = pieces_of(job_of({}, {"contents_are": "people"}), laid_out)
    (back, _) = lay(pieces)
    own = back.piece.own.total_n + back.piece.units.total_n
    found = {name: rest.line.reactions_n.sum() for name, rest in back.design}
    stored, people = back.piece.stored.total_n, back.piece.people.total_n
    assert stored == pytest.approx(people)
    assert found == {
        "permanent": pytest.approx(1.35 * own),
        "long": pytest.approx(1.35 * own + 1.5 * stored),
        "medium": pytest.approx(1.35 * own + 1.5 * (stored + people)),
    }


def test_without_people_nothing_is_said_of_them(job_of, laid_out):
    (back, _) = lay(pieces_of(job_of(), laid_out))
    assert [name for name, _ in back.design] == ["permanent", "long"]


@pytest.mark.parametrize("service_class", [1, 2, 3])
def test_creep_bends_a_bearer_further(job_of, laid_out, service_class):
    """With all stacks bearing, sag grows as the load does."""
    pieces = pieces_of(job_of({"mass_kg": 0.0, "contents_kg": 0.0}), laid_out)
    now = lay(pieces, service_class)[0]
    spans = {(span.left, span.right): span for span in now.spans}
    at_once = now.cases["full"].line
    places = np.linspace(37.5, 450.0, 25)
    line = at_once.height_mm(places)
    chord = np.linspace(line[0], line[-1], 25)
    sag = np.abs(line - chord).max()
    # Own weight is permanent: 1 + kdef times, EN 1995-1-1 2.2.3; all stacks bear, so it is linear.
    assert spans["B1", "B2"].sag_mm == pytest.approx(sag * (1 + kdef(service_class)), rel=1e-9)
    assert spans["B1", "B2"].length_mm == 412.5


def test_heights_are_taken_from_the_piece_at_the_place(job_of, laid_out):
    job = job_of({}, {}, {}, base={"bearer": {"stock_mm": (1900.0,)}})
    pieces = pieces_of(job, laid_out)
    left, right = (piece for piece in pieces.pieces if piece.bearer == "B")
    joint, at = left.supports[-1], left.beam.end_mm
    laid = lay(pieces, **{joint: 0.4, right.supports[-1]: -0.3})
    tops = tops_under(laid, "B", [at, 2690.0, 5000.0])
    assert tops[at] == pytest.approx(0.4)
    # Beyond its end a bearer has none: that of its end.
    assert tops[5000.0] == pytest.approx(tops_under(laid, "B", [2700.0])[2700.0])
    assert tops[5000.0] < tops[2690.0] < -0.25
    assert tops_under(laid, "nowhere", []) == {}


def test_a_hand_is_fifty_newtons():
    assert HAND_N == 50.0  # common practice, no source
