"""The room between the floor and each bearer, along the whole of it and not only at its stacks."""

from __future__ import annotations

import numpy as np
import pandas as pd


def clearance_table(under: pd.DataFrame, datum_mm: float, lift_mm: float) -> pd.DataFrame:
    """Find the least room under each bearer and where it is.

    Parameters
    ----------
    under : DataFrame
        The floor under the base: bearer, own_x_mm, x_mm, y_mm, lift_share, height_mm, sd_mm.
    datum_mm : float
        Underside of the back row's bearers [mm].
    lift_mm : float
        How much the front row is set high [mm].

    Returns
    -------
    DataFrame
        bearer, least_mm, sd_mm, own_x_mm, x_mm, y_mm: one row a bearer.
    """
    room = datum_mm + lift_mm * under["lift_share"].to_numpy() - under["height_mm"].to_numpy()
    bearers = under["bearer"].to_numpy()
    least = [
        int(places[np.argmin(room[places])])
        for places in (np.flatnonzero(bearers == name) for name in dict.fromkeys(bearers))
    ]
    columns = ["bearer", "least_mm", "sd_mm", "own_x_mm", "x_mm", "y_mm"]
    return under.iloc[least].assign(least_mm=room[least])[columns].reset_index(drop=True)
