"""The sheets of a workbook that hold an answer's tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pandas as pd

from kit.answer import Answer
from kit.ink.base_tables import stack_lines
from kit.ink.inch_words import in_units
from kit.ink.lengths import Units
from kit.ink.words import on_packers
from kit.job.units import MM_PER_INCH
from kit.job.ways import way_of
from kit.paper.workbook_columns import Column, Inches, Sheet, columns_of, said_in
from kit.results import tables

#: Places in plan.
_PLACES = frozenset({"own_x_mm", "own_y_mm", "x_mm", "y_mm"})

#: What is set out or cut by, sheet by sheet.
_SET_OUT = {
    "supports": _PLACES | {"target_mm", "stack_mm"},
    "cuts": frozenset({"length_mm", "from_x_mm", "to_x_mm"}),
    "plinth": frozenset({"least_mm", "greatest_mm", "board_mm"}),
    "feet": frozenset({"set_mm"}),
    "members": frozenset({"at_x_mm", "from_mm", "to_mm", "length_mm"}),
    "profile": frozenset({"along_mm", "depth_mm", "cut_mm"}),
    "zones": frozenset({"least_mm", "greatest_mm"}),
}

#: Sizes that are printed on what is bought.
_PRINTED = {
    "stacks": frozenset({"nominal_mm"}),
    "screws": frozenset({"length_mm"}),
    "take-off": frozenset({"size_mm"}),
}

#: What each sheet holds; those of one way of building and of what carries come by their file.
_ABOUT = {
    "readings": "every reading as it was read, in the order of the tables",
    "heights": "the readings adjusted: height and doubt of each point",
    "residuals": "what the adjustment changed of each reading, and how far others check it",
    "supports": "where each support stands, on which floor, how high, and what comes down on it",
    "stacks": "each packer of each stack, from the floor up",
    "screws": "the screws of each stack, and how far their points go below the floor's surface",
    "cuts": "the pieces, and the bought length (bar) that each is cut from",
    "take-off": "what has to be in the van, for the floor as read",
    "work": "the steps of the work; minutes of your own go under [rates]",
    "room under": "least room between the floor and what lies over it",
    "plinth": "height of the plinth of each run, and the board that covers it",
    "feet": "how high each foot is set, and how far it can still be turned",
    "members": "members and rungs of the frame; a negative straight gap would stand proud",
    "profile": "depth of each member along it, and what is cut off its lower edge",
    "zones": "what is poured under each unit",
    "reactions": "what each support carries, and whether it hangs idle",
    "spans": "how far each bearer sags between the stacks that carry it",
    "joists": "what each joist does under the furniture",
    "units": "how each unit leans, winds, stands and tips",
    "checks": "every check with its limit and its source; refer: ask who may decide",
    "cautions": "to be read before work begins",
}


#: A row of a table of readings is no row of supports.
_ROW = {"row": "row_of_file"}


def answer_sheets(answer: Answer, further: Sequence[Sheet] = ()) -> Iterator[Sheet]:
    """Yield the sheets of an answer that have rows, in the order of the work.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    further : sequence of Sheet
        Put in behind the take-off.
    """
    for name, table in _frames(answer):
        columns = columns_of(table, answer.job.units, _inches(name))
        if len(table):
            yield Sheet(name, _ABOUT.get(name, ""), _with_heads(answer, name, columns))
        if name == "take-off":
            yield from further
    yield _cautions(answer)


def _inches(name: str) -> Inches:
    return Inches(_SET_OUT.get(name, frozenset()), _PRINTED.get(name, frozenset()))


def _frames(answer: Answer) -> Iterator[tuple[str, pd.DataFrame]]:
    """Yield each table that belongs on a sheet of its own, by the sheet's name."""
    found, units = tables(answer), answer.job.units
    yield "readings", _readings(answer).rename(columns=_ROW)
    hump = answer.plane.residual_mm
    yield "heights", found["heights.csv"].assign(hump_mm=hump)
    detectable = answer.heights.residuals["detectable_mm"]
    yield "residuals", found["residuals.csv"].assign(detectable_mm=detectable).rename(columns=_ROW)
    yield "supports", _supports(answer)
    yield "stacks", found["stacks.csv"]
    yield "screws", said_in(found["screws.csv"], "reason", units)
    yield "cuts", found["cuts.csv"]
    yield "room under", answer.clearance
    yield "plinth", answer.plinth
    for name, table in answer.details.items():
        yield name.removesuffix(".csv"), table
    yield "take-off", found["takeoff.csv"]
    yield "work", found["work.csv"]
    for name in ("reactions", "spans", "joists", "units"):
        yield name, found[f"{name}.csv"]
    yield "checks", _checks(found["checks.csv"], units)


def _readings(answer: Answer) -> pd.DataFrame:
    """Return the readings as they were read, each with the place of its point."""
    read = answer.heights.residuals
    names = list(dict.fromkeys(read["survey"].tolist()))
    kinds = dict(zip(names, (one.kind for one in answer.job.surveys), strict=True))
    places = answer.heights.points.set_index("point").loc[read["point"], ["x_mm", "y_mm"]]
    table = read[["survey", "row", "setup", "start", "point", "observed_mm", "sd_mm"]].assign(
        kind=read["survey"].map(kinds),
        x_mm=places["x_mm"].to_numpy(),
        y_mm=places["y_mm"].to_numpy(),
    )
    order = ["survey", "kind", "row", "setup", "start", "point", "x_mm", "y_mm"]
    kept = [
        name for name in order if not (name in {"setup", "start"} and (table[name] == "").all())
    ]
    return table[[*kept, "observed_mm", "sd_mm"]]


def _supports(answer: Answer) -> pd.DataFrame:
    """Return the supports, with their stacks where there are any."""
    first = ["support", "run", "row", "bearer", "own_x_mm", "own_y_mm", "x_mm", "y_mm", "reasons"]
    table = answer.supports[[*first, "floor_mm", "floor_sd_mm", "target_mm", "load_N"]]
    if not on_packers(answer):
        return table
    lines = list(stack_lines(answer))
    table = table.assign(
        stack_mm=[one[2] for one in lines],
        packers=[one[1] for one in lines],
        error_mm=[one[4] for one in lines],
    )
    return table[[name for name in table if name != "load_N"] + ["load_N"]]


def _checks(checks: pd.DataFrame, units: Units) -> pd.DataFrame:
    """Return the checks; in a job in inches lengths in inches too."""
    if units == "mm":
        return checks
    lengths = checks["unit"] == "mm"
    return checks.assign(
        value_in=(checks["value"] / MM_PER_INCH).where(lengths),
        limit_in=(checks["limit"] / MM_PER_INCH).where(lengths),
    )


def _with_heads(answer: Answer, name: str, columns: tuple[Column, ...]) -> tuple[Column, ...]:
    """Return the columns, what is wanted at a support called by what stands there."""
    if name != "supports":
        return columns
    wanted, bare = f"{way_of(answer.base).wanted} wanted", "target"
    return tuple(
        Column(one.head.replace(bare, wanted, 1), one.cells, one.digits)
        if one.head.startswith(bare)
        else one
        for one in columns
    )


def _cautions(answer: Answer) -> Sheet:
    said = tuple(in_units(line, answer.job.units) for line in answer.cautions)
    numbers = tuple(range(1, len(said) + 1))
    return Sheet("cautions", _ABOUT["cautions"], (Column("no.", numbers), Column("caution", said)))
