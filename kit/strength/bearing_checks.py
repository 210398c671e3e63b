"""The checks of bearing: bearers on packers, units on bearers, packers, boards."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from kit.base.checks import CLOSED_MM, Check
from kit.job import Floor, Stock
from kit.strength.bearers import DESIGN, PieceAtRest
from kit.strength.bearing import Contact, bearing_ratio, pressure
from kit.strength.pieces import Alone, Pieces
from kit.strength.timber import Duration, kmod, timber_class
from kit.strength.worst import Worst, ratio_check, worst_of

_BEARING = "EN 1995-1-1 6.1.5, EN 338; EN 1990 Eq. 6.10"


def bearing_checks(
    bearer: str,
    laid: Sequence[PieceAtRest],
    pieces: Pieces,
    floor: Floor,
    stock: Stock,
    service_class: int,
) -> Iterator[Check]:
    """Yield what the timber of a bearer, the packers and the boards bear.

    Parameters
    ----------
    bearer : str
        Its name.
    laid : sequence of PieceAtRest
        Its pieces.
    pieces : Pieces
        Section, timber and packers.
    floor, stock : Floor, Stock
        What boards and packers bear.
    service_class : int
        Of the room.
    """
    over = worst_of(_over_packers(laid, pieces, service_class))
    yield ratio_check("bearing of bearer on packer", bearer, over, _BEARING)
    under = worst_of(_under_panels(laid, pieces, service_class))
    yield ratio_check("bearing of unit on bearer", bearer, under, _BEARING)
    yield from _beyond(bearer, laid)
    yield from _stacks(bearer, _design_on_stacks(laid), pieces, floor, stock, service_class)


def alone_checks(
    alone: Alone, pieces: Pieces, floor: Floor, stock: Stock, service_class: int
) -> Iterator[Check]:
    """Yield what packers and boards bear under a bearer that lies on a single stack."""
    on_stack = {alone.support: design_loads(alone)}
    yield from _stacks(alone.bearer, on_stack, pieces, floor, stock, service_class)


def design_loads(alone: Alone) -> list[tuple[Duration, float]]:
    """Return what a support carries by design, by load duration [N]: EN 1990 Eq. 6.10."""
    loads = {
        "own": alone.own_n,
        "units": alone.units_n,
        "stored": alone.stored_n,
        "people": alone.people_n,
    }
    return [
        (duration, sum(weights.get(name, 0.0) * load for name, load in loads.items()))
        for duration, weights in DESIGN
    ]


def _stacks(
    bearer: str, design: Mapping[str, Sequence[tuple[Duration, float]]], pieces: Pieces,
    floor: Floor, stock: Stock, service_class: int,
) -> Iterator[Check]:  # fmt: skip
    yield _packer(bearer, design, pieces, stock)
    if floor.kind == "boarded":
        yield _board(bearer, design, pieces, floor, service_class)


def _over_packers(
    laid: Iterable[PieceAtRest], pieces: Pieces, service_class: int
) -> Iterator[Worst]:
    for one in laid:
        contacts = packer_contacts(one, pieces)
        for duration, rest in one.design:
            k = kmod(service_class, duration)
            for name, contact, force in zip(
                one.piece.supports, contacts, rest.line.reactions_n.tolist(), strict=True
            ):
                yield Worst(bearing_ratio(force, contact, pieces.timber, k), f"at {name}")


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
) -> Iterator[Worst]:
    for one in laid:
        beam = one.piece.beam
        panels = [panel for panel in one.piece.panels if panel[1] > 0]
        ends = beam.start_mm, beam.end_mm
        parts = [_over(place, wide, ends) for place, wide, *_ in panels]
        contacts = _contacts(parts, ends, pieces.section.width_mm, pieces)
        for (place, _, own, stored, people), contact in zip(panels, contacts, strict=True):
            loads = {"units": own, "stored": stored, "people": people}
            for duration, weights in DESIGN:
                force = sum(weights.get(name, 0.0) * load for name, load in loads.items())
                k = kmod(service_class, duration)
                where = f"side or division at {place:.0f} mm"
                yield Worst(bearing_ratio(force, contact, pieces.timber, k), where)


def _over(place: float, wide: float, ends: tuple[float, float]) -> tuple[float, float]:
    """Return where a side touches the bearer: about its place, and none of it beyond the end."""
    left = min(max(place - wide / 2, ends[0]), ends[1] - wide)
    return left, left + wide


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


def _beyond(bearer: str, laid: Iterable[PieceAtRest]) -> Iterator[Check]:
    """Yield the sides that stand beyond the bearer's end with all of their thickness."""
    for one in laid:
        for place, over, *_ in one.piece.panels:
            if over <= 0:
                where = f"{bearer}: side beyond its end at {place:.0f} mm"
                why = "nothing of that side stands on the bearer: a smaller end_inset_mm"
                yield Check("side on the bearer", where, over, 0.0, "mm", "refer", why)


def _packer(
    bearer: str, design: Mapping[str, Sequence[tuple[Duration, float]]], pieces: Pieces,
    stock: Stock,
) -> Check:  # fmt: skip
    """Judge the pressure on a packer: design loads against what the job says that it bears."""
    along, across = pieces.packer_size_mm
    name = max(design, key=lambda one: max(force for _, force in design[one]))
    worst = max(force for _, force in design[name])
    value = pressure(worst, along, min(across, pieces.section.width_mm))
    check, where, limit = "pressure on packer", f"{bearer}: {name}", stock.packer_bears_n_per_mm2
    if limit is None:
        why = "no stock.packer_bears_n_per_mm2 given: ask the packers' maker"
        return Check(check, where, value, math.nan, "N/mm2", "not_checked", why)
    verdict = "ok" if value <= limit + CLOSED_MM else "refer"
    source = "stock.packer_bears_n_per_mm2, against design loads (EN 1990 Eq. 6.10)"
    return Check(check, where, value, limit, "N/mm2", verdict, source)


def _board(
    bearer: str, design: Mapping[str, Sequence[tuple[Duration, float]]], pieces: Pieces,
    floor: Floor, service_class: int,
) -> Check:  # fmt: skip
    """Judge the pressure of the packers on a board, as across its grain."""
    along, across = pieces.packer_size_mm
    if floor.board_strength_class is None or floor.board_mm is None:
        name = max(design, key=lambda one: max(force for _, force in design[one]))
        value = pressure(max(force for _, force in design[name]), along, across)
        why = "no floor.board_strength_class given"
        where = f"{bearer}: {name}"
        return Check("bearing on board", where, value, math.nan, "N/mm2", "not_checked", why)
    # Nobody says which way the boards run under a packer: nothing is added to its length.
    contact = Contact(along, across, floor.board_mm, 0.0, 0.0, 0.0, 0.0)
    board = timber_class(floor.board_strength_class)
    ratios = worst_of(
        Worst(bearing_ratio(force, contact, board, kmod(service_class, duration)), f"at {name}")
        for name, forces in design.items()
        for duration, force in forces
    )
    return ratio_check("bearing on board", bearer, ratios, f"{_BEARING}; no spread, kc,90 of 1")


def _design_on_stacks(laid: Sequence[PieceAtRest]) -> dict[str, list[tuple[Duration, float]]]:
    """Return the design loads of each stack by load duration; both pieces over a joint count."""
    found: dict[str, dict[Duration, float]] = {}
    for one in laid:
        latest = dict(one.design)
        for place, name in enumerate(one.piece.supports):
            of_stack = found.setdefault(name, {})
            rest = one.design[0][1]
            for duration, _ in DESIGN:
                # A piece that a duration does not load keeps what it carried before.
                rest = latest.get(duration, rest)
                force = float(rest.line.reactions_n[place])
                of_stack[duration] = of_stack.get(duration, 0.0) + force
    return {name: list(forces.items()) for name, forces in found.items()}
