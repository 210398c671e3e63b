"""Setting the level: what a staff reads at the base's lines and at marks, from any set-up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kit.answer import Answer
from kit.ink.lengths import small
from kit.ink.table import Head, Table, records
from kit.ink.words import on_bearers
from kit.paper.document import Grid, Part
from kit.paper.high_place import high_place, place_words, where_words
from kit.paper.job_sheet_places import off_note, with_off

#: So many points that were read are named where there is no benchmark.
_MOST_POINTS = 3

#: Differences below this are none: nobody reads a staff so finely [mm].
_SAME_MM = 0.005


@dataclass(frozen=True)
class StaffPlace:
    """A place at which a staff is held.

    Parameters
    ----------
    name : str
        What it is.
    where : str
        Where that is.
    above_mm : float
        How far it lies above the high point [mm].
    sd_mm : float
        Standard deviation of its own height; 0 of what is still to be built [mm].
    """

    name: str
    where: str
    above_mm: float
    sd_mm: float = 0.0


def level_parts(answer: Answer) -> Iterator[Part]:
    """Yield how the level is set, and set again from a new set-up.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (Head("staff held at"), Head("where", wide=True), Head(f"reads [{units}]"))
    high = StaffPlace("high point", place_words(answer, high_place(answer)), 0.0)
    rows = tuple(
        (place.name, place.where, _reads(answer, place))
        for place in (high, *_lines(answer), *_marks(answer))
    )
    note = (
        "r: what the staff reads on the high point; less is higher. From a new set-up hold it on a"
        " mark, reckon r from that, and prove it on a second mark."
    )
    yield Grid(Table("Setting the level", heads, rows, f"{note}{off_note(answer)}"))


def staff_places(answer: Answer) -> tuple[StaffPlace, ...]:
    """Return the base's lines, and the marks that its level can be set from again.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of StaffPlace
        Lines of the base first; then the benchmark, or without one the points that were read
        nearest to the ends of the runs.
    """
    return (*_lines(answer), *_marks(answer))


def _reads(answer: Answer, place: StaffPlace) -> str:
    if abs(place.above_mm) < _SAME_MM:
        return "r"
    sign = "−" if place.above_mm > 0 else "+"
    # What it is rounded by belongs to the difference without its sign.
    return f"r {sign} {with_off(answer, abs(place.above_mm))}"


def _lines(answer: Answer) -> Iterator[StaffPlace]:
    """Yield what is set by the level: underside and top of what carries the units."""
    datum = answer.datum
    under = datum.datum_mm - datum.high_point_mm
    lifts = [("", 0.0)] if not datum.front_lift_mm else [(", back row", 0.0)]
    if datum.front_lift_mm:
        lifts.append((", front row", datum.front_lift_mm))
    for of, lift in lifts:
        if on_bearers(answer.ground) and datum.bearer_mm:
            yield StaffPlace(f"bearers' underside{of}", "all along", under + lift)
            yield StaffPlace(f"bearers' top{of}", "all along", datum.base_height_mm + lift)
        else:
            yield StaffPlace(f"base top{of}", "all along", datum.base_height_mm + lift)


def _marks(answer: Answer) -> Iterator[StaffPlace]:
    """Yield the benchmark, or without one the points read nearest to the ends of the runs."""
    named = answer.job.floor.benchmark
    points = {str(one["point"]): one for one in records(answer.heights.points)}
    for name in [named] if named is not None else _at_ends(answer):
        height, sd, where = answer.job.floor.benchmark_mm, 0.0, "as it was marked"
        if name in points:
            one = points[name]
            height, sd = float(one["height_mm"]), float(one["sd_mm"])
            if np.isfinite([one["x_mm"], one["y_mm"]]).all():
                where = where_words(answer, float(one["x_mm"]), float(one["y_mm"]))
        if sd:
            where += f"; doubt {small(sd, answer.job.units)} {answer.job.units} (1 sd)"
        yield StaffPlace(name, where, height - answer.datum.high_point_mm, sd)


def _at_ends(answer: Answer) -> list[str]:
    """Return the points nearest to both ends of each run, three at most, each once."""
    points = answer.heights.points
    x, y = points["x_mm"].to_numpy(dtype=float), points["y_mm"].to_numpy(dtype=float)
    found: dict[str, None] = {}
    for run, frame in answer.layout.frames.items():
        units = [one for one in answer.layout.units if one.run == run]
        own_x, own_y = frame.to_own(x, y)
        for along, end in ((units[0].left_mm, units[0]), (units[-1].right_mm, units[-1])):
            away = np.hypot(own_x - along, own_y - end.unit.depth_mm)
            if np.isfinite(away).any():
                found[str(points["point"].iloc[int(np.nanargmin(away))])] = None
    return list(found)[:_MOST_POINTS]
