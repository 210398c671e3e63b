"""Every notebook with every job in a real JupyterLab: they run, stay at home, and answer keys."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"
NOTEBOOKS = ("00_before_you_read", "01_read_the_floor", "02_set_out_the_base")
JOBS = ("reading-room", "boot-room", "market-counter")


def name_job(folder: Path, notebook: str, job: str) -> None:
    """Do what a person does: name another job in the first code cell, and nothing else."""
    path = folder / "notebooks" / f"{notebook}.ipynb"
    book = json.loads(path.read_text())
    first = next(cell for cell in book["cells"] if cell["cell_type"] == "code")
    source = "".join(first["source"])
    assert source == 'JOB = "../data/reading-room"'
    first["source"] = source.replace("reading-room", job)
    path.write_text(json.dumps(book))


#: Whether every chart of a cell has been drawn, its bars or its map included.
DRAWN = """place => {
    const cell = document.querySelectorAll('.jp-Notebook .jp-CodeCell')[place]
    const kinds = window.jupyterapp.shell.currentWidget.content.widgets
        .filter(one => one.model.type === 'code')[place].model.outputs.toJSON()
    const shown = kind => kinds.filter(one => one.data && Object.keys(one.data)
        .some(name => kind.test(name))).length
    const panels = cell.querySelectorAll(
        '.jupyter-widgets:is(.ufk-panel, .ufk-suspects, .ufk-paste, .ufk-form)')
    if (panels.length < shown(/widget-view/)) return false
    const charted = [...panels].filter(one => one.matches('.ufk-panel, .ufk-suspects.ufk-charted'))
    const wanted = shown(/plotly/) + charted.length
    const drawn = [...cell.querySelectorAll('.js-plotly-plot')]
        .filter(chart => chart.querySelector('.barlayer path, .contourlayer path, .trace path'))
    return drawn.length >= wanted
}"""


def save_shots(page: Any, stem: str) -> None:
    """Photograph every output that shows something, one picture each."""
    page.set_viewport_size({"width": page.viewport_size["width"], "height": 2600})
    page.wait_for_timeout(1500)
    cells = page.locator(".jp-Notebook .jp-CodeCell")
    for place in range(cells.count()):
        cell = cells.nth(place)
        cell.scroll_into_view_if_needed()
        page.wait_for_function(DRAWN, arg=place, timeout=60_000)
        page.wait_for_timeout(200)
        output = cell.locator(".jp-Cell-outputWrapper")
        if output.count() and (box := output.first.bounding_box()) and box["height"] > 20:
            output.first.screenshot(path=SHOTS / f"{stem}-{place:02d}.png")


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("notebook", NOTEBOOKS)
def test_runs_without_error_and_without_leaving_the_machine(
    lab: Any, watched: Any, width: int, notebook: str, job: str
) -> None:
    name_job(lab.folder, notebook, job)
    seconds = watched.open_and_run(lab, f"{notebook}.ipynb")
    print(f"\n{notebook} {job} {width} px: run all to first chart {seconds:.1f} s")
    assert watched.cell_errors() == []
    save_shots(watched.page, f"{notebook[:2]}-{job}-{width}")
    if notebook.startswith("02"):
        assert_levels_are_lettered(watched.page)
    assert watched.outside == []
    assert watched.errors == []
    assert_fits(watched.page)


def assert_levels_are_lettered(page: Any) -> None:
    """Base top and underside are named in every row, after the charts were drawn anew too."""
    words = page.evaluate(
        "() => [...document.querySelectorAll('.textpoint')].map(one => one.textContent.trim())"
    )
    tops = sum(word.startswith("base top") for word in words)
    assert tops > 0
    assert tops == sum(word.startswith("underside") for word in words)


def assert_fits(page: Any) -> None:
    """No chart is squashed, and nothing reaches beyond the width of its cell."""
    heights = page.evaluate(
        "() => [...document.querySelectorAll('.js-plotly-plot .main-svg')]"
        ".map(drawn => drawn.getBoundingClientRect().height).filter(tall => tall > 0)"
    )
    assert min(heights) > 200
    wider = page.evaluate(
        """() => [...document.querySelectorAll('.jp-Cell-outputArea')]
            .map(area => [...area.querySelectorAll(
                '.main-svg, .ufk-panel, .ufk-suspects, .ufk-paste, .ufk-form')]
                .map(part => part.getBoundingClientRect().right
                    - area.getBoundingClientRect().right))
            .flat().filter(beyond => beyond > 1)"""
    )
    assert wider == []


#: What is drawn of the stacks: outlines of all bars of the first chart that follows the panel.
BARS = """() => [...document.querySelectorAll('.ufk-panel .barlayer path')]
    .map(path => path.getAttribute('d')).join()"""


def focus_slider(page: Any) -> None:
    handle = page.locator(".ufk-panel .ufk-height .noUi-handle").first
    handle.wait_for(state="attached", timeout=30_000)
    handle.scroll_into_view_if_needed()
    handle.focus()


def test_a_key_on_the_slider_changes_stacks_and_a_refusal_is_said_in_words(
    lab: Any, watched: Any, width: int
) -> None:
    page = watched.page
    watched.open_and_run(lab, "02_set_out_the_base.ipynb")
    focus_slider(page)
    page.wait_for_selector(".ufk-panel .barlayer path", state="attached")
    before = page.evaluate(BARS)
    page.keyboard.press("ArrowRight")
    page.wait_for_function(f"before => ({BARS})() !== before", arg=before, timeout=10_000)
    height = page.get_by_label("base height [mm]")
    height.fill("300")
    height.press("Enter")
    page.wait_for_selector(".ufk-panel .ufk-message [role=alert]", timeout=10_000)
    said = page.locator(".ufk-panel .ufk-message").inner_text()
    assert "This cannot be built" in said
    assert "last good answer" in said
    page.set_viewport_size({"width": width, "height": 2600})
    page.wait_for_timeout(1000)
    page.locator(".ufk-panel").first.screenshot(path=SHOTS / f"panel-refusal-{width}.png")
    assert page.get_by_label("base height [mm]").input_value() == "300"


def test_charts_offer_no_button_that_leads_to_another_machine(
    lab: Any, watched: Any, width: int
) -> None:
    page = watched.page
    watched.open_and_run(lab, "02_set_out_the_base.ipynb")
    page.wait_for_selector(".js-plotly-plot .modebar-btn", state="attached", timeout=30_000)
    titles = page.evaluate(
        "() => [...document.querySelectorAll('.modebar-btn')]"
        ".map(b => (b.dataset.title || '') + ' ' + (b.getAttribute('href') || ''))"
    )
    assert titles
    for title in titles:
        words = title.lower()
        assert not any(word in words for word in ("cloud", "share", "studio", "http", "produced"))
    assert width > 0
