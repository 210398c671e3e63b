"""The answers tell the trainer everything: answer, why, good practice, mistakes with costs."""

import re
from html import unescape

import pytest

from kit.practice.class_set import ClassSet, class_set
from kit.practice.drills import DRILLS
from kit.practice.grades import GRADES
from kit.practice.marking import RULE
from kit.show.practice.answers import answers_page

SOME = [drill for drill in DRILLS if drill.key in ("own_error", "screws", "as_built")]


@pytest.fixture(scope="module")
def of_some() -> ClassSet:
    return class_set(SOME, 431, GRADES[1])


def seen(html: str) -> str:
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", html)
    return re.sub(r"\s+", " ", unescape(text))


def test_every_drill_is_told_whole(of_some: ClassSet) -> None:
    text = seen(answers_page(of_some))
    assert "Answers for the trainer: seed 431, grade ordinary" in text
    assert RULE in text
    for number, one in enumerate(of_some.solutions, start=1):
        assert f"{number}. {one.title}" in text
        for label, answer in one.answers:
            assert f"{label}: {answer}" in text
        for said in (*one.worked.sentences, *(step.words for step in one.steps)):
            assert re.sub(r"\s+", " ", said) in text
        for kind in one.kinds:
            assert f"{kind.title} {kind.what} {kind.cost}" in text
        minutes = f"{one.seconds / 60:.0f}"
        assert f"Good practice: {one.placements} placements, {minutes} minutes" in text


def test_the_floor_is_shown(of_some: ClassSet) -> None:
    html = answers_page(of_some)
    assert html.count('role="img"') == len(SOME)
    assert "hump" in html


def test_nobody_takes_the_answers_for_a_sheet(of_some: ClassSet) -> None:
    text = seen(answers_page(of_some))
    assert "Nickname" not in text
    assert "what I did wrong" not in text
