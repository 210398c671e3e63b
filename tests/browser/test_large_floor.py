"""A large uneven floor: the notebook in JupyterLab by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"
NOTEBOOK = "06_large_floor.ipynb"

#: What reaches beyond the width of its output, by its text: charts, boxes, words.
BEYOND = """() => [...document.querySelectorAll('.jp-Cell-outputArea')].flatMap(area =>
    [...area.querySelectorAll('.main-svg, .ufk, .ufk-charted, .widget-text')]
        .filter(part => part.getBoundingClientRect().right
            > area.getBoundingClientRect().right + 1)
        .map(part => part.className + ' ' + part.textContent.slice(0, 60)))"""

#: Each run with the numbers of zones whose bars bear the mark of what was taken.
TAKEN = """() => [...document.querySelectorAll('.ufk-zones .js-plotly-plot')]
    .flatMap(plot => plot.data).filter(trace => trace.meta?.startsWith('menu of '))
    .map(trace => [trace.meta.slice(8),
        Array.from(trace.x).filter((_, place) => trace.text[place].includes('✓'))])"""

#: Whether a part has stayed where it is for thirty frames on end.
STILL = """part => {
    const top = part.getBoundingClientRect().top
    const still = window.stillAt === top ? window.stillFor + 1 : 0
    Object.assign(window, {stillAt: top, stillFor: still})
    return still > 30
}"""


def shoot(page: Any, width: int) -> None:
    """Photograph every output that shows something, one picture each."""
    outputs = page.locator(".jp-CodeCell .jp-Cell-outputWrapper")
    for place in range(outputs.count()):
        output = outputs.nth(place)
        output.scroll_into_view_if_needed()
        box = output.bounding_box()
        if box and box["height"] > 20:
            output.screenshot(path=SHOTS / f"large-floor-{width}-{place:02d}.png")


def bring(page: Any, part: Any) -> None:
    """Scroll a part into view, and wait until neither it nor what it shows moves."""
    part.scroll_into_view_if_needed()
    page.evaluate("() => window.quiet()")
    page.wait_for_function(STILL, arg=part.element_handle(), timeout=60_000)


def tap(page: Any, chart: Any, across: float, down: float) -> None:
    """Tap a map at a share of its width and height."""
    box = chart.locator(".nsewdrag").first.bounding_box()
    page.mouse.click(box["x"] + across * box["width"], box["y"] + down * box["height"])
    page.evaluate("() => window.quiet()")


@pytest.mark.parametrize("width", [800])
def test_a_line_is_drawn_by_two_taps_and_the_base_parted_anew(
    lab: Any, watched: Any, width: int
) -> None:
    page = watched.page
    watched.open_and_run(lab, NOTEBOOK)
    assert watched.cell_errors() == []
    page.set_viewport_size({"width": width, "height": 9000})
    panel = page.locator(".ufk-section").first
    panel.scroll_into_view_if_needed()
    panel.get_by_label("from x [mm]").wait_for(timeout=60_000)
    bring(page, panel)
    shoot(page, width)
    draws_a_line(page, panel)
    parts_anew(page)
    assert page.evaluate(BEYOND) == []
    assert watched.outside == []
    assert watched.errors == []


def draws_a_line(page: Any, panel: Any) -> None:
    """Two taps draw a line, boxes take it typed, and what is none is told."""
    chart = panel.locator(".js-plotly-plot").first
    chart.locator(".nsewdrag").first.wait_for(state="attached", timeout=60_000)
    bring(page, chart)
    tap(page, chart, 0.2, 0.9)
    panel.get_by_role("status").get_by_text("The line begins here").wait_for(timeout=60_000)
    tap(page, chart, 0.7, 0.9)
    panel.get_by_role("status").get_by_text("Tap twice").wait_for(timeout=60_000)
    x1, y1 = (float(panel.get_by_label(f"from {a} [mm]").input_value()) for a in "xy")
    x2, y2 = (float(panel.get_by_label(f"to {a} [mm]").input_value()) for a in "xy")
    # Half of 24 m lies between the taps, both on one row of cells; a cell is two pixels wide.
    assert abs((x2 - x1) - 12_000) < 400
    assert y1 == y2 > 13_500
    box = panel.get_by_label("to x [mm]")
    box.fill("wide")
    box.press("Enter")
    panel.get_by_role("alert").get_by_text("'wide'").wait_for(timeout=60_000)
    panel.screenshot(path=SHOTS / "large-floor-refused.png")


def parts_anew(page: Any) -> None:
    """Another number for one run is worked out when asked for; what cannot be says why at once."""
    panel = page.locator(".ufk-zones").first
    panel.get_by_label("zones in run C").wait_for(timeout=60_000)
    bring(page, panel)
    message = panel.get_by_role("status")
    message.get_by_text("5 zones (run A in 3, run B in 1, run C in 1)").wait_for(timeout=60_000)
    assert bars(page) == {"A": [3], "B": [1], "C": [1]}
    panel.get_by_label("zones in run C").select_option("2")
    message.get_by_text("Press “Part the base”").wait_for(timeout=60_000)
    panel.get_by_role("button", name="Part the base").click()
    message.get_by_text("6 zones (run A in 3, run B in 1, run C in 2)").wait_for(timeout=60_000)
    page.evaluate("() => window.quiet()")
    assert bars(page) == {"A": [3], "B": [1], "C": [2]}
    panel.screenshot(path=SHOTS / "large-floor-parted.png")
    panel.get_by_label("zones in run A").select_option("2 (cannot be)")
    refused = panel.get_by_role("alert")
    refused.get_by_text("run A, 2 zones: found at the least, support").wait_for(timeout=60_000)
    page.evaluate("() => window.quiet()")
    assert bars(page) == {"A": [3], "B": [1], "C": [2]}  # the last answer stays
    panel.screenshot(path=SHOTS / "large-floor-not-parted.png")


def bars(page: Any) -> dict[str, list[int]]:
    """Return which number of zones the menu marks as taken, run by run."""
    return dict(page.evaluate(TAKEN))


@pytest.mark.parametrize("width", [1100])
@pytest.mark.parametrize("voila", [NOTEBOOK], indirect=True)
def test_voila_shows_the_same(voila: Any, watched: Any, width: int) -> None:
    page = watched.page
    page.goto(voila.address)
    panel = page.locator(".ufk-zones").first
    panel.wait_for(timeout=180_000)
    page.set_viewport_size({"width": width, "height": 9000})
    panel.get_by_text("5 zones (run A in 3, run B in 1, run C in 1)").wait_for(timeout=60_000)
    page.get_by_text("As claimed.").wait_for(timeout=180_000)
    page.evaluate("() => window.quiet()")
    page.screenshot(path=SHOTS / f"large-floor-voila-{width}.png", full_page=True)
    panel.screenshot(path=SHOTS / f"large-floor-voila-zones-{width}.png")
    assert bars(page) == {"A": [3], "B": [1], "C": [1]}
    assert watched.outside == []
    # Plotly's renderer keeps a picture of each chart in the notebook, which Voila has none of.
    assert [error for error in watched.errors if "setData is not a function" not in error] == []
