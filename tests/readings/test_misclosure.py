"""Misclosures in words, with numbers worked out by hand."""

from __future__ import annotations

import re

import numpy as np
import pytest
from scipy.stats import studentized_range

from kit.readings import adjust
from kit.readings.closure import range_quantile
from kit.readings.misclosure import misclosure_remarks


def misclosure_notes(rows):
    return tuple(remark.text for remark in misclosure_remarks(rows))


def test_two_setups_that_share_three_points(staff):
    book = {
        "S1": {"A": 1400.0, "P7": 1410.0, "P8": 1380.0, "P9": 1391.0},
        "S2": {"P7": 1310.2, "P8": 1279.5, "P9": 1291.0, "Z": 1300.0},
    }
    # Differences 99.8, 100.5, 100.0 spread 0.7. Range of three normal values at 95 %: 3.314
    # (Pearson and Hartley, Biometrika Tables, table 22, 3.31; from memory), times 0.5·sqrt 2.
    (note,) = misclosure_notes(staff(book).rows)
    assert note == "S1 and S2 share P7, P8, P9: differences spread 0.7 mm, expected within 2.3 mm."
    assert note in adjust(staff(book), "A", 0.0).notes


def test_a_round_of_three_setups(staff):
    book = {
        "S1": {"A": 1400.0, "B": 1410.0},
        "S2": {"B": 1310.0, "C": 1290.0},
        "S3": {"C": 1500.0, "A": 1467.9},
    }
    # S1-S2 100.0, S2-S3 -210.0, S3-S1 67.9 at A: 42.1 mm. Six readings: 1.96·0.5·sqrt 6 = 2.40.
    (note,) = misclosure_notes(staff(book).rows)
    assert "42.1 mm, expected within 2.4 mm" in note
    assert note.startswith("round S")
    assert {"S1", "S2", "S3"} == set(note.split(":")[0].removeprefix("round ").split("-"))


def test_three_setups_over_one_point_close_by_themselves(staff):
    book = {
        "S1": {"A": 1400.0, "B": 1410.0},
        "S2": {"A": 1310.0, "C": 1290.0},
        "S3": {"A": 1500.0, "D": 1467.9},
    }
    assert misclosure_notes(staff(book).rows) == ()


def test_nothing_shared_nothing_said(staff):
    assert misclosure_notes(staff({"S1": {"A": 1.0, "B": 2.0, "C": 4.0}}).rows) == ()


def test_a_survey_of_heights_counts_as_a_setup(staff, table):
    rows = staff({"S1": {"A": 1400.0, "B": 1410.0, "C": 1395.0}}).tables[0].readings
    heights = rows.assign(observed_mm=[0.0, -10.6, 5.2], setup="")
    from kit.readings import Readings

    both = Readings((table(rows, "r.csv", "staff"), table(heights, "h.csv", "heights")))
    (note,) = misclosure_notes(both.rows)
    # 1400 + 0, 1410 - 10.6, 1395 + 5.2: from 1399.4 to 1400.2.
    assert note.startswith("S1 and h.csv share A, B, C: differences spread 0.8 mm")


def test_expected_within_holds_19_in_20(network):
    """The spread of differences of a pair stays within what is said in 95 % of cases."""
    beyond, count = 0, 0
    for seed in range(40):
        rows = network(3000 + seed, points=9, setups=2).readings.rows.assign(sd_mm=0.5)
        for draw in range(4):
            noise = np.random.default_rng([seed, draw]).normal(0, 0.5, len(rows))
            note = misclosure_notes(rows.assign(observed_mm=1400 + noise))[0]
            spread, expected = map(float, re.findall(r"([0-9.]+) mm", note))
            beyond, count = beyond + (spread > expected), count + 1
    # Binomial of 160 at 5 %: 8 within 4 sd of 2.8; both numbers are rounded to 0.1 mm.
    assert beyond / count == pytest.approx(0.05, abs=0.07)


def test_many_pairs_are_summed_up(network):
    notes = misclosure_notes(network(31, points=30, setups=9).readings.rows)
    assert notes[0].startswith("36 pairs of set-ups that share two points or more")
    assert any("rounds of set-ups" in note for note in notes)
    assert len(notes) <= 14


def test_long_rounds_are_cut(staff):
    book = {f"S{i}": {f"P{i}": 1400.0 + i, f"P{(i + 1) % 14}": 1400.0} for i in range(14)}
    (note,) = misclosure_notes(staff(book).rows)
    assert "(7 more)" in note
    assert "91.0 mm" in note


@pytest.mark.parametrize("count", [2, 3, 9, 40])
@pytest.mark.parametrize("probability", [0.5, 0.95, 0.999])
def test_range_quantile_against_scipy(probability, count):
    expected = studentized_range.ppf(probability, count, np.inf)
    # SciPy's own quadrature is good to about 1e-7
    assert range_quantile(probability, count) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(("second", "caution"), [(1.9, False), (2.1, True), (-2.1, True)])
def test_what_is_beyond_the_expected_is_a_caution(staff, second, caution):
    # Range of two normal values at 95 %: 2.77 (Pearson and Hartley, Biometrika Tables, table 22,
    # from memory), times 0.5·sqrt 2: 1.96 mm.
    book = {"S1": {"A": 1400.0, "B": 1410.0}, "S2": {"A": 1300.0, "B": 1310.0 + second}}
    (remark,) = misclosure_remarks(staff(book).rows)
    assert remark.caution is caution
    assert (
        remark.text in adjust(staff({**book, "S3": {"A": 5.0, "C": 6.0}}), "A", 0.0).cautions
    ) is (caution)


def test_of_many_only_those_beyond_chance_are_cautions(network):
    rows = network(31, points=30, setups=9).readings.rows
    assert not any(remark.caution for remark in misclosure_remarks(rows))
    # A slip of 40 mm at one reading shows in every pair that shares the point.
    slipped = rows.assign(observed_mm=rows["observed_mm"] + 40.0 * (rows.index == 7))
    found = misclosure_remarks(slipped)
    assert found[0].caution
    assert all(remark.caution for remark in found[1:6])


def test_a_benchmark_booked_twice_beside_a_level(make_job, tmp_path):
    """One station and one point: nothing to compare, and no reason to fall over it."""
    from kit.readings import read_readings

    (tmp_path / "places.csv").write_text("point,x_mm,y_mm\nA,0,0\nB,900,0\nC,900,700\n")
    job = make_job(
        heights={"kind": "heights", "text": "point,x_mm,y_mm,height_mm\nA,0,0,1\nA,0,0,1.2\n"},
        level={
            "kind": "level",
            "text": "from,to,packer_mm,under\nA,B,2,from\nB,C,1,to\n",
            "points_file": "places.csv",
        },
    )
    heights = adjust(read_readings(job), None, 0.0)
    assert len(heights.points) == 3
