"""A notebook shows the parts of an answer; the parts themselves know nothing of it."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import pytest

from kit.show.board.pages import elevations, load_pictures
from kit.show.chart import CONFIG
from kit.show.display import SHOWN, html_of, register
from kit.show.floor_map import floor_map


def test_every_part_of_an_answer_is_shown(answer: Any) -> None:
    parts = [
        answer,
        answer.job,
        answer.survey,
        answer.heights,
        answer.plane,
        answer.surface,
        answer.ground,
        answer.high_point,
        answer.datum,
        answer.cuts,
        answer.strength,
    ]
    for part in parts:
        assert "<div" in html_of(part)
        assert type(part) in SHOWN


def test_registered_formatters_are_used() -> None:
    class Formatter:
        def __init__(self) -> None:
            self.known: dict[type, Any] = {}

        def for_type(self, kind: type, show: Any) -> None:
            self.known[kind] = show

    class Shell:
        formatter = Formatter()

        @property
        def display_formatter(self) -> Any:
            return type("D", (), {"formatters": {"text/html": self.formatter}})()

    shell = Shell()
    register(shell)
    assert set(shell.formatter.known) == set(SHOWN)
    register(None)


def test_what_carries_a_base_says_that_it_approves_nothing(answer: Any) -> None:
    html = html_of(answer.strength)
    assert "approves no floor" in html
    for one in answer.strength.stacks:
        assert f">{one.support}<" in html


def test_pictures_of_loads_are_one_a_bearer_with_nothing_to_press(answer: Any) -> None:
    html = load_pictures(answer, 620.0, "empty").html
    assert html.count("<svg") == len(answer.layout.rows)
    assert "units empty" in html
    assert "approves no floor" in html
    assert 'role="button"' not in html
    assert "aria-pressed" not in html


def test_a_chart_is_shown_without_buttons_that_lead_away(answer: Any) -> None:
    chart = floor_map(answer.job, answer.survey, answer.ground)
    bundle = chart._repr_mimebundle_()
    config = bundle["application/vnd.plotly.v1+json"]["config"]
    assert config == CONFIG
    assert config["showSendToCloud"] is False
    assert config["plotlyServerURL"] == ""
    assert config["displaylogo"] is False
    assert not any("cloud" in b.lower() for group in config["modeBarButtons"] for b in group)
    assert bundle["text/plain"] == chart.title


def test_elevations_to_print_show_every_row_and_nothing_to_press(answer: Any) -> None:
    html = elevations(answer)._repr_html_()
    assert html.count("<svg") == len(answer.layout.rows)
    for name in answer.supports["support"]:
        assert f'data-support="{name}"' in html
    assert "tabindex" not in html


@pytest.mark.parametrize("statement", ["import kit", "import kit; kit.read_job"])
def test_kit_loads_neither_plotly_nor_ipywidgets(statement: str) -> None:
    code = f"{statement}; import sys; print(sorted({{'plotly', 'ipywidgets'}} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
