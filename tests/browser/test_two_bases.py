"""Two bases side by side by hand: the panel in JupyterLab, and the notebook under Voila."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"

#: The notebook's cells that show the panel, and nothing else.
CELL = 'import kit\nfrom kit import show\n\nshow.TwoBases(kit.read_job("../data/{job}"))'

#: Both elevations as they are drawn, the upper one first.
SIDES = """() => [...document.querySelectorAll('.ufk-two-bases .ufk-side')]
    .map(one => one.outerHTML)"""


def open_panel(lab: Any, watched: Any, job: str) -> Any:
    """Run a notebook that holds the panel alone, and return the page with the panel in sight."""
    lab.put_notebook("panel.ipynb", CELL.format(job=job))
    watched.open_and_run(lab, "panel.ipynb")
    assert watched.cell_errors() == []
    return ready(watched.page)


def ready(page: Any) -> Any:
    page.wait_for_selector(".ufk-two-bases .ufk-side", state="attached", timeout=90_000)
    page.set_viewport_size({"width": page.viewport_size["width"], "height": 7600})
    page.locator(".ufk-two-bases").scroll_into_view_if_needed()
    settle(page)
    return page


def settle(page: Any) -> None:
    """Wait until nothing is being worked out and the pictures have the width of the page."""
    page.evaluate("() => window.quiet()")
    page.wait_for_function(
        "() => !document.querySelector('.ufk-working')?.textContent.trim()", timeout=60_000
    )


def shoot(page: Any, name: str) -> None:
    width = page.viewport_size["width"]
    page.locator(".ufk-two-bases").screenshot(path=SHOTS / f"two-bases-{name}-{width}.png")


def type_in(page: Any, label: str, words: str) -> None:
    box = page.get_by_label(label, exact=True)
    box.fill(words)
    box.press("Enter")
    settle(page)


def test_drop_downs_and_boxes_drive_both_bases(lab: Any, watched: Any) -> None:
    page = open_panel(lab, watched, "reading-room")
    panel = page.locator(".ufk-two-bases")
    as_read = page.evaluate(SIDES)
    assert len(as_read) == 2
    shoot(page, "opened")
    start = time.monotonic()
    page.get_by_label("lowest base top [mm]", exact=True).fill("58")
    page.get_by_label("lowest base top [mm]", exact=True).press("Enter")
    page.wait_for_function(f"before => ({SIDES})()[0] !== before[0]", arg=as_read, polling=20)
    print(f"\nfrom key to new pictures, 100 floors drawn: {time.monotonic() - start:.2f} s")
    settle(page)
    closer = page.evaluate(SIDES)
    assert [one != other for one, other in zip(as_read, closer, strict=True)] == [True, True]
    page.get_by_label("base below", exact=True).select_option("ladder frame")
    settle(page)
    framed = page.evaluate(SIDES)
    assert framed[1] != closer[1]
    assert "ladder frame" in panel.locator("svg").first.get_attribute("aria-label")
    page.get_by_label("row in the pictures", exact=True).select_option("back row (B)")
    settle(page)
    back = page.evaluate(SIDES)
    assert [one != other for one, other in zip(framed, back, strict=True)] == [True, True]
    type_in(page, "lowest base top [mm]", "900")
    alert = panel.get_by_role("alert").first
    assert "cannot be built" in alert.inner_text()
    assert "last good answer: bearers on packers beside ladder frame" in alert.inner_text()
    assert page.evaluate(SIDES) == back
    type_in(page, "weight of material", "2")
    assert "ranking turns" in panel.inner_text()
    shoot(page, "refused")
    page.get_by_role("button", name="All as the job says").click()
    settle(page)
    assert panel.get_by_role("alert").count() == 0
    beyond = page.evaluate(
        """() => { const panel = document.querySelector('.ufk-two-bases')
            const right = panel.getBoundingClientRect().right
            return [...panel.querySelectorAll('svg, input, select, button, table')]
                .filter(part => part.getBoundingClientRect().right > right + 1
                    && !part.closest('.ufk, [style*="overflow-x:auto"]'))
                .map(part => part.outerHTML.slice(0, 80)) }"""
    )
    assert beyond == []
    assert watched.errors == []
    assert watched.outside == []


@pytest.mark.parametrize("width", [1400])
def test_turning_ends_with_a_chart_and_the_page_is_saved_where_a_person_says(
    lab: Any, watched: Any, tmp_path: Path
) -> None:
    page = open_panel(lab, watched, "market-counter")
    part = page.locator(".ufk-turning-part")
    page.get_by_role("button", name="Find where the other base would win").click()
    part.get_by_text(re.compile("Working: turning the .* of all")).wait_for(timeout=60_000)
    assert part.get_by_role("button").is_disabled()
    part.get_by_text("settings turned").wait_for(timeout=120_000)
    assert part.locator("svg").count() == 1
    assert "against" in part.inner_text()
    first = part.locator("svg").get_attribute("aria-label")
    part.get_by_label("turned, judged by").select_option(
        "price of an hour of work, by material and labour"
    )
    settle(page)
    assert part.locator("svg").get_attribute("aria-label") != first
    page.get_by_role("button", name="Page for the client").click()
    frame = page.frame_locator(".ufk-client-part iframe")
    frame.locator("h1").wait_for(timeout=60_000)
    assert frame.locator("svg").count() >= 1
    shoot(page, "turned")
    out = tmp_path / "for the client"
    type_in(page, "save into folder", str(out))
    page.get_by_role("button", name="Save the page").click()
    page.locator(".ufk-client-part").get_by_text("Nothing was saved").wait_for(timeout=60_000)
    out.mkdir()
    page.get_by_role("button", name="Save the page").click()
    page.locator(".ufk-client-part").get_by_text("Saved as").wait_for(timeout=60_000)
    assert "screw feet" in (out / "comparison.html").read_text(encoding="utf-8")
    assert watched.errors == []


@pytest.mark.parametrize("voila", ["03_two_bases.ipynb"], indirect=True)
@pytest.mark.parametrize("width", [1400])
def test_voila_shows_the_notebook_as_a_page_without_code(voila: Any, watched: Any) -> None:
    page = watched.page
    page.goto(voila.address, timeout=90_000)
    ready(page)
    assert page.locator(".jp-CodeCell :is(.jp-InputArea, .cm-editor):visible").count() == 0
    assert (
        page.locator(".jp-OutputArea-output[data-mime-type*=error], .jp-RenderedError").count() == 0
    )
    # Elevations of three runs, bars and a turning chart; elevations and bars in the panel.
    assert page.locator(".jp-CodeCell svg").count() == 7
    page.screenshot(path=SHOTS / "03-voila-1400.png", full_page=True)
    before = page.evaluate(SIDES)
    type_in(page, "contents of all units [times]", "3")
    type_in(page, "lowest base top [mm]", "58,5")
    after = page.evaluate(SIDES)
    assert [one != other for one, other in zip(before, after, strict=True)] == [True, True]
    assert watched.outside == []
    assert watched.errors == []
