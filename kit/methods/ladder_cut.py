"""A ladder frame as it is cut to the floor: what is left of it, and what carries it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.datum import Datum
from kit.base.ladder_frame import LadderFrame, own_weights
from kit.base.layout import GRAVITY_N_PER_KG
from kit.base.scribe import cut_profile, scribe_table
from kit.job import Job, Ladder
from kit.methods.ladder_words import remaining
from kit.parts import Ground, Survey
from kit.strength.direct import Tops, carry_apart, loads_apart
from kit.strength.edge_checks import edge_checks
from kit.strength.opening_checks import opening_checks
from kit.strength.whole import Strength


@dataclass(frozen=True, eq=False)
class FrameAsCut:
    """A frame as it is cut.

    Parameters
    ----------
    frame : LadderFrame
        In plan.
    board_mm : float
        Depth of its boards before they are cut [mm].
    profile, scribed : DataFrame
        From `cut_profile` and `scribe_table`.
    """

    frame: LadderFrame
    board_mm: float
    profile: pd.DataFrame
    scribed: pd.DataFrame

    @property
    def left_mm(self) -> dict[str, float]:
        """Mean depth that is left of each member, by its name [mm]."""
        return remaining(self.scribed, self.board_mm)


def cut_to_floor(
    survey: Survey, frame: LadderFrame, datum: Datum, board_mm: float, clear_mm: float
) -> FrameAsCut:
    """Cut a frame to the floor.

    Parameters
    ----------
    survey : Survey
        The floor, as it is expected.
    frame : LadderFrame
        In plan.
    datum : Datum
        Its top, and how much the front row is set high.
    board_mm, clear_mm : float
        Depth of its boards, and how far it clears no-go areas [mm].
    """
    floor = _floor_along(survey, frame)
    profile = cut_profile(floor, datum.datum_mm, datum.front_lift_mm, board_mm, clear_mm)
    return FrameAsCut(frame, board_mm, profile, scribe_table(profile, board_mm))


def _floor_along(survey: Survey, frame: LadderFrame) -> pd.DataFrame:
    """Return places along the frame with floor_mm and floor_sd_mm, nan where not surveyed."""
    places, surface = frame.places(), survey.surface
    at = places["x_mm"].to_numpy(dtype=float), places["y_mm"].to_numpy(dtype=float)
    floor, known = surface.predict(*at), surface.surveyed(*at)
    return places.assign(
        floor_mm=np.where(known, floor.height_mm, np.nan),
        floor_sd_mm=np.where(known, floor.sd_mm, np.nan),
    )


def carry_frame(
    job: Job, ground: Ground, ladder: Ladder, datum: Datum, cut: FrameAsCut
) -> Strength:
    """Work out what carries a frame: the floor under it, and over openings itself.

    Parameters
    ----------
    job, ground, ladder, datum : Job, Ground, Ladder, Datum
        Floor and room, what stands where, what the frame is made of, its level.
    cut : FrameAsCut
        For its weight, and what is left of it over openings.
    """
    layout, thickness = ground.layout, ladder.thickness_mm
    weights, room_class = n_per_mm(ladder, cut.left_mm), job.room.service_class
    apart = loads_apart(layout, own_weights(layout, cut.frame, weights))
    level = dict.fromkeys((str(name) for name in ground.supports["support"]), 0.0)
    checks = (
        *edge_checks(layout, apart, thickness, job.floor, room_class, job.no_go),
        *opening_checks(layout, cut.profile, thickness, weights, room_class),
    )
    tops = Tops(level, ladder.scribe_within_mm)
    return carry_apart(job, layout, apart, ground.joists, datum, tops, checks)


def n_per_mm(ladder: Ladder, left_mm: Mapping[str, float]) -> dict[str, float]:
    """Return the weight of each member from the depth that is left of it [N/mm]."""
    each = ladder.thickness_mm * ladder.density_kg_per_m3 * 1e-9 * GRAVITY_N_PER_KG
    return {name: each * depth for name, depth in left_mm.items()}
