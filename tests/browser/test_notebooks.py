"""Every notebook with every job in a real JupyterLab: they run, stay at home, and answer keys."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"

#: Every notebook with every job that shows something of its own, every one at both widths.
RUNS = [
    ("00_before_you_read", "reading-room", 1400),
    ("00_before_you_read", "market-counter", 800),
    ("01_read_the_floor", "reading-room", 1400),
    ("01_read_the_floor", "boot-room", 800),
    ("01_read_the_floor", "market-counter", 1400),
    ("01_read_the_floor", "market-counter", 800),
    # The other jobs of this one are in test_board.py.
    ("02_set_out_the_base", "market-counter", 800),
    # The reading room in this one is in test_two_bases.py.
    ("03_two_bases", "boot-room", 800),
]


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
        '.jupyter-widgets:is(.ufk-suspects, .ufk-paste, .ufk-form, .ufk-two-bases), .ufk-board')
    if (panels.length < shown(/widget-view/)) return false
    const charted = [...panels].filter(one => one.matches('.ufk-suspects.ufk-charted'))
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
        page.wait_for_function(DRAWN, arg=place, timeout=120_000)
        page.wait_for_timeout(200)
        output = cell.locator(".jp-Cell-outputWrapper")
        if output.count() and (box := output.first.bounding_box()) and box["height"] > 20:
            output.first.screenshot(path=SHOTS / f"{stem}-{place:02d}.png")


@pytest.mark.parametrize(("notebook", "job", "width"), RUNS)
def test_runs_without_error_and_without_leaving_the_machine(
    lab: Any, watched: Any, width: int, notebook: str, job: str
) -> None:
    name_job(lab.folder, notebook, job)
    seconds = watched.open_and_run(lab, f"{notebook}.ipynb")
    print(f"\n{notebook} {job} {width} px: run all to first chart {seconds:.1f} s")
    assert watched.cell_errors() == []
    save_shots(watched.page, f"{notebook[:2]}-{job}-{width}")
    assert watched.outside == []
    assert watched.errors == []
    assert_fits(watched.page)


def assert_fits(page: Any) -> None:
    """No chart is squashed, and nothing reaches beyond the width of its cell."""
    heights = page.evaluate(
        "() => [...document.querySelectorAll('.js-plotly-plot .main-svg')]"
        ".map(drawn => drawn.getBoundingClientRect().height).filter(tall => tall > 0)"
    )
    assert all(tall > 200 for tall in heights)
    wider = page.evaluate(
        """() => [...document.querySelectorAll('.jp-Cell-outputArea')]
            .map(area => [...area.querySelectorAll(
                '.main-svg, .ufk-board, .ufk-suspects, .ufk-paste, .ufk-form, .ufk-two-bases')]
                .map(part => part.getBoundingClientRect().right
                    - area.getBoundingClientRect().right))
            .flat().filter(beyond => beyond > 1)"""
    )
    assert wider == []


@pytest.mark.parametrize("width", [1400])
def test_forms_answer_what_is_typed_and_a_pasted_table_is_written(
    lab: Any, watched: Any, width: int
) -> None:
    page = watched.page
    watched.open_and_run(lab, "00_before_you_read.ipynb")
    page.set_viewport_size({"width": width, "height": 9000})
    form = page.locator(".ufk-form").first
    form.get_by_text("correct by").wait_for(timeout=60_000)
    box = page.get_by_label("staff A, second stand [mm]").first
    box.fill("1482")
    box.press("Enter")
    form.get_by_text("✓ use it").wait_for(timeout=60_000)
    box.fill("1.482")
    box.press("Enter")
    form.get_by_text("have it serviced").first.wait_for(timeout=60_000)
    box.fill("-4")
    box.press("Enter")
    form.get_by_text("0 or more").first.wait_for(timeout=60_000)
    paste = page.locator(".ufk-paste").first
    area = paste.locator("textarea")
    area.fill("setup;point;x [m];y [m];reading [mm]\nT1;P1;0,02;0,06;1401\nT1;P4;0,5;0,06;1402,5\n")
    paste.get_by_text("decimal comma").wait_for(timeout=60_000)
    paste.get_by_role("button", name="Write it into the job").click()
    paste.get_by_text("is written and stands in job.toml").wait_for(timeout=60_000)
    folder = lab.folder / "data" / "reading-room"
    assert (folder / "pasted.csv").read_text().splitlines()[1] == "T1,P1,0.02,0.06,1401"
    assert 'file = "pasted.csv"' in (folder / "job.toml").read_text()
    assert watched.errors == []


@pytest.mark.parametrize("width", [800])
def test_a_suspect_is_left_out_by_the_person_and_not_before(
    lab: Any, watched: Any, width: int
) -> None:
    page = watched.page
    name_job(lab.folder, "01_read_the_floor", "market-counter")
    job = lab.folder / "data" / "market-counter" / "job.toml"
    watched.open_and_run(lab, "01_read_the_floor.ipynb")
    page.set_viewport_size({"width": width, "height": 9000})
    assert "leave_out" not in job.read_text()
    panel = page.locator(".ufk-suspects").first
    panel.get_by_role("button", name="Leave it out").click()
    panel.get_by_text("Saved to job.toml").wait_for(timeout=60_000)
    assert "leave_out = [20]" in job.read_text()
    watched.open_and_run(lab, "01_read_the_floor.ipynb")
    assert watched.cell_errors() == []
    page.set_viewport_size({"width": width, "height": 9000})
    page.get_by_text("left out as the job says: row 20 (point C9)").first.wait_for(timeout=60_000)
    page.get_by_text("there is nothing to decide").first.wait_for(timeout=60_000)


@pytest.mark.parametrize("width", [1400])
def test_charts_offer_no_button_that_leads_to_another_machine(lab: Any, watched: Any) -> None:
    page = watched.page
    watched.open_and_run(lab, "01_read_the_floor.ipynb")
    page.wait_for_selector(".js-plotly-plot .modebar-btn", state="attached", timeout=60_000)
    titles = page.evaluate(
        "() => [...document.querySelectorAll('.modebar-btn')]"
        ".map(b => (b.dataset.title || '') + ' ' + (b.getAttribute('href') || ''))"
    )
    assert titles
    for title in titles:
        words = title.lower()
        assert not any(word in words for word in ("cloud", "share", "studio", "http", "produced"))
