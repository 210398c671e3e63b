"""Gross errors: found, named once, and explained by the likeliest slip."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from kit.readings import Readings, adjust
from kit.readings.equations import assemble, staff_rows
from kit.readings.further import Further
from kit.readings.least_squares import solve
from kit.readings.slips import LIMIT, Snooping, find_suspects, studentise


def spoilt(readings, changes, table=0):
    """Add errors to readings, by position in a table."""
    tables = list(readings.tables)
    old = tables[table]
    rows = old.readings.copy()
    for position, value in changes.items():
        rows.loc[position, "observed_mm"] = value
    tables[table] = type(old)(old.survey, old.kind, old.datum, rows, old.extra)
    return Readings(tuple(tables))


def at(readings, position, column, table=0):
    return readings.tables[table].readings[column].iloc[position]


@pytest.fixture
def steady(network):
    """Four set-ups over 15 points: every reading has others that check it."""
    readings = network(21, points=15, setups=4).readings
    assert adjust(readings, None, 0.0).suspects == ()
    return readings


@pytest.mark.parametrize("error", [10.0, -10, 100, -100, 1000, -1000])
@pytest.mark.parametrize("position", [0, 17, 30])
def test_round_slips(steady, position, error):
    value = at(steady, position, "observed_mm") + error
    heights = adjust(spoilt(steady, {position: value}), None, 0.0)
    assert np.flatnonzero(heights.residuals["suspect"]).tolist() == [position]
    (sentence,) = heights.suspects
    assert f"readings.csv row {position + 2}" in sentence or f"row {position + 2}," in sentence
    assert f"point {at(steady, position, 'point')}" in sentence
    assert f"misread by {abs(error):.0f} mm" in sentence
    assert ("too much" if error > 0 else "too little") in sentence


def test_an_odd_error_has_no_slip_but_its_size(steady):
    value = at(steady, 8, "observed_mm") + 37.0
    heights = adjust(spoilt(steady, {8: value}), None, 0.0)
    (sentence,) = heights.suspects
    assert "slip" not in sentence
    size = float(sentence.split(" mm is ")[1].split()[0])
    r, sd = heights.residuals["redundancy"][8], at(steady, 8, "sd_mm")
    # The estimate -v/r of the error has the sd of the reading divided by sqrt(r).
    assert size == pytest.approx(37, abs=3.29 * sd / np.sqrt(r))


def test_wrong_sign(network):
    readings = network(5, points=14, kinds=("heights", "heights", "heights")).readings
    position = int(abs(readings.tables[1].readings["observed_mm"]).argmax())
    value = -at(readings, position, "observed_mm", 1)
    heights = adjust(spoilt(readings, {position: value}, 1), None, 0.0)
    (sentence,) = heights.suspects
    # Two surveys read this point, or three: only at one of them a wrong sign explains the error.
    assert f"t1.csv row {position + 2}" in sentence
    assert "wrong sign" in sentence


def test_two_errors_far_apart_are_both_found_and_nothing_else(steady):
    changes = {p: at(steady, p, "observed_mm") + e for p, e in ((3, 12.0), (25, -7.5))}
    heights = adjust(spoilt(steady, changes), None, 0.0)
    assert len(heights.suspects) == 2
    assert np.flatnonzero(heights.residuals["suspect"]).tolist() == [3, 25]
    assert "row 5," in heights.suspects[0]


def test_one_large_error_drags_others_beyond_the_limit_but_is_named_alone(steady):
    heights = adjust(spoilt(steady, {6: at(steady, 6, "observed_mm") + 100}), None, 0.0)
    assert (abs(heights.residuals["studentised"]) > LIMIT).sum() > 5
    assert heights.residuals["suspect"].sum() == 1


def test_swapped_points(steady):
    rows = steady.tables[0].readings
    first = rows[rows["setup"] == "S2"]
    one, other = first["observed_mm"].idxmax(), first["observed_mm"].idxmin()
    swap = {one: rows["observed_mm"][other], other: rows["observed_mm"][one]}
    heights = adjust(spoilt(steady, swap), None, 0.0)
    (sentence,) = heights.suspects
    assert "the two points are swapped" in sentence
    assert rows["point"][one] in sentence
    assert rows["point"][other] in sentence
    marked = np.flatnonzero(heights.residuals["suspect"]).tolist()
    assert marked == sorted([one, other])


def test_two_equal_and_opposite_errors_that_are_no_swap(steady):
    rows = steady.tables[0].readings
    read = rows["point"].map(rows["point"].value_counts())
    one, other = rows.index[(rows["setup"] == "S2") & (read == 4)][:2]
    changes = {one: rows["observed_mm"][one] + 60, other: rows["observed_mm"][other] - 60}
    heights = adjust(spoilt(steady, changes), None, 0.0)
    assert np.flatnonzero(heights.residuals["suspect"]).tolist() == [one, other]
    assert "swapped" not in " ".join(heights.suspects)


def test_readings_that_cannot_be_told_apart_are_named_together(staff):
    book = {"S1": {"A": 1400, "B": 1410, "C": 1380}, "S2": {"B": 1310, "C": 1290, "D": 1300}}
    heights = adjust(staff(book), "A", 0.0)
    (sentence,) = heights.suspects
    assert sentence.count("or readings.csv row") == 3
    assert "the other readings do not tell which" in sentence
    assert "misread by 10 mm" in sentence
    assert heights.residuals["point"][heights.residuals["suspect"]].tolist() == ["B", "C", "B", "C"]


def test_heights_keep_every_reading(steady):
    value = at(steady, 8, "observed_mm") + 37.0
    heights = adjust(spoilt(steady, {8: value}), None, 0.0)
    assert heights.redundancy == adjust(steady, None, 0.0).redundancy
    assert len(heights.residuals) == len(steady.rows)


def test_a_flood_of_suspects_stops(network):
    readings = network(9, points=60, setups=6).readings
    old = readings.tables[0]
    loose = type(old)(old.survey, old.kind, old.datum, old.readings.assign(sd_mm=0.02), old.extra)
    heights = adjust(Readings((loose,)), None, 0.0)
    assert len(heights.suspects) == 21
    assert "stated sd may be too small" in heights.suspects[-1]


def test_setting_aside_equals_leaving_out(steady):
    """Taking out a suspect's effect gives the residuals of an adjustment without the reading."""
    bad = spoilt(steady, {8: at(steady, 8, "observed_mm") + 37})
    state = Snooping.begin(adjust(bad, None, 0.0).solution)
    for position in (8, 20):
        state.remove(position)
    old = bad.tables[0]
    rows = old.readings.drop(index=[8, 20]).reset_index(drop=True)
    without = adjust(
        Readings((type(old)(old.survey, old.kind, old.datum, rows, old.extra),)), None, 0.0
    )
    kept = np.setdiff1d(np.arange(len(old.readings)), [8, 20])
    # Two ways to one number: rounding of readings near 1e3 mm.
    assert state.residual[kept] == pytest.approx(
        without.residuals["residual_mm"].to_numpy(), abs=1e-8
    )
    assert state.redundancy[kept] == pytest.approx(
        without.residuals["redundancy"].to_numpy(), abs=1e-9
    )


def test_studentise_leaves_nan_where_nothing_checks():
    w = studentise(np.array([0.6, 1e-12, -2.0]), np.array([0.5, 0.5, 1.0]), np.array([0.36, 0, 1]))
    assert w[[0, 2]] == pytest.approx([2.0, -2.0])
    assert np.isnan(w[1])


def test_false_alarms_keep_to_the_level_of_the_test(network):
    """|w| > 3.29 in 0.1 % of readings; 500 networks of 50 layouts."""
    beyond, tested, alarms, rejected = 0, 0, 0, 0
    for seed in range(500):
        if seed % 10 == 0:
            readings = network(1000 + seed, points=8).readings
            rows, places = readings.rows, readings.places
            model = assemble([staff_rows(rows)])
        rng = np.random.default_rng(seed)
        true = model.design @ rng.normal(1000, 5, len(model.names))
        drawn = replace(model, observed_mm=rng.normal(true, model.sd_mm))
        solution = solve(drawn, {})
        suspects, _ = find_suspects(solution, rows, Further(solution, rows, places))
        redundancy = solution.redundancy_numbers
        w = studentise(solution.residual_mm, solution.model.sd_mm, redundancy)[redundancy > 1e-6]
        beyond, tested = beyond + int((abs(w) > LIMIT).sum()), tested + len(w)
        alarms += bool(suspects)
        p = stats.chi2.sf(solution.weighted_square_sum, solution.degrees_of_freedom)
        rejected += p < 0.05
    # Readings of a network are correlated (a point read twice has two equal |w|): bounds of a
    # binomial with a third of the count, 99.9 % two-sided.
    low, high = stats.binom.interval(0.999, tested // 3, 0.001)
    assert low <= beyond / 3 <= high
    assert alarms <= stats.binom.isf(0.001, 500, 1 - 0.999 ** (tested / 500))
    low, high = stats.binom.interval(0.999, 500, 0.05)
    assert low <= rejected <= high
