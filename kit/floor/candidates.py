"""Which places can be the highest at all."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from kit.floor.noise import DRAW_JITTER
from kit.floor.shared_doubt import Rows, SharedDoubt

#: Heights nearer than this are equal: no reading tells them apart [mm].
SAME_HEIGHT_MM = 1e-3
#: Greatest probability that any of the places left out is as high as the named one: of 25 answers
#: from 4,000 draws at most one has a draw that would have come out otherwise.
LEFT_OUT = 1e-5


def candidates(doubt: SharedDoubt, named: int, left_out: float) -> Rows:
    """Return the rows (k,), in order, of the places that can be the highest.

    Parameters
    ----------
    doubt : SharedDoubt
        Heights and doubt of the places (m,).
    named : int
        Row of the named place, the highest by its mean.
    left_out : float
        Greatest probability that one of the places left out is as high as the named one.

    Notes
    -----
    The height of place i above the named place n is normal, with mean mu_i - mu_n and
    s_i² = var_i + var_n - 2·cov(i, n). With t = `SAME_HEIGHT_MM`, it reaches the named place's
    height, or ties with it, with probability
    p_i = Phi((t - (mu_n - mu_i)) / s_i).                                          (1)
    Whatever the correlations, the probability that any place of a set does is at most the sum
    of theirs (Boole). The least likely are left out for as long as that sum is at most
    `left_out`.                                                                    (2)

    In a draw in which none of them does, the highest place, its ties and its height above the
    named one are what they are among all places, so a share of the draws is off by more than
    sampling with that probability only. Where one does, p_i < 1/2 puts it below the named place
    by its mean, and the mean of a normal's excess over what lies above its mean is at most
    sqrt(2/pi)·s_i; hence the expected highest, and the regret, fall short by at most
    sum E[(f_i - f_n)+] <= sqrt(2/pi)·max s_i·left_out,                             (3)
    a few millionths of a millimetre. s_i² carries the jitter that draws are made with.
    """
    variance, below = doubt.variance_mm2, doubt.height_mm[named] - doubt.height_mm
    shared = doubt.covariance_with(np.array([named]))[:, 0]
    square = np.maximum(variance + variance[named] - 2 * shared, 0.0)
    square += 2 * DRAW_JITTER * float(variance.max()) + np.finfo(float).tiny
    reaches = ndtr((SAME_HEIGHT_MM - below) / np.sqrt(square))  # Eq. (1)
    order = np.argsort(reaches, kind="stable")
    first = np.searchsorted(np.cumsum(reaches[order]), left_out, side="right")  # Eq. (2)
    return np.sort(order[first:])
