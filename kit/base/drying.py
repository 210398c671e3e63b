"""How long levelling compound dries before anything stands on it."""

from __future__ import annotations

from kit.base.checks import CLOSED_MM
from kit.base.sure import Sure
from kit.job import Compound, refuse


def drying_days(compound: Compound, depth_mm: float) -> float:
    """Return how long a depth dries, by the maker's steps.

    Parameters
    ----------
    compound : Compound
        With its steps, each up to a depth.
    depth_mm : float
        Greatest depth [mm].

    Returns
    -------
    float
        Of the first step that reaches so deep; nothing is put in between two steps [days].

    Raises
    ------
    Refusal
        Where no step reaches so deep.

    Examples
    --------
    >>> made = {"least_mm": 3.0, "greatest_mm": 30.0, "powder_kg_per_l": 1.7, "set_kg_per_l": 2.0}
    >>> steps = ({"to_mm": 10.0, "days": 1.0}, {"to_mm": 30.0, "days": 4.0})
    >>> compound = Compound.model_validate({**made, "drying": steps})
    >>> drying_days(compound, 10.0), drying_days(compound, 10.1)
    (1.0, 4.0)
    """
    for step in compound.drying:
        if depth_mm <= step.to_mm + CLOSED_MM:
            return step.days
    deepest = compound.drying[-1].to_mm
    raise refuse("compound.drying", f"a depth of {depth_mm:.1f} mm", f"at most {deepest:g} mm")


def drying_words(compound: Compound, expected_mm: float, deepest: Sure) -> str:
    """Say how long a pour dries, and how long where the floor lies lower than expected.

    Parameters
    ----------
    compound : Compound
        With its steps.
    expected_mm : float
        Greatest depth over the floor as it is expected [mm].
    deepest : Sure
        Greatest depth of 95 of 100 floors; it may be more than the last step reaches.
    """
    days = drying_days(compound, expected_mm)
    lower = f"where the floor lies {deepest.doubt_mm:.1f} mm lower than expected"
    if deepest.value_mm > compound.drying[-1].to_mm + CLOSED_MM:
        return f"{days:g} days, longer than its maker says {lower}"
    more = drying_days(compound, deepest.value_mm)
    return f"{days:g} days, {more:g} {lower}" if more > days else f"{days:g} days"
