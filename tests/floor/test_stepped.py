"""Steps in the floor: what was read on one level tells nothing of the next."""

import numpy as np
import pytest

from kit.floor import fit_surface
from kit.floor.stepped import StepLine, fit_stepped_surface, level_words, levels_of
from kit.job import Refusal

STEP = StepLine("dais", (3000.0, 0.0), (3000.0, 4000.0))


def floor(x, y):
    return 0.002 * x - 0.001 * y + 2.0 * np.sin(x / 900 + y / 1300) + 120.0 * (x > 3000)


@pytest.fixture(scope="module")
def readings():
    draw = np.random.default_rng(6)
    x, y = draw.uniform(0, 6000, 90), draw.uniform(0, 4000, 90)
    return x, y, floor(x, y) + draw.normal(0, 0.3, 90), np.full(90, 0.09)


@pytest.fixture(scope="module")
def stepped(readings):
    return fit_stepped_surface(*readings, [STEP])


def test_no_step_is_the_surface_itself(readings):
    plain, same = fit_surface(*readings), fit_stepped_surface(*readings, [])
    assert type(same) is type(plain)
    assert (same.length_mm, same.variance_mm2) == (plain.length_mm, plain.variance_mm2)


def test_each_level_is_the_surface_of_its_own_readings(readings, stepped):
    x, y, z, noise = readings
    low = x < 3000
    alone = fit_surface(x[low], y[low], z[low], noise[low])
    at_x, at_y = np.array([400.0, 2900.0, 1700.0]), np.array([300.0, 2000.0, 3600.0])
    np.testing.assert_array_equal(stepped.predict(at_x, at_y).height_mm,
                                  alone.predict(at_x, at_y).height_mm)  # fmt: skip
    height, covariance = stepped.joint(np.append(at_x, 4000.0), np.append(at_y, 1000.0))
    np.testing.assert_allclose(covariance[:3, :3], alone.covariance(at_x, at_y), rtol=1e-12)
    assert (covariance[:3, 3] == 0).all()
    assert covariance[3, 3] > 0
    assert height[3] > 100


def test_beside_the_step_it_errs_as_little_as_elsewhere(readings, stepped):
    y = np.linspace(500, 3500, 13)
    for x in (2950.0, 3050.0):
        off = stepped.predict(np.full(13, x), y).height_mm - floor(np.full(13, x), y)
        assert np.abs(off).max() < 2.5
    plain = fit_surface(*readings).predict(np.full(13, 2950.0), y).height_mm
    # Kriged across the step the floor there is tens of millimetres off.
    assert np.abs(plain - floor(np.full(13, 2950.0), y)).max() > 10


def test_the_stated_doubt_holds_on_both_levels(stepped):
    errors = stepped.left_out()
    assert len(errors) == 90
    # 90 errors of variance 1: their mean square lies within 1 ± 3·sqrt(2/90).
    assert 0.55 < float(np.mean(errors**2)) < 1.45


def test_errors_stand_beside_their_readings(readings):
    x, y, z, noise = readings
    wrong = z.copy()
    wrong[17] += 15.0
    found = fit_stepped_surface(x, y, wrong, noise, [STEP])
    worst = int(np.argmax(np.abs(found.left_out())))
    # No reading was joined with another: all stand where they stood.
    assert worst == 17
    assert (found.x_mm[17], found.height_mm[17]) == (x[17], wrong[17])
    np.testing.assert_array_equal(found.y_mm, y)


def test_a_place_is_surveyed_by_its_own_level_only():
    draw = np.random.default_rng(2)
    x = np.concatenate([draw.uniform(0, 1500, 40), draw.uniform(3100, 6000, 40)])
    y = draw.uniform(0, 4000, 80)
    found = fit_stepped_surface(x, y, floor(x, y), np.full(80, 0.09), [STEP])
    # 2900 lies 200 mm from readings beyond the step, and over a metre from any on its own side.
    assert found.surveyed([1000.0, 2900.0, 3200.0], [2000.0, 2000.0, 2000.0]).tolist() == [
        True, False, True,
    ]  # fmt: skip


def test_full_covariances_are_parted(readings):
    x, y, z, _ = readings
    draw = np.random.default_rng(8)
    shared = draw.normal(0, 0.2, (90, 3))
    full = np.diag(np.full(90, 0.09)) + shared @ shared.T
    found = fit_stepped_surface(x, y, z, full, [STEP])
    low = np.flatnonzero(x < 3000)
    alone = fit_surface(x[low], y[low], z[low], full[np.ix_(low, low)])
    assert found.predict([900.0], [900.0]).sd_mm == pytest.approx(
        alone.predict([900.0], [900.0]).sd_mm
    )


def test_two_steps_make_up_to_four_levels():
    across = StepLine("kerb", (0.0, 2000.0), (6000.0, 2000.0))
    x, y = np.array([1.0, 5000.0, 1.0, 5000.0]), np.array([1.0, 1.0, 3000.0, 3000.0])
    assert levels_of([STEP, across], x, y).tolist() == [0, 1, 2, 3]
    # Drawn from the other end they are the same.
    turned = [StepLine(one.name, one.to_mm, one.from_mm) for one in (STEP, across)]
    assert levels_of(turned, x, y).tolist() == [0, 1, 2, 3]
    assert level_words([STEP, across], 2) == "before step 'dais', beyond step 'kerb'"
    # One askew, more along x than along y: what lies beyond it lies further along y.
    askew = StepLine("ramp", (4000.0, 1000.0), (0.0, 0.0))
    assert askew.beyond(np.array([2000.0, 2000.0]), np.array([600.0, 400.0])).tolist() == [
        True, False,
    ]  # fmt: skip


def test_a_level_with_two_readings_is_refused_by_its_steps(readings):
    x, y, z, noise = readings
    few = np.concatenate([np.flatnonzero(x < 3000), np.flatnonzero(x > 3000)[:2]])
    with pytest.raises(Refusal, match=r"'dais': found 2 readings there .*3 readings or more"):
        fit_stepped_surface(x[few], y[few], z[few], noise[few], [STEP])


def test_a_level_that_is_all_but_a_plane_keeps_its_tilt():
    generator = np.random.default_rng(4)
    x, y = (
        one.ravel() for one in np.meshgrid(np.arange(50, 9000, 100.0), np.arange(50, 5000, 100))
    )
    true = -0.003 * x + 0.001 * y + 90 * (x > 4500)
    # Noise stated four times too large explains the whole floor, and its unevenness comes to none.
    z, sd = true + generator.normal(0, 0.5, len(x)), 2.0
    surface = fit_stepped_surface(
        x, y, z, np.full(len(x), sd**2), [StepLine("door", (4500.0, 0.0), (4500.0, 5000.0))]
    )
    at_x, at_y = np.array([60.0, 2300.0, 4460.0, 8900.0]), np.array([70.0, 2600.0, 4900.0, 90.0])
    height, doubt = surface.predict(at_x, at_y)
    assert surface.variance_mm2 < 1e-4
    for level in (x < 4500, x > 4500):
        design = np.column_stack([np.ones(level.sum()), x[level], y[level]])
        there = (at_x > 4500) == (x[level][0] > 4500)
        row = np.column_stack([np.ones(there.sum()), at_x[there], at_y[there]])
        spread = sd * np.sqrt(np.einsum("ij,jk,ik->i", row, np.linalg.inv(design.T @ design), row))
        plane = row @ np.linalg.lstsq(design, z[level], rcond=None)[0]
        # A plane by least squares, closed form; groups give the doubt, a twentieth larger at most.
        assert height[there] == pytest.approx(plane, abs=0.01)
        assert np.all((doubt[there] > 0.98 * spread) & (doubt[there] < 1.05 * spread))
