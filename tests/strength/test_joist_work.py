"""What is known of joists: the sag along one of them, and what is said where nothing is known."""

from __future__ import annotations

import numpy as np
import pytest

from kit.job import Joists, Refusal
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under

JOISTS = Joists(
    along="x",
    width_mm=63.0,
    depth_mm=170.0,
    centres_mm=350.0,
    first_mm=-20.0,
    bearing_mm=(-60.0, 2100.0, 3700.0),
    strength_class="C24",
)
BASE = (
    Pressed("B1", "B", 400.0, 60.0, 90.0, 240.0),
    Pressed("F1", "F", 900.0, 440.0, 130.0, 510.0, 75.0),
)


def work_of(pressed) -> JoistWork:
    work = joists_under(JOISTS, "boarded", pressed, 1)
    assert isinstance(work, JoistWork)
    return work


def test_sag_along_a_joist_has_the_shape_asked_for_and_its_greatest_place() -> None:
    work = work_of(BASE)
    joist = work.joists[1]
    along = np.linspace(-60.0, 3700.0, 754).reshape(2, 377)
    sags = work.sag_final_mm(joist, along)
    assert sags.shape == (2, 377)
    assert sags.max() <= joist.greatest_final_mm + 1e-12
    # The line has a kink under the load, by shear: at most 2.5 mm beside it there is a little less.
    assert sags.max() == pytest.approx(joist.greatest_final_mm, rel=1e-3)
    assert along.ravel()[sags.argmax()] == pytest.approx(joist.greatest_at_mm, abs=5.0)
    assert work.sag_final_mm(joist, [-60.0, 2100.0, 3700.0]) == pytest.approx([0.0] * 3, abs=1e-9)
    assert sags.min() < -1e-4  # beyond the middle bearing it rises


def test_sag_of_a_joist_without_loads_is_nothing() -> None:
    work = work_of([Pressed("B1", "B", 400.0, 680.0, 90.0)])
    assert [len(joist.carries) for joist in work.joists] == [0, 0, 1]
    assert work.sag_final_mm(work.joists[0], [0.0, 1000.0]).tolist() == [0.0, 0.0]


def test_a_place_that_the_joist_does_not_reach() -> None:
    work = work_of(BASE)
    with pytest.raises(Refusal, match="from -60 to 3700 mm"):
        work.sag_final_mm(work.joists[0], [0.0, 3701.0])


@pytest.mark.parametrize(
    ("joists", "kind", "pressed", "said"),
    [
        (None, "boarded", BASE, r"no \[floor.joists\] given"),
        (None, "solid", BASE, "a solid floor has none: its bearing capacity is for others"),
        (JOISTS, "boarded", (), "no stack presses"),
        (JOISTS.model_copy(update={"centres_mm": 30.0}), "boarded", BASE, "would overlap"),
    ],
)
def test_without_joists(joists, kind, pressed, said) -> None:
    found = joists_under(joists, kind, pressed, 1)
    assert isinstance(found, NoJoists)
    assert not found.settled
    with pytest.raises(Refusal, match=f"{said}.*; allowed: a number of millimetres"):
        found.front_lift_mm()
    assert found.said == f"settlement not known: {found.reason}"
