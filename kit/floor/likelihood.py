"""Length and variance of the floor's unevenness, by restricted maximum likelihood."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import linalg

from kit.floor.kernel import matern
from kit.floor.places import Array

#: Relative jitter of the correlation matrix: keeps duplicate places solvable, changes no answer
#: by more than about 1e-10 of the unevenness.
JITTER = 1e-10
#: Least variance of the unevenness, as a share of the readings' mean noise variance, ...
LEAST_SHARE = 1e-6
#: ... and in any case [mm²]: a ten-thousandth of a millimetre, so that no variance is zero.
LEAST_MM2 = 1e-8
#: Largest variance that is considered, as a multiple of what the readings show.
MOST_SHARE = 1e3
LENGTHS = 17
VARIANCES = 33
#: Parabolas after the grid: each gains about two figures of the length.
PARABOLAS = 4


@dataclass(frozen=True)
class Unevenness:
    """Length [mm] and variance [mm²] of the stationary part of a floor."""

    length_mm: float
    variance_mm2: float


@dataclass(frozen=True, eq=False)
class Contrasts:
    """Readings with their linear trend taken out, exactly.

    Parameters
    ----------
    basis : (n, n-3) array
        Orthonormal contrasts that no plane contributes to.
    value : (n-3,) array
        The readings in that basis [mm].
    noise : (n-3, n-3) array
        Their noise covariance [mm²].
    distance : (n, n) array
        Distances between the readings [mm].
    """

    basis: Array
    value: Array
    noise: Array
    distance: Array

    @classmethod
    def of(cls, design: Array, height_mm: Array, noise: Array, distance: Array) -> Contrasts:
        """Return the contrasts of readings under a design matrix (n, 3)."""
        full = np.linalg.qr(design, mode="complete")[0]
        basis = full[:, design.shape[1] :]
        return cls(basis, basis.T @ height_mm, basis.T @ noise @ basis, distance)

    @property
    def least_variance(self) -> float:
        """The smallest variance that is considered [mm²]."""
        noise = float(np.trace(self.noise)) / len(self.value)
        return max(LEAST_SHARE * noise, LEAST_MM2)

    def most_variance(self, spectrum: Spectrum) -> float:
        """Return a variance that no readings like these would speak for [mm²]."""
        # A floor much longer than the survey shows only a small part of its variance, which the
        # spectrum's own sum makes up for.
        signal = float(self.value @ self.value) / float(np.sum(spectrum.floor))
        return max(MOST_SHARE * signal, self.least_variance)

    def spectrum(self, length_mm: float) -> Spectrum:
        """Return what is needed for the likelihood of any variance at one length."""
        floor = self.basis.T @ matern(self.distance, length_mm) @ self.basis
        floor[np.diag_indices_from(floor)] += JITTER
        floor_size = float(np.trace(floor))
        noise_size = max(float(np.trace(self.noise)), LEAST_MM2)
        # Both parts weigh alike in the metric, so neither has to be regular by itself.
        metric = floor / floor_size + self.noise / noise_size
        lower = np.linalg.cholesky(metric)
        # Of the routines that do this, these do not wait for a second thread at small sizes.
        inverse = np.linalg.inv(lower)
        share, vectors = linalg.eigh(
            inverse @ (floor / floor_size) @ inverse.T, check_finite=False, overwrite_a=True
        )
        share = np.clip(share, 0.0, 1.0)
        return Spectrum(
            floor=share * floor_size,
            noise=(1 - share) * noise_size,
            square=(vectors.T @ (inverse @ self.value)) ** 2,
            log_determinant=2 * float(np.sum(np.log(np.diag(lower)))),
        )


@dataclass(frozen=True, eq=False)
class Spectrum:
    """The likelihood at one length, in the basis where floor and noise are both diagonal."""

    floor: Array
    noise: Array
    square: Array
    log_determinant: float

    def deviance(self, variance_mm2: Array) -> Array:
        """Return -2 log restricted likelihood (constant left out) of variances (k,)."""
        spread = variance_mm2[:, None] * self.floor + self.noise
        spread = np.maximum(spread, np.finfo(float).tiny)
        terms = np.log(spread) + self.square / spread
        return np.asarray(self.log_determinant + terms.sum(axis=1))


@dataclass(frozen=True, eq=False)
class Search:
    """The lengths that are considered, and what the readings say at each.

    Parameters
    ----------
    contrasts : Contrasts
        Readings without their trend.
    low_mm, high_mm : float
        Limits of the length [mm].
    """

    contrasts: Contrasts
    low_mm: float
    high_mm: float

    @property
    def lengths_mm(self) -> Array:
        """Lengths from limit to limit, in equal ratios [mm]."""
        return np.geomspace(self.low_mm, self.high_mm, LENGTHS)

    @cached_property
    def spectra(self) -> tuple[Spectrum, ...]:
        """What is needed for the likelihood at each of the lengths."""
        return tuple(self.contrasts.spectrum(float(length)) for length in self.lengths_mm)


def restricted_likelihood(search: Search) -> Unevenness:
    """Return the length, within limits, and the variance of greatest restricted likelihood.

    Parameters
    ----------
    search : Search
        Readings without their trend, and the lengths that are considered.

    Notes
    -----
    -2 log L = log|C| + cᵀ C⁻¹ c, C = variance·BᵀKB + BᵀNB, c = Bᵀz, BᵀX = 0.      (1)
    For each length both parts of C are made diagonal at once, after which any variance costs
    next to nothing; lengths are searched on a logarithmic grid and then by parabolas.

    References
    ----------
    .. [1] H. D. Patterson, R. Thompson, Biometrika 58 (1971) 545-554 (from memory).
    """
    logs = np.log(search.lengths_mm)
    found = [_best_variance(search.contrasts, spectrum) for spectrum in search.spectra]
    points = [
        (deviance, float(log), variance)
        for (deviance, variance), log in zip(found, logs, strict=True)
    ]
    best = int(np.argmin([deviance for deviance, _ in found]))
    first = min(max(best - 1, 0), LENGTHS - 3)
    points = points[first : first + 3]
    for _ in range(PARABOLAS):
        log = _valley(points, float(logs[first]), float(logs[first + 2]))
        deviance, variance = _best_variance(
            search.contrasts, search.contrasts.spectrum(math.exp(log))
        )
        points = sorted([*points, (deviance, log, variance)])[:3]
    _, log, variance = points[0]
    return Unevenness(math.exp(log), variance)


def _best_variance(contrasts: Contrasts, spectrum: Spectrum) -> tuple[float, float]:
    """Return the least deviance at a length and the variance [mm²] that gives it."""
    low = math.log(contrasts.least_variance)
    high = max(math.log(contrasts.most_variance(spectrum)), low + 1.0)
    for _ in range(4):
        grid = np.linspace(low, high, VARIANCES)
        deviance = spectrum.deviance(np.exp(grid))
        best = int(np.argmin(deviance))
        low, high = grid[max(best - 1, 0)], grid[min(best + 1, VARIANCES - 1)]
    return float(deviance[best]), math.exp(grid[best])


def _valley(points: list[tuple[float, float, float]], low: float, high: float) -> float:
    """Return where the parabola through three points (value, at, ...) is least, within limits."""
    (f0, t0, _), (f1, t1, _), (f2, t2, _) = sorted(points)
    rise, far = (t1 - t0) * (f0 - f2), (t2 - t0) * (f0 - f1)
    bend = 2 * (rise - far)
    if bend == 0:
        return t0
    step = ((t1 - t0) * rise - (t2 - t0) * far) / bend
    return min(max(t0 + step, low), high)
