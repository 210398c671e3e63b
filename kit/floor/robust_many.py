"""The robust plane of a hundred thousand points and more, in blocks that stay in the cache."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kit.floor.bisquare import (
    BISQUARE_C,
    MAD_TO_SD,
    MOST_STEPS,
    reweighted,
    smallest_scale,
    weights,
)
from kit.floor.places import Array
from kit.floor.plane import Frame
from kit.threads import one_thread

#: Points that the plane is reweighted on before all of them are.
SAMPLED = 50_000
#: Steps over all points end when one moves the plane by less than this share of what its
#: coefficients are doubtful by.
ENOUGH = 0.05
#: Points at a time.
BLOCK = 16_384
#: A renewed median of |v| is first sought this near to the one before, as a share of it.
NEAR = 0.03


@dataclass(frozen=True, eq=False)
class Cloud:
    """Points (n,) with the frame in which their plane is worked out."""

    x_mm: Array
    y_mm: Array
    height_mm: Array
    frame: Frame

    def blocks(self) -> Iterator[tuple[slice, Array, Array]]:
        """Yield some points at a time: their rows, their centred and scaled x and y.

        The two arrays are overwritten by the next block.
        """
        places = np.empty((2, BLOCK))
        for first in range(0, len(self.x_mm), BLOCK):
            rows = slice(first, min(first + BLOCK, len(self.x_mm)))
            x, y = places[:, : rows.stop - first]
            np.subtract(self.x_mm[rows], self.frame.x_mm, out=x)
            np.subtract(self.y_mm[rows], self.frame.y_mm, out=y)
            places *= 1 / self.frame.size_mm
            yield rows, x, y

    def residuals(self, coefficients: Array) -> Array:
        """Return height - plane (n,) [mm]."""
        out, (level, along, across) = np.empty(len(self.x_mm)), coefficients
        for rows, x, y in self.blocks():
            left = out[rows]
            np.subtract(self.height_mm[rows], level, out=left)
            left -= np.multiply(x, along, out=x)
            left -= np.multiply(y, across, out=y)
        return out


@one_thread
def reweighted_many(
    cloud: Cloud, start: Array, generator: np.random.Generator
) -> tuple[Array, Array, float]:
    """Return coefficients, residuals (n,) and scale after bisquare reweighting.

    Parameters
    ----------
    cloud : Cloud
    start : (3,) array
        Coefficients that gross errors have not pulled.
    generator : numpy Generator
        Of the sample that is reweighted first.

    Notes
    -----
    The fixed point is that of `bisquare.reweighted`. It is neared on a sample of 50,000 points
    and then followed over all of them until a step is a twentieth of the coefficients' standard
    error, after which a fiftieth is still to come.
    """
    count = len(cloud.x_mm)
    rows = generator.integers(0, count, min(SAMPLED, count))
    design = cloud.frame.design(cloud.x_mm[rows], cloud.y_mm[rows])
    coefficients, scale = reweighted(design, cloud.height_mm[rows], start, 1e-4)
    least = smallest_scale(cloud.height_mm)
    for _ in range(MOST_STEPS):
        residual = cloud.residuals(coefficients)
        scale = max(_median_size(residual, scale * MAD_TO_SD) / MAD_TO_SD, least)
        step = _step(cloud, residual, scale)
        coefficients = coefficients + step
        if float(np.max(np.abs(step))) <= ENOUGH * scale / math.sqrt(count):
            break
    return coefficients, cloud.residuals(coefficients), scale


def _median_size(residual: Array, guess: float) -> float:
    """Return the median of |v|; only what lies about a guess of it is sorted."""
    size = np.abs(residual)
    half = (len(size) - 1) / 2
    low, high = guess * (1 - NEAR), guess * (1 + NEAR)
    below = int(np.count_nonzero(size < low))
    about = size[(size >= low) & (size <= high)]
    first, last = math.floor(half) - below, math.ceil(half) - below
    if first < 0 or last >= len(about):
        return float(np.median(size))
    about.partition([first, last])
    return float(about[first] + about[last]) / 2


def _step(cloud: Cloud, residual: Array, scale: float) -> Array:
    """Return by how much weighted least squares moves the coefficients (3,)."""
    total, ones = np.zeros((3, 4)), np.ones(BLOCK)
    scratch = np.empty((3, BLOCK))
    for rows, x, y in cloud.blocks():
        v = residual[rows]
        weight, wx, wy = scratch[:, : len(v)]
        weights(v, scale, out=weight)
        np.multiply(weight, x, out=wx)
        np.multiply(weight, y, out=wy)
        one = ones[: len(v)]
        total[0] += one @ weight, weight @ x, weight @ y, weight @ v
        total[1, 1:] += wx @ x, wx @ y, wx @ v
        total[2, 2:] += wy @ y, wy @ v
    square = np.triu(total[:, :3]) + np.triu(total[:, :3], 1).T
    return np.asarray(np.linalg.lstsq(square, total[:, 3], rcond=None)[0])


@one_thread
def covariance_of_many(cloud: Cloud, residual: Array, scale: float) -> Array:
    """Return the covariance (3, 3) of the coefficients: see `bisquare.covariance`."""
    count = len(residual)
    slopes, squares, spread, used = 0.0, 0.0, 0.0, 0
    normal, ones = np.zeros((3, 3)), np.ones(BLOCK)
    for rows, x, y in cloud.blocks():
        one, u = ones[: len(x)], residual[rows] / scale
        t = np.minimum((u / BISQUARE_C) ** 2, 1.0)
        left = 1 - t
        slope, psi = left * (1 - 5 * t), left * left * u
        slopes, squares, spread = slopes + slope.sum(), squares + slope @ slope, spread + psi @ psi
        used += int(np.count_nonzero(left))
        normal[0] += len(x), one @ x, one @ y
        normal[1, 1:] += x @ x, x @ y
        normal[2, 2] += y @ y
    if used <= 3:
        return np.full((3, 3), math.nan)
    mean = slopes / count
    correction = 1 + 3 / count * (squares / count - mean**2) / mean**2
    cofactor = np.linalg.inv(np.triu(normal) + np.triu(normal, 1).T)
    return np.asarray(correction**2 * spread / (count - 3) * scale**2 / mean**2 * cofactor)
