"""The chart of a finished base: what it draws is what the check says."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kit.as_built import Checked
from kit.show.hand_over.before_after import before_after_chart, before_after_drawing


def traces(checked: Checked, what: str) -> list[dict[str, Any]]:
    return [one for one in before_after_drawing(checked).traces if one["meta"] == what]


def test_rings_and_discs_lie_where_the_check_has_them(checked: Checked) -> None:
    told = checked.changes.table.set_index("support")
    along = checked.supports.set_index("support")["own_x_mm"]
    rings, discs = traces(checked, "before"), traces(checked, "after")
    for (_, of_row), ring, disc in zip(
        checked.supports.groupby("bearer", sort=False), rings, discs, strict=True
    ):
        names = of_row["support"].tolist()
        assert ring["x"] == along[names].tolist()
        assert ring["y"] == told.loc[names, "off_before_mm"].tolist()
        assert ring["error_y"]["array"] == (2 * of_row["sd_mm"]).tolist()
        opened = [name for name in names if told.loc[name, "opened"]]
        assert disc["x"] == along[opened].tolist()
        assert disc["y"] == told.loc[opened, "off_after_mm"].tolist()
    assert [len(disc["x"]) for disc in discs] == [1, 1, 0]


def test_names_stand_beyond_the_doubt(checked: Checked) -> None:
    for ring, one in zip(traces(checked, "before"), traces(checked, "names"), strict=True):
        assert one["x"] == ring["x"]
        reach = np.abs(np.subtract(one["y"], ring["y"]))
        assert reach == pytest.approx(ring["error_y"]["array"])
        away = np.sign(np.subtract(one["y"], ring["y"])) * np.where(np.array(ring["y"]) < 0, -1, 1)
        assert (away > 0).all()
    named = [name for one in traces(checked, "names") for name in one["text"]]
    assert named == checked.supports["support"].tolist()


def test_the_band_is_the_tolerance_in_every_row(checked: Checked) -> None:
    bands = [one for one in before_after_drawing(checked).layout["shapes"] if one["type"] == "rect"]
    assert [(one["y0"], one["y1"]) for one in bands] == [(-1.0, 1.0)] * 3
    assert [one["yref"] for one in bands] == ["y", "y2", "y3"]


def test_rows_share_one_scale_that_holds_all(checked: Checked) -> None:
    layout = before_after_drawing(checked).layout
    (low, high), *others = [layout[name]["range"] for name in ("yaxis", "yaxis2", "yaxis3")]
    assert others == [[low, high]] * 2
    drawn = [y for ring in traces(checked, "before") for y in ring["y"]]
    assert low < min(drawn) < max(drawn) < high


def test_inches_are_drawn_and_lettered(checked: Checked, inch_checked: Checked) -> None:
    for mm, inches in zip(traces(checked, "before"), traces(inch_checked, "before"), strict=True):
        assert np.multiply(inches["y"], 25.4) == pytest.approx(mm["y"])
    layout = before_after_drawing(inch_checked).layout
    assert layout["yaxis"]["title"]["text"] == "off [in]"
    ticks = layout["xaxis"]
    assert [25.4 * float(text) for text in ticks["ticktext"]] == pytest.approx(ticks["tickvals"])


def test_names_are_letters_only_and_nothing_leads_away(checked: Checked) -> None:
    job = checked.answer.job.model_copy(update={"title": "<a href='x'>press</a> & $x$"})
    chart = before_after_chart(replace(checked, answer=replace(checked.answer, job=job)))
    shown = chart._repr_mimebundle_()["application/vnd.plotly.v1+json"]
    assert "<a " not in json.dumps(shown)
    assert shown["config"]["plotlyServerURL"] == ""


def test_without_changes_there_are_rings_alone(checked: Checked) -> None:
    stays = replace(checked, changes=replace(checked.changes, possible=False))
    assert all(not one["x"] for one in traces(stays, "after"))
    assert traces(stays, "before")[0]["y"] == pytest.approx(
        checked.supports.loc[checked.supports["bearer"] == "B", "off_mm"].tolist()
    )


@pytest.mark.parametrize("rows", range(1, 12))
def test_any_number_of_rows_has_room(checked: Checked, rows: int) -> None:
    bearers = [f"R{number % rows}" for number in range(len(checked.supports))]
    many = replace(checked, supports=checked.supports.assign(bearer=bearers))
    layout = before_after_chart(many).figure.layout
    domains = [layout[f"yaxis{n}" if n > 1 else "yaxis"].domain for n in range(rows, 0, -1)]
    assert domains[0][0] == pytest.approx(0.0, abs=1e-9)
    assert domains[-1][1] == 1.0
    ends = [end for domain in domains for end in domain]
    assert ends == sorted(ends)


def test_what_contradicts_itself_stands_on_the_level_crossed_out(
    checked: Checked, slipped: Checked
) -> None:
    assert traces(checked, "crossed") == []
    (crossed,) = traces(slipped, "crossed")
    at = slipped.supports.set_index("support")["own_x_mm"]
    assert (crossed["x"], crossed["y"]) == ([at["F3"]], [0.0])
    assert crossed["marker"]["symbol"] == "circle-x-open"
    assert crossed["text"] == ["F3 read again"]
    assert at["F3"] not in traces(slipped, "before")[1]["x"]
    title = before_after_drawing(slipped).layout["title"]["text"]
    assert "readings contradict (F3)" in title.replace("<br>", " ")
