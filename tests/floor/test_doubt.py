import numpy as np
import pytest

from kit.floor import fit_surface
from kit.floor.conditioning import Conditioned
from kit.floor.doubt import Broadened, plausible
from kit.floor.likelihood import Contrasts, Search, Unevenness
from kit.floor.places import distances
from kit.floor.plane import Frame


def readings(count=14, seed=1):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 3300, count), generator.uniform(0, 1900, count)
    z = 2 * np.sin(x / 650) + 0.001 * y + generator.normal(0, 0.4, count)
    return x, y, z, 0.16 * np.eye(count)


AT_X, AT_Y = np.array([300.0, 1400.0, 3000.0, 3000.0]), np.array([100.0, 900.0, 200.0, 250.0])


def test_the_dozen_has_the_quantiles_of_the_posterior_summed_out_on_a_fine_grid():
    x, y, z, noise = readings()
    design, apart = Frame.of(x, y).design(x, y), distances(x, y, x, y)
    contrasts = Contrasts.of(design, z, noise, apart)
    search = Search(contrasts, 250.0, 11_000.0)
    found = plausible(search)
    lengths, sds = np.geomspace(250, 11_000, 240), np.geomspace(1e-3, 300, 400)
    deviance = np.array([contrasts.spectrum(a).deviance(sds**2) for a in lengths])
    # d(1/length) = d(log length)/length and d(sd) = sd·d(log sd): the flat priors.
    weight = np.exp(-(deviance - deviance.min()) / 2) * sds / lengths[:, None]
    below = np.cumsum(weight.sum(axis=1)) / weight.sum()
    expected = np.interp([0.125, 0.375, 0.625, 0.875], below, lengths)
    ours = sorted({one.length_mm for one in found})
    # Seventeen lengths summed by trapezium: a few per cent.
    assert ours == pytest.approx(expected, rel=0.06)
    shortest = [one.variance_mm2 for one in found if one.length_mm == ours[0]]
    row = weight[np.argmin(np.abs(lengths - ours[0]))]
    expected = np.interp([1 / 6, 0.5, 5 / 6], np.cumsum(row) / row.sum(), sds**2)
    assert shortest == pytest.approx(expected, rel=0.06)


def test_the_widened_covariance_is_the_mean_square_about_the_likeliest():
    given = readings()
    likeliest = Conditioned(*given, Unevenness(1500.0, 4.0))
    others = tuple(
        Conditioned(*given, Unevenness(*pair)) for pair in [(700.0, 2.0), (700.0, 5.0), (4e3, 30.0)]
    )
    height, covariance = Broadened(likeliest, others).joint(AT_X, AT_Y)
    at, _ = likeliest.joint(AT_X, AT_Y)
    parts = [other.joint(AT_X, AT_Y) for other in others]
    expected = np.mean([c + np.outer(m - at, m - at) for m, c in parts], axis=0)
    assert np.array_equal(height, at)
    assert covariance == pytest.approx(expected, abs=1e-10)
    again, sd = Broadened(likeliest, others).predict(AT_X, AT_Y)
    assert np.array_equal(again, at)
    assert sd == pytest.approx(np.sqrt(np.diag(expected)), abs=1e-10)


def test_without_others_it_is_the_likeliest_alone():
    likeliest = Conditioned(*readings(), Unevenness(1500.0, 4.0))
    alone = Broadened(likeliest, ())
    assert np.array_equal(alone.joint(AT_X, AT_Y)[1], likeliest.joint(AT_X, AT_Y)[1])
    assert np.array_equal(alone.predict(AT_X, AT_Y)[1], likeliest.predict(AT_X, AT_Y)[1])


def test_few_readings_are_widened_more_than_many():
    def ratio(count):
        surface = fit_surface(*readings(count, seed=6))
        plain = surface._whole.likeliest.predict(AT_X, AT_Y)[1]
        return np.mean(surface.predict(AT_X, AT_Y).sd_mm / plain)

    assert ratio(8) > ratio(120)
    # With 120 readings the doubt of length and variance adds a few per cent at most.
    assert ratio(120) == pytest.approx(1.0, abs=0.08)
