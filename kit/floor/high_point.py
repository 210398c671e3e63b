"""Where under the base the floor is highest, how sure that is, and what to read next."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from kit.floor.next_reading import most_telling_place
from kit.floor.noise import quick_deviations
from kit.floor.places import columns, distances
from kit.floor.surface import Surface
from kit.job.refusal import refuse

#: A highest place within this of the named one is the same high point [mm].
SAME_HIGH_POINT_MM = 100.0
#: Heights nearer than this are equal: no reading tells them apart [mm].
SAME_HEIGHT_MM = 1e-3
#: At or above this certainty no rivals are named and no reading is asked for.
SURE = 0.9
#: Rivals with a smaller share of the draws are not named.
LEAST_SHARE = 0.01


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
    height, covariance = surface.joint(x, y)
    named = int(np.argmax(height >= height.max() - SAME_HEIGHT_MM))
    # Counted from the named place, heights are small and single precision serves.
    drawn = quick_deviations(covariance, draws, seed) + (height - height[named]).astype(np.float32)
    near = distances(x, y, x, y) <= SAME_HIGH_POINT_MM
    highest = _highest(drawn, near[named])
    certainty = float(np.mean(near[named, highest]))  # Eq. (1)
    regret = max(float(np.mean(drawn.max(axis=1) - drawn[:, named])), 0.0)  # Eq. (2)
    at = pd.DataFrame({"x_mm": x, "y_mm": y, "height_mm": height})
    at["sd_mm"] = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    at["share"] = np.bincount(highest, minlength=len(x)) / draws
    rivals, reading, after = at.iloc[:0], None, regret
    if certainty < SURE:
        rivals = _rivals(at, near, named)
        place, gain = most_telling_place(height, covariance, reading_sd_mm)
        reading, after = (float(x[place]), float(y[place])), max(regret - gain, 0.0)
    x_here, y_here, height_here, sd_here = at.iloc[named, :4].astype(float)
    return HighPoint(
        x_here, y_here, height_here, sd_here, certainty, regret, rivals, reading, after
    )


def _highest(drawn: NDArray[np.float32], near: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Return the highest place of each draw; one near the named place where it ties."""
    highest = drawn.argmax(axis=1)
    near_rows = np.flatnonzero(near)
    near_highest = near_rows[drawn[:, near_rows].argmax(axis=1)]
    rows = np.arange(len(drawn))
    ties = drawn[rows, near_highest] >= drawn[rows, highest] - SAME_HEIGHT_MM
    return np.asarray(np.where(ties, near_highest, highest))


def _rivals(at: pd.DataFrame, near: NDArray[np.bool_], named: int) -> pd.DataFrame:
    """Return the other high places: draws within 100 mm of one another are one rival."""
    shares = at["share"].to_numpy()
    left = np.where(near[named], 0.0, shares)
    rows, gathered = [], []
    for _ in range(len(left)):
        around = near @ left
        centre = int(np.argmax(around))
        if around[centre] < LEAST_SHARE:
            break
        rows.append(int(np.argmax(np.where(near[centre], left, -1.0))))
        gathered.append(float(around[centre]))
        left = np.where(near[centre], 0.0, left)
    return at.iloc[rows].assign(share=gathered).reset_index(drop=True)
