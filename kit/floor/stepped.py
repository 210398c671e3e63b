"""A floor with steps in it: what was read on one level tells nothing of the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.floor.noise import Noise, checked_noise, kept
from kit.floor.places import Array, columns
from kit.floor.surface import Prediction, Surface, fit_surface
from kit.job.refusal import Refusal, refuse

Places = tuple[float, float]
Numbers = NDArray[np.intp]


class StepLine(NamedTuple):
    """A line along which the floor itself steps, drawn out to both sides of the room.

    Parameters
    ----------
    name : str
        What messages call it.
    from_mm, to_mm : tuple of float
        Two places of it [mm].
    """

    name: str
    from_mm: Places
    to_mm: Places

    def beyond(self, x_mm: Array, y_mm: Array) -> NDArray[np.bool_]:
        """Return which places lie beyond the line: further along x, or along y where it runs so.

        Which end it is drawn from makes no difference; a place on the line lies before it.
        """
        (ax, ay), (bx, by) = self.from_mm, self.to_mm
        dx, dy = bx - ax, by - ay
        if dy > 0 if abs(dy) >= abs(dx) else dx < 0:
            dx, dy = -dx, -dy
        return np.asarray(dx * (y_mm - ay) - dy * (x_mm - ax) > 0)


def levels_of(steps: Sequence[StepLine], x_mm: Array, y_mm: Array) -> Numbers:
    """Return a number for each place (m,): places of one number have no step between them."""
    number = np.zeros(len(x_mm), dtype=np.intp)
    for place, step in enumerate(steps):
        number += step.beyond(x_mm, y_mm).astype(np.intp) << place
    return number


@dataclass(frozen=True, eq=False)
class SteppedSurface(Surface):
    """The floor between its readings, level by level.

    Parameters
    ----------
    steps : tuple of StepLine
        Where it steps.
    parts : tuple of (int, array, Surface)
        The number of each level, the rows of its readings, and its own surface. Length and
        variance of the whole are those of the level with the most readings.

    Notes
    -----
    Levels are kriged each for itself, with its own trend, length and variance. Errors that
    readings of two levels share through their set-ups are left out of the joint covariance of
    places on both; each place has its whole doubt.
    """

    steps: tuple[StepLine, ...] = ()
    parts: tuple[tuple[int, Numbers, Surface], ...] = field(default=(), repr=False)

    @property
    def bounded(self) -> bool:
        """True: whoever asks for joint figures asks each level for its own."""
        return True

    def surveyed(self, x_mm: ArrayLike, y_mm: ArrayLike) -> NDArray[np.bool_]:
        """Return which places (m,) the readings of their own level speak for."""
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        out = np.zeros(len(x), dtype=bool)
        for rows, part in self._by_level(x, y):
            out[rows] = part.surveyed(x[rows], y[rows])
        return out

    def predict(
        self, x_mm: ArrayLike, y_mm: ArrayLike, tell: Callable[[float], None] | None = None
    ) -> Prediction:
        """Return heights and standard deviations at places (m,); nan on a level not read."""
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        height, sd = np.full(len(x), np.nan), np.full(len(x), np.nan)
        done = 0
        for rows, part in self._by_level(x, y):
            height[rows], sd[rows] = part.predict(x[rows], y[rows])
            done += len(rows)
            if tell is not None:
                tell(done / len(x))
        return Prediction(height, sd)

    def joint(self, x_mm: ArrayLike, y_mm: ArrayLike) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        x, y = columns(x_mm=x_mm, y_mm=y_mm)
        height, covariance = np.full(len(x), np.nan), np.zeros((len(x), len(x)))
        for rows, part in self._by_level(x, y):
            height[rows], covariance[np.ix_(rows, rows)] = part.joint(x[rows], y[rows])
        return height, covariance

    def left_out(self) -> Array:
        """Return each reading's standardised error when predicted from others of its level."""
        errors = [(rows, part.left_out()) for _, rows, part in self.parts]
        if any(len(rows) != len(error) for rows, error in errors):
            return np.concatenate([error for _, error in errors])
        out = np.empty(len(self.x_mm))
        for rows, error in errors:
            out[rows] = error
        return out

    def _by_level(self, x: Array, y: Array) -> list[tuple[Numbers, Surface]]:
        """Return the rows of the places on each level, with its surface."""
        level = levels_of(self.steps, x, y)
        every = [(np.flatnonzero(level == number), part) for number, _, part in self.parts]
        return [(rows, part) for rows, part in every if len(rows)]


def fit_stepped_surface(
    x_mm: ArrayLike,
    y_mm: ArrayLike,
    height_mm: ArrayLike,
    noise_covariance: ArrayLike | Noise,
    steps: Sequence[StepLine],
) -> Surface:
    """Fit the surface of a floor that steps along some lines.

    Parameters
    ----------
    x_mm, y_mm, height_mm, noise_covariance
        As of `fit_surface`.
    steps : sequence of StepLine
        Where the floor steps; without any the surface is that of `fit_surface`.

    Returns
    -------
    Surface

    Raises
    ------
    Refusal
        Where the readings of a level do not determine its plane, by the names of the steps about
        it; and as `fit_surface`.
    """
    x, y, z = columns(x_mm=x_mm, y_mm=y_mm, height_mm=height_mm)
    if not steps:
        return fit_surface(x, y, z, noise_covariance)
    noise = checked_noise(noise_covariance, len(x))
    number = levels_of(steps, x, y)
    levels = [int(level) for level in np.unique(number)]
    read = [np.flatnonzero(number == level) for level in levels]
    every = [
        _fitted((x, y, z), noise, rows, level_words(steps, level))
        for level, rows in zip(levels, read, strict=True)
    ]
    main = max(every, key=lambda part: len(part.x_mm))
    rows = _rows_of(read, [len(part.x_mm) for part in every])
    return SteppedSurface(
        _put(rows, [part.x_mm for part in every]),
        _put(rows, [part.y_mm for part in every]),
        _put(rows, [part.height_mm for part in every]),
        np.empty(0),
        main.length_mm,
        main.variance_mm2,
        notes=(_said(steps, len(every)), *dict.fromkeys(n for part in every for n in part.notes)),
        steps=tuple(steps),
        parts=tuple(zip(levels, rows, every, strict=True)),
    )


def steps_of(surface: Surface) -> tuple[StepLine, ...]:
    """Return where a surface steps; nowhere for one that is not told to."""
    return surface.steps if isinstance(surface, SteppedSurface) else ()


def _rows_of(read: Sequence[Numbers], counts: Sequence[int]) -> list[Numbers]:
    """Return where the readings of each level stand in the whole: where they stood before.

    A fit joins readings of one place; then there are fewer, and they stand level after level.
    """
    if all(len(rows) == count for rows, count in zip(read, counts, strict=True)):
        return list(read)
    return [
        rows.astype(np.intp) for rows in np.split(np.arange(sum(counts)), np.cumsum(counts)[:-1])
    ]


def _put(rows: Sequence[Numbers], values: Sequence[Array]) -> Array:
    out = np.empty(sum(len(one) for one in values))
    for place, one in zip(rows, values, strict=True):
        out[place] = one
    return out


def _fitted(
    readings: tuple[Array, Array, Array], noise: Noise, rows: Numbers, words: str
) -> Surface:
    x, y, z = (values[rows] for values in readings)
    try:
        return fit_surface(x, y, z, kept(noise, rows))
    except Refusal as refusal:
        found = f"{len(rows)} readings there ({refusal.problems[0].found})"
        raise refuse(f"floor {words}", found, "3 readings or more, not on one line") from refusal


def level_words(steps: Sequence[StepLine], level: int) -> str:
    """Return which level a number of `levels_of` stands for: on which side of which steps."""
    sides = (
        f"{'beyond' if level >> place & 1 else 'before'} step {step.name!r}"
        for place, step in enumerate(steps)
    )
    return ", ".join(sides)


def _said(steps: Sequence[StepLine], count: int) -> str:
    names = ", ".join(step.name for step in steps)
    return f"The floor steps along {names}: {count} levels, each told from its own readings."
