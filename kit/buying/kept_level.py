"""Stacks where the level stays as planned: the method's own choice there, found at once.

Once the level is given, each stack hangs on the height of its own floor alone, so that the table
of all stacks answers it. Wherever that might differ from what the method does (a limit, or two
stacks that are equally near, within twice the round-off), nothing is said and the method is asked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.base.datum import packer_kinds
from kit.base.runs import Floats
from kit.base.stack_rules import SLACK, Ints, StackRules, distinct_thicknesses, to_mm, to_units
from kit.base.stacks import from_the_floor
from kit.base.sums import UNREACHABLE, SumTable, sum_table, thickest_first
from kit.job import Base, Job
from kit.methods import Lie
from kit.parts import Answer

#: Nearer than this to a place where the choice changes the method is asked [units].
_NEAR = 2 * SLACK

#: Packers of one stack, from the floor up, by their place in the stock.
Stack = tuple[int, ...]


@dataclass(frozen=True, eq=False)
class KeptLevel:
    """The planned level of one base that stands on packers.

    Parameters
    ----------
    datum : int
        Underside of the bearers, or of the units [units].
    lift : array of shape (supports,)
        How much higher each support is set [units].
    under_lift_mm : array of shape (places,)
        The same under the base [mm].
    least_mm : float
        Least room between floor and datum [mm].
    thicknesses : tuple of int
        Of the packers, thickest first [units].
    kinds : dict of int to int
        Which packer has a thickness.
    table : SumTable
        All stacks.
    """

    datum: int
    lift: Ints
    under_lift_mm: Floats
    least_mm: float
    thicknesses: tuple[int, ...]
    kinds: dict[int, int]
    table: SumTable

    @classmethod
    def of(cls, job: Job, base: Base, answer: Answer) -> KeptLevel:
        """Return the level of an answer, with the stock of a job as it is supplied."""
        datum, ground, packers = answer.datum, answer.ground, packer_kinds(job.stock)
        thicknesses = distinct_thicknesses(packers)
        rules = StackRules(
            base.tolerance_mm, base.max_pieces, base.max_stack_mm, base.minimum_pack_mm
        )
        every = [int(to_units(one.thickness_mm)) for one in packers]
        there = [place for place, one in enumerate(packers) if one.count != 0]
        shares = (table["lift_share"].to_numpy(float) for table in (ground.supports, ground.known))
        supports, under = (datum.front_lift_mm * share for share in shares)
        return cls(
            datum=int(to_units(datum.datum_mm)),
            lift=to_units(supports),
            under_lift_mm=under,
            least_mm=base.minimum_pack_mm,
            thicknesses=thicknesses,
            kinds={every[place]: place for place in reversed(there)},
            table=sum_table(thicknesses, rules),
        )

    def stacks(self, lie: Lie) -> tuple[Stack, ...]:
        """Return the stacks on one floor; none where the method has to be asked."""
        highest = float((lie.under_mm - self.under_lift_mm).max())
        if highest + self.least_mm > float(to_mm(self.datum - _NEAR)):
            return ()
        targets = self.datum - (to_units(lie.supports_mm) - self.lift)
        steps, table = self.table.choice_starts, self.table
        below, above = (np.searchsorted(steps, targets + near) for near in (-_NEAR, _NEAR))
        pieces = table.fewest(targets)
        if (below != above).any() or (pieces >= UNREACHABLE).any():
            return ()
        heights = table.nearest(targets).tolist()
        return tuple(map(self._stack, heights, pieces.tolist()))

    def _stack(self, height: int, pieces: int) -> Stack:
        listed = thickest_first(height, pieces, self.thicknesses)
        return from_the_floor(tuple(self.kinds[thickness] for thickness in listed))
