"""The floor's height between the readings, with its doubt."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.floor.conditioning import Conditioned
from kit.floor.doubt import Broadened, plausible
from kit.floor.extent import Extent
from kit.floor.few import PlaneOnly, roughness_variance
from kit.floor.likelihood import Contrasts, Search, Unevenness, restricted_likelihood
from kit.floor.many import EXACT, LEFT_OUT, ManyReadings, Rows, Tell, sample, untold, windows
from kit.floor.noise import Noise, checked_noise, deviations, kept, part_of
from kit.floor.places import Array, columns, distances, require_plane
from kit.floor.plane import Frame
from kit.floor.repeats import rows_to_keep
from kit.floor.row_noise import SharedErrors
from kit.floor.scoring import Readings, climb
from kit.threads import one_thread

#: Readings at up to so many places: the surface is their plane.
FEW = 5
#: Up to so many the likelihood is searched, above it is climbed from a sample of so many.
SEARCHED = 200
#: Above so many readings every step works on a bounded number of them ...
MANY = 2000
#: ... and length and variance come from a sample of about so many.
SAMPLED = 800
#: Readings times places that are worked on at a time.
AT_ONCE = 4_000_000
#: Longest length, in diagonals of the extent.
LONGEST_EXTENTS = 3.0


class Prediction(NamedTuple):
    """Heights and their standard deviations at places (m,), in mm."""

    height_mm: Array
    sd_mm: Array


@dataclass(frozen=True, eq=False)
class Surface:
    """The floor between its readings: linear trend + Matérn 3/2, by universal kriging.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array
        Readings [mm].
    noise : (n, n) or (n,) array, or RowNoise
        Their covariance, or their variances where they are independent [mm²], or their own and
        their shared errors.
    length_mm, variance_mm2 : float
        Of the unevenness about the trend; length 0 where the surface is the plane of a few
        readings.
    plausible : tuple of Unevenness
        Other lengths and variances that the readings allow, each as likely as the other; they
        widen the doubt and leave the heights as they are. None with a few readings, or above
        200 of them, which know their unevenness well.
    notes : tuple of str
        What must be said along with the figures.
    """

    x_mm: Array = field(repr=False)
    y_mm: Array = field(repr=False)
    height_mm: Array = field(repr=False)
    noise: Noise = field(repr=False)
    length_mm: float
    variance_mm2: float
    plausible: tuple[Unevenness, ...] = field(default=(), repr=False)
    notes: tuple[str, ...] = ()

    @cached_property
    def extent(self) -> Extent:
        """How far the readings reach."""
        return Extent(self.x_mm, self.y_mm)

    @property
    def median_spacing_mm(self) -> float:
        """Median distance of a reading to its nearest neighbour [mm]."""
        return self.extent.median_spacing_mm

    def surveyed(self, x_mm: ArrayLike, y_mm: ArrayLike) -> NDArray[np.bool_]:
        """Return which places (m,) the survey speaks for: see `Extent.surveyed`."""
        return self.extent.surveyed(x_mm, y_mm)

    def predict(self, x_mm: ArrayLike, y_mm: ArrayLike, *, tell: Tell = untold) -> Prediction:
        """Return heights [mm] and standard deviations [mm] of the floor at places (m,).

        Parameters
        ----------
        x_mm, y_mm : (m,) array_like
            Places [mm], a hundred thousand and more; no more than some of them are worked on at
            a time.
        tell : callable, optional
            Is told the share that is done, 0 to 1.
        """
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        if self.bounded and len(x):
            return Prediction(*self._many.predict(x, y, tell))
        step = max(AT_ONCE // len(self.x_mm), 1)
        if len(x) <= step:
            return Prediction(*self._whole.predict(x, y))
        height, sd = np.empty(len(x)), np.empty(len(x))
        for first in range(0, len(x), step):
            rows = slice(first, first + step)
            height[rows], sd[rows] = self._whole.predict(x[rows], y[rows])
            tell(min(first + step, len(x)) / len(x))
        return Prediction(height, sd)

    def joint(self, x_mm: ArrayLike, y_mm: ArrayLike) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        return (self._many if self.bounded and len(x) else self._whole).joint(x, y)

    def covariance(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Array:
        """Return the joint covariance (m, m) [mm²] of the floor's heights at places."""
        return self.joint(x_mm, y_mm)[1]

    def draws(self, x_mm: ArrayLike, y_mm: ArrayLike, count: int, seed: int) -> Array:
        """Return joint draws (count, m) [mm] of the floor's heights at places."""
        height, covariance = self.joint(x_mm, y_mm)
        return height + deviations(covariance, count, seed)

    def left_out(self) -> Array:
        """Return each reading's standardised error when predicted from the others (n,).

        Above 20,000 readings those of a seeded sample of 800, predicted from each other.
        """
        if not self.bounded:
            return self._whole.left_out()
        if len(self.x_mm) <= LEFT_OUT:
            return self._many.left_out()
        error, sd = self._conditioned_on(sample(self.x_mm, self.y_mm, SAMPLED, 0)).left_out()
        return np.asarray(error / sd)

    @property
    def bounded(self) -> bool:
        """Whether there are so many readings that only those nearby are conditioned on."""
        return len(self.x_mm) > MANY

    @cached_property
    def _many(self) -> ManyReadings:
        found = Unevenness(self.length_mm, self.variance_mm2)
        return ManyReadings(self.x_mm, self.y_mm, self.height_mm, self.noise, found)

    @cached_property
    def _whole(self) -> Broadened | PlaneOnly:
        every = np.arange(len(self.x_mm))
        if self.length_mm == 0:
            noise = part_of(self.noise, every)
            return PlaneOnly(self.x_mm, self.y_mm, self.height_mm, noise, self.variance_mm2)
        others = (self._conditioned_on(every, other) for other in self.plausible)
        return Broadened(self._conditioned_on(every), tuple(others))

    def _conditioned_on(self, rows: Rows, other: Unevenness | None = None) -> Conditioned:
        likeliest = Unevenness(self.length_mm, self.variance_mm2)
        return Conditioned(
            self.x_mm[rows],
            self.y_mm[rows],
            self.height_mm[rows],
            part_of(self.noise, rows),
            likeliest if other is None else other,
        )


def fit_surface(
    x_mm: ArrayLike,
    y_mm: ArrayLike,
    height_mm: ArrayLike,
    noise_covariance: ArrayLike | SharedErrors,
) -> Surface:
    """Fit the surface between readings: linear trend + Matérn 3/2, by universal kriging.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array_like
        Places and heights [mm], n at least 3 and not all on one line; two readings may share a
        place.
    noise_covariance : (n, n) or (n,) array_like, or RowNoise
        Covariance of the heights as adjusted, or variances of independent ones [mm²], or what
        has `diagonal` and `factors`: see `kit.floor.row_noise`. It may be
        singular: a fixed benchmark has no variance, a free network none along its mean.

    Returns
    -------
    Surface
        Length and variance by restricted maximum likelihood, the length held between the median
        nearest-neighbour spacing and three times the extent's diagonal. Up to 5 places: their
        plane with its prediction sd. Up to 200 the likelihood is searched, up to 2,000 climbed
        from a seeded sample; above, length and variance come from a seeded sample of about 800,
        and the doubt from near readings and groups of far ones: see `kit.floor.many`.

    Raises
    ------
    Refusal
        If there are fewer than 3 readings, all lie on one line, a number is not finite, the
        covariance is none, or two readings of one place differ though neither has any doubt.

    Notes
    -----
    The correlation matrix carries a relative jitter of 1e-10 so that duplicate places can be
    solved; the variance is held above a millionth of the mean noise variance and 1e-8 mm².

    Examples
    --------
    >>> x, y = np.meshgrid([0.0, 800.0, 1700.0], [0.0, 900.0])
    >>> z = 0.002 * x - 0.001 * y
    >>> surface = fit_surface(x.ravel(), y.ravel(), z.ravel(), np.eye(6) * 0.25)
    >>> height, sd = surface.predict([400.0], [450.0])
    >>> round(float(height[0]), 3), 0.1 < float(sd[0]) < 0.5
    (0.35, True)
    """
    x, y, z = columns(x_mm=x_mm, y_mm=y_mm, height_mm=height_mm)
    require_plane(x, y)
    noise = checked_noise(noise_covariance, len(x))
    keep = rows_to_keep(x, y, z, noise)
    if len(keep) < len(x):
        noise = kept(noise, keep)
        x, y, z = x[keep], y[keep], z[keep]
    if len(Extent(x, y).places) <= FEW:
        return _plane_surface(x, y, z, noise)
    low, high = _length_limits(x, y)
    if len(x) <= SEARCHED:
        search = Search(_contrasts(x, y, z, part_of(noise, np.arange(len(x)))), low, high)
        found, others = restricted_likelihood(search), plausible(search)
        return Surface(x, y, z, noise, found.length_mm, found.variance_mm2, others)
    found = _climbed((x, y, z), noise, low, high)
    notes = (_said_of_many(len(x)),) if len(x) > MANY else ()
    return Surface(x, y, z, noise, found.length_mm, found.variance_mm2, notes=notes)


def _said_of_many(count: int) -> str:
    heights = "" if count <= EXACT else "heights and "
    return (
        f"{count} readings: length and variance come from a sample of about {SAMPLED},"
        f" {heights}doubt from the readings nearby and from groups of those far away."
    )


def _plane_surface(x_mm: Array, y_mm: Array, height_mm: Array, noise: Noise) -> Surface:
    """Return the plane of up to five readings as a surface."""
    full = part_of(noise, np.arange(len(x_mm)))
    design = Frame.of(x_mm, y_mm).design(x_mm, y_mm)
    variance = roughness_variance(design, height_mm, full)
    note = f"{len(x_mm)} readings: the surface is their plane."
    if len(x_mm) == 3:
        note += " Nothing checks it, and its doubt is that of the readings alone."
    return Surface(x_mm, y_mm, height_mm, noise, 0.0, variance, notes=(note,))


def _length_limits(x_mm: Array, y_mm: Array) -> tuple[float, float]:
    extent = Extent(x_mm, y_mm)
    return extent.median_spacing_mm, LONGEST_EXTENTS * extent.size_mm


@one_thread
def _climbed(read: tuple[Array, Array, Array], noise: Noise, low: float, high: float) -> Unevenness:
    """Return length and variance of hundreds of readings, climbed from those of a sample."""
    x_mm, y_mm, height_mm = read
    rows = sample(x_mm, y_mm, SEARCHED, 0)
    contrasts = _contrasts(x_mm[rows], y_mm[rows], height_mm[rows], part_of(noise, rows))
    start = restricted_likelihood(Search(contrasts, low, high))
    limits = np.array([low, contrasts.least_variance]), np.array([high, np.inf])
    everything = np.arange(len(x_mm))
    chosen = windows if len(x_mm) > MANY else sample
    samples = [chosen(x_mm, y_mm, SAMPLED, 1)] if len(x_mm) > SAMPLED else []
    # A step over every reading costs seconds, so the sample first brings the climb near the top.
    for rows in samples if len(x_mm) > MANY else [*samples, everything]:
        x, y = x_mm[rows], y_mm[rows]
        design = Frame.of(x, y).design(x, y)
        readings = Readings(design, height_mm[rows], part_of(noise, rows), distances(x, y, x, y))
        start = climb(readings, start, *limits)
    return start


def _contrasts(x_mm: Array, y_mm: Array, height_mm: Array, noise: Array) -> Contrasts:
    design = Frame.of(x_mm, y_mm).design(x_mm, y_mm)
    return Contrasts.of(design, height_mm, noise, distances(x_mm, y_mm, x_mm, y_mm))
