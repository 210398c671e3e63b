"""What an answer is made of: the survey, the ground under one layout, and the base on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import pandas as pd

from kit.base.bill import Bill
from kit.base.cuts import CutPlan
from kit.base.datum import Datum
from kit.base.layout import Layout
from kit.floor import HighPoint, Plane, Surface
from kit.job import Base, Job
from kit.readings import Heights
from kit.strength.carry import Strength
from kit.strength.joists import JoistWork, NoJoists
from kit.strength.pieces import Apart, Pieces


@dataclass(frozen=True)
class Survey:
    """What the readings say of the floor: nothing of it changes when the base does.

    Parameters
    ----------
    heights : Heights
        The readings adjusted into heights, each with its doubt.
    plane, robust_plane : Plane
        The floor's fall, ordinary and robust against gross errors.
    surface : Surface
        The floor between the readings.
    """

    heights: Heights
    plane: Plane
    robust_plane: Plane
    surface: Surface


@dataclass(frozen=True)
class Ground:
    """The floor as it lies under one layout of bearers and supports.

    Parameters
    ----------
    layout : Layout
        Bearers and supports in plan.
    cuts : CutPlan
        Pieces of bearer from stock lengths.
    under : DataFrame
        The floor under the base on a grid: bearer, own_x_mm, x_mm, y_mm, lift_share, height_mm,
        sd_mm, surveyed.
    known : DataFrame
        That part of ``under`` that was surveyed.
    high_point : HighPoint
        Where the floor under the base is highest, and how sure that is.
    supports : DataFrame
        ``layout.supports`` with floor_mm, floor_sd_mm, and the reason of a joint.
    plinth_places : DataFrame
        run, x_mm, y_mm, floor_mm along the plinth; nan where not surveyed.
    pieces : Pieces or Apart
        The bearers as beams on their stacks, or what stands on each support without any.
    joists : JoistWork or NoJoists
        What the joists give under the furniture, or why that is not known.
    """

    layout: Layout
    cuts: CutPlan
    under: pd.DataFrame
    known: pd.DataFrame
    high_point: HighPoint
    supports: pd.DataFrame
    plinth_places: pd.DataFrame
    pieces: Pieces | Apart
    joists: JoistWork | NoJoists


def bearers_of(ground: Ground) -> Pieces:
    """Return the bearers as beams.

    Raises
    ------
    TypeError
        Where the base has no bearers: a defect of whoever asks.
    """
    if isinstance(ground.pieces, Apart):
        raise TypeError("this base has no bearers")
    return ground.pieces


@dataclass(frozen=True)
class Traits:
    """What one way of building is good for, besides its level.

    Parameters
    ----------
    level_error_mm : float
        How far a support may be off the level that was meant, either way [mm].
    fixing_line_mm : float
        Length of timber under the units that they can be screwed down to anywhere [mm].
    floor_screws : int
        Screws whose point enters the floor.
    room_under_mm : float
        Least free height under the base that pipes and cables could pass along a row [mm]; 0
        where the base lies on the floor along its length.
    adjust_up_mm, adjust_down_mm : float
        How far every support can still go up, and down, with the units standing [mm].
    """

    level_error_mm: float
    fixing_line_mm: float
    floor_screws: int
    room_under_mm: float
    adjust_up_mm: float
    adjust_down_mm: float


@dataclass(frozen=True)
class Answer:
    """Everything about one base on one floor, in the order in which it was worked out.

    Parameters
    ----------
    job, base : Job, Base
        What was asked.
    survey : Survey
        Heights, plane and surface.
    ground : Ground
        Layout, cuts, and the floor under them.
    supports : DataFrame
        support, run, row, bearer, own_x_mm, own_y_mm, x_mm, y_mm, reasons, load_N, lift_share,
        floor_mm, floor_sd_mm, target_mm.
    datum : Datum
        The level chosen, its window and the stacks as counts.
    stacks : DataFrame
        support, position (1 lies on the floor), thickness_mm, nominal_mm.
    screws : DataFrame
        support, step, length_mm, point_below_floor_mm, limit_mm, reason.
    clearance : DataFrame
        bearer, least_mm, sd_mm, own_x_mm, x_mm, y_mm.
    plinth : DataFrame
        run, least_mm, greatest_mm, board_mm.
    strength : Strength
        What carries it all, and what the errors of the stacks do to the furniture.
    bill : Bill
        What it takes: things and minutes.
    traits : Traits
        What this way of building is good for.
    checks : DataFrame
        check, subject, value, limit, unit, verdict, source.
    cautions : tuple of str
        One sentence each.
    details : mapping of str to DataFrame
        Tables that only this method has, by the name of their file.
    """

    job: Job
    base: Base
    survey: Survey
    ground: Ground
    supports: pd.DataFrame
    datum: Datum
    stacks: pd.DataFrame
    screws: pd.DataFrame
    clearance: pd.DataFrame
    plinth: pd.DataFrame
    strength: Strength
    bill: Bill
    traits: Traits
    checks: pd.DataFrame
    cautions: tuple[str, ...]
    details: Mapping[str, pd.DataFrame] = field(default_factory=dict)

    @property
    def heights(self) -> Heights:
        """The adjusted heights."""
        return self.survey.heights

    @property
    def plane(self) -> Plane:
        """The floor's fall by least squares."""
        return self.survey.plane

    @property
    def robust_plane(self) -> Plane:
        """The floor's fall, robust against gross errors."""
        return self.survey.robust_plane

    @property
    def surface(self) -> Surface:
        """The floor between the readings."""
        return self.survey.surface

    @property
    def layout(self) -> Layout:
        """Bearers and supports in plan."""
        return self.ground.layout

    @property
    def under(self) -> pd.DataFrame:
        """The floor under the base on a grid."""
        return self.ground.under

    @property
    def high_point(self) -> HighPoint:
        """Where the floor under the base is highest."""
        return self.ground.high_point

    @property
    def cuts(self) -> CutPlan:
        """Pieces of bearer from stock lengths."""
        return self.ground.cuts

    @cached_property
    def take_off(self) -> pd.DataFrame:
        """What has to be in the van: item, size_mm, count, in_stock, price, cost."""
        return self.bill.take_off()

    @cached_property
    def work(self) -> pd.DataFrame:
        """The steps of the work: operation, count, unit, minutes_each, minutes, source."""
        return self.bill.steps()

    @property
    def pieces(self) -> int:
        """Number of packers in all stacks."""
        return self.datum.plan.pieces

    @property
    def worst_error_mm(self) -> float:
        """How far a support may be off the level that was meant, either way [mm]."""
        return self.traits.level_error_mm
