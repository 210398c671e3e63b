"""Packers as a bag holds them: what is taken, what is short, in which order they lie."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from kit.base.stacks import from_the_floor
from kit.job import refuse

#: Packers by what is printed on them [mm], from the floor up.
Stack = tuple[float, ...]
#: How many there are of each printed thickness.
Stock = Mapping[float, int]


def laid(packers: Iterable[float]) -> Stack:
    """Return packers in the order in which a stack is laid, from the floor up.

    The thickest lies on the floor, the next thickest on top, the thinnest inside (common
    practice, no source).
    """
    order = sorted(packers, reverse=True)
    return tuple(order[place] for place in from_the_floor(tuple(range(len(order)))))


def lies_right(stack: Stack) -> bool:
    """Tell whether the thickest lies on the floor and the next thickest on top."""
    order = sorted(stack, reverse=True)
    return len(stack) < 2 or (stack[0] == order[0] and stack[-1] == order[1])


def taken(stacks: Iterable[Stack]) -> Counter[float]:
    """Return how many of each printed thickness stand in some stacks."""
    return Counter(packer for stack in stacks for packer in stack)


def short_of(wanted: Mapping[float, int], stock: Stock) -> dict[float, int]:
    """Return how many of each are wanted beyond what there is, thickest first."""
    over = {each: count - stock.get(each, 0) for each, count in wanted.items()}
    return {each: over[each] for each in sorted(over, reverse=True) if over[each] > 0}


def stack_words(stack: Sequence[float]) -> str:
    """Return a stack as it is written down, from the floor up."""
    return " ".join(f"{packer:g}" for packer in stack) or "nothing"


def count_words(counts: Mapping[float, int]) -> str:
    """Return counts as they are said: ``"2 of 18, 1 of 3"``."""
    return ", ".join(f"{counts[each]} of {each:g}" for each in sorted(counts, reverse=True))


def check_stack(where: str, stack: Stack, printed: Sequence[float]) -> None:
    """Refuse a stack of nothing, and packers that no bag of this drill holds."""
    allowed = " | ".join(f"{each:g}" for each in printed)
    if not stack:
        raise refuse(where, "no packer", f"one packer or more: {allowed}")
    for packer in stack:
        if packer not in printed:
            raise refuse(where, f"a packer of {packer:g} mm", f"as printed: {allowed}")


def ways(stock: Stock, least_mm: float, most_mm: float, most_pieces: int) -> Iterator[Stack]:
    """Give every stack out of a stock whose printed height lies between two, in laid order.

    Parameters
    ----------
    stock : mapping
        Printed thickness to how many there are; thicknesses are whole.
    least_mm, most_mm : float
        Both included [mm].
    most_pieces : int
        Most packers in a stack.
    """
    kinds = sorted((each for each in stock if stock[each] > 0), reverse=True)

    def grown(place: int, so_far: Stack, height: float) -> Iterator[Stack]:
        if place == len(kinds):
            if so_far and least_mm - 1e-9 <= height:
                yield laid(so_far)
            return
        each = kinds[place]
        room = min(stock[each], most_pieces - len(so_far), int((most_mm - height + 1e-9) // each))
        for count in range(room, -1, -1):
            yield from grown(place + 1, so_far + (each,) * count, height + count * each)

    yield from grown(0, (), 0.0)
