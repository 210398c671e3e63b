"""What is set out along a row: its supports, the ends of what runs along it, and its joints."""

from __future__ import annotations

from dataclasses import dataclass

from kit.answer import Answer
from kit.base.layout import Layout
from kit.base.pour_zones import Zone, pour_zones
from kit.base.runs import PlacedUnit, Row
from kit.ink.lengths import run_length, told_rounding
from kit.ink.table import records
from kit.job import Run
from kit.job.ways import way_of

#: What each row is called.
ROW_WORDS = {"B": "back row", "M": "middle row", "F": "front row", "D": "further row"}

#: Places nearer than this are one [mm]: nobody marks out finer.
SAME_MM = 0.05


@dataclass(frozen=True)
class RowPlace:
    """One place along a run [mm], and what is there."""

    at_mm: float
    name: str


@dataclass(frozen=True)
class Support:
    """A support of a row.

    Parameters
    ----------
    name : str
    at_mm : float
        Along the run [mm].
    floor_mm, target_mm : float
        Height of the floor there, and what has to stand on it [mm].
    kinds : tuple of int
        Its packers from the floor up, as numbers of ``job.stock.packers``.
    """

    name: str
    at_mm: float
    floor_mm: float
    target_mm: float
    kinds: tuple[int, ...]


def run_of(answer: Answer, name: str) -> Run:
    """Return a run by its name."""
    return next(run for run in answer.job.runs if run.name == name)


def rows_of(layout: Layout, run: str) -> tuple[Row, ...]:
    """Return the rows of a run, from the wall into the room."""
    return tuple(sorted((r for r in layout.rows if r.run == run), key=lambda row: row.y_mm))


def units_of(layout: Layout, run: str) -> tuple[PlacedUnit, ...]:
    """Return the units of a run, from left to right."""
    return tuple(placed for placed in layout.units if placed.run == run)


def supports_of(answer: Answer, row: Row) -> tuple[Support, ...]:
    """Return the supports of a row, from left to right."""
    pairs = zip(records(answer.supports), answer.datum.plan.stacks, strict=False)
    stacks = {str(one["support"]): tuple(kinds) for one, kinds in pairs}
    found = [
        Support(
            str(one["support"]),
            float(one["own_x_mm"]),
            float(one["floor_mm"]),
            float(one["target_mm"]),
            stacks.get(str(one["support"]), ()),
        )
        for one in records(answer.supports)
        if one["bearer"] == row.name
    ]
    return tuple(sorted(found, key=lambda one: one.at_mm))


def pieces_of(answer: Answer, row: Row) -> tuple[tuple[float, float], ...]:
    """Return from where to where each piece along a row reaches [mm]; none where none does."""
    cuts = [one for one in records(answer.cuts.cuts) if one["bearer"] == row.name]
    return tuple(sorted((float(one["from_x_mm"]), float(one["to_x_mm"])) for one in cuts))


def set_out_places(answer: Answer, row: Row) -> tuple[RowPlace, ...]:
    """Return what is set out along a row, from left to right.

    Returns
    -------
    tuple of RowPlace
        Its supports by their names; ends and joints of what runs along it. A joint over a support
        is one place with it.
    """
    places = {one.at_mm: one.name for one in supports_of(answer, row)}
    pieces = pieces_of(answer, row)
    cuts = [(end, "joint") for _, end in pieces[:-1]]
    cuts += [(pieces[0][0], "end"), (pieces[-1][1], "end")] if pieces else []
    for at, what in cuts:
        same = next((mm for mm in places if abs(mm - at) <= SAME_MM), at)
        places[same] = f"{places[same]} {what}" if same in places else what
    return tuple(RowPlace(at, name) for at, name in sorted(places.items()))


def zones_of(answer: Answer, run: str) -> tuple[Zone, ...]:
    """Return what is poured along a run, from left to right; nothing where nothing is."""
    compound = answer.base.compound
    if compound is None or answer.base.method != "compound":
        return ()
    return tuple(zone for zone in pour_zones(answer.job, compound) if zone.run == run)


def zone_places(zones: tuple[Zone, ...]) -> tuple[RowPlace, ...]:
    """Return where a pour begins, changes its depth from the wall, and ends along its run."""
    edges = {zone.left_mm for zone in zones} | {zone.right_mm for zone in zones}
    return tuple(RowPlace(at, "edge") for at in sorted(edges))


def row_words(answer: Answer, row: Row, *parts: Row) -> str:
    """Return what a row is: its name, which row, and how far its middle is from what it counts.

    Of a row that movement joints part, with its further parts.
    """
    units, skirting = answer.job.units, run_of(answer, row.run).skirting_mm
    way = way_of(answer.base)
    names = ", ".join(one.name for one in (row, *parts))
    named = f"{way.along}{'s' * bool(parts)} {names}, {ROW_WORDS[row.label]}"
    plane = "the skirting's face" if skirting else "the wall"
    out, off = run_length(row.y_mm, units), told_rounding(row.y_mm, units)
    off = f" ({off})" if off else ""
    return f"{named[0].upper()}{named[1:]}: middle {out} {units}{off} out from {plane}"
