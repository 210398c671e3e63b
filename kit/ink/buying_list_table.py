"""The buying list for the eye: what to ask for, how it comes about, and what it promises."""

from __future__ import annotations

import math
import re
from dataclasses import replace

from kit.buying import BuyingList, Line
from kit.ink.inch_words import in_units
from kit.ink.lengths import NOTHING, Units, number, plan_length, printed_with_unit, rounding
from kit.ink.table import Head, Table

#: What is sold by the size printed on it.
PRINTED = ("packer", "screw")

#: How the names of things begin that are told by what their maker gives, in millimetres.
AS_MADE = ("packer", "screw")

_PRINTED_SIZE = re.compile(r"((?:packer|screw) of [\d.]+ mm|screw foot, [\d.-]+ mm)")
_NAMED = re.compile(r"(packer|screw) of ([\d.]+) mm")


def buying_list_table(bought: BuyingList, units: Units) -> Table:
    """Return the whole list: how many the plan takes, how many suffice, and what that comes to.

    Parameters
    ----------
    bought : BuyingList
        From `kit.buying.buying_list`.
    units : {"mm", "in"}
        Of the job; sizes printed on packers and screws stay as they are printed.
    """
    heads = (
        Head("item"),
        Head("size", right=True),
        Head("plan takes", right=True),
        Head(suffices_head(bought), right=True),
        Head("spares", right=True),
        Head("in stock", right=True),
        Head("to buy", right=True),
        Head("that is", right=True),
        Head("cost", bought.money),
    )
    rows = tuple(
        (
            item_words(line, units),
            size_words(line, units),
            f"{line.plan}",
            f"{line.enough}",
            f"{line.spares}" if line.item in PRINTED else NOTHING,
            "not said" if line.in_stock is None else f"{line.in_stock}",
            f"{line.to_buy}",
            packs_words(line),
            number(line.cost, 2),
        )
        for line in bought.lines
    )
    return Table("What to buy", heads, rows, cost_sentence(bought))


def reckoning_table(bought: BuyingList, units: Units) -> Table:
    """Return how numbers to buy come about that are not simply what the plan takes.

    Parameters
    ----------
    bought, units : BuyingList, {"mm", "in"}
        As for `buying_list_table`.
    """
    telling = tuple(
        line
        for line in bought.lines
        if line.enough != line.plan or line.spares or line.in_stock is not None
    )
    whole = buying_list_table(replace(bought, lines=telling), units)
    rows = tuple(row[:-2] for row in whole.rows)
    return Table("How it comes about, in pieces", whole.heads[:-2], rows)


def counter_table(bought: BuyingList, units: Units) -> Table:
    """Return what to ask for at the counter: only what is bought, with a box to tick.

    Parameters
    ----------
    bought, units : BuyingList, {"mm", "in"}
        As for `buying_list_table`.
    """
    heads = (
        Head("☐"),
        Head("what"),
        Head("size", right=True),
        Head("how many", right=True),
        Head("that is", right=True),
        Head("comes to", right=True),
        Head("cost", bought.money),
    )
    rows = tuple(
        (
            "☐",
            item_words(line, units),
            size_words(line, units),
            f"{line.to_buy}",
            packs_words(line),
            f"{line.bought}",
            number(line.cost, 2),
        )
        for line in bought.lines
        if line.packs
    )
    note = cost_sentence(bought) if rows else "Nothing has to be bought: all is in stock."
    return Table("To buy", heads, rows, note)


def buying_sentences(bought: BuyingList, units: Units) -> tuple[str, ...]:
    """Return what the list promises and what it does not, in the job's units."""
    return tuple(_but_printed(note, units) for note in bought.notes)


def _but_printed(note: str, units: Units) -> str:
    """Return a sentence in the job's units, with printed sizes as they are printed."""
    parts = _PRINTED_SIZE.split(note)
    return "".join(
        _NAMED.sub(lambda named: f"{named[1]} of {printed_with_unit(float(named[2]), units)}", part)
        if place % 2
        else in_units(part, units)
        for place, part in enumerate(parts)
    )


def suffices_head(bought: BuyingList) -> str:
    """Return the head of what suffices with the certainty asked for: "suffices on 95 %"."""
    return f"suffices on {100 * bought.certainty:g} %"


def item_words(line: Line, units: Units) -> str:
    """Return what a thing is, timber in the job's units as well."""
    words = f"{line.item}, {line.detail}" if line.detail else line.item
    return words if line.item.startswith(AS_MADE) else in_units(words, units)


def size_words(line: Line, units: Units) -> str:
    """Return a size with its unit, and in inches how far the shown length is off the true one."""
    if line.item.startswith("screw foot") or not math.isfinite(line.size_mm):
        return NOTHING
    if line.item in PRINTED or units == "mm":
        return printed_with_unit(line.size_mm, units)
    off = rounding(line.size_mm, units)
    told = f" ({off})" if off.strip("+-0.") else ""
    return f"{plan_length(line.size_mm, units)} in{told}"


def packs_words(line: Line) -> str:
    """Return what is asked for at the counter: "2 boxes of 200", "3 lengths"."""
    if not line.packs:
        return NOTHING
    word = line.sold_by if line.packs == 1 else _many(line.sold_by)
    if line.pack == 1 and line.sold_by in ("pack", "box"):
        return f"{line.packs} singly"
    return f"{line.packs} {word}" + (f" of {line.pack}" if line.pack > 1 else "")


def _many(word: str) -> str:
    return f"{word}es" if word.endswith("x") else f"{word}s"


def cost_sentence(bought: BuyingList) -> str:
    """Return what all that is bought costs, and that some of it has no price."""
    if not any(line.packs for line in bought.lines):
        return "Nothing has to be bought: all is in stock."
    if all(math.isnan(line.cost) for line in bought.lines if line.packs):
        return "What it costs cannot be told: no prices are given."
    total = f"{bought.cost:.2f} {bought.money}"
    if bought.unpriced:
        return f"What has a price comes to {total}; what shows {NOTHING} has none."
    return f"In all {total}."
