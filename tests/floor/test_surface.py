import numpy as np
import pytest

from kit.floor import fit_plane, fit_surface
from kit.floor.likelihood import LEAST_MM2
from kit.job.refusal import Refusal


def readings(count=30, seed=0):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 4100, count), generator.uniform(0, 1900, count)
    return x, y, 2 * np.sin(x / 700) + np.cos(y / 500) + generator.normal(0, 0.4, count)


AT_X, AT_Y = np.array([300.0, 2200.0, 3900.0]), np.array([1700.0, 900.0, 150.0])


def test_length_is_held_between_the_spacing_and_three_extents():
    x, y, z = readings()
    surface = fit_surface(x, y, z, 0.16 * np.eye(30))
    extent = np.hypot(np.ptp(x), np.ptp(y))
    assert surface.median_spacing_mm <= surface.length_mm <= 3 * extent
    assert surface.variance_mm2 > 0
    assert surface.notes == ()


def test_height_doubt_and_draws_are_of_one_piece():
    surface = fit_surface(*readings(), 0.16 * np.eye(30))
    height, sd = surface.predict(AT_X, AT_Y)
    covariance = surface.covariance(AT_X, AT_Y)
    assert np.sqrt(np.diag(covariance)) == pytest.approx(sd, rel=1e-9)
    drawn = surface.draws(AT_X, AT_Y, 30_000, seed=5)
    # Standard errors: sd/173 of a mean, about 1 % of a variance; four of those.
    assert np.abs(drawn.mean(axis=0) - height).max() < 4 * sd.max() / 173
    assert np.cov(drawn.T) == pytest.approx(covariance, abs=0.04 * covariance.max())
    assert np.array_equal(drawn, surface.draws(AT_X, AT_Y, 30_000, seed=5))


def test_an_error_common_to_all_readings_moves_every_height_alike():
    x, y, z = readings()
    alone = fit_surface(x, y, z, 0.16 * np.eye(30))
    shared = fit_surface(x, y, z, 0.16 * np.eye(30) + 2.5)
    # The mean is the trend's to take: heights stay, each variance and covariance gains 2.5.
    assert shared.predict(AT_X, AT_Y).height_mm == pytest.approx(
        alone.predict(AT_X, AT_Y).height_mm, abs=1e-6
    )
    gained = shared.covariance(AT_X, AT_Y) - alone.covariance(AT_X, AT_Y)
    assert gained == pytest.approx(np.full((3, 3), 2.5), abs=1e-6)


def test_a_free_network_loses_the_doubt_of_its_mean():
    x, y, z = readings()
    full = fit_surface(x, y, z, 0.16 * np.eye(30))
    free = fit_surface(x, y, z, 0.16 * (np.eye(30) - 1 / 30))
    lost = full.covariance(AT_X, AT_Y) - free.covariance(AT_X, AT_Y)
    assert lost == pytest.approx(np.full((3, 3), 0.16 / 30), abs=1e-7)


def test_the_axes_do_not_matter():
    x, y, z = readings()
    here = fit_surface(x, y, z, 0.16 * np.eye(30))
    turn = np.radians(33.0)

    def turned(a, b):
        return a * np.cos(turn) - b * np.sin(turn) + 9e4, a * np.sin(turn) + b * np.cos(turn) - 4e4

    there = fit_surface(*turned(x, y), z, 0.16 * np.eye(30))
    one, other = here.predict(AT_X, AT_Y), there.predict(*turned(AT_X, AT_Y))
    # The longest length considered is three diagonals of a rectangle along the axes, so the
    # searched lengths differ; the top is found to 0.5 %.
    assert other.height_mm == pytest.approx(one.height_mm, abs=0.01)
    assert other.sd_mm == pytest.approx(one.sd_mm, rel=0.08)


def test_variances_stand_for_independent_readings():
    x, y, z = readings()
    one = fit_surface(x, y, z, np.linspace(0.1, 0.4, 30))
    other = fit_surface(x, y, z, np.diag(np.linspace(0.1, 0.4, 30)))
    assert one.length_mm == other.length_mm
    assert np.array_equal(one.predict(AT_X, AT_Y).sd_mm, other.predict(AT_X, AT_Y).sd_mm)


def test_a_perfect_plane_without_noise_has_next_to_no_doubt():
    x, y, _ = readings()
    surface = fit_surface(x, y, 1 + 0.002 * x - 0.003 * y, np.zeros((30, 30)))
    height, sd = surface.predict(AT_X, AT_Y)
    assert height == pytest.approx(1 + 0.002 * AT_X - 0.003 * AT_Y, abs=1e-6)
    assert np.all(sd <= np.sqrt(LEAST_MM2) * 10)
    assert np.isfinite(surface.draws(AT_X, AT_Y, 3, 0)).all()


def test_a_perfect_plane_with_noise_is_known_as_well_as_noise_allows():
    x, y, _ = readings()
    surface = fit_surface(x, y, 1 + 0.002 * x, 0.25 * np.eye(30))
    middle = surface.predict([x.mean()], [y.mean()])
    # 30 readings of 0.5 mm: at least 0.5/sqrt(30) = 0.091; unevenness cannot be ruled out.
    assert 0.091 < middle.sd_mm[0] < 0.25


def test_exact_readings_are_gone_through_and_doubted_between():
    x, y, z = readings()
    surface = fit_surface(x, y, z, np.zeros((30, 30)))
    height, sd = surface.predict(x, y)
    assert height == pytest.approx(z, abs=1e-4)
    assert np.all(sd < 1e-3)
    assert np.all(surface.predict(AT_X, AT_Y).sd_mm > 0.1)


def test_two_readings_of_one_place_count_as_their_mean():
    x, y, z = readings()
    twice = fit_surface(
        np.append(x, x[4]), np.append(y, y[4]), np.append(z, z[4] + 0.4), 0.16 * np.eye(31)
    )
    merged = z.copy()
    merged[4] += 0.2
    once = fit_surface(x, y, merged, 0.16 * np.diag(np.where(np.arange(30) == 4, 0.5, 1.0)))
    # The same information: only the pair's own difference adds to the likelihood, a constant.
    assert twice.length_mm == pytest.approx(once.length_mm, rel=1e-3)
    assert twice.predict(AT_X, AT_Y).height_mm == pytest.approx(
        once.predict(AT_X, AT_Y).height_mm, abs=1e-3
    )


def test_exact_readings_given_twice_change_nothing():
    x, y, z = readings()
    once = fit_surface(x, y, z, np.zeros(30))
    twice = fit_surface(np.tile(x, 2), np.tile(y, 2), np.tile(z, 2), np.zeros(60))
    assert twice.variance_mm2 == once.variance_mm2
    with pytest.raises(Refusal, match="no doubt between them"):
        fit_surface(np.tile(x, 2), np.tile(y, 2), np.append(z, z + 0.1), np.zeros(60))


@pytest.mark.parametrize("count", [3, 4, 5])
def test_up_to_five_readings_the_surface_is_their_plane(count):
    x, y, z = readings(count, seed=2)
    surface = fit_surface(x, y, z, 0.16 * np.eye(count))
    assert surface.predict(AT_X, AT_Y).height_mm == pytest.approx(
        fit_plane(x, y, z).height_mm(AT_X, AT_Y), abs=1e-9
    )
    assert f"{count} readings" in surface.notes[0]
    assert np.all(surface.predict(AT_X, AT_Y).sd_mm > 0)
    assert surface.draws(AT_X, AT_Y, 4, 0).shape == (4, 3)


def test_six_readings_at_five_places_are_their_plane_too():
    x, y, z = readings(5, seed=2)
    surface = fit_surface(np.append(x, x[0]), np.append(y, y[0]), np.append(z, z[0]), np.eye(6))
    assert surface.length_mm == 0


def test_six_readings_are_answered():
    surface = fit_surface(*readings(6, seed=3), 0.16 * np.eye(6))
    assert np.all(np.isfinite(surface.predict(AT_X, AT_Y).sd_mm))
    assert surface.left_out().shape == (6,)


def test_hundreds_of_readings_are_climbed_to_the_same_top():
    x, y, z = readings(230, seed=4)
    surface = fit_surface(x, y, z, np.full(230, 0.16))
    from kit.floor.likelihood import Search, restricted_likelihood
    from kit.floor.surface import _contrasts, _length_limits

    search = Search(_contrasts(x, y, z, 0.16 * np.eye(230)), *_length_limits(x, y))
    found = restricted_likelihood(search)
    # Both stop within 0.5 % of the top; the variance follows the length's cube.
    assert surface.length_mm == pytest.approx(found.length_mm, rel=0.02)
    assert surface.variance_mm2 == pytest.approx(found.variance_mm2, rel=0.06)


@pytest.mark.parametrize(
    ("noise", "message"),
    [
        (np.eye(29), r"shape \(29, 29\)"),
        (-np.eye(30), "variance -1"),
        (np.full(30, np.inf), "finite"),
    ],
)
def test_a_wrong_covariance_is_refused(noise, message):
    with pytest.raises(Refusal, match=message):
        fit_surface(*readings(), noise)


def test_readings_on_a_line_are_refused():
    with pytest.raises(Refusal, match="on one line"):
        fit_surface(np.arange(8) * 500.0, np.full(8, 60.0), np.arange(8) * 1.0, np.eye(8))


def test_the_surface_knows_where_it_was_surveyed():
    x, y, z = readings(seed=8)
    surface = fit_surface(x, y, z, np.eye(30))
    assert surface.surveyed([x[3], 9000.0], [y[3], 100.0]).tolist() == [True, False]
