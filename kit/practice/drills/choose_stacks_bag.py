"""Heights that stacks have to make, and a bag that suffices though not for each by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from kit.base.stacks import PackerKind, StackPlan, StackRules, optimise_stacks
from kit.practice.draws import Draws
from kit.practice.floors import PracticeFloor
from kit.practice.moves import Place
from kit.practice.packers import Stack

#: A stack is right within this [mm].
LIMIT_MM = 0.5

#: Packers by what is printed on them [mm].
PRINTED = (18.0, 10.0, 6.0, 3.0, 1.0)

#: No stack of the kit's answer has more pieces than this, nor is higher or thinner [mm].
_RULES = StackRules(LIMIT_MM, 12, 120.0, 1.0)

#: Rows of supports lie so far from the wall [mm].
_BACK_MM, _FRONT_MM = 45.0, 310.0


@dataclass(frozen=True)
class Supports:
    """Where stacks stand, and how high each has to be.

    Parameters
    ----------
    names : tuple of str
        In site order.
    places_mm : tuple of Place
        In plan [mm].
    needed_mm : tuple of float
        From the floor to the bearer, to a tenth [mm].
    """

    names: tuple[str, ...]
    places_mm: tuple[Place, ...]
    needed_mm: tuple[float, ...]

    def errors_mm(self, stacks: Sequence[Stack], thick_mm: Mapping[float, float]) -> list[float]:
        """Return stack less height needed at each support [mm], by such thicknesses."""
        return [
            round(sum(thick_mm[packer] for packer in stack) - needed, 6)
            for stack, needed in zip(stacks, self.needed_mm, strict=True)
        ]


def best_plan(
    supports: Supports, thick_mm: Mapping[float, float], stock: Mapping[float, int | None]
) -> StackPlan:
    """Return the fewest pieces that make all heights, of packers as `PRINTED` lists them.

    Raises
    ------
    Refusal
        Where the stock does not suffice.
    """
    return _best_plan(supports, tuple((thick_mm[each], each, stock[each]) for each in PRINTED))


@lru_cache(maxsize=512)
def _best_plan(
    supports: Supports, packers: tuple[tuple[float, float, int | None], ...]
) -> StackPlan:
    kinds = [PackerKind(*packer) for packer in packers]
    needed = np.array(supports.needed_mm)
    return optimise_stacks(supports.names, -needed, np.zeros(len(needed)), 0.0, 0.0, kinds, _RULES)


def place_supports(draws: Draws, floor: PracticeFloor) -> Supports:
    """Place supports in two rows under one level; none needs less than a thick packer or two."""
    across = draws.whole("supports in a row", 3, 4)
    x = [draws.between("first", 150.0, 700.0)]
    for place in range(across - 1):
        x.append(x[-1] + draws.between(f"bay {place}", 600.0, 900.0))
    places = [(float(round(at)), out) for out in (_BACK_MM, _FRONT_MM) for at in x]
    names = [f"{row}{place + 1}" for row in "BF" for place in range(across)]
    lies = floor.carried_mm(np.array([p[0] for p in places]), np.array([p[1] for p in places]))
    level = float(lies.max()) + draws.between("least stack", 14.0, 28.0)
    needed = tuple(round(level - float(height), 1) for height in lies)
    return Supports(tuple(names), tuple(places), needed)


def draw_thicknesses(draws: Draws) -> dict[float, float]:
    """Let one of the two thick kinds and one of the two thinner be other than it says."""
    off = {18.0: (3, 7), 10.0: (2, 5), 6.0: (2, 4), 3.0: (2, 3)}
    thick = {each: each for each in PRINTED}
    for pair in ((18.0, 10.0), (6.0, 3.0)):
        each = draws.one_of(f"which of {pair}", pair)
        tenths = draws.whole(f"tenths of {each:g}", *off[each])
        thinner = draws.happens(f"{each:g} thinner", 0.7)
        thick[each] = round(each + (-tenths if thinner else tenths) / 10, 1)
    return thick


def fill_bag(draws: Draws, supports: Supports, thick_mm: Mapping[float, float]) -> dict[float, int]:
    """Fill a bag that suffices, though not for the best stack at every support by itself.

    Of the kind that is used most among those thicker than 3 mm some are missing; for each missing
    one there is one more of every thinner kind, and ones enough to make up the rest. There is one
    of each kind at least, to put the calliper to.
    """
    alone = best_plan(supports, thick_mm, dict.fromkeys(PRINTED))
    used = Counter(PRINTED[kind] for stack in alone.stacks for kind in stack)
    scarce = max(PRINTED[:3], key=lambda each: (used[each], each))
    missing = min(draws.whole("missing", 1, 2), used[scarce] - 1)
    stock = {each: used[each] + draws.whole(f"more of {each:g}", 0, 2) for each in PRINTED}
    for thick, thin in pairwise(PRINTED):
        stock[thin] += missing if thick <= scarce else 0
    stock[1.0] += 6 * missing + draws.whole("ones", 2, 6)
    stock[scarce] = used[scarce] - missing
    return {each: max(stock[each], 1) for each in PRINTED}
