"""The level of a base on screw feet: where every foot has a kind that reaches it.

Exact: what a level costs changes only where a foot comes to an end of some kind's travel, and the
most travel that can be left is where the travel left of two feet is equal, or of one at an end of
the window; all such places are looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kit.base.feet_choice import Choice, cheapest, choose_kinds, greatest, travel_left_mm
from kit.base.feet_kinds import CLOSED_MM, Bools, Kinds, fits, least_cost
from kit.base.runs import Floats
from kit.job import Base, Refusal, refuse

#: So far beyond an end of the levels one looks for what stops them [mm].
_BEYOND_MM = 1e-6


@dataclass(frozen=True)
class FeetLevel:
    """A level, and where else it might lie.

    Parameters
    ----------
    datum_mm : float
        The level [mm].
    kinds : tuple of int
        Kind of each foot, as listed in ``base.feet``.
    feasible : tuple of (float, float)
        All closed intervals of levels at which every foot has a kind within the counts [mm].
    binding_low, binding_high : str
        What stops the outer ends of those: "window", "stock", or a foot at an end of its travel.
    """

    datum_mm: float
    kinds: tuple[int, ...]
    feasible: tuple[tuple[float, float], ...]
    binding_low: str
    binding_high: str


def choose_level(
    base: Base, names: Sequence[str], rest_mm: Floats, low_mm: float, high_mm: float
) -> FeetLevel:
    """Choose the level: least cost of feet, then the greatest least travel left, then the lowest.

    Parameters
    ----------
    base : Base
        Its kinds of feet; without a price of each that can reach a foot in the window the fewest
        kinds, those listed first.
    names : sequence of str
        Of each foot.
    rest_mm : array of shape (feet,)
        Height of the floor under each foot less its lift [mm].
    low_mm, high_mm : float
        The window [mm].

    Returns
    -------
    FeetLevel

    Raises
    ------
    Refusal
        Where no level serves: which foot, how much it misses, and what travel would serve.
    """
    window = low_mm, high_mm
    kinds = Kinds.within(base.feet, rest_mm, window)
    for limited in (False, True):
        choice = cheapest(kinds, rest_mm, _starts(kinds, rest_mm, window, 0.0), limited=limited)
        if choice is None:
            raise (
                _short(base, rest_mm, window) if limited else _missed(base, names, rest_mm, window)
            )
        datum = _best_level(choice, rest_mm, window)
        chosen = choose_kinds(kinds, rest_mm, datum)
        # What is best though counts were not asked for, and keeps them, is best with them too.
        if chosen is not None and (limited or not chosen.limited):
            break
    else:
        raise RuntimeError("the best level was found to be served, and is not")
    scarce = bool((kinds.count < len(rest_mm)).any())
    intervals = _intervals(kinds, rest_mm, window, limited=scarce)
    low, high = intervals[0][0], intervals[-1][1]
    return FeetLevel(
        datum,
        chosen.kinds,
        intervals,
        "window" if low <= low_mm + CLOSED_MM else _binding(kinds, names, rest_mm, low, -1),
        "window" if high >= high_mm - CLOSED_MM else _binding(kinds, names, rest_mm, high, 1),
    )


def _starts(kinds: Kinds, rest_mm: Floats, window: tuple[float, float], margin_mm: float) -> Floats:
    """Return the lowest level of the window, and each at which a foot comes into some travel.

    One that round-off puts above the window lies at its top.
    """
    low, high = window
    starts = (rest_mm + (kinds.low_mm + margin_mm)[:, None])[kinds.count > 0].ravel()
    inside = np.minimum(starts[(starts > low) & (starts <= high + CLOSED_MM)], high)
    return np.append(inside, low)


def _best_level(choice: Choice, rest_mm: Floats, window: tuple[float, float]) -> float:
    """Return the lowest level at which the least cost leaves the most travel.

    The least cost is one that some level of the window allows with no travel left.
    """
    margins = _margins(choice.kinds, rest_mm, window)
    margin = _most_left(choice, rest_mm, window, margins[margins > 0])
    return _lowest(choice, rest_mm, window, 0.0 if margin is None else margin)


def _most_left(
    choice: Choice, rest_mm: Floats, window: tuple[float, float], margins_mm: Floats
) -> float | None:
    """Return the greatest of the margins that the least cost leaves at some level."""

    def holds(margin_mm: float) -> bool:
        starts = _starts(choice.kinds, rest_mm, window, margin_mm)
        return bool(choice.reached(rest_mm, starts, margin_mm).any())

    return greatest(margins_mm, holds)


def _lowest(
    choice: Choice, rest_mm: Floats, window: tuple[float, float], margin_mm: float
) -> float:
    starts = _starts(choice.kinds, rest_mm, window, margin_mm)
    return float(starts[choice.reached(rest_mm, starts, margin_mm)].min())


def _margins(kinds: Kinds, rest_mm: Floats, window: tuple[float, float]) -> Floats:
    """Return all travels left that may be the most, ascending [mm].

    The greatest m for which levels are left is where a rising end, rest + low + m, meets a
    falling one, rest + high - m, or an end of the window.
    """
    there = kinds.count > 0
    rising = np.unique(rest_mm + kinds.low_mm[there][:, None])
    falling = np.unique(rest_mm + kinds.high_mm[there][:, None])
    meet = ((falling - rising[:, None]) / 2).ravel()
    most = float((kinds.high_mm - kinds.low_mm)[there].max()) / 2
    found = np.concatenate([meet, window[1] - rising, falling - window[0]])
    return np.unique(found[found <= most + CLOSED_MM])


def _intervals(
    kinds: Kinds, rest_mm: Floats, window: tuple[float, float], *, limited: bool
) -> tuple[tuple[float, float], ...]:
    """Return all closed intervals of levels at which every foot has a kind."""
    low, high = window
    ends = (rest_mm + np.concatenate([kinds.low_mm, kinds.high_mm])[:, None]).ravel()
    ends = np.array([low, *np.unique(ends[(ends > low) & (ends < high)]), high])
    at = _served(kinds, rest_mm, ends, limited=limited)
    between = _served(kinds, rest_mm, (ends[1:] + ends[:-1]) / 2, limited=limited)
    found: list[tuple[float, float]] = []
    for number, end in enumerate(ends.tolist()):
        if number and between[number - 1] and found:
            found[-1] = (found[-1][0], end)
        elif at[number]:
            found.append((end, end))
    return tuple(found)


def _served(kinds: Kinds, rest_mm: Floats, datums_mm: Floats, *, limited: bool) -> Bools:
    found: Bools = np.isfinite(
        least_cost(kinds, fits(kinds, rest_mm, datums_mm, 0.0), limited=limited)
    )
    return found


def _binding(kinds: Kinds, names: Sequence[str], rest_mm: Floats, end_mm: float, way: int) -> str:
    """Return what stops the levels below (way -1) or above (way 1) an end of them."""
    beyond = np.array([end_mm + way * _BEYOND_MM])
    without = np.flatnonzero(~fits(kinds, rest_mm, beyond, 0.0)[:, 0].any(axis=0))
    if not len(without):
        return "stock"
    foot = int(without[0])
    words = "longest" if way > 0 else "shortest"
    return f"{words} setting of the foot at {names[foot]}, {end_mm - rest_mm[foot]:.1f} mm"


def _missed(
    base: Base, names: Sequence[str], rest_mm: Floats, window: tuple[float, float]
) -> Refusal:
    """Refuse a floor that the feet cannot make up for, at the level that comes nearest."""
    kinds = Kinds.of(base.feet)
    plenty = replace(kinds, price=0 * kinds.price)
    where = f"job.toml, base {base.name!r}, feet"
    if not plenty.by_price:
        return refuse(f"{where}, count", "none in stock", f"{len(rest_mm)} feet")
    choice = Choice(plenty, limited=False, cost=0.0)
    margin = _most_left(choice, rest_mm, window, _margins(plenty, rest_mm, window))
    if margin is None:  # the least of all margins leaves every foot room at one level
        raise RuntimeError("no level comes nearest to the travel of the feet")
    datum = _lowest(choice, rest_mm, window, margin)
    heights = datum - rest_mm
    beyond = -travel_left_mm(kinds, rest_mm, datum)
    beyond[kinds.count == 0] = np.inf
    worst = int(beyond.min(axis=0).argmax())
    nearest = base.feet[int(beyond[:, worst].argmin())]
    return refuse(
        where,
        f"no foot for {names[worst]}: at the level that comes nearest it is {heights[worst]:.1f} mm"
        f" high, {beyond.min(axis=0)[worst]:.1f} mm beyond the nearest travel,"
        f" {nearest.low_mm:g} to {nearest.high_mm:g} mm",
        f"feet that are set from {heights.min():.1f} to {heights.max():.1f} mm there, one kind or"
        " several, or another height_mm",
    )


def _short(base: Base, rest_mm: Floats, window: tuple[float, float]) -> Refusal:
    """Refuse counts in stock that no level can do with, by what the best level would want."""
    plenty = tuple(foot.model_copy(update={"count": None}) for foot in base.feet)
    kinds = Kinds.within(plenty, rest_mm, window)
    choice = cheapest(kinds, rest_mm, _starts(kinds, rest_mm, window, 0.0), limited=False)
    if choice is None:  # only asked where as many feet as wanted serve
        raise RuntimeError("as many feet as wanted serve at no level")
    chosen = choose_kinds(kinds, rest_mm, _best_level(choice, rest_mm, window))
    if chosen is None:
        raise RuntimeError("as many feet as wanted do not serve at their best level")
    used = np.bincount(chosen.kinds, minlength=len(plenty))
    wanted = ", ".join(
        f"{count} of {foot.low_mm:g}-{foot.high_mm:g} mm"
        for foot, count in zip(base.feet, used.tolist(), strict=True)
        if count
    )
    stock = ", ".join(
        f"{'any number' if foot.count is None else foot.count} of {foot.low_mm:g}-"
        f"{foot.high_mm:g} mm"
        for foot in base.feet
    )
    return refuse(
        f"job.toml, base {base.name!r}, feet, count",
        f"{stock} for {len(rest_mm)} feet, at no level enough",
        f"for example {wanted}",
    )
