"""Moves and what is seen: what nobody names is empty, never shared, never changed afterwards."""

from dataclasses import FrozenInstanceError, fields

import pytest

from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen, UnderEdge, Vial


def test_what_is_not_named_is_empty():
    seen = Seen("nothing to see", 3.0)
    assert seen.placement is True
    assert (seen.figures, seen.vial, seen.under, seen.on_plan, seen.tables) == ({}, (), (), (), ())
    assert Move("set_up").values == {}
    assert (MoveForm("a", "b").fields, MoveForm("a", "b").drag, MoveForm("a", "b").turn) == (
        (), (), "",
    )  # fmt: skip


def test_two_moves_share_no_values():
    one, other = Move("read"), Move("read")
    assert one.values is not other.values
    assert Seen("a", 1.0).figures is not Seen("a", 1.0).figures


@pytest.mark.parametrize(
    "made",
    [Move("a"), MoveForm("a", "b"), Vial(0.2), OnPlan("place", ((1.0, 2.0),)), UnderEdge(600.0),
     Seen("a", 1.0), Done(Move("a"), Seen("a", 1.0))],
    ids=lambda made: type(made).__name__,
)  # fmt: skip
def test_what_was_done_and_seen_cannot_be_changed(made):
    with pytest.raises(FrozenInstanceError):
        setattr(made, fields(made)[0].name, "other")
