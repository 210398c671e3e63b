"""The stacks' loads divided between joists, as arrays."""

from __future__ import annotations

from kit.strength.joist_parts import parts_of
from kit.strength.joist_places import Grid, Pressed

GRID = Grid("y", 100.0, 400.0)
BEARINGS = (20.0, 1900.0, 3600.0)


def at(name: str, x: float, y: float) -> Pressed:
    return Pressed(name, "B", x, y, 10.0)


def test_parts_by_hand() -> None:
    parts = parts_of(GRID, [at("B1", 200.0, 300.0), at("B2", 900.0, 60.0)], BEARINGS)
    assert parts.stack.tolist() == [0, 0, 1]
    assert parts.joist.tolist() == [0, 1, 2]
    assert parts.share.tolist() == [0.75, 0.25, 1.0]
    assert parts.along_mm.tolist() == [300.0, 300.0, 60.0]
    assert parts.computed.tolist() == [True, True, True]
    assert parts.places_mm.tolist() == [60.0, 300.0]
    assert parts.place.tolist() == [1, 1, 0]


def test_what_stands_on_the_bearing_but_for_a_millimetre_stands_on_it() -> None:
    pressed = [at("B1", 100.0, 19.0), at("B2", 500.0, 3601.0), at("B3", 900.0, 3000.0)]
    parts = parts_of(GRID, pressed, BEARINGS)
    assert parts.beyond.tolist() == [False, False, False]
    assert parts.along_mm.tolist() == [20.0, 3600.0, 3000.0]


def test_what_stands_beyond_takes_its_joists_out_and_no_other() -> None:
    pressed = [
        at("B1", 200.0, 18.9),  # on the first and the second
        at("F1", 400.0, 700.0),  # on the second too, and there for nothing
        at("F2", 900.0, 800.0),
    ]
    parts = parts_of(GRID, pressed, BEARINGS)
    assert parts.beyond.tolist() == [True, True, False, False, False]
    assert parts.computed.tolist() == [False, False, True]
    assert parts.used.tolist() == [False, False, False, False, True]
    assert parts.places_mm.tolist() == [800.0]
    assert parts.along_mm.tolist()[0] == 18.9


def test_what_stands_too_far_before_takes_the_first_joist_out() -> None:
    pressed = [at("B1", -100.0, 300.0), at("B2", -100.1, 300.0), at("B3", 500.0, 300.0)]
    parts = parts_of(GRID, pressed, BEARINGS)
    assert parts.joist.tolist() == [0, 0, 1]
    assert parts.before_mm.round(6).tolist() == [0.0, 200.1, 0.0]
    assert parts.computed.tolist() == [False, True]
    assert parts.beyond.tolist() == [False, False, False]
