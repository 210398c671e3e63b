"""What every way of building takes and gives."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np
import pandas as pd

from kit.base.bill import Bill, Item, Operation
from kit.base.cautions import (
    base_cautions,
    standing_cautions,
    survey_cautions,
    unused_cautions,
)
from kit.base.checks import Check, check_table, load_checks, no_approval, survey_checks
from kit.base.cuts import CutPlan
from kit.base.datum import Datum
from kit.base.joint_checks import joint_cautions, joint_checks
from kit.base.layout import Layout, massless
from kit.base.plinth import plinth_lines
from kit.base.plinth_items import plinth_items
from kit.base.runs import Floats
from kit.job import Base, Job
from kit.job.ways import way_of
from kit.parts import Answer, Ground, Survey, Traits
from kit.strength.carry import front_lift_mm
from kit.strength.whole import Strength


@dataclass(frozen=True, eq=False)
class Lie:
    """How the floor lies under one layout: as it is expected, or as it may be.

    Parameters
    ----------
    supports_mm : array of shape (supports,)
        Height of the floor at each support [mm].
    under_mm : array of shape (places,)
        Height of the floor at each place of `Ground.known` [mm].
    high_point_mm : float
        The highest of those [mm].
    """

    supports_mm: Floats
    under_mm: Floats
    high_point_mm: float

    @classmethod
    def drawn(cls, supports_mm: Floats, under_mm: Floats) -> Lie:
        """Return one floor that fits the readings."""
        return cls(supports_mm, under_mm, float(under_mm.max()))


def as_expected(ground: Ground) -> Lie:
    """Return the floor as it is expected to lie."""
    return Lie(
        ground.supports["floor_mm"].to_numpy(dtype=float),
        ground.known["height_mm"].to_numpy(dtype=float),
        ground.high_point.height_mm,
    )


class Method(Protocol):
    """One way of building a base: from the layout in plan to the answer.

    `set_level` and `bill` are the part that is worked out anew for every floor that fits the
    readings; `build` uses both on the floor as it is expected.
    """

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out supports in plan; refuses what cannot stand, by name."""
        ...

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor under the layout; refuses supports that were not surveyed."""
        ...

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the level of the base; refuses where none can be made, and says what binds."""
        ...

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count what the base takes at that level: things and minutes."""
        ...

    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Work out the whole answer."""
        ...


@dataclass(frozen=True)
class Made:
    """What a method has worked out, before it is put together with what all methods share.

    Parameters
    ----------
    datum : Datum
        The level.
    supports : DataFrame
        ``ground.supports`` with target_mm.
    stacks, screws, clearance, plinth : DataFrame
        As in `Answer`; empty where there are none.
    strength : Strength
        What carries it.
    bill : Bill
        What it takes.
    traits : Traits
        What it is good for.
    checks : tuple of Check
        Of its geometry.
    cautions : tuple of str
        What this way of building calls for besides what is said of all bases.
    details : mapping of str to DataFrame
        Its own tables by the name of their file.
    """

    datum: Datum
    supports: pd.DataFrame
    stacks: pd.DataFrame
    screws: pd.DataFrame
    clearance: pd.DataFrame
    plinth: pd.DataFrame
    strength: Strength
    bill: Bill
    traits: Traits
    checks: tuple[Check, ...]
    cautions: tuple[str, ...] = ()
    details: Mapping[str, pd.DataFrame] = field(default_factory=dict)


def put_together(job: Job, survey: Survey, ground: Ground, base: Base, made: Made) -> Answer:
    """Put what a method worked out together with what is said of every base."""
    high, heights, layout = ground.high_point, survey.heights, ground.layout
    along = way_of(base).along
    checks = check_table(
        [
            *survey_checks(high.certainty, high.sd_mm, heights.global_test_p, heights.redundancy),
            *made.checks,
            *joint_checks(job, base, layout),
            *load_checks(layout),
            *made.strength.checks,
            no_approval(),
        ]
    )
    cautions = (
        *survey_cautions(heights.suspects, heights.cautions, high, ground.under, along),
        *base_cautions(job, layout, ground.cuts, made.datum, along),
        *joint_cautions(job, base, layout),
        *made.strength.cautions,
        *made.cautions,
        *unused_cautions(base),
        *standing_cautions(
            job.floor, screws=len(made.screws) > 0, known_services=bool(job.services)
        ),
    )
    return Answer(
        job=job,
        base=base,
        survey=survey,
        ground=ground,
        supports=made.supports,
        datum=made.datum,
        stacks=made.stacks,
        screws=made.screws,
        clearance=made.clearance,
        plinth=made.plinth,
        strength=made.strength,
        bill=replace(made.bill, beside=plinth_items(base.plinth, layout, made.plinth).items),
        traits=made.traits,
        checks=checks,
        cautions=cautions,
        details=made.details,
    )


def lift_of(base: Base, ground: Ground) -> float:
    """Return how much the front row is set high [mm]."""
    layout = ground.layout
    unknown = massless(layout.units, several_runs=len(layout.frames) > 1)
    return front_lift_mm(base, ground.joists, unknown)


def with_targets(ground: Ground, datum: Datum) -> pd.DataFrame:
    """Return the supports with the height that each has to reach above its floor: target_mm."""
    lift = datum.front_lift_mm * ground.supports["lift_share"]
    return ground.supports.assign(target_mm=datum.datum_mm - ground.supports["floor_mm"] + lift)


def under_lie(ground: Ground, lie: Lie) -> pd.DataFrame:
    """Return the floor under the base as it lies there: `Ground.known` with its heights."""
    return ground.known.assign(height_mm=lie.under_mm)


def plinth_of(job: Job, base: Base, ground: Ground, datum: Datum) -> pd.DataFrame:
    """Return how high the plinth of each run must be, and its board."""
    return plinth_lines(base, ground.plinth_places, datum.base_top_mm, job.floor.finish_mm)


def bill_of(
    items: Iterable[Item],
    work: Iterable[Operation],
    *,
    mass_kg: float = 0.0,
    litres: float = 0.0,
    wait_days: float = 0.0,
) -> Bill:
    """Return a bill of what there is any of; parameters as of `Bill`."""
    return Bill(
        tuple(item for item in items if item.count),
        tuple(step for step in work if step.count),
        mass_kg=mass_kg,
        litres=litres,
        wait_days=wait_days,
    )


def no_stacks() -> pd.DataFrame:
    """Return a table of stacks without any."""
    return pd.DataFrame(
        {
            "support": np.array([], dtype=object),
            "position": np.array([], dtype=int),
            "thickness_mm": np.array([], dtype=float),
            "nominal_mm": np.array([], dtype=float),
        }
    )


def no_screws() -> pd.DataFrame:
    """Return a table of screws without any."""
    texts = {name: np.array([], dtype=object) for name in ("support", "step")}
    figures = ("length_mm", "point_below_floor_mm", "limit_mm")
    numbers = {name: np.array([], dtype=float) for name in figures}
    return pd.DataFrame({**texts, **numbers, "reason": np.array([], dtype=object)})


def no_cuts() -> CutPlan:
    """Return a cutting list without any cut."""
    texts = ["bearer", "stock_mm", "piece", "length_mm", "from_x_mm", "to_x_mm", "bar"]
    nothing = pd.DataFrame({name: np.array([], dtype=float) for name in texts})
    bought = pd.DataFrame({"stock_mm": np.array([], dtype=float), "count": np.array([], dtype=int)})
    return CutPlan(nothing, (), bought, 0.0, True, 0.0, True)


def no_cutting(_layout: Layout, _base: Base, _before: Answer | None) -> CutPlan:
    """Cut nothing: what a method without bearers gives as `Underside.cut`."""
    return no_cuts()
