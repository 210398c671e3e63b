"""Boards of the plinth are counted by the lengths that they come in."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pandas as pd

from kit.base.plinth_items import PlinthItems, plinth_items
from kit.job import Plinth

PLINTH = Plinth(set_back_mm=40, thickness_mm=18, board_mm=(70, 95), stock_mm=(2400, 3600))


def layout(**sides_mm: list[float]) -> Any:
    units = (
        SimpleNamespace(run=run, right_mm=side) for run, sides in sides_mm.items() for side in sides
    )
    return cast(Any, SimpleNamespace(units=tuple(units)))


def lines(**board_mm: float) -> pd.DataFrame:
    return pd.DataFrame({"run": [*board_mm], "board_mm": [*board_mm.values()]})


def counted(found: PlinthItems) -> dict[tuple[str, float], int]:
    return {(item.item, item.size_mm): item.count for item in found.items}


def test_two_runs_of_two_depths() -> None:
    # A: 4 m, two boards of 2.4 m, joined at the side at 2 m; B: 3.1 m, one of 3.6 m.
    found = plinth_items(PLINTH, layout(A=[2000.0, 4000.0], B=[3100.0]), lines(A=70.0, B=95.0))
    assert counted(found) == {
        ("plinth board, 70 mm deep", 2400.0): 2,
        ("plinth board, 95 mm deep", 3600.0): 1,
    }
    assert found.notes == ()


def test_where_none_is_deep_enough_it_is_said() -> None:
    found = plinth_items(PLINTH, layout(A=[2000.0], B=[900.0]), lines(A=np.nan, B=70.0))
    assert counted(found) == {("plinth board, 70 mm deep", 2400.0): 1}
    assert len(found.notes) == 1
    assert "run A" in found.notes[0]


def test_no_plinth_no_board() -> None:
    assert plinth_items(None, layout(A=[2000.0]), lines()) == PlinthItems()
