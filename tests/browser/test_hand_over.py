"""Check and hand over: the notebook in JupyterLab by hand, and under Voila."""

from __future__ import annotations

import base64
import urllib.request
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"
NOTEBOOK = "05_check_and_hand_over.ipynb"

#: What reaches beyond the width of its output, by its text: frames, charts, boxes, words.
BEYOND = """() => [...document.querySelectorAll('.jp-Cell-outputArea')].flatMap(area =>
    [...area.querySelectorAll('iframe, .main-svg, .ufk, .ufk-as-built, .widget-text')]
        .filter(part => part.getBoundingClientRect().right
            > area.getBoundingClientRect().right + 1)
        .map(part => part.className + ' ' + part.textContent.slice(0, 60)))"""

#: Frames that cannot be read: too low, or wider inside than they are.
SMALL = """() => [...document.querySelectorAll('iframe[srcdoc]')]
    .filter(one => one.getBoundingClientRect().height < 600)
    .map(one => one.title)"""


#: Whether a part has stayed where it is for thirty frames on end.
STILL = """part => {
    const top = part.getBoundingClientRect().top
    const still = window.stillAt === top ? window.stillFor + 1 : 0
    Object.assign(window, {stillAt: top, stillFor: still})
    return still > 30
}"""


def shoot(page: Any, name: str) -> None:
    """Photograph every output that shows something, one picture each."""
    width = page.viewport_size["width"]
    outputs = page.locator(".jp-CodeCell .jp-Cell-outputWrapper")
    for place in range(outputs.count()):
        output = outputs.nth(place)
        output.scroll_into_view_if_needed()
        box = output.bounding_box()
        if box and box["height"] > 20:
            output.screenshot(path=SHOTS / f"hand-over-{name}-{width}-{place:02d}.png")


def get(address: str, token: str) -> tuple[int, str, bytes]:
    """Return status, kind and content of what a server hands out."""
    asked = urllib.request.Request(address, headers={"Authorization": f"token {token}"})
    with urllib.request.urlopen(asked, timeout=30) as reply:
        return reply.status, reply.headers["Content-Type"], reply.read()


@pytest.mark.parametrize("width", [800])
def test_papers_open_and_the_changes_follow_what_is_typed(
    lab: Any, watched: Any, width: int
) -> None:
    page = watched.page
    watched.open_and_run(lab, NOTEBOOK)
    assert watched.cell_errors() == []
    page.set_viewport_size({"width": width, "height": 9000})
    panel = page.locator(".ufk-as-built").first
    panel.scroll_into_view_if_needed()
    message = panel.get_by_role("status")
    message.get_by_text("To change: open 2 stacks; B5, F8.").wait_for(timeout=60_000)
    page.evaluate("() => window.quiet()")
    shoot(page, "lab")
    papers_open(lab, page)
    box = panel.get_by_label("tolerance [mm]")
    box.fill("5")
    box.press("Enter")
    message.get_by_text("To change: nothing; no stack has to be opened.").wait_for(timeout=60_000)
    box.fill("wide")
    box.press("Enter")
    panel.get_by_role("alert").get_by_text("tolerance: found 'wide'").wait_for(timeout=60_000)
    assert panel.get_by_text("No stack has to be opened.").count()  # the last answer stays
    page.evaluate("() => window.quiet()")
    panel.screenshot(path=SHOTS / f"hand-over-refused-{width}.png")
    assert page.evaluate(BEYOND) == []
    assert page.evaluate(SMALL) == []
    opens_in_the_lab(page)
    assert watched.outside == []
    assert watched.errors == []


def papers_open(lab: Any, page: Any) -> None:
    """The link of a paper leads to the file, and its name holds the same file."""
    paper = lab.folder / "notebooks" / "papers" / "job-sheet.pdf"
    item = page.locator(".ufk li", has_text="the hour on the floor").first
    address = item.get_by_role("link", name="open").evaluate("link => link.href")
    status, kind, content = get(address, lab.token)
    assert (status, kind.split(";")[0]) == (200, "application/pdf")
    assert content == paper.read_bytes()
    with page.expect_download() as started:
        item.get_by_role("link", name="job-sheet.pdf").click()
    assert started.value.suggested_filename == "job-sheet.pdf"
    assert Path(started.value.path()).read_bytes() == content


def opens_in_the_lab(page: Any) -> None:
    """A click on "open" brings the paper in the notebook's place."""
    item = page.locator(".ufk li", has_text="the hour on the floor").first
    # The notebook moves by itself for a while after it is scrolled; a press must not miss the link.
    item.scroll_into_view_if_needed()
    page.evaluate("() => window.quiet()")
    page.wait_for_function(STILL, arg=item.element_handle(), timeout=60_000)
    item.get_by_role("link", name="open").click()
    page.wait_for_function(
        "() => window.jupyterapp.shell.currentWidget?.title.label === 'job-sheet.pdf'",
        timeout=60_000,
    )


@pytest.mark.parametrize("width", [1100])
@pytest.mark.parametrize("voila", [NOTEBOOK], indirect=True)
def test_voila_shows_the_same_and_saves_papers(voila: Any, watched: Any, width: int) -> None:
    page = watched.page
    page.goto(voila.address)
    panel = page.locator(".ufk-as-built").first
    panel.wait_for(timeout=120_000)
    page.set_viewport_size({"width": width, "height": 9000})
    panel.get_by_text("To change: open 2 stacks; B5, F8.").wait_for(timeout=60_000)
    page.evaluate("() => window.quiet()")
    page.screenshot(path=SHOTS / f"hand-over-voila-{width}.png", full_page=True)
    paper = page.locator(".ufk li", has_text="the record, to be signed").first
    assert paper.get_by_role("link").count() == 1  # Voila hands out no files
    held = paper.get_by_role("link").evaluate("link => link.href").split(";base64,")[1]
    written = voila.folder / "notebooks" / "papers" / "record.pdf"
    assert base64.b64decode(held) == written.read_bytes()
    with page.expect_download() as started:
        paper.get_by_role("link").click()
    assert Path(started.value.path()).read_bytes() == written.read_bytes()
    assert watched.outside == []
    # Plotly's renderer keeps a picture of each chart in the notebook, which Voila has none of.
    assert [error for error in watched.errors if "setData is not a function" not in error] == []
