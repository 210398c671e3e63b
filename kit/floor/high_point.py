"""Where under the base the floor is highest, how sure that is, and what to read next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from kit.floor.candidates import LEFT_OUT, SAME_HEIGHT_MM, candidates
from kit.floor.noise import quick_blocks
from kit.floor.places import Array, columns, distances
from kit.floor.shared_doubt import Rows, SharedDoubt, shared_doubt
from kit.floor.surface import Surface
from kit.floor.telling import most_telling
from kit.job.refusal import refuse

#: A highest place within this of the named one is the same high point [mm].
SAME_HIGH_POINT_MM = 100.0
#: At or above this certainty no rivals are named and no reading is asked for.
SURE = 0.9
#: Rivals with a smaller share of the draws are not named.
LEAST_SHARE = 0.01
RIVAL_COLUMNS = ("x_mm", "y_mm", "height_mm", "sd_mm", "share")

Block = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class HighPoint:
    """The highest mean floor among the places asked about.

    Parameters
    ----------
    x_mm, y_mm, height_mm, sd_mm : float
        The place, the floor's mean height there and its standard deviation [mm].
    certainty : float
        Share of the joint draws whose highest place lies within 100 mm of it, 0 to 1.
    regret_mm : float
        Expected height of the true high point above the floor at the named place [mm].
    rivals : DataFrame
        Where certainty is below 0.9: other high places with their shares of the draws, the
        likeliest first (x_mm, y_mm, height_mm, sd_mm, share).
    next_reading : tuple of float or None
        The place (x_mm, y_mm) whose reading lowers the expected regret most; None where
        certainty is 0.9 or more.
    regret_after_mm : float
        Expected regret once that reading is taken [mm]; regret_mm where none is asked for.
    """

    x_mm: float
    y_mm: float
    height_mm: float
    sd_mm: float
    certainty: float
    regret_mm: float
    rivals: pd.DataFrame = field(repr=False)
    next_reading: tuple[float, float] | None
    regret_after_mm: float


def find_high_point(
    surface: Surface,
    x_mm: ArrayLike,
    y_mm: ArrayLike,
    *,
    reading_sd_mm: float,
    draws: int = 4000,
    seed: int = 0,
) -> HighPoint:
    """Find the highest mean floor among places, and how sure that is.

    Parameters
    ----------
    surface : Surface
    x_mm, y_mm : (m,) array_like
        Places under the base [mm], on a grid of 50 mm or finer.
    reading_sd_mm : float
        Standard deviation of the next reading, were one taken [mm].
    draws : int
        Joint draws of the floor.
    seed : int
        Of the draws.

    Returns
    -------
    HighPoint
        Of places equally high the first one given.

    Raises
    ------
    Refusal
        If no place is given, a number is not finite, or reading_sd_mm is negative.

    Notes
    -----
    certainty = share of draws whose highest place lies within 100 mm;              (1)
    regret = E[max f] - max E[f] over the draws;                                    (2)
    next reading: the place c that maximises E[max_i (mu_i + s_i(c)·Z)],
    s(c) = cov(., c) / sqrt(var(c) + reading_sd²), Z standard normal, which is what the highest
    mean will be once c is read; exact, by the upper envelope of the lines [1]_.    (3)
    Draws are made, and lines followed, only for the places that can be the highest: the others
    together reach the named place with a probability of 1e-5 at most; see `candidates`. The
    next reading is sought among all places.

    References
    ----------
    .. [1] P. Frazier, W. Powell, S. Dayanik, INFORMS Journal on Computing 21 (2009) 599-613
       (from memory).
    """
    x, y = columns(x_mm=x_mm, y_mm=y_mm)
    if len(x) == 0:
        raise refuse("high point", "no place", "at least one place under the base")
    if not reading_sd_mm >= 0:
        raise refuse("high point, reading_sd_mm", f"{reading_sd_mm}", "0 or more")
    doubt = shared_doubt(surface, x, y)
    height, sd = doubt.height_mm, np.sqrt(doubt.variance_mm2)
    named = int(np.argmax(height >= height.max() - SAME_HEIGHT_MM))
    rows = candidates(doubt, named, LEFT_OUT)
    covariance = doubt.covariance_with(rows)
    near = distances(x[rows], y[rows], x[[named]], y[[named]])[:, 0] <= SAME_HIGH_POINT_MM
    # Counted from the named place, heights are small and single precision serves.
    blocks = quick_blocks(covariance[rows], draws, seed)
    above = (height[rows] - height[named]).astype(np.float32)
    counts, regret = _counted(blocks, above, int(np.searchsorted(rows, named)), near)
    certainty = float(counts[near].sum()) / draws  # Eq. (1)
    rivals, reading, after = pd.DataFrame(columns=RIVAL_COLUMNS, dtype=float), None, regret
    if certainty < SURE:
        rivals = _rivals(rows, np.where(near, 0, counts) / draws, doubt, x, y)
        place, gain = most_telling(doubt, rows, covariance, reading_sd_mm)  # Eq. (3)
        reading, after = (float(x[place]), float(y[place])), max(regret - gain, 0.0)
    here = float(x[named]), float(y[named]), float(height[named]), float(sd[named])
    return HighPoint(*here, certainty, regret, rivals, reading, after)


def _counted(
    blocks: Iterable[Block], above_mm: Block, named: int, near: NDArray[np.bool_]
) -> tuple[NDArray[np.intp], float]:
    """Return in how many draws each place (k,) is the highest, and the regret [mm].

    Parameters
    ----------
    blocks : iterable of (b, k) array
        Draws about the means; they are overwritten.
    above_mm : (k,) array
        Means above that of the named place.
    named : int
        Its column.
    near : (k,) array
        Which places are the same high point.
    """
    counts, excess, draws = np.zeros(len(near), np.intp), 0.0, 0
    for block in blocks:
        np.add(block, above_mm, out=block)
        counts += np.bincount(_highest(block, near), minlength=len(near))
        excess += float(np.sum(block.max(axis=1) - block[:, named], dtype=float))
        draws += len(block)
    return counts, max(excess / draws, 0.0)  # Eq. (2)


def _highest(drawn: Block, near: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Return the highest place of each draw; one near the named place where it ties."""
    highest = drawn.argmax(axis=1)
    near_rows = np.flatnonzero(near)
    near_highest = near_rows[drawn[:, near_rows].argmax(axis=1)]
    rows = np.arange(len(drawn))
    ties = drawn[rows, near_highest] >= drawn[rows, highest] - SAME_HEIGHT_MM
    return np.asarray(np.where(ties, near_highest, highest))


def _rivals(
    rows: Rows, shares: Array, doubt: SharedDoubt, x_mm: Array, y_mm: Array
) -> pd.DataFrame:
    """Return the other high places: draws within 100 mm of one another are one rival.

    Parameters
    ----------
    rows : (k,) array
        The places that can be the highest.
    shares : (k,) array
        Shares of the draws in which each is the highest; 0 near the named place.
    doubt, x_mm, y_mm : SharedDoubt, (m,) array, (m,) array
        All places: any of them may be the middle of a rival.
    """
    rows, left = rows[shares > 0], shares[shares > 0]
    near = distances(x_mm, y_mm, x_mm[rows], y_mm[rows]) <= SAME_HIGH_POINT_MM
    found, gathered = [], []
    for _ in rows:
        around = near @ left
        centre = int(np.argmax(around))
        if around[centre] < LEAST_SHARE:
            break
        found.append(int(rows[np.argmax(np.where(near[centre], left, -1.0))]))
        gathered.append(float(around[centre]))
        left = np.where(near[centre], 0.0, left)
    at = np.array(found, dtype=np.intp)
    table = (x_mm[at], y_mm[at], doubt.height_mm[at], np.sqrt(doubt.variance_mm2[at]), gathered)
    return pd.DataFrame(np.column_stack(table), columns=RIVAL_COLUMNS)
