"""Bearers turned into beams: stacks, loads, joints, ends."""

from __future__ import annotations

import pytest

from kit.base.panel_loads import panel_loads
from kit.strength.pieces import bearer_pieces

G = 9.81


def pieces_of(job, laid_out):
    layout, cuts = laid_out(job)
    return layout, bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)


def test_one_unit_stands_on_two_beams(job_of, laid_out):
    layout, pieces = pieces_of(job_of({"centre_of_gravity_mm": 140.0}), laid_out)
    back, front = pieces.pieces
    assert back.supports == ("B1", "B2", "B3")  # sides, and one that halves the span
    assert back.beam.supports_mm == (37.5, 450.0, 862.5)
    assert (back.beam.start_mm, back.beam.end_mm) == (0.0, 900.0)
    assert back.beam.ei_n_mm2 == 8000 * 45 * 20**3 / 12  # EN 338, C16
    ((start, end, each),) = back.own.patches
    assert (start, end) == (0.0, 900.0)
    assert each == pytest.approx(370e-9 * 9.81 * 45 * 20)
    # Rows at 67.5 and 242.5 mm; the centre of gravity at 140 mm, 102.5 / 175 from the front row.
    to_back = 102.5 / 175
    assert back.units.total_n == pytest.approx(30 * G * to_back)
    assert back.stored.total_n == pytest.approx(60 * G * to_back)
    assert front.units.total_n == pytest.approx(30 * G * (1 - to_back))
    assert back.people.points == ()
    assert pieces.alone == ()
    assert layout.rows[0].name == back.bearer == "B"


def test_people_are_no_stored_goods(job_of, laid_out):
    _, pieces = pieces_of(job_of({"contents_are": "people"}), laid_out)
    assert pieces.pieces[0].stored.points == ()
    to_back = 82.5 / 175  # rows at 67.5 and 242.5 mm, centre of gravity at 160 mm
    assert pieces.pieces[0].people.total_n == pytest.approx(60 * G * to_back)


def test_what_stands_over_a_packer_goes_straight_into_its_stack(job_of, laid_out):
    """The sides' centre lines are 27.5 mm from the stacks' middle: on the packer, 37.5 each way."""
    _, pieces = pieces_of(job_of(), laid_out)
    back = pieces.pieces[0]
    assert [place for place, _ in back.units.points] == [37.5, 862.5]
    assert [panel[0] for panel in back.panels] == [10.0, 890.0]


def test_what_stands_beside_a_packer_bends_the_bearer(job_of, laid_out):
    """Two divisions 42 mm apart, packers of 60: their stacks are pushed apart until they touch."""
    job = job_of({"divisions_mm": (300.0, 342.0)}, stock={"packer_size_mm": (60.0, 45.0)})
    _, pieces = pieces_of(job, laid_out)
    back = pieces.pieces[0]
    assert back.beam.supports_mm[1:3] == (291.0, 351.0)
    assert [place for place, _ in back.units.points][1:3] == [291.0, 351.0]  # 9 mm: over them
    moved = ({"bearer": "B", "from_mm": 450.0, "to_mm": 481.0},)
    job = job_of({"divisions_mm": (450.0,)}, base={"moved": moved},
                 stock={"packer_size_mm": (62.0, 45.0)})  # fmt: skip
    _, pieces = pieces_of(job, laid_out)
    # 31 mm: the packer's edge is still over it.
    assert [place for place, _ in pieces.pieces[0].units.points] == [31.0, 481.0, 869.0]


def test_where_packers_end_short_of_a_division_it_bends_the_bearer(job_of, laid_out):
    """A no-go area under a division: what is bridged stands between two stacks."""
    hatch = {"name": "hatch", "corner_mm": (400.0, 0.0), "size_mm": (120.0, 150.0)}
    job = job_of({"divisions_mm": (450.0,)}, no_go=(hatch,))
    _, pieces = pieces_of(job, laid_out)
    back = pieces.pieces[0]
    assert back.beam.supports_mm == (37.5, 362.5, 557.5, 862.5)
    assert [place for place, _ in back.units.points] == [37.5, 450.0, 862.5]


def test_a_side_beyond_the_bearer_stands_on_its_end(job_of, laid_out):
    _, pieces = pieces_of(job_of(base={"end_inset_mm": 40.0}), laid_out)
    back = pieces.pieces[0]
    assert back.beam.start_mm == 40.0
    # The side reaches from 0 to 20 mm: it touches the bearer nowhere, and presses on its end.
    assert back.panels[0][:2] == (40.0, 0.0)
    assert back.units.points[0][0] == 77.5  # the middle of the packer under that end


def test_butting_pieces_are_beams_of_their_own_and_share_what_stands_over_the_joint(
    job_of, laid_out
):
    job = job_of({}, {}, {}, base={"bearer": {"stock_mm": (1900.0,), "width_mm": 45.0}})
    layout, pieces = pieces_of(job, laid_out)
    back = [piece for piece in pieces.pieces if piece.bearer == "B"]
    assert [piece.number for piece in back] == [1, 2]
    joint = back[0].supports[-1]
    assert back[1].supports[0] == joint
    assert back[0].beam.end_mm == back[1].beam.start_mm
    assert back[0].name == "B, piece 1"
    loads = panel_loads(layout, layout.rows[0])
    whole = sum(load.own_n for load in loads)
    parts = [piece.units.total_n for piece in back]
    assert sum(parts) == pytest.approx(whole)
    # The stack of a joint between two units carries the side of each: one on each piece.
    at = back[0].beam.end_mm
    near = [load for load in loads if abs(load.x_mm - at) < 30]
    assert len(near) == 2
    assert parts[0] == pytest.approx(sum(load.own_n for load in loads if load.x_mm < at))


def test_a_division_over_a_joint_stands_on_both_pieces(job_of, laid_out):
    job = job_of({"width_mm": 1000.0, "divisions_mm": (500.0,)},
                 base={"bearer": {"stock_mm": (520.0,)}})  # fmt: skip
    _, pieces = pieces_of(job, laid_out)
    back = [piece for piece in pieces.pieces if piece.bearer == "B"]
    assert [piece.beam.end_mm for piece in back] == [500.0, 1000.0]
    assert back[0].panels[-1][:2] == (495.0, 10.0)  # half of a division of 20 mm
    assert back[1].panels[0][:2] == (505.0, 10.0)
    assert back[0].units.total_n == pytest.approx(back[1].units.total_n)


def test_spliced_pieces_are_one_beam_with_a_hinge(job_of, laid_out):
    job = job_of({}, {}, {}, base={"bearer": {"stock_mm": (1900.0,), "splice": True}})
    _, pieces = pieces_of(job, laid_out)
    back = pieces.pieces[0]
    assert [piece.bearer for piece in pieces.pieces] == ["B", "F"]
    (hinge,) = back.beam.hinges
    assert back.beam.supports_mm[hinge] in (900.0, 1800.0)
    assert back.beam.end_mm == 2700.0


def test_a_bearer_on_one_stack_is_no_beam(job_of, laid_out):
    job = job_of({"width_mm": 75.0, "side_mm": 1.0})
    _, pieces = pieces_of(job, laid_out)
    assert pieces.pieces == ()
    assert [one.bearer for one in pieces.alone] == ["B", "F"]
    back, front = pieces.alone
    assert (back.support, front.support) == ("B1", "F1")
    assert back.units_n + front.units_n == pytest.approx(30 * G)
    assert back.stored_n + front.stored_n == pytest.approx(60 * G)
    assert back.own_n == pytest.approx(370e-9 * G * 900 * 75)


def test_a_side_that_overlaps_the_bearer_in_part_bears_on_that_part(job_of, laid_out):
    _, pieces = pieces_of(job_of(base={"end_inset_mm": 15.0}), laid_out)
    back = pieces.pieces[0]
    assert back.panels[0][:2] == (15.0, 5.0)  # 20 mm thick, 15 of them beyond the end
    assert back.panels[-1][:2] == (885.0, 5.0)


def test_a_unit_on_three_rows_presses_on_all_of_them(job_of, laid_out):
    """900 mm deep: back, middle and front row; all of its weight, about its own middle."""
    job = job_of({"depth_mm": 900.0, "centre_of_gravity_mm": 400.0})
    layout, pieces = pieces_of(job, laid_out)
    loads = {piece.bearer: piece.units.total_n for piece in pieces.pieces}
    assert list(loads) == ["B", "M", "F"]
    assert min(loads.values()) > 0.1 * 30 * G
    assert sum(loads.values()) == pytest.approx(30 * G)
    moment = sum(loads[row.name] * row.y_mm for row in layout.rows)
    assert moment == pytest.approx(30 * G * 400.0)
