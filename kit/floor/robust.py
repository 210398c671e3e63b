"""A plane that gross errors do not pull."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from kit.floor.bisquare import MOST_STEPS, covariance, reweighted, weights
from kit.floor.places import Array, columns, require_plane
from kit.floor.plane import MANY_POINTS, Frame, Plane, Solution
from kit.floor.robust_many import Cloud, covariance_of_many, reweighted_many

TRIPLES = 500
#: With thousands of points one triple in three is clean at 30 % of gross errors, one in six at
#: 45 %, so that a hundred never all miss (1e-8).
TRIPLES_OF_MANY = 100
BEST_STARTS = 10
START_POINTS = 2000


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
    2,000 points over a seeded sample of 2,000, from 100,000 points on over a hundred triples
    instead of 500). Then reweighted least squares with
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
    cloud, generator = Cloud(x, y, z, frame), np.random.default_rng(seed)
    found = (_of_many if len(x) >= MANY_POINTS else _of_all)(cloud, generator)
    return frame.plane(x, y, z, found)


def _of_all(cloud: Cloud, generator: np.random.Generator) -> Solution:
    """Return the robust plane, every step over all points."""
    design, z = cloud.frame.design(cloud.x_mm, cloud.y_mm), cloud.height_mm
    coefficients, scale = reweighted(design, z, _start(cloud, generator, TRIPLES))
    residual = z - design @ coefficients
    errors = covariance(design, residual, scale)
    return _solution(coefficients, errors, residual, scale)


def _of_many(cloud: Cloud, generator: np.random.Generator) -> Solution:
    """Return the robust plane, the first steps over some of the points."""
    start = _start(cloud, generator, TRIPLES_OF_MANY)
    coefficients, residual, scale = reweighted_many(cloud, start, generator)
    errors = covariance_of_many(cloud, residual, scale)
    return _solution(coefficients, errors, residual, scale)


def _solution(coefficients: Array, errors: Array, residual: Array, scale: float) -> Solution:
    weight = weights(residual, scale)
    aside = int(np.count_nonzero(weight == 0))
    notes = (f"{aside} of {len(residual)} readings have no weight in the robust plane.",)
    return Solution(coefficients, errors, residual, scale, weight, notes)


def _start(cloud: Cloud, generator: np.random.Generator, triples: int) -> Array:
    """Return the least-trimmed-squares coefficients found from random triples."""
    x, y, z = cloud.x_mm, cloud.y_mm, cloud.height_mm
    if len(z) > START_POINTS:
        rows = generator.choice(len(z), START_POINTS, replace=False, shuffle=len(z) < MANY_POINTS)
        x, y, z = x[rows], y[rows], z[rows]
    design, keep = cloud.frame.design(x, y), (len(z) + 4) // 2
    starts = _through_triples(design, z, generator, triples)
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


def _through_triples(
    design: Array, z: Array, generator: np.random.Generator, triples: int
) -> Array:
    """Return planes (k, 3) through random triples that spread; all points where none does."""
    if triples == TRIPLES_OF_MANY:
        # Twice the same row among thousands is no triple that spreads, and is passed over below.
        rows = generator.integers(0, len(z), (triples, 3))
    else:
        rows = np.argsort(generator.random((triples, len(z))), axis=1)[:, :3]
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
