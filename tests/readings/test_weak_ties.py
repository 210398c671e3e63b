"""How weak a tie is and what would check it, against closed forms and the dense covariance."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.readings import Heights, Readings, Table, adjust

SD = 0.5


def chain(count: int) -> dict[str, dict[str, float]]:
    """Set-ups one after the other, each tied to the next by one point."""
    return {f"S{i}": {f"K{i}": 1400.0, f"K{i + 1}": 1396.0, f"A{i}": 1398.0} for i in range(count)}


def mean_sd(heights: Heights, part: list[str]) -> float:
    """Return the sd of a part's mean height against the rest, from the dense covariance."""
    points, tie = heights.points["point"], heights.ties["tie"].iloc[0]
    inside = points.isin(part).to_numpy()
    rest = ~inside & (points != tie).to_numpy()
    f = inside / inside.sum() - rest / rest.sum()
    return float(np.sqrt(f @ heights.covariance() @ f))


def test_two_set_ups_on_one_point(staff: Callable[..., Any]) -> None:
    book = {
        "S1": {"K": 1400.0, "A": 1401.0, "B": 1402.0},
        "S2": {"K": 1500.0, "C": 1501.0, "D": 1502.0, "E": 1503.0},
    }
    ties = adjust(staff(book, SD), None, 0.0).ties
    assert ties[["part", "setups", "points", "tie", "checked"]].to_numpy().tolist() == [
        ["S1", 1, 2, "K", False]
    ]
    # Both readings of K, the mean of two points and the mean of three: independent errors.
    assert ties["sd_mm"].iloc[0] == pytest.approx(SD * np.sqrt(2 + 1 / 2 + 1 / 3))


@pytest.mark.parametrize("count", [4, 9, 16])
def test_a_chain_of_set_ups_grows_with_their_root(staff: Callable[..., Any], count: int) -> None:
    """Of n set-ups the difference of the ends has 2n readings: sd·sqrt(2n), levelling's own law."""
    readings = staff(chain(count), SD)
    heights = adjust(readings, "K0", 0.0)
    ends = readings.places["point"].tolist()
    last = ends.index(f"K{count}")
    assert heights.points["sd_mm"].iloc[last] == pytest.approx(SD * np.sqrt(2 * count))
    ties = heights.ties
    assert set(ties["tie"]) == {f"K{i}" for i in range(1, count)}
    assert not ties["checked"].any()
    own, factors = heights.shared_doubt()
    assert np.sqrt(own + (factors**2).sum(axis=1))[last] == pytest.approx(SD * np.sqrt(2 * count))


def test_a_reading_more_does_what_the_table_says(staff: Callable[..., Any]) -> None:
    book = chain(4)
    before = adjust(staff(book, SD), None, 0.0)
    first = before.ties.iloc[0]
    assert first["tie"] == "K2"
    assert first["sd_mm"] == pytest.approx(mean_sd(before, ["K0", "K1", "A0", "A1"]))
    words = first["read"].split()
    assert words[0] == "point"
    assert words[2:4] == ["from", "set-up"]
    book[words[4]][words[1]] = 1397.0
    after = adjust(staff(book, SD), None, 0.0)
    points = after.points["point"]
    inside = points.isin(["K0", "K1", "A0", "A1"]).to_numpy()
    rest = ~inside & (points != "K2").to_numpy()
    f = inside / inside.sum() - rest / rest.sum()
    now = float(np.sqrt(f @ after.covariance() @ f))
    assert now == pytest.approx(first["sd_then_mm"])
    assert now < first["sd_mm"]
    assert "K2" not in set(after.ties["tie"])


def test_no_other_reading_checks_the_tie_better(staff: Callable[..., Any]) -> None:
    """Every reading across the tie is tried: none gives the tie's reading more redundancy."""
    book = chain(4)
    words = adjust(staff(book, SD), None, 0.0).ties["read"].iloc[0].split()
    sides = (("S0", "S1"), ("K0", "K1", "A0", "A1")), (("S2", "S3"), ("K3", "K4", "A2", "A3"))
    gained = {}
    for (setups, _), (_, points) in (sides, sides[::-1]):
        for setup in setups:
            for point in points:
                more = {name: dict(read) for name, read in book.items()}
                more[setup][point] = 1397.0
                heights = adjust(staff(more, SD), None, 0.0)
                rows = heights.residuals
                here = (rows["setup"] == "S1") & (rows["point"] == "K2")
                gained[setup, point] = float(rows["redundancy"][here].iloc[0])
    best = max(gained.values())
    # Of readings within a tenth of the best the nearest is named.
    assert gained[words[4], words[1]] >= 0.9 * best
    assert min(gained.values()) < 0.7 * best


def test_the_notes_name_the_tie_and_what_to_read(staff: Callable[..., Any]) -> None:
    book = chain(3)
    book["S0"]["B0"] = book["S1"]["B0"] = 1399.0
    heights = adjust(staff(book, SD), None, 0.0)
    said = [note for note in heights.cautions if "alone" in note]
    assert len(said) == 1
    assert said[0].startswith("S2 with 2 points hangs on K2 alone, and no other reading checks")
    assert "Read point " in said[0]


def test_of_many_ties_only_the_largest_are_told(staff: Callable[..., Any]) -> None:
    heights = adjust(staff(chain(20), SD), None, 0.0)
    said = [note for note in heights.cautions if "alone" in note]
    assert len(heights.ties) == 19
    assert len(said) == 6
    assert "13 more parts hang on one point each, 13 of them by readings" in heights.cautions[-1]


def test_two_tables_of_heights_on_one_point(table: Callable[..., Table]) -> None:
    def heights(points: str, shift: float, name: str) -> Table:
        rows = pd.DataFrame({"point": list(points)})
        at = rows["point"].map(ord).to_numpy(dtype=float) - 65
        rows = rows.assign(x_mm=400 * at, y_mm=30 * at**2, observed_mm=shift + at, setup="")
        return table(rows.assign(sd_mm=0.8), name, "heights")

    both = Readings((heights("ABC", 0.0, "one.csv"), heights("CDEF", 50.0, "two.csv")))
    ties = adjust(both, None, 0.0).ties
    assert ties["part"].tolist() == ["one.csv"]
    assert ties["sd_mm"].iloc[0] == pytest.approx(0.8 * np.sqrt(2 + 1 / 2 + 1 / 3))
    assert ties["read"].iloc[0].endswith(".csv too")


def test_a_survey_that_is_well_tied_has_none(network: Callable[..., Any]) -> None:
    heights = adjust(network(3, points=12, setups=4).readings, None, 0.0)
    assert heights.ties.empty
    assert not any("alone" in note for note in heights.notes)
