"""Running dimensions."""

import numpy as np
import pytest
from scipy.optimize import minimize

from kit.paper.dimensions import PITCH_MM, Running, Tick, figure_of, labels_tall_mm, spread
from kit.paper.label_places import letters_box, letters_of
from kit.paper.marks import Disc, Stroke

WANTED = [2.0, 3.1, 3.4, 17.0, 30.0, 30.5, 39.5, 39.9]


def test_spread_moves_least_against_a_general_programme():
    places = np.array(spread(WANTED, 3.7, 1.0, 41.0))
    # scipy's SLSQP on the same squares and the same limits; it stops at about 1e-6.
    order = {"type": "ineq", "fun": lambda x: np.diff(x) - 3.7}
    found = minimize(
        lambda x: ((x - WANTED) ** 2).sum(),
        np.linspace(1, 41, len(WANTED)),
        constraints=[order],
        bounds=[(1.0, 41.0)] * len(WANTED),
        options={"ftol": 1e-13, "maxiter": 500},
    )
    assert places == pytest.approx(found.x, abs=1e-4)
    assert np.diff(places).min() >= 3.7 - 1e-9


def test_no_room_is_told():
    assert spread([1.0, 2.0, 3.0], 4.0, 0.0, 7.9) == []
    assert spread([1.0, 2.0, 3.0], 4.0, 0.0, 8.0) == [0.0, 4.0, 8.0]
    crowd = tuple(Tick(50.0 + 0.1 * n, f"B{n}", "1") for n in range(12))
    assert not Running(crowd, 0.0, 200.0, 0.0).reads  # far from their ticks
    assert not Running(crowd, 0.0, 30.0, 0.0).reads  # no room at all
    assert Running(crowd[:4], 0.0, 200.0, 0.0).reads


def ticks():
    figures = [figure_of(mm, "in") for mm in (37.5, 500.0, 540.0, 541.0, 4000.0)]
    names = ("B1", "B2", "B3", "B4 joint", "end")
    at = (1.9, 25.0, 27.0, 27.05, 200.0)
    return tuple(Tick(x, n, *f) for x, n, f in zip(at, names, figures, strict=True))


@pytest.mark.parametrize("up", [True, False])
def test_labels_stay_apart_and_within_their_height(up):
    running = Running(ticks(), 0.0, 205.0, 0.0)
    marks = list(running.marks(100.0, up=up))
    boxes = [letters_box(one) for one in letters_of(marks)]
    assert len(boxes) == 15  # name, figure and rounding of each
    assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[:n])
    reach = labels_tall_mm(running.ticks)
    low, high = (100.0 - reach, 100.0) if up else (100.0, 100.0 + reach)
    # A turned line of letters ends where its width ends, to a float's arithmetic.
    assert all(low - 1e-9 <= box.top and box.bottom <= high + 1e-9 for box in boxes)


def test_ticks_stand_at_their_places():
    marks = list(Running(ticks(), 0.0, 205.0, 0.0).marks(100.0, up=True, reach_mm=[130.0] * 5))
    upright = {m.places[0][0] for m in marks if isinstance(m, Stroke) and m.places[0][1] == 98.8}
    assert upright == {tick.at_mm for tick in ticks()}
    assert sum(isinstance(m, Stroke) and m.places[-1][1] == 130.0 for m in marks) == 5
    assert any(isinstance(m, Disc) for m in marks)
    cut = Running(ticks(), 0.0, 205.0, 0.0, begins=False).marks(100.0, up=True)
    assert not any(isinstance(m, Disc) for m in cut)


def test_figures():
    assert figure_of(422.5, "mm") == ("422.5", "")
    assert figure_of(500.0, "mm") == ("500", "")
    assert figure_of(0.0, "in") == ("0", "")
    # 37.5 mm are 1.4764 in; the nearest sixteenth is 1 1/2, 0.0236 in more (arithmetic).
    assert figure_of(37.5, "in") == ("1 1/2", "(+0.024)")
    assert PITCH_MM > 3.5
