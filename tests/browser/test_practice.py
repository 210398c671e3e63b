"""Whole drills by hand: in JupyterLab, under Voila, by mouse, by keys and by touch."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from kit.practice.attempt import begin
from kit.practice.drills import DRILLS
from kit.practice.grades import grade_named

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"
CELL = "from kit import show\n\npage = show.Practice({drill!r}, {seed}, {grade!r})\npage"


def open_page(lab: Any, watched: Any, drill: str, seed: int, grade: str) -> Any:
    """Run a notebook that holds the practice page alone; return the browser's page."""
    code = {
        "cell_type": "code", "execution_count": None, "id": "page", "metadata": {},
        "outputs": [], "source": CELL.format(drill=drill, seed=seed, grade=grade),
    }  # fmt: skip
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    book = {
        "cells": [code], "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5,
    }  # fmt: skip
    (lab.folder / "notebooks" / "page.ipynb").write_text(json.dumps(book))
    watched.open_and_run(lab, "page.ipynb")
    assert watched.cell_errors() == []
    return ready(watched.page)


def ready(page: Any) -> Any:
    page.wait_for_selector(".ufk-practice .ufk-task h2", state="attached", timeout=90_000)
    page.set_viewport_size({"width": page.viewport_size["width"], "height": 3200})
    page.locator(".ufk-practice").scroll_into_view_if_needed()
    settle(page)
    return page


def settle(page: Any) -> None:
    page.wait_for_timeout(700)


def shoot(page: Any, name: str) -> None:
    width = page.viewport_size["width"]
    page.locator(".ufk-practice").screenshot(path=SHOTS / f"practice-{name}-{width}.png")


def task_of(drill: str, seed: int, grade: str) -> Any:
    found = next(one for one in DRILLS if one.key == drill)
    return begin(found, seed, grade_named(grade)).task


def on_plan(page: Any, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Return where a place of the floor is on the screen [px]."""
    at = page.evaluate(
        """([x, y]) => {
            const room = document.querySelector('.ufk-practice [data-px-per-mm]')
            const svg = room.closest('svg').getBoundingClientRect(), to = room.dataset
            return [svg.left + Number(to.left) + x * to.pxPerMm,
                    svg.top + Number(to.top) + y * to.pxPerMm]
        }""",
        [x_mm, y_mm],
    )
    return float(at[0]), float(at[1])


def drag(page: Any, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*on_plan(page, *start))
    page.mouse.down()
    page.mouse.move(*on_plan(page, *end), steps=6)
    page.mouse.up()
    settle(page)


def form(page: Any, name: str) -> Any:
    return page.locator(f".ufk-practice form[data-form='{name}']")


def test_a_level_is_dragged_turned_and_its_error_found(lab: Any, watched: Any) -> None:
    page = open_page(lab, watched, "own_error", 11, "fair")
    shoot(page, "opened")
    form(page, "lay").get_by_label("level", exact=True).select_option("long")
    drag(page, (1000, 1000), (3000, 1000))
    seen = page.locator(".ufk-practice .ufk-seen")
    one = seen.inner_text()
    assert one.startswith("long level: bubble")
    shoot(page, "laid")
    form(page, "lay").get_by_role("button", name="turn it end for end").click()
    settle(page)
    other = seen.inner_text()
    assert one != other
    truth = task_of("own_error", 11, "fair").tools.bag.level("long").own_error_mm_per_m
    assert f"{truth:g}" not in page.content()

    def off(words: str) -> float:
        found = re.search(r"bubble ([\d.]+) mm off towards the (marked|other) end", words)
        if not found:
            return 0.0
        return float(found[1]) * (1 if found[2] == "other" else -1)

    answer = form(page, "answer").get_by_label("own error of the long level")
    answer.fill(f"{(off(one) + off(other)) / 2:.2f}")
    answer.press("Enter")
    settle(page)
    marks = page.locator(".ufk-practice .ufk-verdict").inner_text()
    assert "100 of 100 marks" in marks
    assert f"{truth:g}" in page.content()
    shoot(page, "marked")
    assert watched.errors == []
    assert watched.outside == []
