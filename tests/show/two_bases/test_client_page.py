"""The page for the client: whole, plain, harmless, and its figures the comparison's own."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from itertools import combinations, pairwise
from typing import Any

import pytest

from kit.base.cautions import NO_APPROVAL
from kit.ink.escape import html_text
from kit.job.ways import way_of
from kit.show.two_bases.client_page import client_page
from kit.show.two_bases.difference_bars import difference_bars
from kit.show.two_bases.elevations import elevations
from kit.show.two_bases.figures import with_unit
from kit.show.two_bases.measure_tables import comparison_tables
from kit.show.two_bases.plain_measures import PLAIN
from kit.side_by_side import Comparison, turning_points, verdict, weigh
from kit.side_by_side.settings import settings_of
from kit.side_by_side.words import odds_sentence

PAIRS = list(combinations(("packers", "stacks", "feet", "ladder", "compound"), 2))
NASTY = "<script>alert('x')</script> & \"q\" <b>bold</b>"
VOID = {"meta", "rect", "line", "path", "circle"}


class Read(HTMLParser):
    """Tags, headings and words of a page, and whether its tags close in order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.levels: list[int] = []
        self.words = ""
        self.outside: list[str] = []
        self.heads_without_scope = 0
        self._open: list[str] = []
        self.feed(page)
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
        given = dict(attrs)
        self.outside += [name for name in given if name in ("src", "href") or name[:2] == "on"]
        self.heads_without_scope += tag == "th" and "scope" not in given
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += data


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_a_whole_page_of_every_pair(pairs: Any, pair: tuple[str, str]) -> None:
    c = pairs[pair]
    page = client_page(c)
    read = Read(page)
    assert page.startswith('<!DOCTYPE html><html lang="en">')
    assert read.levels[0] == 1
    assert read.levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(read.levels))
    assert read.outside == []
    assert not {"script", "link", "img", "iframe"} & set(read.tags)
    assert read.tags.count("table") == read.tags.count("caption") == 3
    assert read.heads_without_scope == 0
    assert page.count('role="img"') == 1
    assert "http" not in page.replace('xmlns="http://www.w3.org/2000/svg"', "")
    for answer in (c.a, c.b):
        assert way_of(answer.base).said in read.words
    plain = [row for row in c.rows if row.key in PLAIN]
    named = verdict(c, plain, lambda row: PLAIN[row.key][0].lower() + PLAIN[row.key][1:])
    assert named in read.words
    assert not [
        row.a.measure for row in c.rows if row.key.startswith("margin ") if row.a.measure in named
    ]
    assert odds_sentence(c, "cost") in read.words
    assert read.words.count(NO_APPROVAL) == 1


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_the_plain_table_holds_the_comparisons_figures(pairs: Any, pair: tuple[str, str]) -> None:
    c = pairs[pair]
    page = client_page(c)
    for key, words in PLAIN.items():
        row = c.row(key)
        cells = "".join(
            f'<td class="n">{html_text(with_unit(one.value, key, one.unit, "mm"))}</td>'
            for one in (row.a, row.b)
        )
        assert f'<th scope="row">{words}</th>{cells}<td>' in page
        said = page.split(f"{words}</th>{cells}<td>")[1].split("</td>")[0]
        if row.winner and 0 in (row.a.value, row.b.value):
            none = ": none of it" if row.a.better == "less" else "; the other has none"
            assert said == html_text(f"{c.name_of(row.winner)}{none}")
        elif row.winner:
            assert said.startswith(f"{c.name_of(row.winner)}, by ")
        elif row.told:
            assert said == "no difference"
        else:
            assert said == html_text(row.why_not) or said.startswith("not known (")


def test_cautions_of_both_stand_once(pairs: Any) -> None:
    c = pairs["packers", "feet"]
    words = Read(client_page(c)).words
    both = set(c.a.cautions) & set(c.b.cautions)
    alone = set(c.a.cautions) ^ set(c.b.cautions)
    assert len(both) > 3
    assert len(alone) > 2
    for text in both | alone:
        assert words.count(text) == 1, text


def test_what_was_not_checked_is_said(pairs: Any) -> None:
    c = pairs["feet", "ladder"]
    words = Read(client_page(c)).words.split("What was not checked")[1]
    for answer in (c.a, c.b):
        for one in answer.checks[answer.checks["verdict"] == "not_checked"].itertuples():
            assert one.source in words


def test_weights_and_turnings_where_given(pairs: Any) -> None:
    c = pairs["packers", "stacks"]
    bare = Read(client_page(c)).words
    assert "By your own weights" not in bare
    assert "Where it would turn" not in bare
    prices = [one for one in settings_of(c.a, c.b) if one.key == "price bearers"]
    weighing = weigh(c, {"cost": 1.0, "hours": 2.5})
    words = Read(client_page(c, turning_points(c, prices), weighing)).words
    assert (
        "times today's price of bearers down to 0, as far as was looked, bearers on packers"
        in words
    )
    assert "weights of the person, not of the kit" in words
    assert "weight × (worse − better) / larger" in words
    assert f"Score {weighing.score:+.3f}: by these weights {weighing.winner}" in words
    for one in weighing.weighed:
        assert f"{one.row.a.measure}{one.weight:g}{one.share:.3f}{one.part:.3f}" in words


def test_names_are_shown_and_never_run(solved_as: Callable[..., Comparison]) -> None:
    c = solved_as("feet", "compound", title=NASTY)
    page = client_page(c)
    read = Read(page)
    assert not {"script", "b>"} & set(read.tags)
    assert read.words.count(NASTY) == 2  # of the window, and of the page
    assert "<script" not in page


def test_a_nasty_base_is_harmless_everywhere(pairs: Any) -> None:
    c = pairs["stacks", "feet"]
    base = c.a.base.model_copy(update={"name": NASTY})
    evil = replace(c, a=replace(c.a, base=base))
    for html in (
        client_page(evil),
        difference_bars(evil).html,
        elevations(evil).html,
        comparison_tables(evil).html,
    ):
        assert "<script" not in html
        assert "<b>bold" not in html
        assert "&lt;script&gt;" in html


def test_inches_on_the_whole_page(solved_as: Callable[..., Comparison]) -> None:
    c = solved_as("stacks", "ladder", units="in")
    table = client_page(c).split("What it comes to")[1].split("</table>")[0]
    assert " in</td>" in table
    assert " ft</td>" in table
    assert " mm</td>" not in table
