import numpy as np
import pytest
from scipy.spatial import cKDTree

from kit.floor import fit_surface, many
from kit.floor import surface as surface_module
from kit.floor.conditioning import Conditioned
from kit.floor.kernel import correlation
from kit.floor.likelihood import Unevenness
from kit.floor.many import ManyReadings, sample, untold, windows
from kit.floor.row_noise import RowNoise


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


def test_windows_are_seeded_and_hold_whole_neighbourhoods():
    x, y, _, _ = hall(3000)
    rows = windows(x, y, 800, 1)
    assert np.array_equal(rows, windows(x, y, 800, 1))
    assert not np.array_equal(rows, windows(x, y, 800, 2))
    # 80 spread ones, and four windows of 180 that may overlap.
    assert 500 < len(rows) <= 800
    places = np.column_stack([x, y])
    nearest = cKDTree(places).query(places[rows], k=5)[1]
    # All of the four nearest of most of them are in the sample too; of a tenth it is not so.
    assert np.mean(np.isin(nearest, rows).all(axis=1)) > 0.7


@pytest.fixture(scope="module")
def bounded():
    """A surface of 2,100 readings: the bounded method, and all of them at once beside it."""
    x, y, truth, z = hall(2100)
    surface = fit_surface(x, y, z, np.full(2100, 0.36))
    whole = surface_module.Broadened(surface._conditioned_on(np.arange(2100)), ())
    return x, y, truth, surface, whole


AT_X, AT_Y = (axis.ravel() for axis in np.meshgrid(np.arange(5) * 3100.0 + 900, [450.0, 5200.0]))


def test_heights_are_those_of_all_readings_and_the_doubt_nearly(bounded):
    *_, surface, whole = bounded
    assert "2100 readings" in surface.notes[0]
    height, sd = surface.predict(AT_X, AT_Y)
    all_height, all_sd = whole.predict(AT_X, AT_Y)
    # The same sums in another order; what is interpolated is good to 1e-5 of the unevenness.
    assert height == pytest.approx(all_height, abs=1e-4)
    assert sd == pytest.approx(all_sd, rel=0.02)
    # Groups tell less than their readings, never more.
    assert np.all(sd > all_sd * (1 - 1e-3))


def test_joint_draws_give_what_all_readings_would(bounded):
    *_, surface, whole = bounded
    close_x, close_y = np.arange(40) * 50.0 + 3000, np.full(40, 700.0)
    height, covariance = surface.joint(close_x, close_y)
    all_height, all_covariance = whole.joint(close_x, close_y)
    assert height == pytest.approx(all_height, abs=1e-4)
    # Two per cent of a sd are four of a variance.
    assert covariance == pytest.approx(all_covariance, abs=0.04 * all_covariance.max())
    assert surface.draws(close_x, close_y, 7, 1).shape == (7, 40)


def test_each_reading_is_left_out(bounded):
    *_, surface, whole = bounded
    error, every = surface.left_out(), whole.left_out()
    # A group's lost figures show in the prediction by a small part of the whole error.
    assert error == pytest.approx(every, abs=0.1)
    assert np.sqrt(np.mean((error - every) ** 2)) < 0.02


def test_progress_is_told_from_tile_to_tile_to_the_end(bounded):
    *_, surface, _ = bounded
    told = []
    x, y = np.random.default_rng(2).uniform(0, 9000, (2, 3000))
    surface.predict(x, y, tell=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 10


# Length [spacings], noise over variance; largest miss of a height and of the doubt, in sd.
CASES = [(2, 10.0), (5, 0.1), (20, 0.01), (100, 0.1), (100, 10.0)]


@pytest.mark.parametrize(("spacings", "ratio"), CASES)
def test_groups_against_all_readings_for_short_and_long_lengths(spacings, ratio, monkeypatch):
    """What is stated in `ManyReadings`, of heights above 5,000 readings too."""
    generator = np.random.default_rng(4)
    count, variance = 2100, 9.0
    x, y = generator.uniform(0, 5600, count), generator.uniform(0, 3750, count)
    found = Unevenness(100.0 * spacings, variance)
    floor = variance * correlation(x, y, x, y, found.length_mm) + 1e-8 * np.eye(count)
    z = np.linalg.cholesky(floor) @ generator.standard_normal(count)
    z += generator.normal(0, np.sqrt(ratio * variance), count)
    noise = np.full(count, ratio * variance)
    at_x, at_y = generator.uniform(0, 5600, 400), generator.uniform(0, 3750, 400)
    height, sd = Conditioned(x, y, z, np.diag(noise), found).predict(at_x, at_y)
    monkeypatch.setattr(many, "EXACT", 0)
    near_height, near_sd = ManyReadings(x, y, z, noise, found).predict(at_x, at_y, untold)
    miss = np.abs(near_height - height) / sd
    assert miss.max() < 0.3
    assert np.sqrt(np.mean(miss**2)) < 0.12
    assert np.max(np.abs(near_sd / sd - 1)) < 0.015
    monkeypatch.setattr(many, "EXACT", 5000)
    exact_height, wide = ManyReadings(x, y, z, noise, found).predict(at_x, at_y, untold)
    assert np.max(np.abs(wide / sd - 1)) < 0.02
    assert np.max(np.abs(exact_height - height) / sd) < 1e-3


def set_ups(count, seed=1):
    """Readings of a hall, each from the nearest of 20 set-ups, which share an error each."""
    generator = np.random.default_rng(seed)
    x, y, truth, _ = hall(count, seed)
    stands = np.column_stack([generator.uniform(0, 16_000, 20), generator.uniform(0, 9000, 20)])
    own = cKDTree(stands).query(np.column_stack([x, y]))[1]
    factors = np.zeros((count, 20))
    factors[np.arange(count), own] = 0.5
    z = truth + generator.normal(0, 0.3, count) + factors @ generator.standard_normal(20)
    return x, y, truth, z, RowNoise(np.full(count, 0.09), factors)


def test_shared_errors_count_as_in_the_full_matrix(monkeypatch):
    x, y, _, z, noise = set_ups(2050)
    found = Unevenness(2500.0, 9.0)
    full = noise.part(np.arange(2050))
    at_x, at_y = np.random.default_rng(3).uniform([[0], [0]], [[16_000], [9000]], (2, 150))
    height, sd = Conditioned(x, y, z, full, found).predict(at_x, at_y)
    monkeypatch.setattr(many, "EXACT", 0)
    for given in (noise, full):
        near_height, near_sd = ManyReadings(x, y, z, given, found).predict(at_x, at_y, untold)
        miss = np.abs(near_height - height) / sd
        assert miss.max() < 0.9
        assert np.sqrt(np.mean(miss**2)) < 0.32
        assert np.max(np.abs(near_sd / sd - 1)) < 0.2
        assert abs(np.mean(near_sd / sd) - 1) < 0.06


def test_halls_of_shared_set_ups_are_as_doubtful_as_stated():
    squares = []
    for seed in range(2, 7):
        x, y, truth, z, noise = set_ups(2100, seed)
        rows = np.arange(0, 2100, 9)
        height, sd = fit_surface(x, y, z, noise).predict(x[rows], y[rows])
        squares.append(np.mean(((height - truth[rows]) / sd) ** 2))
    # Errors of one set-up go together, and those common to the hall with each other: of one hall
    # about four are independent, of five 20. Three standard errors: 3·sqrt(2/20) = 0.95.
    assert 0.2 < np.mean(squares) < 1.95


def from_the_model(generator, spacings, sd):
    """A grid of 50 by 50 cells and 400 places between them, from one floor of the model."""
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(50) * 100.0, np.arange(50) * 100.0))
    at_x, at_y = generator.uniform(0, 4900, (2, 400))
    every_x, every_y = np.append(x, at_x), np.append(y, at_y)
    covariance = 9 * correlation(every_x, every_y, every_x, every_y, spacings * 100.0)
    floor = np.linalg.cholesky(covariance + 1e-9 * np.eye(2900)) @ generator.standard_normal(2900)
    return x, y, floor[:2500] + generator.normal(0, sd, 2500), at_x, at_y, floor[2500:]


def of_waves(generator, spacings, sd):
    """The same from long waves and short ones that the model knows nothing of."""
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(50) * 100.0, np.arange(50) * 100.0))
    at_x, at_y = generator.uniform(0, 4900, (2, 400))
    every_x, every_y = np.append(x, at_x), np.append(y, at_y)
    floor = np.zeros(2900)
    for wave, high in ((60.0 * spacings, 0.4), (250.0 * spacings, 1.5), (900.0 * spacings, 3.0)):
        for _ in range(4):
            turn, start = generator.uniform(0, 2 * np.pi, 2)
            along = every_x * np.cos(turn) + every_y * np.sin(turn)
            floor += high / 2 * np.cos(2 * np.pi * along / wave + start)
    return x, y, floor[:2500] + generator.normal(0, sd, 2500), at_x, at_y, floor[2500:]


@pytest.mark.parametrize("kind", [from_the_model, of_waves])
def test_a_dense_grid_s_doubt_is_what_it_says(kind):
    left_out, errors = [], []
    for seed, (spacings, sd) in enumerate([(5, 0.1), (20, 0.1), (20, 0.6)]):
        x, y, z, at_x, at_y, truth = kind(np.random.default_rng([31, seed]), spacings, sd)
        surface = fit_surface(x, y, z, np.full(2500, sd**2))
        left_out.append(np.var(surface.left_out()))
        height, doubt = surface.predict(at_x, at_y)
        errors.append(np.mean(((height - truth) / doubt) ** 2))
    # The limits are those the kit promises for cells left out, 0.8 to 1.25, all floors together.
    # Alone, the floor whose waves are three cells long is smoother than the model and is doubted
    # a fifth too much.
    assert 0.8 < np.mean(left_out) < 1.25
    assert min(left_out) > 0.6
    assert max(left_out) < 1.25
    # Of the floor itself, between the cells, never much more doubtful than stated.
    assert max(errors) < 1.5


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
