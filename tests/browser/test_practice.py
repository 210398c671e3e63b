"""Whole drills by hand: in JupyterLab, under Voila, by mouse, by keys and by touch."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from kit.practice.attempt import begin
from kit.practice.drills import DRILLS
from kit.practice.grades import grade_named
from kit.show.practice.desk import as_typed

pytestmark = pytest.mark.browser

SHOTS = Path(__file__).parents[1] / "screenshots"
CELL = "from kit import show\n\npage = show.Practice({drill!r}, {seed}, {grade!r})\npage"


def open_page(lab: Any, watched: Any, drill: str, seed: int, grade: str, more: str = "") -> Any:
    """Run a notebook that holds the practice page alone; return the browser's page."""
    lab.put_notebook("page.ipynb", more + CELL.format(drill=drill, seed=seed, grade=grade))
    watched.open_and_run(lab, "page.ipynb")
    assert watched.cell_errors() == []
    return ready(watched.page)


def ready(page: Any) -> Any:
    page.wait_for_selector(".ufk-practice .ufk-task h2", state="attached", timeout=90_000)
    page.set_viewport_size({"width": page.viewport_size["width"], "height": 3200})
    page.locator(".ufk-practice").last.scroll_into_view_if_needed()
    settle(page)
    return page


def settle(page: Any) -> None:
    page.evaluate("() => window.quiet()")


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


@pytest.mark.parametrize("width", [1400])
def test_in_jupyterlab_a_level_is_dragged_turned_and_its_error_found(
    lab: Any, watched: Any
) -> None:
    watched.open_and_run(lab, "04_practice_floor.ipynb")
    assert watched.cell_errors() == []
    page = ready(watched.page)
    page.get_by_label("grade of the floor").select_option("fair")
    begun(page, 2)
    page.get_by_label("seed of the floor").fill("11")
    page.get_by_label("seed of the floor").press("Enter")
    begun(page, 3)
    shoot(page, "opened")
    form(page, "lay").locator("[name=level]").select_option("long")
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


def hand_in(page: Any, name: str, typed: dict[str, str]) -> None:
    """Fill a form by the keyboard alone and hand it in with Enter, or by its button."""
    where = form(page, name)
    fold = page.locator("details.ufk-move:not([open])").filter(
        has=page.locator(f"form[data-form='{name}']")
    )
    if fold.count():
        fold.locator("summary").press("Enter")
    for key, text in typed.items():
        box = where.locator(f"[name='{key}']")
        if box.evaluate("box => box.tagName") == "SELECT":
            box.select_option(text)
        else:
            box.fill(text)
    boxes = where.locator("input")
    if boxes.count():
        boxes.last.press("Enter")
    else:
        where.locator("button[type=submit]").press("Enter")


def begun(page: Any, number: int) -> None:
    page.wait_for_selector(f".ufk-practice .ufk-task[data-task='{number}']", timeout=60_000)


def seen_moves(page: Any, number: int) -> None:
    page.wait_for_function(
        "n => document.querySelectorAll('.ufk-practice .ufk-log tbody tr').length === n",
        arg=number, timeout=60_000,
    )  # fmt: skip


@pytest.mark.parametrize("width", [1400])
def test_every_drill_can_be_done_with_the_keyboard(lab: Any, watched: Any) -> None:
    """The sound way of each, typed into its forms; what cannot be read is said at its field."""
    page = open_page(lab, watched, DRILLS[0].key, 4, "ordinary")
    for drill in DRILLS:
        task = task_of(drill.key, 4, "ordinary")
        if drill is not DRILLS[0]:  # which was opened: what is typed before it begins anew is gone
            page.get_by_label("drill", exact=True).select_option(drill.key)
        page.wait_for_function(
            "title => document.querySelector('.ufk-task h2').textContent === title",
            arg=drill.title, timeout=60_000,
        )  # fmt: skip
        for number, done in enumerate(task.worked.done, start=1):
            typed = {key: as_typed(value) for key, value in done.move.values.items()}
            hand_in(page, done.move.kind, typed)
            seen_moves(page, number)
            assert page.locator(".ufk-practice .ufk-seen").inner_text() == done.seen.words
        hand_in(page, "answer", {key: as_typed(v) for key, v in task.worked.answer.items()})
        page.wait_for_selector(".ufk-practice .ufk-verdict:not([hidden])", timeout=60_000)
        assert "100 of 100 marks" in page.locator(".ufk-practice .ufk-verdict").inner_text()
        shoot(page, f"{drill.key}-marked")
    assert watched.errors == []
    assert watched.outside == []


@pytest.mark.parametrize("width", [1400])
def test_what_is_wrong_is_said_at_its_field_and_ends_move_by_keys(lab: Any, watched: Any) -> None:
    page = open_page(lab, watched, "own_error", 11, "fair")
    where = form(page, "lay")
    where.get_by_label("marked end at").fill("1000")
    where.get_by_label("other end towards").fill("2800 900")
    where.get_by_label("other end towards").press("Enter")
    settle(page)
    box = where.get_by_label("marked end at")
    assert box.get_attribute("aria-invalid") == "true"
    told = page.locator(f"[id='{box.get_attribute('aria-describedby')}']").inner_text()
    assert "two numbers" in told
    assert page.locator(".ufk-practice .ufk-log").is_hidden()
    box.fill("1000 900")
    end = page.locator(".ufk-practice .ufk-end").first
    end.focus()
    for key in ("ArrowRight", "ArrowDown", "Shift+ArrowLeft"):
        end.press(key)
    assert box.input_value() == "910 910"
    assert "x 910, y 910" in end.get_attribute("aria-label")
    end.press("Enter")
    seen_moves(page, 1)
    assert box.get_attribute("aria-invalid") == "false"
    for control in page.locator(".ufk-practice :is(input, select)").all():
        named = control.evaluate("one => one.labels?.length || one.getAttribute('aria-label')")
        assert named, control.evaluate("one => one.outerHTML")
    assert watched.errors == []


@pytest.mark.parametrize("width", [1400])
def test_two_pages_in_a_notebook_keep_their_hands_off_each_other(lab: Any, watched: Any) -> None:
    """Each has its own copy of the view's module, and all stand in one document."""
    other = "from kit import show\ndisplay(show.Practice('high_point', 5, 'rough'))\n"
    page = open_page(lab, watched, "high_point", 4, "fair", other)
    roots = page.locator(".ufk-practice")
    page.wait_for_function("() => document.querySelectorAll('.ufk-practice').length === 2")
    names = page.evaluate(
        "() => [...document.querySelectorAll('.ufk-practice form [id]')].map((one) => one.id)"
    )
    assert len(set(names)) == len(names) > 20
    presses = [roots.nth(k).get_by_role("radio") for k in range(2)]
    presses[0].last.check()
    presses[1].first.check()
    assert presses[0].last.is_checked()
    # An answer comes into sight where it was given, and nowhere else.
    where = roots.nth(1).locator("form[data-form='answer']")
    where.locator("input").first.fill("1500 40")
    where.locator("input").first.press("Enter")
    roots.nth(1).locator(".ufk-verdict:not([hidden])").wait_for(timeout=60_000)
    assert roots.nth(1).locator(".ufk-verdict").evaluate("one => one === document.activeElement")
    assert roots.nth(0).locator(".ufk-verdict").is_hidden()
    # Nor is it taken from a person's hands when there is more or less room.
    roots.nth(0).locator("form input").first.focus()
    page.set_viewport_size({"width": 620, "height": 3200})
    settle(page)
    assert (
        roots.nth(0).locator("form input").first.evaluate("one => one === document.activeElement")
    )
    assert watched.errors == []


@pytest.fixture
def device(request: pytest.FixtureRequest) -> dict[str, Any]:
    """A tablet where a test is about touch."""
    return {"has_touch": True} if "touch" in request.node.name else {}


def touch(hand: Any, kind: str, at: tuple[float, float] | None = None) -> None:
    points = [{"x": at[0], "y": at[1]}] if at else []
    hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


@pytest.mark.parametrize("voila", ["04_practice_floor.ipynb"], indirect=True)
@pytest.mark.parametrize("width", [1200])
def test_under_voila_a_whole_drill_by_touch_and_no_code(voila: Any, watched: Any) -> None:
    page = watched.page
    page.goto(voila.address, timeout=120_000)
    ready(page)
    assert page.locator(".jp-CodeCell :is(.jp-InputArea, .cm-editor):visible").count() == 0
    assert (
        page.locator(".jp-OutputArea-output[data-mime-type*=error], .jp-RenderedError").count() == 0
    )
    page.get_by_label("drill", exact=True).select_option("own_error")
    begun(page, 2)
    page.get_by_label("seed of the floor").fill("11")
    page.get_by_role("button", name="begin").tap()
    begun(page, 3)
    form(page, "lay").locator("[name=level]").select_option("long")
    hand = page.context.new_cdp_session(page)
    (x0, y), (x1, _) = on_plan(page, 600, 1200), on_plan(page, 2600, 1200)
    touch(hand, "touchStart", (x0, y))
    for step in range(1, 9):
        touch(hand, "touchMove", (x0 + (x1 - x0) * step / 8, y))
        page.wait_for_timeout(30)
    # A finger that is lifted while it still runs flings, and the browser swallows the next tap.
    page.wait_for_timeout(300)
    touch(hand, "touchEnd")
    seen_moves(page, 1)
    settle(page)  # the first bubble takes its room over the plan, and what is below moves down
    form(page, "lay").get_by_role("button", name="turn it end for end").tap()
    seen_moves(page, 2)
    assert page.locator(".ufk-practice .ufk-last svg").count() == 2  # vial and edge
    answer = form(page, "answer").get_by_label("own error of the long level")
    answer.fill("17")
    form(page, "answer").get_by_role("button", name="mark it").tap()
    page.wait_for_selector(".ufk-practice .ufk-verdict:not([hidden])", timeout=60_000)
    verdict = page.locator(".ufk-practice .ufk-verdict").inner_text()
    assert "Mistake: " in verdict
    assert "what it does to the furniture" in verdict
    for control in page.locator(".ufk-practice button:visible, .ufk-practice select:visible").all():
        assert control.bounding_box()["height"] >= 44  # a finger's width
    page.screenshot(path=SHOTS / "04-voila-1200.png", full_page=True)
    # Not even the icons that Voila's own page would ask for: voila.json keeps the browser at home.
    assert watched.outside == []
    assert watched.errors == []


@pytest.mark.parametrize("width", [1400])
def test_the_trainers_notebook_runs_in_jupyterlab(lab: Any, watched: Any) -> None:
    watched.open_and_run(lab, "04_for_the_trainer.ipynb")
    assert watched.cell_errors() == []
    page = watched.page
    page.set_viewport_size({"width": 1400, "height": 5200})
    page.wait_for_selector(".jp-Notebook .jp-CodeCell svg", state="attached", timeout=120_000)
    settle(page)
    cells = page.locator(".jp-Notebook")
    cells.screenshot(path=SHOTS / "04-trainer-1400.png")
    assert watched.errors == []
    assert watched.outside == []
