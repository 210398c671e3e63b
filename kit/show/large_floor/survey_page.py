"""A survey of many set-ups on one page: how much was read, which rounds miss, what hangs loose."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from typing import Any

from kit.ink.lengths import Units, number, small
from kit.ink.table import Head, Page, Table, figures, page, records, sentences
from kit.readings import Heights
from kit.show.large_floor.network import nodes_of

#: Rounds and weak ties that are told one by one.
MOST_ROUNDS, MOST_TIES = 12, 8

#: What a reading is taken from, by its kind.
_STATIONS = {
    "staff": "set-ups",
    "heights": "tables of heights",
    "grid": "grids",
    "scan": "scans",
    "level": "lines of a spirit level",
    "straightedge": "placements of a straight edge",
}


def survey_page(heights: Heights, units: Units) -> Page:
    """Return what the readings of a large survey say of each other.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    units : {"mm", "in"}
        In which lengths are shown.
    """
    ties = list(tie_sentences(heights, units)) or ["No part hangs on one point alone."]
    return page(
        size_table(heights, units), rounds_table(heights, units), sentences(ties, "Weak ties")
    )


def size_table(heights: Heights, units: Units) -> Table:
    """Return how much was read, and how well it agrees."""
    net, rounds = heights.weak_ties.net, heights.loops
    kinds = Counter(net.kinds)
    beyond = int(rounds["beyond"].sum())
    sd = heights.points["sd_mm"]
    values = {
        **{_STATIONS.get(kind, kind): str(count) for kind, count in kinds.items()},
        "points": str(len(heights.points)),
        "readings": str(len(heights.residuals)),
        "of these more than needed": str(heights.redundancy),
        "rounds that close": str(len(rounds)),
        "of these further out than expected": str(beyond),
        "sigma0, 1 where the readings are as good as stated": number(heights.sigma0, 2),
        "doubt of a height, 1 sd": f"{small(float(sd.min()), units)} to"
        f" {small(float(sd.max()), units)} {units}",
    }
    return figures("The survey", values)


def rounds_table(heights: Heights, units: Units) -> Table:
    """Return the rounds, the worst first, the first dozen; those beyond expectation heavier."""
    heads = (
        Head("no.", right=True),
        Head("round", wide=True),
        Head("misses by", units),
        Head("expected within", units),
        Head("verdict"),
        Head("readings", wide=True),
    )
    told = records(heights.loops.head(MOST_ROUNDS))
    rows = tuple(
        (
            str(place),
            _round_words(heights, str(one["round"])),
            small(one["misclosure_mm"], units),
            small(one["expected_within_mm"], units),
            "further out than expected" if one["beyond"] else "as expected",
            str(one["readings"]),
        )
        for place, one in enumerate(told, start=1)
    )
    bad = frozenset(place for place, one in enumerate(told) if one["beyond"])
    return Table("Rounds, the worst first", heads, rows, _rounds_note(heights), bad)


def _round_words(heights: Heights, words: str) -> str:
    """Return a round with room about its dashes, so that a long one breaks between its names."""
    known = {*heights.points["point"], *heights.weak_ties.net.names}
    return " – ".join(nodes_of(words.split("-"), known)) or words


def _rounds_note(heights: Heights) -> str:
    rounds = heights.loops
    if not len(rounds):
        return "No round closes: nothing in the readings checks one set-up against another."
    more = rounds.iloc[MOST_ROUNDS:]
    said = ""
    if len(more):
        beyond = int(more["beyond"].sum())
        tail = f"{beyond} of them further out than expected" if beyond else "all as expected"
        said = f"{len(more)} more {'round' if len(more) == 1 else 'rounds'}, {tail}. "
    return said + (
        f"19 in 20 sound rounds stay within what is expected; of {len(rounds)} about"
        f" {math.ceil(len(rounds) / 20)} may be beyond it by chance."
    )


def tie_sentences(heights: Heights, units: Units) -> Iterator[str]:
    """Yield a sentence on each part that hangs on one point, and how many more there are."""
    ties = records(heights.ties)
    for one in ties[:MOST_TIES]:
        yield _tie_words(one, units)
    more = ties[MOST_TIES:]
    if more:
        loose = sum(not one["checked"] for one in more)
        tail = f", {loose} of them by a reading that nothing checks" if loose else ""
        yield f"{len(more)} more {'part hangs' if len(more) == 1 else 'parts hang'} so{tail}."


def _tie_words(one: dict[str, Any], units: Units) -> str:
    single = one["setups"] == 1
    points = f"{one['points']} {'point' if one['points'] == 1 else 'points'}"
    said = f"{one['part']} with {points} {'hangs' if single else 'hang'} on {one['tie']} alone. "
    if one["checked"]:
        said += "Both sides read it more than once; if it was touched, nothing shows it."
    else:
        said += "No other reading checks that tie: a slip in it moves all of the part, unseen."
    said += f" Doubt to the rest {small(one['sd_mm'], units)} {units} (1 sd)."
    if one["read"]:
        said += f" Read {one['read']}: then it is {small(one['sd_then_mm'], units)} {units}."
    return said if one["checked"] else f"⚠ {said}"
