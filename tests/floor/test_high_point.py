import numpy as np
import pytest

from kit.floor import find_high_point, fit_surface
from kit.job.refusal import Refusal

ALONG = np.arange(0.0, 3601.0, 50.0)
PLACES = np.concatenate([ALONG, ALONG]), np.repeat([67.0, 310.0], len(ALONG))


def survey(bumps, noise_mm=0.3, seed=0):
    """A chapel floor of 4 by 9 readings with bumps (x, y, height, width) on it."""
    x, y = (a.ravel() for a in np.meshgrid(np.linspace(20, 3580, 9), [30, 250, 560, 900]))
    generator = np.random.default_rng(seed)
    z = generator.normal(0, noise_mm, len(x))
    for at_x, at_y, high, wide in bumps:
        z += high * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) / 2 / wide**2)
    return fit_surface(x, y, z, max(noise_mm, 1e-9) ** 2 * np.eye(len(x)))


def test_a_clear_bump_is_named_where_it_is_for_certain():
    found = find_high_point(survey([(1350, 250, 9, 350)]), *PLACES, reading_sd_mm=0.3)
    assert abs(found.x_mm - 1350) <= 100
    assert found.y_mm == 310
    assert found.certainty >= 0.9
    assert found.next_reading is None
    assert list(found.rivals) == ["x_mm", "y_mm", "height_mm", "sd_mm", "share"]
    assert found.rivals.empty
    assert 0 <= found.regret_mm < 0.1


def test_two_bumps_nearly_alike_are_rivals_with_their_shares():
    surface = survey([(700, 150, 5.0, 350), (2800, 150, 4.8, 350)])
    found = find_high_point(surface, *PLACES, reading_sd_mm=0.3)
    assert found.certainty < 0.9
    other = 2800 if abs(found.x_mm - 700) < 400 else 700
    assert np.any(np.abs(found.rivals["x_mm"] - other) < 300)
    assert found.rivals["share"].is_monotonic_decreasing
    assert found.certainty + found.rivals["share"].sum() == pytest.approx(1.0, abs=0.1)
    assert found.rivals["share"].sum() + found.certainty <= 1 + 1e-9
    assert found.next_reading in set(zip(*PLACES, strict=True))
    assert found.regret_after_mm < found.regret_mm
    at = surface.predict(found.rivals["x_mm"], found.rivals["y_mm"])
    assert found.rivals["height_mm"].to_numpy() == pytest.approx(at.height_mm)
    assert found.rivals["sd_mm"].to_numpy() == pytest.approx(at.sd_mm)


def test_only_places_under_the_base_count():
    surface = survey([(1350, 850, 12, 200), (2600, 150, 4, 350)])
    found = find_high_point(surface, *PLACES, reading_sd_mm=0.3)
    assert found.x_mm > 2000
    room = np.meshgrid(ALONG, np.arange(50.0, 900.0, 50.0))
    anywhere = find_high_point(surface, room[0].ravel(), room[1].ravel(), reading_sd_mm=0.3)
    assert abs(anywhere.x_mm - 1350) <= 150
    assert anywhere.height_mm > found.height_mm


def test_certainty_and_regret_are_those_of_draws_in_full_precision():
    surface = survey([(700, 150, 5.0, 350), (2800, 150, 4.8, 350)])
    found = find_high_point(surface, *PLACES, reading_sd_mm=0.3, draws=4000, seed=1)
    drawn = surface.draws(*PLACES, 4000, seed=2)
    named = np.flatnonzero((PLACES[0] == found.x_mm) & (PLACES[1] == found.y_mm))[0]
    highest = drawn.argmax(axis=1)
    apart = np.hypot(PLACES[0][highest] - found.x_mm, PLACES[1][highest] - found.y_mm)
    # Two sets of 4,000 draws: a share differs by sqrt(2·0.25/4000) = 1.1 %; four of those.
    assert found.certainty == pytest.approx(np.mean(apart <= 100), abs=0.045)
    regret = drawn.max(axis=1) - drawn[:, named]
    assert found.regret_mm == pytest.approx(regret.mean(), abs=4 * regret.std() / np.sqrt(2000))


def test_the_same_seed_gives_the_same_answer():
    surface = survey([(700, 150, 5.0, 350), (2800, 150, 4.8, 350)])
    one, again, other = (
        find_high_point(surface, *PLACES, reading_sd_mm=0.3, seed=seed) for seed in (3, 3, 4)
    )
    assert one.certainty == again.certainty
    assert one.rivals.equals(again.rivals)
    assert other.certainty != one.certainty
    assert other.x_mm == one.x_mm


def test_the_next_reading_shrinks_the_regret_more_than_most_in_simulated_surveys():
    """Independent of the formula: readings are simulated, and the regret is counted."""
    surface = survey([(700, 150, 3.0, 350), (2800, 150, 2.9, 350), (1800, 300, 2.6, 300)], 0.5)
    found = find_high_point(surface, *PLACES, reading_sd_mm=0.4)
    height, covariance = surface.joint(*PLACES)
    truth = surface.draws(*PLACES, 6000, seed=9)
    slip = np.random.default_rng(10).normal(0, 0.4, 6000)
    regret = []
    for place in range(len(height)):
        slope = covariance[place] / (covariance[place, place] + 0.4**2)
        after = height + np.outer(truth[:, place] + slip - height[place], slope)
        chosen = truth[np.arange(6000), after.argmax(axis=1)]
        regret.append(np.mean(truth.max(axis=1) - chosen))
    named = np.flatnonzero(
        (PLACES[0] == found.next_reading[0]) & (PLACES[1] == found.next_reading[1])
    )
    assert np.mean(np.array(regret) > regret[named[0]]) >= 0.9
    # Another set of draws: within four standard errors of a mean of about 0.3 mm.
    assert found.regret_after_mm == pytest.approx(regret[named[0]], abs=0.03)


def test_a_perfectly_level_floor_has_no_better_place_than_the_first():
    surface = survey([], noise_mm=0.0)
    found = find_high_point(surface, *PLACES, reading_sd_mm=0.3)
    assert (found.x_mm, found.y_mm) == (0.0, 67.0)
    assert found.certainty == 1.0
    assert found.regret_mm == pytest.approx(0.0, abs=1e-3)


def test_one_place_is_its_own_high_point():
    found = find_high_point(survey([]), [1200.0], [67.0], reading_sd_mm=0.3)
    assert (found.x_mm, found.certainty, found.regret_mm) == (1200.0, 1.0, 0.0)


def test_a_plane_of_four_readings_has_a_high_point_too():
    surface = fit_surface([0, 3600, 100, 3500], [0, 50, 900, 950], [0, -9, 1, -8.5], np.eye(4))
    found = find_high_point(surface, *PLACES, reading_sd_mm=1.0)
    assert found.x_mm < 200
    assert found.y_mm == 310


@pytest.mark.parametrize(
    ("x", "y", "sd", "message"),
    [
        ([], [], 0.3, "no place"),
        ([1.0], [1.0], -0.1, "reading_sd_mm"),
        ([1.0], [1.0], np.nan, "reading_sd_mm"),
        ([1.0, 2.0], [1.0], 0.3, "one length"),
    ],
)
def test_what_cannot_be_asked_is_refused(x, y, sd, message):
    with pytest.raises(Refusal, match=message):
        find_high_point(survey([]), x, y, reading_sd_mm=sd)
