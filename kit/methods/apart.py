"""What ways of building share in which nothing joins the supports of a row."""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.base.cuts import CutPlan
from kit.base.datum import Needs, Window, height_window
from kit.base.layout import Layout
from kit.ground import Underside
from kit.job import Base, Job
from kit.job.ways import way_of
from kit.methods.method import Lie, lift_of, no_cutting, under_lie
from kit.parts import Ground
from kit.strength.direct import loads_apart
from kit.strength.pieces import Apart


def window_apart(job: Job, base: Base, ground: Ground, lie: Lie, least_words: str) -> Window:
    """Return between which heights units may stand that have no bearer under them.

    Parameters
    ----------
    job, base, ground, lie : Job, Base, Ground, Lie
        As for `kit.methods.method.Method.set_level`.
    least_words : str
        What ``base.minimum_pack_mm`` is here: "minimum pack".

    Raises
    ------
    Refusal
        Where no height is left, naming what binds at both ends.
    """
    needs = Needs(0.0, base.minimum_pack_mm, least_words, lies=way_of(base).along)
    under, lift = under_lie(ground, lie), lift_of(base, ground)
    return height_window(job, base, under, lie.high_point_mm, ground.layout, lift, needs)


def loads_of(layout: Layout, _cuts: CutPlan, _base: Base) -> Apart:
    """Return what carries the units where each panel presses on its own support."""
    return loads_apart(layout)


#: How supports that nothing joins meet the floor.
UNDERSIDE_APART = Underside(Layout.footprint, no_cutting, loads_of)


def no_clearance() -> pd.DataFrame:
    """Return a table of the room under the base without any: the base lies on the floor."""
    numbers = ("least_mm", "sd_mm", "own_x_mm", "x_mm", "y_mm")
    return pd.DataFrame(
        {
            "bearer": np.array([], dtype=object),
            **{name: np.array([], dtype=float) for name in numbers},
        }
    )
