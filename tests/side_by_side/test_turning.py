"""Where the other base would win: against closed forms, and both sides solved again there."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import kit
from kit.side_by_side import turning_points, turning_table
from kit.side_by_side.measures import measures_of
from kit.side_by_side.settings import settings_of, tilted
from kit.side_by_side.stop import Stop
from kit.side_by_side.turning import CLOSE, Sweep, Turning

PAIR = ("bearers on packers", "screw feet")


def sweep_of(comparison, key: str) -> Sweep:
    (setting,) = [one for one in settings_of(comparison.a, comparison.b) if one.key == key]
    (sweep,) = turning_points(comparison, [setting])
    return sweep


def turning(sweep: Sweep, key: str) -> Turning:
    (one,) = [one for one in sweep.turnings if one.key == key]
    return one


def figures(answer) -> dict[str, float]:
    return {measure.key: measure.value for measure in measures_of(answer)}


def test_what_can_be_turned(packers_and_feet) -> None:
    settings = {one.key: one for one in settings_of(packers_and_feet.a, packers_and_feet.b)}
    assert list(settings) == [
        "fall", "load", "span", "price packers", "price screws", "price bearers",
        "price screw feet", "price an hour of work",
    ]  # fmt: skip
    assert settings["fall"].now == packers_and_feet.a.plane.fall_mm_per_m
    assert settings["load"].now == 110 + 110 + 140 + 95
    assert settings["span"].now == 600
    assert all(one.low <= one.now <= one.high for one in settings.values())


def test_the_price_at_which_it_turns_by_the_straight_line(packers_and_feet) -> None:
    """Cost is linear in a price as long as nothing else changes: the lines cross where they must.

    Reference: the cross-over of two straight lines, from the two take-off tables.
    """
    one = turning(sweep_of(packers_and_feet, "price screw feet"), "cost")
    a, b = figures(packers_and_feet.a), figures(packers_and_feet.b)
    feet = packers_and_feet.b.take_off
    of_feet = feet[feet["item"].str.startswith("screw foot")]["cost"].sum()
    crosses = 1 - (b["cost"] - a["cost"]) / of_feet
    assert 0 < crosses < 4
    assert min(one.last.value, one.first.value) <= crosses <= max(one.last.value, one.first.value)
    assert abs(one.first.value - one.last.value) <= CLOSE * 4
    assert (one.winner_now, one.winner_beyond) in {PAIR, PAIR[::-1]}


def test_both_sides_are_solved_again_where_it_turns(packers_and_feet) -> None:
    """What is told at the turning point is what a job with that figure in it gives."""
    sweep = sweep_of(packers_and_feet, "price packers")
    one = turning(sweep, "cost")
    job = packers_and_feet.a.job
    for stop in (one.last, one.first):
        packers = tuple(
            packer.model_copy(update={"price": packer.price * stop.value})
            for packer in job.stock.packers
        )
        stock = job.stock.model_copy(update={"packers": packers})
        there = job.model_copy(update={"stock": stock})
        for base, side in zip(PAIR, (stop.a, stop.b), strict=True):
            assert side.value("cost") == pytest.approx(figures(kit.solve(there, base))["cost"])


def test_a_floor_that_falls_otherwise_is_the_floor_so_read(packers_and_feet, tmp_path) -> None:
    """The same heights typed into a table of their own, falling as much: the same base.

    The job is written anew, and read by the way that everyone's job goes.
    """
    survey = tilted(packers_and_feet.a.survey, 11.5)
    assert survey.plane.fall_mm_per_m == pytest.approx(11.5, rel=1e-9)
    before = packers_and_feet.a.plane
    assert survey.plane.fall_towards_deg == pytest.approx(before.fall_towards_deg, abs=1e-6)
    assert survey.plane.rms_mm == pytest.approx(before.rms_mm, rel=1e-9)

    source = Path(packers_and_feet.a.job.folder)
    shutil.copytree(source, tmp_path / "job")
    steeper(source, tmp_path / "job", packers_and_feet.a.survey, survey)
    typed = kit.read_job(tmp_path / "job")
    stop = stop_at(packers_and_feet, "fall", 11.5)
    for base, side in zip(PAIR, (stop.a, stop.b), strict=True):
        known = figures(kit.solve(typed, base))
        for key in ("things", "hours", "cost"):
            assert side.value(key) == pytest.approx(known[key]), (base, key)


def stop_at(comparison, key: str, value: float) -> Stop:
    from dataclasses import replace

    (setting,) = [one for one in settings_of(comparison.a, comparison.b) if one.key == key]
    only = replace(setting, low=value, now=value, high=value + 1e-9)
    (sweep,) = turning_points(comparison, [only])
    return sweep.stops[0]


def steeper(source: Path, folder: Path, before, after) -> None:
    """Lower each staff reading by as much as its point is raised."""
    raised = after.heights.points["height_mm"] - before.heights.points["height_mm"]
    by_point = dict(zip(before.heights.points["point"], raised, strict=True))
    table = pd.read_csv(source / "readings.csv")
    table["reading_mm"] -= table["point"].map(by_point)
    table.to_csv(folder / "readings.csv", index=False)


def test_the_bracket_holds_the_change_and_nothing_else(packers_and_feet) -> None:
    for key in ("price screw feet", "price an hour of work", "fall"):
        for one in sweep_of(packers_and_feet, key).turnings:
            if not one.turns:
                assert one.last is one.first is one.now
                assert one.winner_beyond == ""
                continue
            now, beyond = one.now.winner(one.key), one.first.winner(one.key)
            assert beyond not in ("", now)
            assert one.last.winner(one.key) != beyond
            setting = one.setting
            apart = abs(one.first.value - one.last.value)
            assert 0 < apart <= CLOSE * (setting.high - setting.low)
            # From now outwards, the last before the first.
            assert abs(one.last.value - setting.now) < abs(one.first.value - setting.now)


def test_where_one_cannot_be_built_the_other_wins_and_why_is_told(comparison_of) -> None:
    """Compound of at most 40 mm ends where the floor falls by more under the units."""
    poured = comparison_of("reading-room", "bearers on packers", "levelling compound")
    sweep = sweep_of(poured, "fall")
    refused = [stop for stop in sweep.stops if stop.b.refused and not stop.a.refused]
    assert refused
    for stop in refused:
        assert stop.winner("things") == stop.winner("cost") == "a"
        assert (stop.b.supports, stop.a.supports) == (0, 24)
        assert math.isnan(stop.b.value("cost"))
    assert "40 mm" in refused[0].b.refused
    built = [stop.value for stop in sweep.stops if not stop.b.refused]
    assert max(built) < min(stop.value for stop in refused)


def test_swapped_it_turns_at_the_same_places(comparison_of) -> None:
    forth = sweep_of(comparison_of("reading-room", *PAIR), "price bearers")
    back = sweep_of(comparison_of("reading-room", *PAIR[::-1]), "price bearers")
    assert [stop.value for stop in forth.stops] == [stop.value for stop in back.stops]
    for one, other in zip(forth.turnings, back.turnings, strict=True):
        assert (one.last.value, one.first.value) == (other.last.value, other.first.value)
        assert (one.winner_now, one.winner_beyond) == (other.winner_now, other.winner_beyond)


def test_a_base_beside_itself_turns_nowhere(comparison_of) -> None:
    same = comparison_of("reading-room", "screw feet", "screw feet")
    for key in ("load", "price screw feet"):
        assert not any(one.turns for one in sweep_of(same, key).turnings)


def test_the_table_tells_every_turning_point(packers_and_feet) -> None:
    sweeps = [sweep_of(packers_and_feet, key) for key in ("price bearers", "load")]
    table = turning_table(sweeps)
    told = [one for sweep in sweeps for one in sweep.turnings]
    assert len(table) == len(told)
    for row, one in zip(table.to_dict("records"), told, strict=True):
        assert (row["setting"], row["measure"]) == (one.setting.words, one.measure)
        assert row["better_now"] == one.winner_now
        assert np.isnan(row["turned"]) == (not one.turns)
        if one.turns:
            assert row["turned_first_base"] == one.first.a.value(one.key)
            assert row["last_second_base"] == one.last.b.value(one.key)
    grid = sweeps[0].table()
    assert grid["price of bearers"].tolist() == [stop.value for stop in sweeps[0].stops]
    assert grid[f"cost, {PAIR[0]}"].is_monotonic_increasing
    assert grid[f"cost, {PAIR[1]}"].nunique() == 1


def test_progress_is_told(packers_and_feet) -> None:
    told: list[tuple[str, float]] = []
    (setting,) = [
        s for s in settings_of(packers_and_feet.a, packers_and_feet.b) if s.key == "price screws"
    ]
    turning_points(packers_and_feet, [setting], progress=lambda *one: told.append(one))
    assert {words for words, _ in told} == {"price of screws"}
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)


def test_an_even_floor_is_made_to_fall_along_the_wall(answer_of) -> None:
    flat = tilted(answer_of("reading-room", PAIR[0]).survey, 0.0)
    assert flat.plane.fall_mm_per_m == pytest.approx(0.0, abs=1e-9)
    again = tilted(flat, 3.0)
    assert again.plane.fall_mm_per_m == pytest.approx(3.0, rel=1e-6)
