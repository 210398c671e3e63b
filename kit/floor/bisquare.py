"""Reweighted least squares with bisquare weights, and the standard errors that go with it."""

from __future__ import annotations

import math

import numpy as np

from kit.floor.places import Array

BISQUARE_C = 4.685
#: Median of |v| over sigma for the normal distribution, its 3/4 quantile.
MAD_TO_SD = 0.6744897501960817
MOST_STEPS = 200
#: Steps end when they move the plane by less than this share of the scale.
SETTLED = 1e-10


def smallest_scale(z: Array) -> float:
    """Return the scale [mm] below which residuals are rounding."""
    return 1e-12 * (1.0 + float(np.max(np.abs(z))))


def reweighted(
    design: Array, z: Array, coefficients: Array, settled: float = SETTLED
) -> tuple[Array, float]:
    """Return coefficients and scale after bisquare reweighting to convergence."""
    scale = math.nan
    for _ in range(MOST_STEPS):
        residual = z - design @ coefficients
        scale = max(float(np.median(np.abs(residual))) / MAD_TO_SD, smallest_scale(z))  # Eq. (2)
        root = np.sqrt(weights(residual, scale))
        if np.count_nonzero(root) < 3:
            break
        after = np.asarray(np.linalg.lstsq(root[:, None] * design, root * z, rcond=None)[0])
        change = float(np.max(np.abs(after - coefficients)))
        coefficients = after
        if change <= settled * scale:
            break
    return coefficients, scale


def weights(residual: Array, scale: float, out: Array | None = None) -> Array:
    """Return bisquare weights, Eq. (1) of `fit_plane_robust`."""
    weight = np.multiply(residual, 1 / (BISQUARE_C * scale), out=out)
    weight *= weight
    np.subtract(1.0, weight, out=weight)
    np.maximum(weight, 0.0, out=weight)
    weight *= weight
    return np.asarray(weight)


def covariance(design: Array, residual: Array, scale: float) -> Array:
    """Return the covariance of the coefficients, Eq. (3)."""
    count = len(residual)
    u = residual / scale
    weight = weights(residual, scale)
    if np.count_nonzero(weight) <= 3:
        return np.full((3, 3), math.nan)
    t = (u / BISQUARE_C) ** 2
    slope = np.where(t < 1, (1 - t) * (1 - 5 * t), 0.0)
    mean = float(slope.mean())
    correction = 1 + 3 / count * float(slope.var()) / mean**2
    spread = float(np.sum((weight * u) ** 2)) / (count - 3)
    cofactor = np.linalg.inv(design.T @ design)
    return np.asarray(correction**2 * spread * scale**2 / mean**2 * cofactor)
