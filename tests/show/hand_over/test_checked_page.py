"""The check of a finished base on the screen: the verdict first, nothing lost, all escaped."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

from kit.as_built import Checked
from kit.show.hand_over.checked_page import checked_page


def words(html: str) -> str:
    plain = re.sub("<[^>]*>", " ", re.sub("<style>.*?</style>", " ", html))
    return " ".join(unescape(plain).split())


def test_the_verdict_comes_first_and_no_sentence_is_lost(checked: Checked) -> None:
    said = words(checked_page(checked).html)
    assert said.startswith("supports within 1 mm of one level ✗ outside 2 outside")
    for line in (*checked.sentences, *checked.cautions):
        assert line in said
    assert said.index("approves no floor") < said.index("Supports as read")


def test_tables_of_changes_are_there_only_where_there_are_any(checked: Checked) -> None:
    shown = checked_page(checked).html
    for title in ("What to change", "In the bag", "Screws of the changed stacks"):
        assert f"<caption>{title}</caption>" in shown
    stays = replace(checked, changes=replace(checked.changes, possible=False))
    shown = checked_page(stays).html
    assert "<caption>What to change</caption>" not in shown
    assert "<caption>Supports as read</caption>" in shown


def test_what_a_person_typed_is_letters_only(checked: Checked) -> None:
    typed = checked.as_built.model_copy(
        update={"by": "<script>alert(1)</script>", "instrument": "<"}
    )
    shown = checked_page(replace(checked, as_built=typed)).html
    assert "<script" not in shown
    assert "by &lt;script&gt;alert(1)&lt;/script&gt; with &lt;" in shown
