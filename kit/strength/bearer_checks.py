"""The checks of the bearers: what lies idle, what rocks, how far timber and packers are used."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kit.base.checks import CLOSED_MM, Check
from kit.job import Floor, Stock
from kit.strength.bearers import PieceAtRest, Rocking
from kit.strength.bearing import Contact, bearing_ratio, pressure
from kit.strength.line import held
from kit.strength.pieces import Piece, Pieces
from kit.strength.section import bending_ratio, shear_ratio
from kit.strength.timber import GAMMA_G, GAMMA_Q, TimberClass, kmod, timber_class
from kit.strength.withdrawal import Outside, screw_holds_N

#: Between stacks a bearer may stray this part of the span, creep included.
SAG_SHARE = 1 / 250

_SAG_SOURCE = (
    "span/250, final, as of a floor with a brittle finish: The Structural Engineer, note 19 (read"
    " in a public copy)"
)
_BENDING = "EN 1995-1-1 6.1.6 with kh, EN 338; EN 1990 Eq. 6.10"
_SHEAR = "EN 1995-1-1 6.1.7 with kcr 0.67 (from memory), EN 338; EN 1990 Eq. 6.10"
_BEARING = "EN 1995-1-1 6.1.5, EN 338; EN 1990 Eq. 6.10"


@dataclass(frozen=True)
class _Worst:
    """The worst of several ratios, and where it is."""

    ratio: float
    where: str


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
        over = _worst(_over_packers(own, pieces, service_class))
        yield _ratio("bearing of bearer on packer", bearer, over, _BEARING)
        under = _worst(_under_panels(own, pieces, service_class))
        yield _ratio("bearing of unit on bearer", bearer, under, _BEARING)
        yield from _packer_and_board(bearer, own, pieces, floor, stock, service_class)
    for bearer in pieces.on_one_stack:
        why = "it lies on one stack: nothing of it bends, and nothing holds it level but that"
        yield Check("bearer", bearer, math.nan, math.nan, "", "not_checked", why)


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
    source = "contact only, units full, before it is screwed down (sum of this kit)"
    return Check(
        "bearer lifting off a stack",
        f"{bearer}: {', '.join(name for name, _, _ in idle)}" if idle else bearer,
        gap,
        0.0,
        "mm",
        "refer" if idle else "ok",
        f"{said}; {source}" if idle else source,
    )


def _of_piece(piece: Piece, laid: Sequence[PieceAtRest]) -> str:
    return f" under piece {piece.number}" if len(laid) > 1 else ""


def shim_words(gap_mm: float) -> str:
    """Say what brings an idle stack to bear."""
    if gap_mm < 0.005:
        return "it just touches, the least shim brings it to bear"
    return f"a shim of {gap_mm:.2f} mm brings it to bear"


def rocking_check(bearer: str, laid: Sequence[PieceAtRest]) -> Check:
    """Return whether a bearer rocks under a hand."""
    found = [(one, rocking) for one in laid for rocking in one.rocking]
    gap = max((max(r.left_mm, r.right_mm) for _, r in found), default=0.0)
    source = "a hand of 50 N on each end in turn (common practice, no source)"
    said = "; ".join(rocking_words(one, rocking) for one, rocking in found)
    return Check(
        "bearer rocking on one stack",
        f"{bearer}: {', '.join(rocking.support for _, rocking in found)}" if found else bearer,
        gap,
        0.0,
        "mm",
        "refer" if found else "ok",
        f"{said}; {source}" if found else source,
    )


def rocking_words(one: PieceAtRest, rocking: Rocking) -> str:
    """Say that a piece has a high middle."""
    return (
        f"Bearer {one.piece.name} rocks on one stack, {rocking.support}, ends in the air: with one"
        f" end pressed down the other hangs {rocking.left_mm:.2f} mm over {rocking.left} or"
        f" {rocking.right_mm:.2f} mm over {rocking.right}"
    )


def _timber_checks(
    bearer: str, laid: Sequence[PieceAtRest], pieces: Pieces, service_class: int
) -> Iterator[Check]:
    section, timber = pieces.section, pieces.timber
    cases = [
        (one, duration, rest.line, kmod(service_class, duration))
        for one in laid
        for duration, rest in one.design
    ]
    bending = _worst(
        _Worst(bending_ratio(line.greatest_moment_n_mm, section, timber, k), _load(one, duration))
        for one, duration, line, k in cases
    )
    yield _ratio("bearer bending", bearer, bending, _BENDING)
    shear = _worst(
        _Worst(shear_ratio(line.greatest_shear_n, section, timber, k), _load(one, duration))
        for one, duration, line, k in cases
    )
    yield _ratio("bearer shear", bearer, shear, _SHEAR)


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


def _over_packers(
    laid: Iterable[PieceAtRest], pieces: Pieces, service_class: int
) -> Iterator[_Worst]:
    for one in laid:
        contacts = packer_contacts(one, pieces)
        for duration, rest in one.design:
            k = kmod(service_class, duration)
            for name, contact, force in zip(
                one.piece.supports, contacts, rest.line.reactions_n.tolist(), strict=True
            ):
                yield _Worst(bearing_ratio(force, contact, pieces.timber, k), f"at {name}")


def packer_contacts(one: PieceAtRest, pieces: Pieces) -> list[Contact]:
    """Return where a piece lies on its packers; at a joint on half of one."""
    along, across = pieces.packer_size_mm
    beam = one.piece.beam
    parts = [
        (max(place - along / 2, beam.start_mm), min(place + along / 2, beam.end_mm))
        for place in beam.supports_mm
    ]
    return _contacts(parts, (beam.start_mm, beam.end_mm), across, pieces)


def _under_panels(
    laid: Iterable[PieceAtRest], pieces: Pieces, service_class: int
) -> Iterator[_Worst]:
    for one in laid:
        beam, panels = one.piece.beam, one.piece.panels
        parts = [
            (max(place - wide / 2, beam.start_mm), min(place + wide / 2, beam.end_mm))
            for place, wide, *_ in panels
        ]
        ends = beam.start_mm, beam.end_mm
        contacts = _contacts(parts, ends, pieces.section.width_mm, pieces)
        for (place, _, own, stored, people), contact in zip(panels, contacts, strict=True):
            for duration, force in (
                ("permanent", GAMMA_G * own),
                ("long", GAMMA_G * own + GAMMA_Q * stored),
                ("medium", GAMMA_G * own + GAMMA_Q * (stored + people)),
            ):
                k = kmod(service_class, duration)  # type: ignore[arg-type]
                where = f"side or division at {place:.0f} mm"
                yield _Worst(bearing_ratio(force, contact, pieces.timber, k), where)


def _contacts(
    parts: Sequence[tuple[float, float]],
    ends: tuple[float, float],
    across_mm: float,
    pieces: Pieces,
) -> list[Contact]:
    clear = [math.inf, *(max(b[0] - a[1], 0.0) for a, b in pairwise(parts)), math.inf]
    return [
        Contact(
            right - left,
            min(across_mm, pieces.section.width_mm),
            pieces.section.depth_mm,
            max(left - ends[0], 0.0),
            max(ends[1] - right, 0.0),
            clear[number],
            clear[number + 1],
        )
        for number, (left, right) in enumerate(parts)
    ]


def _packer_and_board(
    bearer: str,
    laid: Sequence[PieceAtRest],
    pieces: Pieces,
    floor: Floor,
    stock: Stock,
    service_class: int,
) -> Iterator[Check]:
    """Yield the pressure on packers and boards: design loads against what the job says of both."""
    design = _design_on_stacks(laid)
    along, across = pieces.packer_size_mm
    wide = min(across, pieces.section.width_mm)
    name = max(design, key=lambda one: max(force for _, force in design[one]))
    worst = max(force for _, force in design[name])
    value = pressure(worst, along, wide)
    where = f"{bearer}: {name}"
    limit = stock.packer_bears_n_per_mm2
    if limit is None:
        why = "no stock.packer_bears_n_per_mm2 given: ask the packers' maker"
        yield Check("pressure on packer", where, value, math.nan, "N/mm2", "not_checked", why)
    else:
        verdict = "ok" if value <= limit + CLOSED_MM else "refer"
        source = "stock.packer_bears_n_per_mm2, against design loads (EN 1990 Eq. 6.10)"
        yield Check("pressure on packer", where, value, limit, "N/mm2", verdict, source)
    if floor.kind == "solid":
        return
    if floor.board_strength_class is None or floor.board_mm is None:
        value = pressure(worst, along, across)
        why = "no floor.board_strength_class given"
        yield Check("bearing on board", where, value, math.nan, "N/mm2", "not_checked", why)
        return
    # Nobody says which way the boards run under a packer: nothing is added to its length.
    contact = Contact(along, across, floor.board_mm, 0.0, 0.0, 0.0, 0.0)
    board = timber_class(floor.board_strength_class)
    ratios = _worst(
        _Worst(bearing_ratio(force, contact, board, kmod(service_class, duration)), f"at {name}")  # type: ignore[arg-type]
        for name, forces in design.items()
        for duration, force in forces
    )
    yield _ratio("bearing on board", bearer, ratios, f"{_BEARING}; no spread, kc,90 of 1")


def _design_on_stacks(laid: Sequence[PieceAtRest]) -> dict[str, list[tuple[str, float]]]:
    """Return the design loads of each stack by load duration; both pieces over a joint count."""
    found: dict[str, dict[str, float]] = {}
    for one in laid:
        latest = dict(one.design)
        for place, name in enumerate(one.piece.supports):
            of_stack = found.setdefault(name, {})
            rest = one.design[0][1]
            for duration in ("permanent", "long", "medium"):
                # A piece that a duration does not load keeps what it carried before.
                rest = latest.get(duration, rest)
                force = float(rest.line.reactions_n[place])
                of_stack[duration] = of_stack.get(duration, 0.0) + force
    return {name: list(forces.items()) for name, forces in found.items()}


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


def _worst(ratios: Iterable[_Worst]) -> _Worst:
    return max(ratios, key=lambda one: one.ratio, default=_Worst(0.0, "nothing on it"))


def _ratio(check: str, bearer: str, worst: _Worst, source: str) -> Check:
    verdict = "ok" if worst.ratio <= 1 + CLOSED_MM else "refer"
    return Check(check, f"{bearer}: {worst.where}", worst.ratio, 1.0, "of design", verdict, source)
