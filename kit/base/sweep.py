"""Fewest packers of all supports together, over every datum of the window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kit.base.stack_rules import SLACK, Ints, StackRules, to_units
from kit.base.sums import UNREACHABLE, SumTable, sum_table
from kit.job.refusal import refuse


@dataclass(frozen=True, eq=False)
class Level:
    """The supports of one level zone and the window of their datum.

    Parameters
    ----------
    names : tuple of str
        Supports in site order.
    offset : (n,) array
        Floor height less lift: target = datum - offset [units].
    low, high : int
        Ends of the window, both included [units].
    """

    names: tuple[str, ...]
    offset: Ints
    low: int
    high: int

    @classmethod
    def of(
        cls,
        names: Sequence[str],
        floor_mm: ArrayLike,
        lift_mm: ArrayLike,
        low_mm: float,
        high_mm: float,
    ) -> Level:
        """Check the supports and the window and return them in units.

        Raises
        ------
        Refusal
            If there is no support, a length is missing or not finite, or the window is empty.
        """
        floor, lift = np.asarray(floor_mm, np.float64), np.asarray(lift_mm, np.float64)
        if not len(names) or floor.shape != (len(names),) or lift.shape != floor.shape:
            found = f"{len(names)} names, floor {floor.shape}, lift {lift.shape}"
            raise refuse("supports", found, "one name, floor height and lift for each, at least 1")
        if not np.isfinite([*floor, *lift, low_mm, high_mm]).all():
            raise refuse("supports", "a height that is not a number", "finite heights and window")
        low, high = int(to_units(low_mm)), int(to_units(high_mm))
        if low > high + SLACK:
            found = f"lowest {low_mm:g} mm above highest {high_mm:g} mm"
            raise refuse("job.toml, base.height_mm", found, "lowest not above highest: widen it")
        return cls(tuple(names), to_units(floor) - to_units(lift), min(low, high), high)


@dataclass(frozen=True, eq=False)
class StackTask:
    """What is to be packed up, out of what, by which rules.

    Parameters
    ----------
    level : Level
        Supports and window.
    stock : mapping of int to int or None
        How many there are of each thickness [units], thickest first; None: no limit.
    rules : StackRules
        Tolerance and limits of a stack.
    """

    level: Level
    stock: Mapping[int, int | None]
    rules: StackRules

    @property
    def thicknesses(self) -> tuple[int, ...]:
        """Distinct thicknesses, thickest first [units]."""
        return tuple(self.stock)

    @property
    def table(self) -> SumTable:
        """Heights that these packers give where there is no limit on their number."""
        return sum_table(self.thicknesses, self.rules)


@dataclass(frozen=True, eq=False)
class Sweep:
    """A sum of step functions of the datum over the window.

    Parameters
    ----------
    starts, pieces : (m,) arrays
        Fewest packers ``pieces[j]`` for ``starts[j] <= datum < starts[j + 1]`` [units];
        ``UNREACHABLE`` or more where some support has no stack. ``starts[0]`` is the window's low.
    named : (m + 1,) array
        Where each run begins, without the allowance for round-off, on the side of the run that
        includes it; the last is the window's high [units].
    """

    starts: Ints
    pieces: Ints
    named: Ints

    def at(self, datum: Ints) -> Ints:
        """Return the fewest packers at each datum [units]."""
        return self.pieces[np.searchsorted(self.starts, datum, side="right") - 1]

    @property
    def candidates(self) -> Ints:
        """Both window ends and every datum where the fewest packers change, ascending [units]."""
        return np.unique(self.named)


def sweep(level: Level, table: SumTable) -> Sweep:
    """Add up the fewest packers of every support over the window.

    Parameters
    ----------
    level : Level
        Supports and window.
    table : SumTable
        Fewest packers for any target.

    Returns
    -------
    Sweep
        The sum as a step function of the datum.
    """
    return sum_of_steps(level, table.starts, table.pieces)


def sum_of_steps(level: Level, starts: Ints, values: Ints) -> Sweep:
    """Add up one step function of the target over all supports.

    Parameters
    ----------
    level : Level
        Supports and window.
    starts, values : (m,) arrays
        The step function of the target: ``values[j]`` from ``starts[j]`` on [units].

    Returns
    -------
    Sweep
        The sum as a step function of the datum.
    """
    at_low = values[np.searchsorted(starts, level.low - level.offset, side="right") - 1]
    places = starts[None, 1:] + level.offset[:, None]
    inside = (places > level.low) & (places <= level.high)
    jumps = np.broadcast_to(np.diff(values), places.shape)[inside]
    order = np.argsort(places[inside], kind="stable")
    ordered = places[inside][order]
    first = np.flatnonzero(np.append(True, np.diff(ordered) > 0)) if len(ordered) else order
    steps = np.add.reduceat(jumps[order], first) if len(ordered) else jumps
    runs = np.append(level.low, ordered[first])
    total = np.cumsum(np.append(at_low.sum(), steps))
    # A fall starts at (limit - slack), a rise one unit after (limit + slack).
    named = np.where(steps < 0, ordered[first] + SLACK, ordered[first] - 1 - SLACK)
    named = np.clip(np.concatenate([[level.low], named, [level.high]]), level.low, level.high)
    return Sweep(runs, total, named)


def feasible_intervals(swept: Sweep) -> list[tuple[int, int]]:
    """Return every closed interval of the datum in which each support has a stack [units]."""
    fine = swept.pieces < UNREACHABLE
    edges = np.diff(np.concatenate([[0], fine.astype(np.int64), [0]]))
    first, after = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    pairs = zip(swept.named[first].tolist(), swept.named[after].tolist(), strict=True)
    return [(min(a, b), max(a, b)) for a, b in pairs]
