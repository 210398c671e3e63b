"""What stands at each support, in the order of the work: stacks, feet, frame or compound."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kit.answer import Answer
from kit.ink.base_tables import measured_words, stack_lines
from kit.ink.lengths import length, number, signed_small
from kit.ink.table import Head, Table, records
from kit.ink.words import on_packers
from kit.job.ways import way_of
from kit.paper.document import Grid, Heading, Part, Words
from kit.paper.job_sheet_places import off_note, set_out, with_off
from kit.paper.work_order import ORDER_RULE, work_order

_LETTERS_MM = 3.5
_TICK = "☐"

#: Heads of the columns that are filled in by hand.
_DONE, _FOUND = Head("set"), Head("as found")

#: What the head of printed sizes says of their unit; in inch jobs each pile tells its own.
_PRINTED = {"mm": "mm, as printed", "in": "as printed"}

#: Room to write a height down.
_LINE = "____________"


def stack_parts(answer: Answer) -> Iterator[Part]:
    """Yield the tables that are worked through support by support.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    supports = way_of(answer.base).supports
    yield Heading(f"{supports[:1].upper()}{supports[1:]}, one by one")
    runs = " Run by run, each from its own support nearest the high point."
    yield Words(ORDER_RULE + runs * (len(answer.job.runs) > 1), leads=True)
    if answer.base.method == "feet":
        yield Grid(_feet_table(answer), _LETTERS_MM)
    elif answer.base.method == "ladder":
        yield from _ladder_parts(answer)
    elif answer.base.method == "compound":
        yield from _compound_parts(answer)
    elif on_packers(answer):
        yield Grid(_stack_table(answer), _LETTERS_MM)


def begin_words(answer: Answer) -> str:
    """Return where the work begins and what stands there, in one sentence."""
    first = _in_order(answer)[0]
    name, units = str(first["support"]), answer.job.units
    wanted = f"{with_off(answer, float(first['target_mm']))} {units}"
    if on_packers(answer):
        pile, height = next(
            (pile, height) for one, pile, height, *_ in stack_lines(answer) if one == name
        )
        high = f"{with_off(answer, height)} {units}"
        return f"Begin at {name}: packers {pile} from the floor up, {high} high."
    return f"Begin at {name}: {way_of(answer.base).wanted} {wanted} high."


def _in_order(answer: Answer) -> list[dict[str, Any]]:
    """Return the supports as records in the order of the work."""
    of = {str(one["support"]): one for one in records(answer.supports)}
    return [of[name] for name in work_order(answer)]


def _stack_table(answer: Answer) -> Table:
    units = answer.job.units
    of = {name: (pile, height, error) for name, pile, height, _, error in stack_lines(answer)}
    heads = (
        _DONE,
        Head("stack"),
        Head("along", units),
        Head("height", units),
        Head(f"packers from the floor up [{_PRINTED[units]}]", wide=True),
        Head("error", units),
        _FOUND,
    )
    rows = []
    for one in _in_order(answer):
        name = str(one["support"])
        pile, height, error = of[name]
        place, off = set_out(answer, one["own_x_mm"]), signed_small(error, units)
        rows.append((_TICK, name, place, with_off(answer, height), pile, off, _LINE))
    return Table("Stacks", heads, tuple(rows), f"{_measured(answer)}{off_note(answer)}".strip())


def _measured(answer: Answer) -> str:
    """Return which packers are not as thick as they are printed."""
    said = measured_words(answer)
    note = "Packers are named by the size printed on them"
    told = f"{note}; heights count as measured: {said}." if said else f"{note}."
    return f"{told} Error: what is left, + is high."


def _feet_table(answer: Answer) -> Table:
    units = answer.job.units
    of = {str(one["support"]): one for one in records(answer.details["feet.csv"])}
    heads = (
        _DONE,
        Head("foot"),
        Head("along", units),
        Head("kind"),
        Head("set to", units),
        Head("up left", units),
        Head("down left", units),
        _FOUND,
    )
    rows = []
    for one in _in_order(answer):
        foot = of[str(one["support"])]
        rows.append(
            (
                _TICK,
                str(one["support"]),
                set_out(answer, one["own_x_mm"]),
                str(foot["kind"]),
                with_off(answer, foot["set_mm"]),
                length(foot["up_left_mm"], units),
                length(foot["down_left_mm"], units),
                _LINE,
            )
        )
    note = "Up and down left: how far the foot can still be turned from there."
    return Table("Feet", heads, tuple(rows), f"{note}{off_note(answer)}")


def _ladder_parts(answer: Answer) -> Iterator[Part]:
    units = answer.job.units
    profile = answer.details["profile.csv"]
    board_mm = float(profile["depth_mm"].iloc[0] + profile["cut_mm"].iloc[0])
    heads = (
        _DONE,
        Head("place"),
        Head("along", units),
        Head("depth left", units),
        Head("cut off", units),
        _FOUND,
    )
    rows = tuple(
        (
            _TICK,
            str(one["support"]),
            set_out(answer, one["own_x_mm"]),
            with_off(answer, one["target_mm"]),
            with_off(answer, board_mm - one["target_mm"]),
            _LINE,
        )
        for one in _in_order(answer)
    )
    board = length(board_mm, units)
    note = (
        f"Depth of the member there, top to floor; cut off from a board {board} {units} deep."
        f" The line between them: profile.csv of the answer.{off_note(answer)}"
    )
    yield Grid(Table("Depth of the long members", heads, rows, note), _LETTERS_MM)
    yield Grid(_members_table(answer))


def _members_table(answer: Answer) -> Table:
    units = answer.job.units
    heads = (
        _DONE,
        Head("member"),
        Head("row"),
        Head("middle along the run", units),
        Head("length", units),
        Head("least depth", units),
        Head("greatest depth", units),
    )
    rows = tuple(
        (
            _TICK,
            str(one["member"]),
            str(one["rows"]),
            length(one["at_x_mm"], units),
            with_off(answer, one["length_mm"]),
            with_off(answer, one["least_mm"]),
            with_off(answer, one["greatest_mm"]),
        )
        for one in records(answer.details["members.csv"])
    )
    note = f"Long members first, then the rungs between them.{off_note(answer)}"
    return Table("Members", heads, rows, note)


def _compound_parts(answer: Answer) -> Iterator[Part]:
    yield Grid(_zone_table(answer), _LETTERS_MM)
    units = answer.job.units
    measures = (Head("along", units), Head("out", units), Head("depth", units))
    heads = (_DONE, Head("place"), *measures, _FOUND)
    rows = tuple(
        (
            _TICK,
            str(one["support"]),
            set_out(answer, one["own_x_mm"]),
            set_out(answer, one["own_y_mm"]),
            with_off(answer, one["target_mm"]),
            _LINE,
        )
        for one in _in_order(answer)
    )
    note = f"At both ends of every side and division: set level pins by them.{off_note(answer)}"
    yield Grid(Table("Depth at places", heads, rows, note), _LETTERS_MM)


def _zone_table(answer: Answer) -> Table:
    units = answer.job.units
    heads = (
        _DONE,
        Head("zone", wide=True),
        Head("bags", "no."),
        Head("volume", "l"),
        Head("least depth", units),
        Head("greatest depth", units),
        Head("dry", "days"),
    )
    rows = tuple(
        (
            _TICK,
            str(one["zone"]),
            number(one["bags"], 2),
            number(one["volume_l"], 1),
            length(one["least_mm"], units),
            length(one["greatest_mm"], units),
            number(one["dry_days"], 1),
        )
        for one in records(answer.details["zones.csv"])
    )
    bags = int(answer.take_off.loc[answer.take_off["item"] == "compound bag", "count"].sum())
    note = f"With what is mixed and not used; {bags} whole bags in all."
    return Table("What is poured", heads, rows, note)
