"""A plane that gross errors do not pull."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from kit.floor.places import Array, columns, require_plane
from kit.floor.plane import Frame, Plane, Solution

BISQUARE_C = 4.685
#: Median of |v| over sigma for the normal distribution, its 3/4 quantile.
MAD_TO_SD = 0.6744897501960817
TRIPLES = 500
BEST_STARTS = 10
START_POINTS = 2000
MOST_STEPS = 200


def fit_plane_robust(
    x_mm: ArrayLike, y_mm: ArrayLike, height_mm: ArrayLike, *, seed: int = 0
) -> Plane:
    """Fit a plane that survives 30 % of gross errors.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array_like
        Places and heights [mm], n at least 3 and not all on one line.
    seed : int
        Of the random triples from which the fit starts.

    Returns
    -------
    Plane
        `weight` is 0 for readings that were set aside, `scale_mm` the robust scale; R² and
        rms_mm count all readings, gross errors included. Standard errors are nan where no more
        than three readings keep a weight.

    Raises
    ------
    Refusal
        If there are fewer than 3 points, all lie on one line, or a number is not finite.

    Notes
    -----
    Start: least trimmed squares over seeded random triples with concentration steps [1]_ (above
    2,000 points over a seeded sample of 2,000). Then reweighted least squares with
    w = (1 - (v/(c·s))²)² inside c·s, 0 outside, c = 4.685,                       (1)
    s = median |v| / 0.6745 renewed at each step,                                 (2)
    covariance = K² · sum psi²/(n - 3) · s² / (mean psi')² · (XᵀX)⁻¹,
    K = 1 + 3/n · var psi' / (mean psi')².                                        (3)

    References
    ----------
    .. [1] P. J. Rousseeuw, K. Van Driessen, Computing LTS regression for large data sets, Data
       Mining and Knowledge Discovery 12 (2006) 29-45 (from memory).
    .. [2] P. J. Huber, Robust Statistics (1981), eq. 7.6.5 (from memory).
    """
    x, y, z = columns(x_mm=x_mm, y_mm=y_mm, height_mm=height_mm)
    require_plane(x, y)
    frame = Frame.of(x, y)
    design = frame.design(x, y)
    start = _trimmed_start(design, z, np.random.default_rng(seed))
    coefficients, scale = _reweighted(design, z, start)
    residual = z - design @ coefficients
    weight = _weight(residual, scale)
    aside = int(np.count_nonzero(weight == 0))
    notes = (f"{aside} of {len(x)} readings have no weight in the robust plane.",)
    covariance = _covariance(design, residual, scale)
    return frame.plane(x, y, z, Solution(coefficients, covariance, residual, scale, weight, notes))


def _trimmed_start(design: Array, z: Array, generator: np.random.Generator) -> Array:
    """Return the least-trimmed-squares coefficients found from random triples."""
    if len(z) > START_POINTS:
        rows = generator.choice(len(z), START_POINTS, replace=False)
        design, z = design[rows], z[rows]
    keep = (len(z) + 4) // 2
    starts = _through_triples(design, z, generator)
    for _ in range(2):
        starts = _concentrate(design, z, starts, keep)
    starts = starts[np.argsort(_trimmed_sum(design, z, starts, keep), kind="stable")[:BEST_STARTS]]
    best = _trimmed_sum(design, z, starts, keep)
    for _ in range(MOST_STEPS):
        starts = _concentrate(design, z, starts, keep)
        after = _trimmed_sum(design, z, starts, keep)
        if np.all(after >= best * (1 - 1e-12)):
            break
        best = after
    return np.asarray(starts[np.argmin(after)])


def _through_triples(design: Array, z: Array, generator: np.random.Generator) -> Array:
    """Return planes (k, 3) through random triples that spread; all points where none does."""
    rows = np.argsort(generator.random((TRIPLES, len(z))), axis=1)[:, :3]
    corners = design[rows]
    spread = np.abs(np.linalg.det(corners))
    # A sliver far smaller than the usual triple only magnifies the noise of its corners.
    good = spread > max(1e-3 * float(spread.max()), 1e-12)
    whole = np.asarray(np.linalg.lstsq(design, z, rcond=None)[0])[None, :]
    if not np.any(good):
        return np.asarray(whole)
    through = np.linalg.solve(corners[good], z[rows[good]][..., None])[..., 0]
    return np.concatenate([whole, through])


def _concentrate(design: Array, z: Array, starts: Array, keep: int) -> Array:
    """Refit each start to the `keep` readings that lie nearest to it."""
    apart = np.abs(z[None, :] - starts @ design.T)
    rows = np.argpartition(apart, keep - 1, axis=1)[:, :keep]
    chosen = design[rows]
    # The tiny ridge only serves kept readings that happen to lie on one line.
    normal = np.einsum("kni,knj->kij", chosen, chosen) + 1e-12 * np.eye(3)
    right = np.einsum("kni,kn->ki", chosen, z[rows])
    return np.asarray(np.linalg.solve(normal, right[..., None])[..., 0])


def _trimmed_sum(design: Array, z: Array, starts: Array, keep: int) -> Array:
    """Return the sum of the `keep` smallest squares for each start."""
    squares = (z[None, :] - starts @ design.T) ** 2
    return np.asarray(np.partition(squares, keep - 1, axis=1)[:, :keep].sum(axis=1))


def _smallest_scale(z: Array) -> float:
    """Return the scale [mm] below which residuals are rounding."""
    return 1e-12 * (1.0 + float(np.max(np.abs(z))))


def _reweighted(design: Array, z: Array, coefficients: Array) -> tuple[Array, float]:
    """Return coefficients and scale after bisquare reweighting to convergence."""
    scale = math.nan
    for _ in range(MOST_STEPS):
        residual = z - design @ coefficients
        scale = max(float(np.median(np.abs(residual))) / MAD_TO_SD, _smallest_scale(z))  # Eq. (2)
        root = np.sqrt(_weight(residual, scale))
        if np.count_nonzero(root) < 3:
            break
        after = np.asarray(np.linalg.lstsq(root[:, None] * design, root * z, rcond=None)[0])
        change = float(np.max(np.abs(after - coefficients)))
        coefficients = after
        if change <= 1e-10 * scale:
            break
    return coefficients, scale


def _weight(residual: Array, scale: float) -> Array:
    """Return bisquare weights, Eq. (1)."""
    u = residual / (BISQUARE_C * scale)
    return np.where(np.abs(u) < 1, (1 - u**2) ** 2, 0.0)


def _covariance(design: Array, residual: Array, scale: float) -> Array:
    """Return the covariance of the coefficients, Eq. (3)."""
    count = len(residual)
    u = residual / scale
    weight = _weight(residual, scale)
    if np.count_nonzero(weight) <= 3:
        return np.full((3, 3), math.nan)
    t = (u / BISQUARE_C) ** 2
    slope = np.where(t < 1, (1 - t) * (1 - 5 * t), 0.0)
    mean = float(slope.mean())
    correction = 1 + 3 / count * float(slope.var()) / mean**2
    spread = float(np.sum((weight * u) ** 2)) / (count - 3)
    cofactor = np.linalg.inv(design.T @ design)
    return np.asarray(correction**2 * spread * scale**2 / mean**2 * cofactor)
