"""Which packers go in which crate: filled in the order in which the stacks are built."""

from __future__ import annotations

from collections.abc import Sequence

from kit.job import refuse


def fill_crates(names: Sequence[str], mass_kg: Sequence[float], most_kg: float) -> tuple[int, ...]:
    """Return the number of the crate, from 1, that each stack's packers go in.

    Parameters
    ----------
    names : sequence of str
        The stacks in the order in which they are built.
    mass_kg : sequence of float
        What the packers of each weigh [kg].
    most_kg : float
        What a crate may weigh [kg].

    Returns
    -------
    tuple of int
        A stack's packers stay together, and a crate holds stacks that follow each other: filling
        each crate as far as it goes takes the fewest crates.

    Raises
    ------
    Refusal
        Where the packers of one stack weigh more than a crate may.
    """
    numbers, crate, held = [], 1, 0.0
    for name, mass in zip(names, mass_kg, strict=True):
        if mass > most_kg:
            found = f"{mass:.1f} kg of packers in stack {name}"
            raise refuse("stock.crate_kg", f"{most_kg:g}", f"{mass:.1f} or more: {found}")
        if held + mass > most_kg + 1e-9:
            crate, held = crate + 1, 0.0
        numbers.append(crate)
        held += mass
    return tuple(numbers)
