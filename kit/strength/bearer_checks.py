"""The checks of the bearers: what lies idle, what rocks, how far timber and packers are used."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kit.base.checks import CLOSED_MM, Check
from kit.job import Floor, Stock
from kit.strength.bearers import IDLE_MM, PieceAtRest, Rocking
from kit.strength.bearing_checks import alone_checks, bearing_checks
from kit.strength.pieces import Pieces
from kit.strength.section import bending_ratio, shear_ratio
from kit.strength.timber import kmod
from kit.strength.worst import Worst, ratio_check, worst_of

#: Between stacks a bearer may stray this part of the span, creep included.
SAG_SHARE = 1 / 250

_SAG_SOURCE = (
    "span/250, final, as of a floor with a brittle finish: The Structural Engineer, note 19 (read"
    " in a public copy)"
)
_BENDING = "EN 1995-1-1 6.1.6 with kh, EN 338; EN 1990 Eq. 6.10"
_SHEAR = "EN 1995-1-1 6.1.7 with kcr 0.67 (from memory), EN 338; EN 1990 Eq. 6.10"


def bearer_checks(
    pieces: Pieces, laid: Sequence[PieceAtRest], floor: Floor, stock: Stock, service_class: int
) -> Iterator[Check]:
    """Yield the checks of every bearer.

    Parameters
    ----------
    pieces, laid : Pieces, sequence of PieceAtRest
        The bearers as beams, and at rest on their stacks.
    floor, stock : Floor, Stock
        What boards and packers bear.
    service_class : int
        Of the room.

    Yields
    ------
    Check
        One row each a bearer, with its worst place named: stacks that carry nothing, rocking,
        bending, shear, sag, bearing over packers and under the units, pressure on packers and on
        boards.
    """
    for bearer in dict.fromkeys(piece.bearer for piece in pieces.pieces):
        own = [one for one in laid if one.piece.bearer == bearer]
        yield idle_check(bearer, own)
        yield rocking_check(bearer, own)
        yield from _timber_checks(bearer, own, pieces, service_class)
        yield _sag_check(bearer, own)
        yield from bearing_checks(bearer, own, pieces, floor, stock, service_class)
    for alone in pieces.alone:
        why = "it lies on one stack: nothing of it bends, and nothing holds it level but that"
        yield Check("bearer", alone.bearer, math.nan, math.nan, "", "not_checked", why)
        yield from alone_checks(alone, pieces, floor, stock, service_class)


def idle_check(bearer: str, laid: Sequence[PieceAtRest]) -> Check:
    """Return whether every stack under a bearer carries, the units full."""
    idle = [(name, gap, one.piece) for one in laid for name, gap in one.idle]
    gap = max((gap for _, gap, _ in idle), default=0.0)
    said = "; ".join(
        f"{name} is idle"
        + f" under piece {piece.number}" * (len(laid) > 1)
        + f": {shim_words(gap)}"
        for name, gap, piece in idle
    )
    source = (
        "contact only, units full, before it is screwed down (sum of this kit); a gap up to a"
        " sheet of paper is let pass (common practice, no source)"
    )
    return Check(
        "bearer lifting off a stack",
        f"{bearer}: {', '.join(name for name, _, _ in idle)}" if idle else bearer,
        gap,
        IDLE_MM,
        "mm",
        "refer" if gap > IDLE_MM + CLOSED_MM else "ok",
        f"{said}; {source}" if idle else source,
    )


def shim_words(gap_mm: float) -> str:
    """Say what brings an idle stack to bear."""
    if gap_mm < 0.005:
        return "it just touches, the least shim brings it to bear"
    return f"a shim of {gap_mm:.2f} mm brings it to bear"


def rocking_check(bearer: str, laid: Sequence[PieceAtRest]) -> Check:
    """Return whether a bearer rocks under a hand."""
    found = [(one, rocking) for one in laid for rocking in one.rocking]
    gap = max((rocking.worst_mm for _, rocking in found), default=0.0)  # all above the limit
    source = "a hand of 50 N on each end in turn (common practice, no source)"
    said = "; ".join(rocking_words(one, rocking) for one, rocking in found)
    return Check(
        "bearer rocking on one stack",
        f"{bearer}: {', '.join(rocking.support for _, rocking in found)}" if found else bearer,
        gap,
        IDLE_MM,
        "mm",
        "refer" if gap > IDLE_MM + CLOSED_MM else "ok",
        f"{said}; {source}" if found else source,
    )


def rocking_words(one: PieceAtRest, rocking: Rocking) -> str:
    """Say that a piece has a high middle."""
    return (
        f"Bearer {one.piece.name} rocks on one stack, {rocking.support}, ends in the air: with one"
        f" end pressed down the other hangs {rocking.left_mm:.2f} mm over {rocking.left} or"
        f" {rocking.right_mm:.2f} mm over {rocking.right}; as it lies it wants {_shims(rocking)}"
    )


def _shims(rocking: Rocking) -> str:
    return " and ".join(f"{mm:.2f} mm under it at {name}" for name, mm in rocking.shims)


def _timber_checks(
    bearer: str, laid: Sequence[PieceAtRest], pieces: Pieces, service_class: int
) -> Iterator[Check]:
    section, timber = pieces.section, pieces.timber
    cases = [
        (one, duration, rest.line, kmod(service_class, duration))
        for one in laid
        for duration, rest in one.design
    ]
    bending = worst_of(
        Worst(bending_ratio(line.greatest_moment_n_mm, section, timber, k), _load(one, duration))
        for one, duration, line, k in cases
    )
    yield ratio_check("bearer bending", bearer, bending, _BENDING)
    shear = worst_of(
        Worst(shear_ratio(line.greatest_shear_n, section, timber, k), _load(one, duration))
        for one, duration, line, k in cases
    )
    yield ratio_check("bearer shear", bearer, shear, _SHEAR)


def _load(one: PieceAtRest, duration: str) -> str:
    return f"piece {one.piece.number}, {duration} load"


def _sag_check(bearer: str, laid: Sequence[PieceAtRest]) -> Check:
    spans = [span for one in laid for span in one.spans]
    if not spans:
        why = "fewer than two stacks carry it"
        return Check("bearer sag", bearer, math.nan, math.nan, "mm", "not_checked", why)
    worst = max(spans, key=lambda span: span.sag_mm / span.length_mm)
    limit = worst.length_mm * SAG_SHARE
    return Check(
        "bearer sag",
        f"{bearer}: {worst.left} to {worst.right}",
        worst.sag_mm,
        limit,
        "mm",
        "ok" if worst.sag_mm <= limit + CLOSED_MM else "refer",
        _SAG_SOURCE,
    )
