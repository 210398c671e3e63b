"""Whether a screw holds where it draws a bearer down onto a low stack."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from kit.base.checks import CLOSED_MM, Check
from kit.strength.bearers import PieceAtRest
from kit.strength.line import held
from kit.strength.timber import GAMMA_G, TimberClass
from kit.strength.withdrawal import Outside, screw_holds_N


def screw_checks(
    laid: Sequence[PieceAtRest],
    points_mm: Mapping[str, float],
    timber: TimberClass,
    diameter_mm: float | None,
    service_class: int,
) -> Iterator[Check]:
    """Yield whether a screw holds where it draws a bearer down onto a low stack.

    Parameters
    ----------
    laid : sequence of PieceAtRest
        From `kit.strength.bearers.lay_bearers`.
    points_mm : mapping of str to float
        Length of the bearer screw's point in each stack [mm]; nan where there is none.
    timber : TimberClass
        Taken for the packers too, whose own density nobody gives.
    diameter_mm : float, optional
        Of the screws' thread; without it nothing is checked.
    service_class : int
        Of the room.

    Yields
    ------
    Check
        One a bearer: the greatest pull of a screw that draws the unloaded bearer down until it
        touches, against what the screw holds by its point.
    """
    for bearer in dict.fromkeys(one.piece.bearer for one in laid):
        pull, support = max(
            pair for one in laid if one.piece.bearer == bearer for pair in _pulls(one)
        )
        yield _screw_check(
            bearer, support, pull, points_mm.get(support, math.nan), timber, diameter_mm,
            service_class,
        )  # fmt: skip


def _pulls(one: PieceAtRest) -> Iterator[tuple[float, str]]:
    """Yield by how much each screw pulls where it holds the unloaded bearer on its stack [N]."""
    line = held(one.piece.beam, one.piece.own, one.tops_mm)
    for name, reaction in zip(one.piece.supports, line.reactions_n.tolist(), strict=True):
        yield max(-reaction, 0.0), name


def _screw_check(
    bearer: str,
    support: str,
    pull: float,
    point_mm: float,
    timber: TimberClass,
    diameter_mm: float | None,
    service_class: int,
) -> Check:
    check, where = "screw drawing the bearer down", f"{bearer}: {support}"
    if diameter_mm is None:
        why = "no stock.screw_diameter_mm given"
    elif math.isnan(point_mm):
        why = "no bearer screw from stock serves there"
    else:
        holds = screw_holds_N(diameter_mm, point_mm, timber, service_class=service_class)
        if not isinstance(holds, Outside):
            value = GAMMA_G * pull if holds.against == "design load" else pull
            verdict = "ok" if value <= holds.force_N + CLOSED_MM else "refer"
            source = f"{holds.clause}; packers taken as {timber.name}"
            return Check(check, where, value, holds.force_N, "N", verdict, source)
        why = holds.reason
    return Check(check, where, pull, math.nan, "N", "not_checked", why)
