"""What holds in which share of the floors that fit the readings."""

from __future__ import annotations

import math

from kit.ground import SEED
from kit.parts import Answer
from kit.strength.in_draws import idle_shares, stiff_idle_shares
from kit.strength.pieces import Apart
from kit.threads import one_thread

#: Random floors that are built on: a share is then good to 0.05, two standard errors.
FLOORS = 400


@one_thread
def idle_odds(answer: Answer) -> dict[str, float]:
    """Return in which share of the floors that fit the readings each stack is idle.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`: its stacks stand as chosen, only the floor under them differs.

    Returns
    -------
    dict of str to float
        0 to 1, by the support's name; of `FLOORS` floors from a fixed seed. nan for supports that
        are set by hand until they bear.
    """
    supports = answer.supports
    if answer.stacks.empty:
        return dict.fromkeys(supports["support"], math.nan)
    x, y = supports["x_mm"].to_numpy(), supports["y_mm"].to_numpy()
    floors = answer.surface.draws(x, y, FLOORS, SEED)
    higher = floors - supports["floor_mm"].to_numpy()
    names = [str(name) for name in supports["support"]]
    errors = dict(zip(names, answer.datum.plan.error_mm.tolist(), strict=True))
    deviations = dict(zip(names, higher.T, strict=True))
    if isinstance(answer.ground.pieces, Apart):
        return stiff_idle_shares(answer.layout, errors, deviations)
    return idle_shares(answer.ground.pieces, errors, deviations)
