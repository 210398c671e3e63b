"""What printed pages share: whole, on their own, everything escaped."""

import pandas as pd

from kit.practice.class_set import ClassSet, Step
from kit.practice.grades import GRADES
from kit.show.practice.printed import head, listed, made_words, printed_page, steps, tables, which

FRAME = pd.DataFrame({"at_mm": [210.5]})


def test_a_page_has_its_own_rules_beside_those_of_all() -> None:
    html = printed_page("A &amp; B", ".mine{color:#000}", ("<p>one</p>", "<p>two</p>"))
    assert html.startswith("<!DOCTYPE html>")
    assert "<title>A &amp; B</title>" in html
    assert "@page{size:A4" in html
    assert html.index("@page") < html.index(".mine{color:#000}") < html.index("</style>")
    assert "<main><p>one</p><p>two</p></main>" in html
    assert "thead{display:table-header-group}" in html


def test_a_head_has_blanks_for_whose_it_is() -> None:
    assert head("T").count('class="gap"') == 2
    assert "Nickname" not in head("T", who=False)


def test_seed_and_grade_are_told() -> None:
    of_class = ClassSet(431, GRADES[2], (), ())
    assert which(of_class) == "seed 431, grade rough"
    assert made_words(of_class).startswith(f"Made floors: {GRADES[2].words}. ")


def test_nothing_is_drawn_for_nothing() -> None:
    assert listed(()) == ""
    assert listed(("<a>",)) == "<ul><li>&lt;a&gt;</li></ul>"
    assert tables((("T", FRAME.iloc[:0]),)) == ""
    assert tables((("T", FRAME), ("U", FRAME))).count("<table>") == 2


def test_steps_are_numbered_with_their_tables() -> None:
    html = steps((Step("one <b>"), Step("two", (("T", FRAME),))))
    assert html.startswith('<ol><li>one &lt;b&gt;</li><li>two<div class="beside"><table>')
