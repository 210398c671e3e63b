"""What an answer is made of: the survey, the ground under one layout, and the base on it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from kit.base.cuts import CutPlan
from kit.base.datum import Datum
from kit.base.layout import Layout
from kit.floor import HighPoint, Plane, Surface
from kit.job import Base, Job
from kit.readings import Heights
from kit.strength.carry import Strength
from kit.strength.joists import JoistWork, NoJoists
from kit.strength.pieces import Pieces


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
    pieces : Pieces
        The bearers as beams on their stacks.
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
    pieces: Pieces
    joists: JoistWork | NoJoists


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
    take_off : DataFrame
        item, size_mm, count, in_stock, cost.
    checks : DataFrame
        check, subject, value, limit, unit, verdict, source.
    cautions : tuple of str
        One sentence each.
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
    take_off: pd.DataFrame
    checks: pd.DataFrame
    cautions: tuple[str, ...]

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

    @property
    def pieces(self) -> int:
        """Number of packers in all stacks."""
        return self.datum.plan.pieces

    @property
    def worst_error_mm(self) -> float:
        """Largest absolute error of a stack [mm]."""
        return self.datum.plan.worst_error_mm
