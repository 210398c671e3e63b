"""Every measure worked out again from the files that the command writes, by pandas alone.

Nothing of the kit is called but the command: what stands in comparison.csv must follow from the
two answers beside it.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.__main__ import main
from kit.side_by_side.files import folder_names

DATA = Path(__file__).parents[2] / "data"

#: Hours of a day in the demo jobs: [rates] does not name them, 8 is the README's figure.
DAY_HOURS = 8.0

PAIRS = {
    "packers and feet": ("reading-room", "bearers on packers", "screw feet"),
    "ladder and compound": ("reading-room", "ladder frame", "levelling compound"),
    "stacks and packers": ("reading-room", "stacks without bearers", "bearers on packers"),
    "two spans": ("boot-room", "bearers on packers", "thicker bearers, wider spans"),
    "the hall": ("market-counter", "screw feet", "bearers on packers"),
}


@pytest.fixture(scope="module", params=list(PAIRS.values()), ids=list(PAIRS))
def written(request, tmp_path_factory) -> tuple[pd.DataFrame, tuple[str, str], Path, str]:
    job, *bases = request.param
    out = tmp_path_factory.mktemp("compared")
    words = ["compare", str(DATA / job), "--bases", *bases, "--out", str(out), "--floors", "8"]
    assert main([*words, "--no-turning"]) == 0
    table = pd.read_csv(out / "comparison.csv")
    return table, (bases[0], bases[1]), out, job


def read(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = {path.stem: pd.read_csv(path) for path in folder.glob("*.csv")}
    found["summary"] = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    return found


def test_the_columns_of_the_contract(written) -> None:
    table, bases, out, _ = written
    assert list(table.columns) == ["measure", "unit", *bases, "better"]
    assert set(table["better"].dropna()) <= {*bases, "no difference"}
    assert {path.name for path in out.iterdir()} == {
        "comparison.csv", "doubt.csv", "turning.csv", "limits.csv", "comparison.html", *bases,
    }  # fmt: skip
    assert pd.read_csv(out / "turning.csv").empty  # nobody looked for turning points


def heights(a: dict[str, Any]) -> Iterator[tuple[str, float]]:
    high, feasible = a["summary"]["high_point"]["height_mm"], a["summary"]["feasible_heights_mm"]
    made, zero = "base top that can be made", "from the heights' zero"
    yield f"lowest {made}, {zero}", high + min(low for low, _ in feasible)
    yield f"highest {made}, {zero}", high + max(top for _, top in feasible)
    yield "heights that can be made, together", sum(top - low for low, top in feasible)
    yield "base top, from the heights' zero", a["summary"]["base_top_mm"]


def takes(a: dict[str, Any]) -> Iterator[tuple[str, float]]:
    items = a["takeoff"]
    own = items[~items["item"].str.startswith("plinth board")]
    minutes = (a["work"]["count"] * a["work"]["minutes_each"]).sum()
    assert minutes == pytest.approx(a["work"]["minutes"].sum())
    placed = a["work"]["unit"].isin(["packer", "foot", "piece", "bag"])
    yield "pieces to place", a["work"].loc[placed, "count"].sum()
    yield "packers", len(a["stacks"])
    feet = own["item"].str.startswith("screw foot")
    yield "screw feet", own.loc[feet, "count"].sum()
    timber = own["item"].str.startswith(("bearer", "ladder"))
    yield "timber bought", (own["size_mm"] * own["count"])[timber].sum() / 1000
    yield "bags of compound", own.loc[own["item"] == "compound bag", "count"].sum()
    yield "compound poured", a["zones"]["volume_l"].sum() if "zones" in a else 0.0
    cost = (own["price"] * own["count"]).sum(skipna=False)
    yield "material", cost
    yield "material and labour", cost + minutes / 60 * 34  # hour_price of the demo jobs
    yield "working time", minutes / 60
    wait = a["summary"]["traits"]["wait_days"]
    yield "days until the units can stand", np.ceil(minutes / 60 / DAY_HOURS + wait)
    yield "timber or compound added to the floor", a["summary"]["traits"]["mass_added_kg"]


def does(a: dict[str, Any]) -> Iterator[tuple[str, float]]:
    units, reactions = a["units"], a["reactions"]
    yield "worst planned error of level", a["summary"]["worst_error_mm"]
    yield (
        "greatest lean of a unit at its top",
        units[["lean_along_mm", "lean_out_mm"]].abs().max().max(),
    )
    yield "greatest wind of a unit", units["wind_mm"].abs().max()
    # No gap is meant between units of the demo jobs: what there is at the top is the change.
    yield "greatest change of a gap between units", units["gap_after_mm"].abs().max()
    idle = reactions["idle"].astype(bool) & (reactions["gap_mm"] > 0.1)
    by_hand = a["stacks"].empty  # set until they bear: nobody knows which will not
    yield "supports that carry nothing", np.nan if by_hand else idle.sum()


def good_for(a: dict[str, Any]) -> Iterator[tuple[str, float]]:
    traits, checks = a["summary"]["traits"], a["checks"]["verdict"]
    entering = (a["screws"]["point_below_floor_mm"] > 0).sum()
    yield "screws into the floor", entering
    yield "room under the base", traits["room_under_mm"]
    yield "timber to screw the units down to", traits["fixing_line_mm"] / 1000
    yield "later adjustment upwards", traits["adjust_up_mm"]
    yield "later adjustment downwards", traits["adjust_down_mm"]
    yield "checks to refer", (checks == "refer").sum()
    yield "checks that fail", (checks == "fail").sum()
    approval = (a["checks"]["check"] == "approval of floor and structure").sum()
    assert approval == 1  # which is no check
    yield "things not checked", (checks == "not_checked").sum() - approval


@pytest.mark.parametrize("part", [heights, takes, does, good_for])
def test_each_measure_follows_from_the_files(
    written, part: Callable[[dict[str, Any]], Iterator[tuple[str, float]]]
) -> None:
    table, bases, out, _ = written
    of = table.set_index("measure")
    for base in bases:
        for measure, value in part(read(out / base)):
            if measure not in of.index:
                assert measure == "material and labour"  # no hour_price in that job
                continue
            told = of.loc[measure, base]
            # Sums of the same numbers in another order: round-off only.
            assert told == pytest.approx(float(value), rel=1e-12, abs=1e-9, nan_ok=True), measure


def test_each_margin_follows_from_the_checks(written) -> None:
    table, bases, out, _ = written
    margins = table[table["measure"].str.startswith("least margin: ")]
    assert len(margins) > 5
    for base in bases:
        checks = pd.read_csv(out / base / "checks.csv")
        for measure, told in zip(margins["measure"], margins[base], strict=True):
            rows = checks[checks["check"] == measure.removeprefix("least margin: ")]
            if rows.empty or rows["value"].isna().any() or rows["limit"].isna().any():
                assert np.isnan(told), measure
                continue
            # Pushes are the only forces that have a least value instead of a greatest.
            sign = -1.0 if "push that" in measure else 1.0
            left = sign * (rows["limit"] - rows["value"]) / rows["limit"] * 100
            assert told == pytest.approx(left.min(), abs=1e-9), measure


def test_the_least_margin_is_the_least_of_those_that_carry(written) -> None:
    table, bases, _, _ = written
    of = table.set_index("measure")
    margins = [name for name in of.index if name.startswith("least margin: ")]
    carrying = [
        name
        for name in margins
        if not name.startswith(("least margin: push", "least margin: person"))
    ]
    for base in bases:
        told = of.loc["least margin of all that carries", base]
        assert told == pytest.approx(of.loc[carrying, base].min(), nan_ok=True)


def test_traits_follow_from_the_tables(written) -> None:
    """What summary.json says of each way of building, from the tables that it belongs to."""
    _, bases, out, job = written
    for base in bases:
        a = read(out / base)
        traits, supports = a["summary"]["traits"], a["supports"]
        if len(a["stacks"]):
            heights_mm = a["stacks"].groupby("support")["thickness_mm"].sum()
            target = supports.set_index("support")["target_mm"]
            off = (heights_mm - target).abs().max()
            assert traits["level_error_mm"] == pytest.approx(off, abs=1e-9)
        if "feet" in a:
            left = a["feet"]
            assert traits["adjust_up_mm"] == pytest.approx((left["high_mm"] - left["set_mm"]).min())
            assert traits["adjust_down_mm"] == pytest.approx(
                (left["set_mm"] - left["low_mm"]).min()
            )
            target = supports.set_index("support")["target_mm"]
            assert left.set_index("support")["set_mm"].to_dict() == pytest.approx(target.to_dict())
        if "zones" in a:
            assert traits["mass_added_kg"] == pytest.approx(a["zones"]["mass_kg"].sum())
            assert traits["wait_days"] == a["zones"]["dry_days"].max()
        if base.startswith(("bearers", "thicker")):
            cut = a["cuts"]["length_mm"].sum()
            assert traits["fixing_line_mm"] == pytest.approx(cut)
            thick = {"reading-room": 20, "boot-room": 22 if base.startswith("b") else 28,
                     "market-counter": 20}[job]  # fmt: skip
            # Mean density of EN 338: 370 kg/m3 of C16, 420 of C24.
            rho = 370 if job == "reading-room" else 420
            assert traits["mass_added_kg"] == pytest.approx(cut * 45 * thick * rho * 1e-9)


def test_the_largest_reaction_is_what_a_support_is_taken_to_carry(written) -> None:
    """By hand: under bearers what the stacks carry; of a unit on feet what three of them may."""
    table, bases, out, _ = written
    told = table.set_index("measure").loc["largest reaction at a support"]
    for base in bases:
        a = read(out / base)
        if "zones" in a:
            assert np.isnan(told[base])
        elif "feet" in a:
            # No foot can be asked for more than half a unit by the width, all of a row by the
            # depth, nor for less than it carries when all bear.
            assert a["reactions"]["full_N"].max() < told[base]
        elif a["stacks"].empty or len(a["cuts"]):
            assert told[base] == pytest.approx(a["reactions"]["full_N"].max())
        else:
            assert told[base] > a["reactions"]["full_N"].max()


@pytest.mark.parametrize(
    ("names", "folders"),
    [
        (("bearers", "screw feet"), ("bearers", "screw feet")),
        (("a/b", r"a\b"), ("a-b", "a-b 2")),
        (("Feet", "feet"), ("Feet", "feet 2")),
        (("..", "feet."), ("-", "feet-")),
        (("x" * 80, "y"), ("x" * 60, "y")),
        (("spans <600>", "a:b"), ("spans -600-", "a-b")),
        (("comparison.csv", "Turning.csv"), ("comparison.csv 2", "Turning.csv 2")),
    ],
)
def test_names_become_folders(names: tuple[str, str], folders: tuple[str, str]) -> None:
    assert folder_names(names, ["comparison.csv", "turning.csv"]) == folders


def test_the_jobs_own_readings_are_never_written_over(tmp_path, capsys) -> None:
    """Readings that are called as a file of the comparison is, in the folder that it goes to."""
    job = tmp_path / "job"
    shutil.copytree(DATA / "reading-room", job)
    (job / "readings.csv").rename(job / "comparison.csv")
    toml = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(toml.replace("readings.csv", "comparison.csv"), encoding="utf-8")
    before = (job / "comparison.csv").read_bytes()
    words = ["compare", str(job), "--bases", "bearers on packers", "screw feet", "--no-turning"]
    assert main([*words, "--floors", "5", "--out", str(job)]) == 2
    assert "comparison.csv" in capsys.readouterr().err
    assert (job / "comparison.csv").read_bytes() == before
    there = {"comparison.csv", "job.toml", "as-built.csv", "as-built-stacks.csv"}
    assert {path.name for path in job.iterdir()} == there


def test_bases_that_are_called_as_the_columns_are(tmp_path) -> None:
    job = tmp_path / "job"
    shutil.copytree(DATA / "reading-room", job)
    toml = (job / "job.toml").read_text(encoding="utf-8")
    renamed = toml.replace('"bearers on packers"', '"unit"').replace('"screw feet"', '"better"')
    (job / "job.toml").write_text(renamed, encoding="utf-8")
    words = ["compare", str(job), "--bases", "unit", "better", "--no-turning", "--floors", "5"]
    assert main([*words, "--out", str(tmp_path / "out")]) == 0
    table = pd.read_csv(tmp_path / "out" / "comparison.csv")
    assert list(table.columns) == ["measure", "unit", "unit (base)", "better (base)", "better"]
    assert set(table["better"].dropna()) == {"unit (base)", "better (base)", "no difference"}
