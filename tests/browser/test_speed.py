"""How long a person waits: from a key or a finger to the paint of the stacks that follow."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

pytestmark = [pytest.mark.browser, pytest.mark.speed]

#: Presses and moves that are timed.
COUNT = 44

#: From one paint to the next press: a quick hand [ms].
BETWEEN_MS = 150

#: Far above every aim: a test that is run on busy machines must not fail for being slow [ms].
LONGEST_MS = 3000.0

#: Resolves with the milliseconds from the next event of a kind to the paint of the answer: a new
#: elevation, or the words why there is none; with more than any wait where nothing comes.
TIME_ONE = """kind => {
    window.timed = new Promise(done => {
        let began = 0
        document.addEventListener(kind, () => { began = performance.now() },
            {capture: true, once: true})
        const seen = new MutationObserver(() => {
            if (!began) return
            seen.disconnect()
            requestAnimationFrame(() => setTimeout(() => done(performance.now() - began), 0))
        })
        for (const part of document.querySelectorAll('.ufk-elevation, .ufk-problems'))
            seen.observe(part, {childList: true, subtree: true, characterData: true})
        setTimeout(() => done(4000), 4000)
    })
}"""


@pytest.fixture(params=[1400])
def width(request: pytest.FixtureRequest) -> int:
    """Return the width of the browser's window [px]."""
    return int(request.param)


def time_keys(page: Any, selector: str, keys: tuple[str, str], count: int = COUNT) -> list[float]:
    """Press a key so many times to and fro, and return how long each took to be painted [ms]."""
    target = page.locator(selector).first
    target.scroll_into_view_if_needed()
    target.focus()
    times = []
    for press in range(count):
        page.evaluate(TIME_ONE, "keydown")
        page.keyboard.press(keys[press % 2])
        times.append(float(page.evaluate("async () => await window.timed")))
        page.wait_for_timeout(BETWEEN_MS)
    return times


def time_drag(page: Any, support: str, count: int = COUNT) -> list[float]:
    """Drag a support to and fro, and return how long each step took to be painted [ms]."""
    page.locator(f'.ufk-support[data-support="{support}"]').scroll_into_view_if_needed()
    box = page.locator(f'.ufk-support[data-support="{support}"] .ufk-packer').bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 5, y)
    page.wait_for_timeout(300)
    times = []
    for step in range(count):
        page.evaluate(TIME_ONE, "pointermove")
        page.mouse.move(x + 5 + (4 if step % 2 == 0 else 0), y)
        times.append(float(page.evaluate("async () => await window.timed")))
        page.wait_for_timeout(BETWEEN_MS)
    page.mouse.up()
    page.wait_for_timeout(300)
    return times


def told(name: str, times: list[float]) -> float:
    """Print how long a kind of change took, and return what 95 of 100 stay below [ms]."""
    p50, p95 = np.percentile(times, [50, 95])
    print(f"{name}: n = {len(times)}, p50 {p50:.0f} ms, p95 {p95:.0f} ms")
    return float(p95)


def time_board(page: Any, where: str, support: str) -> float:
    """Time each kind of change on a board that is there, and return the longest p95 [ms]."""
    page.wait_for_timeout(2500)
    height, span = ".ufk-height .ufk-slider", '[aria-label="longest span, slider"]'
    back = '[aria-label="back set-back, slider"]'
    longest = [told(f"{where}, base height", time_keys(page, height, ("ArrowRight", "ArrowLeft")))]
    longest.append(told(f"{where}, dragged support", time_drag(page, support)))
    box = page.get_by_label("longest span", exact=True)
    box.fill("450")  # at 440 mm a bay of 450 is divided, in both jobs
    box.press("Enter")
    page.wait_for_timeout(1000)
    longest.append(
        told(f"{where}, longest span", time_keys(page, span, ("ArrowLeft", "ArrowRight")))
    )
    longest.append(
        told(f"{where}, back set-back", time_keys(page, back, ("ArrowRight", "ArrowLeft")))
    )
    return max(longest)


def test_reading_room_in_lab(lab: Any, watched: Any) -> None:
    first = watched.open_and_run(lab, "02_set_out_the_base.ipynb")
    print(f"\nLab: run all to the first picture {first:.1f} s")
    assert time_board(watched.page, "Lab, reading room, 24 supports", "B3") < LONGEST_MS


def test_reading_room_in_voila(voila: Any, watched: Any) -> None:
    watched.page.goto(voila.address)
    watched.page.wait_for_selector(".ufk-elevation svg", timeout=90_000)
    print()
    assert time_board(watched.page, "Voila, reading room, 24 supports", "B3") < LONGEST_MS


def test_two_hundred_supports_in_voila(voila: Any, watched: Any) -> None:
    open_hall(voila.folder)
    watched.page.goto(voila.address)
    watched.page.wait_for_selector(".ufk-elevation svg", timeout=90_000)
    print()
    assert time_board(watched.page, "Voila, 200 supports", "B4") < LONGEST_MS


def test_two_hundred_supports_in_lab(lab: Any, watched: Any) -> None:
    open_hall(lab.folder)
    first = watched.open_and_run(lab, "02_set_out_the_base.ipynb")
    print(f"\nLab, hall: run all to the first picture {first:.1f} s")
    assert watched.cell_errors() == []
    assert watched.page.locator(".ufk-support").count() >= 200
    assert time_board(watched.page, "Lab, 200 supports", "B4") < LONGEST_MS


def open_hall(folder: Path) -> None:
    """Put the hall among the jobs and name it in the notebook."""
    write_hall(folder / "data" / "hall")
    path = folder / "notebooks" / "02_set_out_the_base.ipynb"
    path.write_text(path.read_text().replace("data/reading-room", "data/hall"))


def write_hall(folder: Path) -> None:
    """Write a market hall with 45 m of counter on flags that fall and swell, read each metre."""
    folder.mkdir()
    lines = ["point,x_mm,y_mm,height_mm"]
    for x in range(0, 45_001, 1_000):
        for y in (50, 300, 550):
            height = 4 * np.sin(x / 5100) + 2 * np.cos(y / 300 + x / 2300) - 0.3 * x / 1000
            lines.append(f"P{len(lines)},{x},{y},{height:.1f}")
    (folder / "readings.csv").write_text("\n".join(lines) + "\n")
    units = "".join(
        f"""
  [[run.unit]]
  name = "counter {n + 1}"
  width_mm = 900
  depth_mm = 600
  height_mm = 900
  divisions_mm = [450]
  mass_kg = 40
  contents_kg = 60
"""
        for n in range(50)
    )
    packers = ", ".join(f"{{ mm = {mm} }}" for mm in (1, 2, 5, 10, 20))
    (folder / "job.toml").write_text(
        f"""schema = 1
title = "Market hall, long counter"
[floor]
kind = "solid"
[[survey]]
kind = "heights"
file = "readings.csv"
sd_mm = 0.5
[[run]]
name = "A"
{units}
[[base]]
name = "bearers on packers"
height_mm = [60, 80]
[stock]
packers = [{packers}]
screws_mm = [30, 40, 50, 70]
"""
    )
