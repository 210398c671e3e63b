"""The same restricted likelihood for hundreds of readings, climbed instead of searched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from kit.floor.kernel import matern, matern_slope
from kit.floor.likelihood import JITTER, Unevenness
from kit.floor.places import Array

STEPS = 15
HALVINGS = 6
#: A step in the logarithms of length and variance that is smaller than this is the last one.
SMALL_STEP = 0.01


@dataclass(frozen=True, eq=False)
class Readings:
    """Readings (n,) with design (n, 3), noise covariance (n, n) and mutual distances (n, n)."""

    design: Array
    height_mm: Array
    noise: Array
    distance: Array


def climb(readings: Readings, start: Unevenness, low: Array, high: Array) -> Unevenness:
    """Return the unevenness of greatest restricted likelihood, climbed from a start.

    Parameters
    ----------
    readings : Readings
    start : Unevenness
        A guess, for example from a sample of the readings.
    low, high : (2,) array
        Limits of the length [mm] and the variance [mm²].

    Notes
    -----
    Average-information steps in (log length, log variance), halved where they overshoot.

    References
    ----------
    .. [1] A. R. Gilmour, R. Thompson, B. R. Cullis, Biometrics 51 (1995) 1440-1450 (from memory).
    """
    limits = np.log(low), np.log(high)
    here = np.clip(np.log([start.length_mm, start.variance_mm2]), *limits)
    deviance, slope, information = _slope(readings, here)
    for _ in range(STEPS):
        step = _step(here, slope, information, limits)
        if float(np.max(np.abs(step))) < SMALL_STEP:
            here = np.clip(here + step, *limits)
            break
        for _ in range(HALVINGS):
            there = np.clip(here + step, *limits)
            after = _slope(readings, there)
            if after[0] <= deviance + 1e-6:
                break
            step = step / 2
        else:
            break
        here, (deviance, slope, information) = there, after
    length, variance = np.exp(here)
    return Unevenness(float(length), float(variance))


def _step(here: Array, slope: Array, information: Array, limits: tuple[Array, Array]) -> Array:
    """Return the next step, of one unit at most, along the directions that are still free."""
    low, high = limits
    free = ~((here <= low) & (slope < 0) | (here >= high) & (slope > 0))
    step = np.zeros(2)
    if np.any(free):
        damped = information[np.ix_(free, free)] + 1e-6 * np.eye(int(free.sum()))
        step[free] = np.linalg.solve(damped, slope[free])
    return step / max(1.0, float(np.max(np.abs(step))))


def _slope(readings: Readings, logs: Array) -> tuple[float, Array, Array]:
    """Return deviance, slope of the log likelihood and average information."""
    length, variance = np.exp(logs)
    floor = variance * matern(readings.distance, length)
    stretched = variance * matern_slope(readings.distance, length)
    total = floor + readings.noise
    total[np.diag_indices_from(total)] += JITTER * variance
    lower = np.linalg.cholesky(total)
    design = linalg.solve_triangular(lower, readings.design, lower=True, check_finite=False)
    corner = np.linalg.cholesky(design.T @ design)
    log_determinant = 2 * float(np.sum(np.log(np.diag(lower))) + np.sum(np.log(np.diag(corner))))
    projector = _projector(lower, design)
    residual = projector @ readings.height_mm
    parts = np.array([stretched @ residual, floor @ residual])
    traces = np.array([np.vdot(projector, stretched), np.vdot(projector, floor)])
    slope = (parts @ residual - traces) / 2
    information = parts @ projector @ parts.T / 2
    return log_determinant + float(readings.height_mm @ residual), slope, information


def _projector(lower: Array, whitened_design: Array) -> Array:
    """Return P = C⁻¹ - C⁻¹X(XᵀC⁻¹X)⁻¹XᵀC⁻¹ from the Cholesky factor of C and L⁻¹X."""
    inverse = linalg.lapack.dpotri(lower, lower=1)[0]
    inverse = np.tril(inverse)
    inverse = inverse + np.tril(inverse, -1).T
    orthonormal = np.linalg.qr(whitened_design)[0]
    back = linalg.solve_triangular(lower, orthonormal, lower=True, trans="T", check_finite=False)
    return np.asarray(inverse - back @ back.T)
