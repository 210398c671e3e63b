"""The first sheet of a workbook: which job, which base, its main figures, what stands where."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL
from kit.ink.inch_words import in_units
from kit.ink.words import VERDICTS, on_packers
from kit.job.units import mm_to_inches
from kit.job.ways import way_of
from kit.paper.workbook_columns import Cell, Column, Sheet, off_inches, sixteenths

#: Texts longer than this go on in the next row, so that a cell holds each part [UTF-16 units].
PART_LETTERS = 30_000

_WHOLE_NUMBERS = "A cell shows fewer digits than it holds: its number is whole."
_PRINTED = "What is printed on packers and screws stands beside their sizes in mm."
_LENGTHS = "Lengths are in mm; beside them inches, and where one sets out or cuts, sixteenths."
_OFF = "Sixteenths less true: by how much the sixteenths are more than the length itself."


@dataclass(frozen=True)
class _Line:
    """One figure: what, how much, its unit."""

    what: str
    value: Cell
    unit: str = ""


def overview(answer: Answer, sheets: Sequence[Sheet]) -> Sheet:
    """Return the first sheet.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    sheets : sequence of Sheet
        All others, of which it says what they hold.
    """
    lines = [*_job(answer), *_level(answer), *_floor(answer), *_bill(answer), *_said(answer)]
    lines += [_Line(f"sheet {one.name}", one.about) for one in sheets]
    lines = [one for one in lines if one.value is not None and one.value != ""]
    columns = [
        Column("figure", tuple(one.what for one in lines)),
        Column("value", tuple(one.value for one in lines), "0.00###"),
        Column("unit", tuple(one.unit for one in lines)),
    ]
    if answer.job.units == "in":
        mm = [one.value if one.unit == "mm" else None for one in lines]
        lengths = [one if isinstance(one, float) else None for one in mm]
        columns += [
            Column("[in]", tuple(_or_none(one, mm_to_inches) for one in lengths), "0.000"),
            Column("[in, sixteenths]", tuple(_or_none(one, sixteenths) for one in lengths)),
            Column(
                "sixteenths less true [in]",
                tuple(_or_none(one, off_inches) for one in lengths),
                "+0.000;-0.000;0.000",
            ),
        ]
    return Sheet("overview", "", tuple(columns))


def _or_none(mm: float | None, turn: Callable[[float], Cell]) -> Cell:
    return None if mm is None else turn(mm)


def _job(answer: Answer) -> Iterator[_Line]:
    job, base = answer.job, answer.base
    for what, text in (("job", job.title), ("notes", job.notes)):
        for number, part in enumerate(parts(text)):
            yield _Line(what if not number else f"{what}, continued", part)
    yield _Line("base", base.name)
    yield _Line("way of building", way_of(base).name)
    yield _Line("heights above", job.floor.benchmark or "the highest reading, which is 0")
    if job.floor.benchmark:
        yield _Line(f"height of {job.floor.benchmark}", float(job.floor.benchmark_mm), "mm")


def parts(text: str) -> Iterator[str]:
    """Yield a text in parts that a cell holds, broken behind a space where there is one."""
    while len(text.encode("utf-16-le")) // 2 > PART_LETTERS:
        # Half as many code points as units are never too many.
        at = max(text.rfind(sign, 0, PART_LETTERS // 2) for sign in " \n") + 1
        at = at or PART_LETTERS // 2
        yield text[:at]
        text = text[at:]
    yield text


def _level(answer: Answer) -> Iterator[_Line]:
    datum, traits = answer.datum, answer.traits
    yield _Line("base top above the high point", float(datum.base_height_mm), "mm")
    under = "underside of the bearers" if datum.bearer_mm else "underside of the units"
    yield _Line(f"{under}, in the heights of the survey", float(datum.datum_mm), "mm")
    yield _Line("base top, in the heights of the survey", float(datum.base_top_mm), "mm")
    yield _Line("front set high by", float(datum.front_lift_mm), "mm")
    yield _Line("off the level that was meant, at most", float(traits.level_error_mm), "mm")
    yield _Line(way_of(answer.base).supports, len(answer.supports))
    if on_packers(answer):
        yield _Line("packers", answer.pieces)
    yield _Line("screws into the floor", traits.floor_screws)


def _floor(answer: Answer) -> Iterator[_Line]:
    high, plane, heights = answer.high_point, answer.plane, answer.heights
    yield _Line("high point under the base, x", float(high.x_mm), "mm")
    yield _Line("high point under the base, y", float(high.y_mm), "mm")
    yield _Line("its height", float(high.height_mm), "mm")
    yield _Line("its doubt, 1 sd", float(high.sd_mm), "mm")
    yield _Line("certainty that it is the highest", float(high.certainty), "share of floors")
    yield _Line("fall of the floor", float(plane.fall_mm_per_m), "mm per m")
    yield _Line("it falls towards", float(plane.fall_towards_deg), "degrees from +x towards +y")
    yield _Line("root mean square off the plane", float(plane.rms_mm), "mm")
    yield _Line("readings more than needed", heights.redundancy)
    yield _Line("sigma0", _known(heights.sigma0))
    for text in heights.understood:
        yield _Line("readings", text)


def _bill(answer: Answer) -> Iterator[_Line]:
    bill, money = answer.bill, answer.job.rates.money
    yield _Line("cost of the things", _known(bill.cost), money)
    yield _Line("without a price", "; ".join(bill.unpriced))
    yield _Line("work", float(bill.minutes), "min")
    if bill.wait_days:
        yield _Line("wait before the units may stand", float(bill.wait_days), "days")
    verdicts = answer.checks["verdict"]
    for verdict, (_, word) in VERDICTS.items():
        yield _Line(f"checks: {word}", int((verdicts == verdict).sum()))


def _said(answer: Answer) -> Iterator[_Line]:
    units = answer.job.units
    for text in (*answer.heights.suspects, *answer.heights.notes):
        yield _Line("of the readings", in_units(text, units))
    yield _Line("no approval", NO_APPROVAL)
    yield _Line("numbers", _WHOLE_NUMBERS)
    if units == "in":
        yield _Line("lengths", f"{_LENGTHS} {_OFF} {_PRINTED}")


def _known(value: float) -> Cell:
    return float(value) if math.isfinite(value) else None
