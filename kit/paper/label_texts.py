"""What each label of a base says: one a support, or, where it is poured, one a zone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from kit.answer import Answer
from kit.ink.base_tables import stack_lines
from kit.ink.lengths import Units, length, printed_figures, printed_sizes, run_length, told_rounding
from kit.ink.table import records
from kit.ink.words import on_packers


@dataclass(frozen=True)
class Label:
    """One label.

    Parameters
    ----------
    name : str
        Of the support or zone, in the largest letters.
    lines : tuple of str
        Below it.
    pile_mm : tuple of float
        Thickness of each packer from the floor up [mm]; empty where there are none.
    printed : tuple of str
        Size printed on each of them, without its unit where all share it.
    """

    name: str
    lines: tuple[str, ...]
    pile_mm: tuple[float, ...] = ()
    printed: tuple[str, ...] = ()

    @property
    def tall_mm(self) -> float:
        """Height of its pile [mm]."""
        return math.fsum(self.pile_mm)


def label_texts(answer: Answer) -> tuple[Label, ...]:
    """Return every label of a base, row by row.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of Label
        From the wall into the room, each row from left to right.
    """
    if on_packers(answer):
        return tuple(_stacks(answer))
    of = {"feet": _feet, "ladder": _crossings, "compound": _zones}[answer.base.method]
    return tuple(of(answer))


def _stacks(answer: Answer) -> Iterator[Label]:
    units, packers = answer.job.units, answer.job.stock.packers
    screws = _screws(answer)
    supports = records(answer.supports)
    for support, stack, told in zip(
        supports, answer.datum.plan.stacks, stack_lines(answer), strict=True
    ):
        name, _, height, _, _ = told
        printed, unit = printed_figures([packers[kind].mm for kind in stack], units)
        lines = (
            f"stack {_exact(height, units)}",
            f"{_counted(printed)} {unit}" if units == "in" else _counted(printed),
            _place(support, units),
            screws.get(name, ""),
        )
        pile = tuple(packers[kind].thickness_mm for kind in stack)
        yield Label(name, tuple(line for line in lines if line), pile, printed)


def _counted(printed: tuple[str, ...]) -> str:
    """Return packers from the floor up, equal ones that lie on each other counted."""
    groups = ((size, len(list(of))) for size, of in groupby(printed))
    return " + ".join(f"{count}×{size}" if count > 1 else size for size, count in groups)


def _screws(answer: Answer) -> Mapping[str, str]:
    """Return the screws of each support from the floor up."""
    units, of = answer.job.units, dict[str, list[float]]()
    for screw in records(answer.screws):
        of.setdefault(str(screw["support"]), []).append(float(screw["length_mm"]))
    unit = " mm" if units == "mm" else ""
    return {
        support: f"screws {printed_sizes(sizes, units, ', ')}{unit}"
        for support, sizes in of.items()
    }


def _feet(answer: Answer) -> Iterator[Label]:
    units = answer.job.units
    places = {str(one["support"]): one for one in records(answer.supports)}
    for foot in records(answer.details["feet.csv"]):
        name = str(foot["support"])
        lines = (f"foot {foot['kind']}", f"set to {_exact(float(foot['set_mm']), units)}")
        yield Label(name, (*lines, _place(places[name], units)))


def _crossings(answer: Answer) -> Iterator[Label]:
    units = answer.job.units
    for support in records(answer.supports):
        depth = _exact(float(support["target_mm"]), units)
        lines = (f"member {support['bearer']}", f"depth here {depth}", _place(support, units))
        yield Label(str(support["support"]), lines)


def _zones(answer: Answer) -> Iterator[Label]:
    units, several = answer.job.units, len(answer.layout.frames) > 1
    for zone in records(answer.details["zones.csv"]):
        least, greatest = float(zone["least_mm"]), float(zone["greatest_mm"])
        lines = (
            *((f"run {zone['run']}",) if several else ()),
            f"depth {length(least, units)} to {_exact(greatest, units)}",
            f"mean {_exact(float(zone['mean_mm']), units)}",
            f"{float(zone['volume_l']):.1f} l, {float(zone['bags']):.2f} bags",
        )
        yield Label(str(zone["zone"]), lines)


def _place(support: Mapping[str, Any], units: Units) -> str:
    mm = float(support["own_x_mm"])
    return f"at {run_length(mm, units)} {units}{_beside(mm, units)}"


def _exact(mm: float, units: Units) -> str:
    """Return a length with its unit, in inches with what it is rounded by."""
    return f"{length(mm, units)} {units}{_beside(mm, units)}"


def _beside(mm: float, units: Units) -> str:
    off = told_rounding(mm, units)
    return f" ({off})" if off else ""
