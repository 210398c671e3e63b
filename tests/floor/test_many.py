import numpy as np
import pytest

from kit.floor import fit_surface
from kit.floor import surface as surface_module
from kit.floor.many import ANCHORS, JOINT_READINGS, anchors, nearest_rows, sample


def hall(count, seed=0):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 16_000, count), generator.uniform(0, 9000, count)
    truth = 4 * np.sin(x / 2300) + 3 * np.cos(y / 1700 + x / 4000) - 0.0004 * y
    return x, y, truth, truth + generator.normal(0, 0.6, count)


def test_a_sample_is_seeded_and_holds_neighbours():
    x, y, _, _ = hall(3000)
    rows = sample(x, y, 800, 1)
    assert np.array_equal(rows, sample(x, y, 800, 1))
    assert not np.array_equal(rows, sample(x, y, 800, 2))
    assert 600 < len(rows) <= 800
    every = np.hypot(x[rows, None] - x[rows], y[rows, None] - y[rows]) + 1e9 * np.eye(len(rows))
    whole = np.hypot(x[:400, None] - x, y[:400, None] - y)
    whole[np.arange(400), np.arange(400)] = 1e9
    # Most sampled readings keep their true nearest neighbour; spread alone, a quarter would.
    assert np.median(every.min(axis=1)) < 1.6 * np.median(whole.min(axis=1))


def test_the_nearest_rows_are_those_and_the_anchors():
    x, y, _, _ = hall(4000)
    at_x, at_y = np.array([2000.0, 3500.0]), np.array([700.0, 800.0])
    rows = nearest_rows((x, y), at_x, at_y)
    near = np.minimum(*(np.hypot(x - a, y - b) for a, b in zip(at_x, at_y, strict=True)))
    assert len(rows) == JOINT_READINGS
    assert np.isin(anchors(4000), rows).all()
    assert np.isin(np.argsort(near)[: JOINT_READINGS - ANCHORS], rows).all()


@pytest.fixture(scope="module")
def bounded():
    """A surface of 2,100 readings: the bounded method, and all of them at once beside it."""
    x, y, truth, z = hall(2100)
    surface = fit_surface(x, y, z, np.full(2100, 0.36))
    whole = surface_module.Broadened(surface._conditioned_on(np.arange(2100)), ())
    return x, y, truth, surface, whole


AT_X, AT_Y = (axis.ravel() for axis in np.meshgrid(np.arange(5) * 3100.0 + 900, [450.0, 5200.0]))


def test_tiles_give_what_all_readings_would(bounded):
    *_, surface, whole = bounded
    assert "2100 readings" in surface.notes[0]
    height, sd = surface.predict(AT_X, AT_Y)
    all_height, all_sd = whole.predict(AT_X, AT_Y)
    # A fifth of the stated doubt at most is lost with the readings far away.
    assert np.max(np.abs(height - all_height) / all_sd) < 0.2
    assert sd == pytest.approx(all_sd, rel=0.05)


def test_joint_draws_give_what_all_readings_would(bounded):
    *_, surface, whole = bounded
    close_x, close_y = np.arange(40) * 50.0 + 3000, np.full(40, 700.0)
    height, covariance = surface.joint(close_x, close_y)
    all_height, all_covariance = whole.joint(close_x, close_y)
    # The nearest 1,500 of 2,100 hold nearly all that is known here.
    assert height == pytest.approx(all_height, abs=0.01)
    assert covariance == pytest.approx(all_covariance, abs=1e-3)
    assert surface.draws(close_x, close_y, 7, 1).shape == (7, 40)


def test_the_truth_lies_where_the_bounded_method_says(bounded):
    x, y, truth, surface, _ = bounded
    height, sd = surface.predict(x[:400], y[:400])
    # 400 places of one smooth floor: the rms standardised error is near 1, seldom above 1.2.
    assert 0.6 < np.sqrt(np.mean(((truth[:400] - height) / sd) ** 2)) < 1.25
    # Its readings left out: 800 nearly independent squares, 5 % each way.
    assert np.mean(surface.left_out() ** 2) == pytest.approx(1.0, abs=0.2)


def test_close_scan_lines_are_no_obstacle():
    line = np.repeat(np.arange(8) * 900.0, 300)
    x, y = np.tile(np.arange(300) * 12.0, 8), line
    z = 2 * np.sin(x / 900) + np.cos(y / 1500)
    surface = fit_surface(
        x, y, z + np.random.default_rng(0).normal(0, 0.4, len(x)), np.full(2400, 0.16)
    )
    height, sd = surface.predict([600.0, 1500.0], [450.0, 2800.0])
    truth = 2 * np.sin(np.array([600.0, 1500.0]) / 900) + np.cos(np.array([450.0, 2800.0]) / 1500)
    assert np.all(np.abs(height - truth) < 4 * sd)
    assert np.all(sd < 1.0)
