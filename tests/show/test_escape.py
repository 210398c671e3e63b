"""Whatever a person types as a name is shown, and never run."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from typing import Any

import pytest

import kit
from kit.ink.base_tables import caution_list, check_table, support_table
from kit.ink.escape import chart_lines, chart_text, cut_text, html_text
from kit.job import Refusal, refuse
from kit.show.board.board import Board
from kit.show.board.scene import SHEETS
from kit.show.display import answer_page, html_of
from kit.show.floor_map import floor_map
from kit.show.survey_tables import job_table

NASTY = "<script>alert('x')</script> & \"$a^2$\" <b>bold</b>"
ALLOWED_TAGS = {
    "style", "div", "table", "caption", "thead", "tbody", "tr", "th", "td", "small", "p", "ul",
    "li", "b", "br", "svg", "rect", "span",
}  # fmt: skip

#: Further tags of drawings.
DRAWN_TAGS = {
    "g", "path", "line", "text", "tspan", "title", "circle", "polygon", "polyline", "defs",
    "pattern", "clippath", "use",
}  # fmt: skip


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()
        self.handlers: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.add(tag)
        self.handlers += [name for name, _ in attrs if name.startswith("on")]


def tags(html: str) -> set[str]:
    parser = Tags()
    parser.feed(html)
    assert parser.handlers == []
    return parser.found


@pytest.fixture(scope="module")
def nasty(answer: Any) -> Any:
    """Return the market hall with names that would run where they are not escaped."""
    run = answer.job.runs[0]
    unit = run.units[0].model_copy(update={"name": NASTY})
    area = answer.job.no_go[0].model_copy(update={"name": NASTY + "2"})
    service = answer.job.services[0].model_copy(update={"name": NASTY + "3"})
    base = answer.job.bases[0].model_copy(update={"name": NASTY})
    job = answer.job.model_copy(
        update={
            "title": NASTY,
            "runs": (run.model_copy(update={"units": (unit, run.units[1])}),),
            "no_go": (area,),
            "services": (service,),
            "bases": (base,),
        }
    )
    return kit.solve(job)


def test_tables_hold_no_tag_from_a_name(nasty: Any) -> None:
    pages = [
        answer_page(nasty).html,
        check_table(nasty).html,
        support_table(nasty).html,
        caution_list(nasty).html,
        job_table(nasty.job).html,
        html_of(Refusal(*refuse(NASTY, NASTY, NASTY).problems)),
    ]
    for html in pages:
        assert tags(html) <= ALLOWED_TAGS
    assert "&lt;script&gt;" in pages[0]


def test_board_holds_no_tag_from_a_name(nasty: Any) -> None:
    board = Board(nasty)
    board.do({"kind": "set", "id": "height_mm", "text": "400"})
    assert board.desk.problems
    board.do({"kind": "choose", "support": str(nasty.supports["support"].iloc[0])})
    seen: set[str] = set()
    for sheet in SHEETS:
        board.answer_hand({"kind": "sheet", "name": sheet})
        shown = board.widget
        # These are set as they are; every other word goes in as text.
        drawn = [shown.map, shown.window, shown.sheet["html"], shown.said["figures"]]
        drawn += [shown.plan[part] for part in ("ground", "marks", "key")]
        drawn += [shown.elevation["svg"], shown.stack["svg"]]
        for html in drawn:
            seen |= tags(html)
    assert "rect" in seen
    assert seen <= ALLOWED_TAGS | DRAWN_TAGS


def test_charts_hold_no_tag_from_a_name(nasty: Any) -> None:
    chart = floor_map(nasty.job, nasty.survey, nasty.ground)
    for text in strings(json.loads(chart.figure.to_json())):
        assert "<script" not in text
        assert "<b>bold" not in text
        assert "$" not in text


def strings(tree: Any) -> list[str]:
    if isinstance(tree, str):
        return [tree]
    inside = tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ()
    return [text for part in inside for text in strings(part)]


def test_texts_come_back_as_they_were_typed() -> None:
    import html

    assert html.unescape(html_text(NASTY)) == NASTY
    assert html.unescape(chart_text(NASTY)) == NASTY


def test_long_names_are_broken_and_cut() -> None:
    assert cut_text("low bookcase", 6) == "low b…"
    assert chart_lines("a very long name indeed", 8, 2) == "a very<br>long na…"
    assert chart_lines("", 8) == ""
