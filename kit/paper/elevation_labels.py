"""The letters above and below an elevation: heights, names, packers, depths of a pour."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from kit.ink.escape import cut_text
from kit.ink.lengths import Units, length, printed_figures, rounding
from kit.ink.table import records
from kit.job import Packer
from kit.paper.dimensions import PITCH_MM, spread, turned
from kit.paper.elevation_view import ElevationView, Section
from kit.paper.label_places import lines_within
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import THIN, Letters, Mark, Stroke
from kit.paper.row_places import Support, zones_of

_BIG_MM, _SMALL_MM, _GAP_MM, _STEP_MM = 3.5, 2.5, 1.2, 3.3

#: From the row to its labels above and below: a leader that can lean [mm of paper].
LEAD_MM = 3.4

#: Longest name of a unit over its zone, in letters; the plan has it whole.
_NAME_LETTERS = 40

#: Text, size [mm], whether bold.
Part = tuple[str, float, bool]


def heights_over(section: Section, supports: Sequence[Support]) -> list[list[Part]]:
    """Return what stands over each support: how high it is, and its rounding in inch jobs."""
    units = section.answer.job.units
    labels = []
    for one in supports:
        high = section.stack_mm(one)
        off = rounding(high, units)
        parts: list[Part] = [(length(high, units), _BIG_MM, False)]
        labels.append(parts + ([(f"({off})", _SMALL_MM, False)] if off else []))
    return labels


def piles_below(section: Section, supports: Sequence[Support]) -> list[list[Part]]:
    """Return what stands below each support: its name, and its packers or its kind of foot."""
    job, feet = section.answer.job, section.answer.details.get("feet.csv")
    kinds = {} if feet is None else {str(o["support"]): str(o["kind"]) for o in records(feet)}
    labels = []
    for one in supports:
        said = (
            pile(one.kinds, job.stock.packers, job.units) if one.kinds else kinds.get(one.name, "")
        )
        parts: list[Part] = [(said, _SMALL_MM, False)] if said else []
        labels.append([(one.name, _BIG_MM, True), *parts])
    return labels


def pile(kinds: Sequence[int], packers: Sequence[Packer], units: Units) -> str:
    """Return packers from the floor up by their printed sizes; equal ones together are counted."""
    printed, unit = printed_figures([packers[kind].mm for kind in kinds], units)
    said = []
    for size, of in groupby(printed):
        count = len(list(of))
        said.append(f"{count}×" * (count > 1) + size)
    return " + ".join(said) + (f" {unit}" if units == "in" and unit else "")


def labels_along(
    at_mm: Sequence[float],
    labels: Sequence[Sequence[Part]],
    y_mm: float,
    width_mm: float,
    *,
    up: bool,
) -> list[Mark]:
    """Draw labels, turned and pushed apart, each with a leader from its place.

    Parameters
    ----------
    at_mm : sequence of float
        Places along the paper [mm].
    labels : sequence of sequence of Part
        One a place.
    y_mm : float
        Where the leaders begin [mm of paper].
    width_mm : float
        Of the drawing [mm].
    up : bool
        Whether the labels stand above; else below.
    """
    side, marks = -1.0 if up else 1.0, list[Mark]()
    places = spread(at_mm, PITCH_MM, PITCH_MM / 2, width_mm - PITCH_MM / 2)
    for x, place, parts in zip(at_mm, places, labels, strict=True):
        marks.append(Stroke(((x, y_mm), (place, y_mm + side * (LEAD_MM - 0.4))), THIN))
        foot = y_mm - LEAD_MM if up else y_mm + LEAD_MM + _long(parts)
        marks += turned(parts, place, foot)
    return marks


def zone_words(view: ElevationView, y_mm: float) -> tuple[list[Mark], float]:
    """Return the depths of each zone of a pour, over it, and how far down they reach.

    Parameters
    ----------
    view : ElevationView
        Where places along the run lie.
    y_mm : float
        Below which they stand [mm of paper].
    """
    section = view.section
    table, units = section.answer.details.get("zones.csv"), section.answer.job.units
    depths = {} if table is None else {str(one["zone"]): one for one in records(table)}
    here = {placed.unit.name for placed in section.row.units}
    marks: list[Mark] = []
    most = 0
    for zone in zones_of(section.answer, section.row.run):
        a, b = view.inside(zone.left_mm), view.inside(zone.right_mm)
        if a < b and zone.unit in here:
            ends = [length(float(depths[zone.name][f"{key}_mm"]), units) for key in _ENDS]
            room = max(view.x(b) - view.x(a) - 1.0, 4.0)
            # Name and figures apart: a name that is read from the right would turn them round.
            texts = cut_text(zone.unit, _NAME_LETTERS), f"{' to '.join(ends)} {units} deep"
            lines = [line for text in texts for line in lines_within(text, _SMALL_MM, room)]
            middle, most = (view.x(a) + view.x(b)) / 2, max(most, len(lines))
            marks += (
                Letters((middle, y_mm + 3.0 + n * _STEP_MM), line, _SMALL_MM, "middle")
                for n, line in enumerate(lines)
            )
    return marks, y_mm + (3.0 + _STEP_MM * most if most else 0.0)


_ENDS = ("least", "greatest")


def tallest(labels: Sequence[Sequence[Part]]) -> float:
    """Return how tall the tallest turned label is [mm]."""
    return max((_long(parts) for parts in labels), default=0.0)


def _long(parts: Sequence[Part]) -> float:
    wide = sum(letters_wide_mm(text, size, bold=bold) for text, size, bold in parts)
    return wide + _GAP_MM * (len(parts) - 1)
