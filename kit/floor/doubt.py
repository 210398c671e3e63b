"""What not knowing the unevenness's length and variance adds to the doubt."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kit.floor.conditioning import Conditioned
from kit.floor.kernel import matern
from kit.floor.likelihood import Contrasts, Search, Spectrum, Unevenness
from kit.floor.places import Array, distances

#: Plausible lengths, and plausible variances at each of them.
LENGTH_QUANTILES = (np.arange(4) + 0.5) / 4
VARIANCE_QUANTILES = (np.arange(3) + 0.5) / 3
VARIANCES = 97


def plausible(search: Search) -> tuple[Unevenness, ...]:
    """Return a dozen equally likely pairs of length and variance, given the readings.

    Parameters
    ----------
    search : Search
        Readings without their trend, and the lengths that are considered.

    Notes
    -----
    Weight = restricted likelihood × flat prior on 1/length and on the standard deviation; its
    quantiles are taken in length, then in variance at each length. The priors are a choice, not
    a finding: they are those with which the stated bands held in the calibration tests.

    References
    ----------
    .. [1] M. S. Handcock, M. L. Stein, A Bayesian analysis of kriging, Technometrics 35 (1993)
       403-410 (from memory).
    """
    grid = np.log(search.lengths_mm)
    slopes = [_weights(search.contrasts, spectrum) for spectrum in search.spectra]
    # Flat in 1/length is its reciprocal in the logarithm.
    weight = np.array([_log_total(*slope) for slope in slopes]) - grid
    lengths = _quantiles(grid, np.exp(weight - weight.max()), LENGTH_QUANTILES)
    found = []
    for length in np.exp(lengths):
        logs, weights = _weights(search.contrasts, search.contrasts.spectrum(float(length)))
        at = _quantiles(logs, np.exp(weights - weights.max()), VARIANCE_QUANTILES)
        found += [Unevenness(float(length), math.exp(variance)) for variance in at]
    return tuple(found)


def _weights(contrasts: Contrasts, spectrum: Spectrum) -> tuple[Array, Array]:
    """Return logarithms of variances and of their weights at one length."""
    low = math.log(contrasts.least_variance)
    high = max(math.log(contrasts.most_variance(spectrum)), low + 1.0)
    logs = np.linspace(low, high, VARIANCES)
    # Flat in the standard deviation is its square root's slope in the logarithm.
    return logs, logs / 2 - spectrum.deviance(np.exp(logs)) / 2


def _log_total(log_variances: Array, log_weights: Array) -> float:
    """Return the logarithm of a length's weight, all variances together."""
    largest = float(log_weights.max())
    return largest + math.log(np.trapezoid(np.exp(log_weights - largest), log_variances))


def _quantiles(grid: Array, weight: Array, share: Array) -> Array:
    """Return where shares of the weight lie below."""
    slices = (weight[1:] + weight[:-1]) / 2 * np.diff(grid)
    below = np.concatenate([[0.0], np.cumsum(slices)])
    return np.asarray(np.interp(share, below / below[-1], grid))


@dataclass(frozen=True, eq=False)
class Broadened:
    """Kriging with the likeliest unevenness, its doubt widened over the plausible ones.

    Parameters
    ----------
    likeliest : Conditioned
        Gives the heights.
    plausible : tuple of Conditioned
        Each as likely as the other; none: the doubt is that of the likeliest alone.

    Notes
    -----
    With heights m and covariance C of the likeliest, and m_k and C_k of the plausible,
    covariance = mean of C_k + (m_k - m)(m_k - m)ᵀ.                                (1)
    """

    likeliest: Conditioned
    plausible: tuple[Conditioned, ...]

    def predict(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights [mm] and their standard deviations [mm] at places (m,)."""
        height, sd = self.likeliest.predict(x_mm, y_mm)
        if not self.plausible:
            return height, sd
        total = np.zeros(len(x_mm))
        for other, at, known, misfit in self._parts(x_mm, y_mm):
            total += other.variances(known, misfit) + (at - height) ** 2
        return height, np.sqrt(total / len(self.plausible))

    def joint(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        if not self.plausible:
            return self.likeliest.joint(x_mm, y_mm)
        height, _ = self.likeliest.predict(x_mm, y_mm)
        plus, minus = [], []
        for _, at, known, misfit in self._parts(x_mm, y_mm):
            plus += [misfit, (at - height)[None, :]]
            minus.append(known)
        # Stacked, so that a dozen products become two.
        added, taken = np.concatenate(plus), np.concatenate(minus)
        covariance = added.T @ added - taken.T @ taken
        apart = distances(x_mm, y_mm, x_mm, y_mm)
        for length, others in self._by_length().items():
            total = sum(other.unevenness.variance_mm2 for other in others)
            covariance += total * matern(apart, length)
        covariance /= len(self.plausible)  # Eq. (1)
        return height, (covariance + covariance.T) / 2

    def _parts(self, x_mm: Array, y_mm: Array) -> Iterator[tuple[Conditioned, Array, Array, Array]]:
        """Yield each plausible kriging with its heights, covariances and trend misfit."""
        design = self.likeliest.frame.design(x_mm, y_mm)
        apart = distances(self.likeliest.x_mm, self.likeliest.y_mm, x_mm, y_mm)
        for length, others in self._by_length().items():
            alike = matern(apart, length)
            for other in others:
                yield other, *other.parts(alike, design)

    def _by_length(self) -> dict[float, list[Conditioned]]:
        found: dict[float, list[Conditioned]] = {}
        for other in self.plausible:
            found.setdefault(other.unevenness.length_mm, []).append(other)
        return found

    def left_out(self) -> Array:
        """Return each reading's standardised error when predicted from the others (n,).

        With the likeliest unevenness: the usual check of the model, not of the widened doubt.
        """
        error, sd = self.likeliest.left_out()
        return error / sd
