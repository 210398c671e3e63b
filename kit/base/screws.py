"""Which screw each step of a stack takes: it must bite, and its point must stay clear below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pandas as pd

from kit.job import Floor, NoGo, Service, Stock, refuse

#: A packer thinner than this is not screwed by itself [mm] (common practice, no source).
SCREWED_FROM_MM = 6.0
#: Least length of the point of a base screw in the floor [mm] (common practice, no source).
FLOOR_BITE_MM = 8.0
#: Least bite of a pack or bearer screw in what is below [mm] (common practice, no source).
STACK_BITE_MM = 12.0

BONDED = "bonded instead"
PLUGGED = "plugged fixing by the fitter's own choice"

_CLOSED_MM = 1e-9  # the limits are closed: sums of decimal thicknesses miss by less than this
_COLUMNS = ["support", "step", "length_mm", "point_below_floor_mm", "limit_mm", "reason"]


@dataclass(frozen=True)
class StackAt:
    """One stack and the place where it stands.

    Parameters
    ----------
    support : str
        Name of the support.
    x_mm, y_mm : float
        Plan place of the packers' centre [mm].
    thicknesses_mm : tuple of float
        Its packers as measured, from the floor up [mm].
    """

    support: str
    x_mm: float
    y_mm: float
    thicknesses_mm: tuple[float, ...]

    @property
    def height_mm(self) -> float:
        """Height of the whole stack [mm]."""
        return sum(self.thicknesses_mm)

    @property
    def thin_on_top_mm(self) -> float:
        """Thickness of the thin packers above the highest screwed one [mm]."""
        screwed = [i for i, t in enumerate(self.thicknesses_mm) if t >= SCREWED_FROM_MM]
        return sum(self.thicknesses_mm[screwed[-1] + 1 if screwed else 0 :])


@dataclass(frozen=True)
class Limit:
    """How far below the floor surface a screw point may reach.

    Parameters
    ----------
    depth_mm : float
        Greatest depth of the point [mm]; negative: the point stays above the floor.
    why : str
        What sets it, in plain words.
    instead : str
        What holds the first packer where nothing may enter the floor, else empty.
    """

    depth_mm: float
    why: str
    instead: str = ""


@dataclass(frozen=True)
class Step:
    """One screw of a stack, before its length is chosen.

    Parameters
    ----------
    name : str
        ``"base"``, ``"pack"`` or ``"bearer"``.
    passes_mm : float
        What it passes through before it has to bite [mm].
    above_mm : float
        Height above the floor of the surface that it enters from [mm].
    bite_mm : float
        Least length in what is below [mm].
    """

    name: str
    passes_mm: float
    above_mm: float
    bite_mm: float


def choose_screws(
    floor: Floor,
    stock: Stock,
    bearer_mm: float,
    stacks: Sequence[StackAt],
    services: Sequence[Service] = (),
    no_go: Sequence[NoGo] = (),
) -> pd.DataFrame:
    """Choose for each step of each stack the longest screw that bites and keeps its limit.

    A screw is taken to stand at the packers' centre, the place of its support: distances to
    services and no-go areas are measured from there.

    base: through the first packer of 6 mm or more into the floor; pack: one for each further
    packer of 6 mm or more, through it and the thin ones directly beneath; bearer: through the
    bearer into the stack. A stack with no packer of 6 mm or more has no base screw.

    Parameters
    ----------
    floor : Floor
        What a screw may enter.
    stock : Stock
        Lengths in stock and how far a head is drawn below the surface [mm].
    bearer_mm : float
        Thickness of the bearer [mm]; 0 where units stand on the stacks: no bearer screw.
    stacks : sequence of StackAt
        The stacks, in the order of the answer.
    services : sequence of Service
        Known pipes and cables.
    no_go : sequence of NoGo
        Areas without screws; an area that forbids supports forbids screws.

    Returns
    -------
    DataFrame
        support, step (base, pack, bearer), length_mm, point_below_floor_mm (negative above the
        floor), limit_mm, reason; length and point are nan where no screw in stock may serve.

    Raises
    ------
    Refusal
        A stack without packers, or a thickness that is not a positive length.

    Notes
    -----
    Eq. (1): p = L + c - t, p point below the floor, L length, c countersink, t thickness passed
    above the floor. The limits are closed.
    Bites of 8 mm into the floor and 12 mm into a stack: common practice, no source.
    """
    _check(bearer_mm, stacks)
    rows: list[tuple[str, str, float, float, float, str]] = []
    for stack in stacks:
        limit = screw_limit(floor, stack.x_mm, stack.y_mm, services, no_go)
        for step in steps_of(stack, bearer_mm):
            length, reason = _choose(step, limit, stock)
            point = length + stock.countersink_mm - step.above_mm  # Eq. (1)
            if step.name == "bearer" and length + stock.countersink_mm - bearer_mm < (
                stack.thin_on_top_mm - _CLOSED_MM
            ):
                reason += "; its point ends in the thin packers: glue those beneath it"
            rows.append((stack.support, step.name, length, point, limit.depth_mm, reason))
    table = pd.DataFrame(rows, columns=_COLUMNS)
    return table.astype(dict.fromkeys(_COLUMNS[2:5], float))


def steps_of(stack: StackAt, bearer_mm: float) -> Iterator[Step]:
    """Yield the screws that a stack needs, from the floor up; source as in `choose_screws`."""
    top = passed = 0.0
    first = True
    for thickness in stack.thicknesses_mm:
        top, passed = top + thickness, passed + thickness
        if thickness >= SCREWED_FROM_MM:
            bite = FLOOR_BITE_MM if first else STACK_BITE_MM
            yield Step("base" if first else "pack", passed, top, bite)
            first, passed = False, 0.0
    if bearer_mm > 0:
        yield Step("bearer", bearer_mm, top + bearer_mm, STACK_BITE_MM)


def screw_limit(
    floor: Floor,
    x_mm: float,
    y_mm: float,
    services: Sequence[Service] = (),
    no_go: Sequence[NoGo] = (),
) -> Limit:
    """Find how deep a screw point may reach at one place.

    Parameters
    ----------
    floor : Floor
        Boarded or solid, and what is known of its services.
    x_mm, y_mm : float
        Plan place of the screw [mm].
    services : sequence of Service
        Known pipes and cables: one is near when the place is less than clear_mm from it in plan.
    no_go : sequence of NoGo
        Areas without screws, edges included.

    Returns
    -------
    Limit
        The least of the floor's, each area's (0) and each near service's (its depth less the
        reserve).
    """
    limits = [_floor_limit(floor)]
    limits += [
        Limit(0.0, f"no screws in {area.name!r}", BONDED)
        for area in no_go
        if area.holds(x_mm, y_mm)
    ]
    limits += [
        Limit(service.depth_mm - floor.reserve_mm, _service_words(service, floor.reserve_mm))
        for service in services
        if plan_distance_mm(service, x_mm, y_mm) < service.clear_mm
    ]
    deepest = min(limits, key=lambda limit: limit.depth_mm)
    instead = next((limit.instead for limit in limits if limit.instead), "")
    return Limit(deepest.depth_mm, deepest.why, instead)


def _floor_limit(floor: Floor) -> Limit:
    reserve = f" less {floor.reserve_mm:g} mm in reserve"
    if floor.services == "no_fixings":
        return Limit(0.0, "no fixings in this floor", BONDED)
    if floor.kind == "solid":
        return Limit(0.0, "nothing enters a solid floor", PLUGGED)
    if floor.services == "checked" and floor.clear_below_mm is not None:
        depth = floor.clear_below_mm
        return Limit(depth - floor.reserve_mm, f"found clear to {depth:g} mm{reserve}")
    if floor.board_mm is None:
        raise refuse("job.toml, floor.board_mm", "nothing", "what a screw may enter [mm]")
    return Limit(floor.board_mm - floor.reserve_mm, f"board of {floor.board_mm:g} mm{reserve}")


def _service_words(service: Service, reserve_mm: float) -> str:
    return (
        f"{service.name!r} runs {service.depth_mm:g} mm down within {service.clear_mm:g} mm,"
        f" less {reserve_mm:g} mm in reserve"
    )


def plan_distance_mm(service: Service, x_mm: float, y_mm: float) -> float:
    """Return how far a place is from a service in plan [mm]."""
    (ax, ay), (bx, by) = service.from_mm, service.to_mm
    length2 = (bx - ax) ** 2 + (by - ay) ** 2
    along = ((x_mm - ax) * (bx - ax) + (y_mm - ay) * (by - ay)) / length2 if length2 else 0.0
    share = min(max(along, 0.0), 1.0)
    return math.hypot(x_mm - ax - share * (bx - ax), y_mm - ay - share * (by - ay))


def _choose(step: Step, limit: Limit, stock: Stock) -> tuple[float, str]:
    """Return the length [mm], nan where none serves, and the reason."""
    if step.name == "base" and limit.instead:
        return math.nan, f"no screw: {limit.why}; {limit.instead}"
    shortest = step.passes_mm + step.bite_mm - stock.countersink_mm
    longest = step.above_mm + limit.depth_mm - stock.countersink_mm
    if shortest > longest + _CLOSED_MM:
        return math.nan, (
            f"no length can serve: a bite of {step.bite_mm:g} mm takes at least"
            f" {_mm(shortest)} mm, and the limit leaves {_mm(max(longest, 0.0))} mm ({limit.why})"
        )
    between = f"{_mm(shortest)} to {_mm(longest)} mm"
    fitting = [
        length
        for length in stock.screws_mm
        if shortest - _CLOSED_MM <= length <= longest + _CLOSED_MM
    ]
    if fitting:
        return max(fitting), f"longest in stock from {between} ({limit.why})"
    held = ", ".join(f"{length:g}" for length in sorted(stock.screws_mm)) or "none"
    return math.nan, f"none in stock: {between} would serve ({limit.why}); in stock: {held}"


def _mm(length_mm: float) -> str:
    return f"{round(length_mm, 2):g}"


def _check(bearer_mm: float, stacks: Sequence[StackAt]) -> None:
    if not (math.isfinite(bearer_mm) and bearer_mm >= 0):
        raise refuse("bearer.thickness_mm", f"{bearer_mm}", "a thickness of 0 mm or more")
    for stack in stacks:
        if not stack.thicknesses_mm:
            raise refuse(f"stack at {stack.support}", "no packers", "at least one packer")
        for thickness in stack.thicknesses_mm:
            if not (math.isfinite(thickness) and thickness > 0):
                raise refuse(f"stack at {stack.support}", f"{thickness} mm", "more than 0 mm")
