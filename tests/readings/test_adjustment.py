"""Heights from readings, against dense reference solutions and against what is true."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import linalg, stats
from statsmodels.regression.linear_model import WLS

from kit.job.refusal import Refusal
from kit.readings import Readings, adjust
from kit.readings.equations import assemble, height_rows, staff_rows
from kit.readings.least_squares import solve

MIXES = [
    ("staff",),
    ("staff", "staff"),
    ("heights", "staff"),
    ("heights", "grid", "heights"),
    ("grid", "staff", "heights"),
]


def dense(readings):
    """Design matrix written down independently: one column a point, set-up and offset."""
    rows = readings.rows
    points = list(dict.fromkeys(rows["point"]))
    stations = list(dict.fromkeys(rows["station"]))
    design = np.zeros((len(rows), len(points) + len(stations)))
    for i, row in enumerate(rows.to_dict("records")):
        design[i, points.index(row["point"])] = -1 if row["kind"] == "staff" else 1
        design[i, len(points) + stations.index(row["station"])] = 1
    return points, design, rows["observed_mm"].to_numpy(), rows["sd_mm"].to_numpy()


@pytest.mark.parametrize("mix", MIXES)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_fixed_network_equals_statsmodels(network, mix, seed):
    readings = network(seed, kinds=mix).readings
    heights = adjust(readings, "P3", 517.25)  # far from what any table books: all are moved
    points, design, observed, sd = dense(readings)
    fixed = points.index("P3")
    kept = [c for c in range(design.shape[1]) if c != fixed]
    reference = WLS(observed - 517.25 * design[:, fixed], design[:, kept], weights=sd**-2.0).fit()
    expected = np.insert(reference.params, fixed, 517.25)[: len(points)]
    covariance = np.asarray(reference.normalized_cov_params)
    # Both solve to rounding: heights of about 1e3 mm in double precision.
    assert heights.points["height_mm"].to_numpy() == pytest.approx(expected, abs=1e-9)
    expected_sd = np.insert(np.sqrt(np.diag(covariance)), fixed, 0)[: len(points)]
    assert heights.points["sd_mm"].to_numpy() == pytest.approx(expected_sd, abs=1e-9)
    part = [i for i in range(len(points)) if i != fixed]
    wanted = np.zeros((len(points), len(points)))
    wanted[np.ix_(part, part)] = covariance[: len(part), : len(part)]
    assert heights.covariance() == pytest.approx(wanted, abs=1e-9)
    assert heights.residuals["residual_mm"].to_numpy() == pytest.approx(-reference.resid, abs=1e-9)
    hat = design[:, kept] @ covariance @ design[:, kept].T / sd**2
    assert heights.residuals["redundancy"].to_numpy() == pytest.approx(1 - np.diag(hat), abs=1e-9)
    assert heights.redundancy == reference.df_resid
    assert heights.sigma0 == pytest.approx(np.sqrt(reference.scale), rel=1e-9)
    assert heights.redundancy == pytest.approx(heights.residuals["redundancy"].sum(), abs=1e-8)
    p = stats.chi2.sf(reference.ssr, reference.df_resid)
    assert heights.global_test_p == pytest.approx(p, rel=1e-7)


@pytest.mark.parametrize("mix", MIXES)
@pytest.mark.parametrize("seed", [4, 5])
def test_free_network_equals_the_bordered_system(network, mix, seed):
    readings = network(seed, kinds=mix).readings
    heights = adjust(readings, None, 0.0)
    points, design, observed, sd = dense(readings)
    border = np.zeros(design.shape[1])
    border[: len(points)] = 1
    normal = design.T @ (design / sd[:, None] ** 2)
    bordered = np.block([[normal, border[:, None]], [border[None, :], np.zeros((1, 1))]])
    inverse = linalg.inv(bordered)
    free = (inverse @ np.append(design.T @ (observed / sd**2), 0))[: len(points)]
    # The bordered matrix is indefinite and less well conditioned: 1e-8 mm.
    assert heights.points["height_mm"].to_numpy() == pytest.approx(free - free.max(), abs=1e-8)
    assert heights.covariance() == pytest.approx(inverse[: len(points), : len(points)], abs=1e-8)
    sd_mm = np.sqrt(np.diag(heights.covariance()))
    assert heights.points["sd_mm"].to_numpy() == pytest.approx(sd_mm, abs=1e-9)
    assert heights.points["height_mm"].max() == 0


def test_residuals_and_redundancy_do_not_depend_on_the_datum(network):
    readings = network(6, kinds=("staff", "heights")).readings
    free, fixed = adjust(readings, None, 0.0), adjust(readings, "P5", -1000.0)
    for column in ("residual_mm", "redundancy", "studentised"):
        # Rounding of heights near 1e3 mm, divided by sqrt(r).
        assert free.residuals[column].to_numpy() == pytest.approx(
            fixed.residuals[column].to_numpy(), abs=1e-8
        )


def test_order_of_rows_and_tables_changes_nothing_but_the_order(network, table):
    readings = network(7, kinds=("staff", "heights")).readings
    one, two = readings.tables
    other = Readings(
        (
            table(two.readings.iloc[::-1].reset_index(drop=True), "t1.csv", "heights"),
            table(one.readings.sample(frac=1, random_state=3), "t0.csv", "staff"),
        )
    )
    first = adjust(readings, "P0", 2.0).points.set_index("point")
    second = adjust(other, "P0", 2.0).points.set_index("point").loc[first.index]
    assert second["height_mm"].to_numpy() == pytest.approx(first["height_mm"].to_numpy(), abs=1e-9)


def test_true_heights_lie_within_their_sd(network):
    scores = []
    for seed in range(100, 160):
        made = network(seed, kinds=("staff", "heights"))
        rows = made.readings.rows
        staff, heights = rows[rows["kind"] == "staff"], rows[rows["kind"] == "heights"]
        solution = solve(assemble([staff_rows(staff), height_rows(heights, True)]), {})
        points = solution.model.columns("height")
        true = np.array([made.height_mm[name] for name in solution.model.names[points]])
        off = solution.values[points] - (true - true.mean())
        scores += list(off / solution.height_sd_mm)
    # 720 correlated scores; 4 sd of their variance if a network counts as 6 independent ones.
    assert np.var(scores) == pytest.approx(1, abs=4 * np.sqrt(2 / 360))


def test_sets_and_shapes_of_the_result(network):
    heights = adjust(network(8, kinds=("staff", "heights")).readings, None, 0.0)
    assert list(heights.points) == ["point", "x_mm", "y_mm", "height_mm", "sd_mm"]
    assert list(heights.residuals) == [
        "survey", "row", "point", "residual_mm", "redundancy", "studentised", "suspect",
        "observed_mm", "sd_mm", "setup", "start", "detectable_mm",
    ]  # fmt: skip
    assert heights.residuals["suspect"].dtype == bool
    assert heights.points.index.equals(pd.RangeIndex(12))
    assert heights.covariance() is heights.covariance()
    assert not heights.covariance().flags.writeable


def test_residual_is_adjusted_minus_observed(staff):
    heights = adjust(staff({"S1": {"A": 1400, "B": 1410, "C": 1380}, "S2": {"B": 1310, "C": 1282}}),
                     "A", 0.0)  # fmt: skip
    # S1 says C is 30 above B, S2 says 28: each of four readings takes a quarter of 2 mm.
    table = heights.residuals.set_index(["setup", "point"])["residual_mm"]
    assert table.to_dict() == pytest.approx(
        {("S1", "A"): 0, ("S1", "B"): -0.5, ("S1", "C"): 0.5, ("S2", "B"): 0.5, ("S2", "C"): -0.5},
        abs=1e-9,
    )
    assert heights.points["height_mm"].tolist() == pytest.approx([0, -9.5, 19.5], abs=1e-9)


# --- datum -----------------------------------------------------------------------------------


def heights_table(table, values, survey="h.csv", datum="", sd=0.5):
    rows = pd.DataFrame(
        [
            {"point": p, "x_mm": 500.0 * ord(p), "y_mm": 20.0 * ord(p) ** 2, "observed_mm": h}
            for p, h in values.items()
        ]
    )
    return table(rows.assign(sd_mm=sd, setup=""), survey, "heights", datum)


def test_heights_that_hold_the_benchmark_stay_as_they_are(table):
    readings = Readings((heights_table(table, {"A": 20, "B": 23, "C": 18}),))
    heights = adjust(readings, "A", 20.0)
    assert heights.points["height_mm"].tolist() == pytest.approx([20, 23, 18], abs=1e-12)
    assert heights.points["sd_mm"].tolist() == pytest.approx([0, 0.5, 0.5], abs=1e-12)
    assert heights.redundancy == 1
    assert any("No reading can be checked" in note for note in heights.notes)


def test_heights_that_book_the_benchmark_otherwise_are_moved_and_say_so(table):
    readings = Readings((heights_table(table, {"A": 20, "B": 23, "C": 18}),))
    heights = adjust(readings, "A", 0.0)
    assert heights.points["height_mm"].tolist() == pytest.approx([0, 3, -2], abs=1e-12)
    # The benchmark's own reading now carries the shift: sqrt(2) times 0.5.
    assert heights.points["sd_mm"].tolist() == pytest.approx([0, 0.5**0.5, 0.5**0.5], abs=1e-12)
    assert any("moved as a whole" in note and "at 20 mm" in note for note in heights.notes)


@pytest.mark.parametrize(("booked", "moved"), [(1.64, False), (1.65, True), (-1.65, True)])
def test_moved_beyond_3_29_sd(table, booked, moved):
    # 3.29 times 0.5 is 1.645.
    readings = Readings((heights_table(table, {"A": booked, "B": 3, "C": -2}),))
    assert any("moved" in note for note in adjust(readings, "A", 0.0).notes) is moved


def test_surveys_share_a_datum_or_each_have_their_own(table):
    one = heights_table(table, {"A": 0, "B": 3, "C": -2, "D": 1})
    two = {"C": 8.0, "D": 12.0, "E": 15.0}
    own = adjust(Readings((one, heights_table(table, two, "k.csv"))), "A", 0.0)
    # k.csv stands 10 and 11 above h.csv at C and D: 10.5 comes off.
    assert own.points["height_mm"].iloc[4] == pytest.approx(4.5, abs=1e-9)
    assert any("k.csv has a datum of its own" in note for note in own.notes)
    shared = (
        heights_table(table, {"A": 0, "B": 3, "C": -2, "D": 1}, datum="line"),
        heights_table(table, {"C": -1, "D": 2, "E": 15.0}, "k.csv", "line"),
    )
    same = adjust(Readings(shared), "A", 0.0)
    assert same.points["height_mm"].tolist() == pytest.approx([0, 3, -1.5, 1.5, 15], abs=1e-9)


def test_free_network_says_what_its_sd_mean(table):
    heights = adjust(Readings((heights_table(table, {"A": 20, "B": 23, "C": 18}),)), None, 0.0)
    assert heights.points["height_mm"].tolist() == pytest.approx([-3, 0, -5], abs=1e-12)
    # One survey, own offset: sd·sqrt(1 - 1/n).
    assert heights.points["sd_mm"].tolist() == pytest.approx([0.5 * (2 / 3) ** 0.5] * 3, abs=1e-12)
    assert "highest adjusted point, B, is set to 0" in heights.notes[0]
    assert "relative to the mean" in heights.notes[0]
    assert heights.redundancy == 0
    assert np.isnan(heights.sigma0)
    assert np.isnan(heights.global_test_p)
    assert any("No reading can be checked" in note for note in heights.notes)
    assert heights.residuals["studentised"].isna().all()
    assert not heights.residuals["suspect"].any()


def test_readings_that_nothing_checks_have_no_studentised_residual(staff):
    book = {"S1": {"A": 1400, "B": 1410, "C": 1380}, "S2": {"B": 1310, "C": 1280.4, "D": 1300}}
    heights = adjust(staff(book), "A", 0.0)
    empty = heights.residuals["studentised"].isna()
    assert heights.residuals["point"][empty].tolist() == ["A", "D"]
    assert any("2 of 6 readings are checked by no other" in note for note in heights.notes)


# --- scaling ---------------------------------------------------------------------------------


def test_sd_are_scaled_only_where_the_test_rejects_and_only_when_asked(network):
    readings = network(9, points=40, kinds=("staff", "staff")).readings
    loose = Readings(
        tuple(
            type(t)(t.survey, t.kind, t.datum, t.readings.assign(sd_mm=0.1), t.extra)
            for t in readings.tables
        )
    )
    heights = adjust(loose, None, 0.0)
    assert heights.global_test_p < 1e-6
    assert any("agree less well" in note for note in heights.notes)
    scaled = heights.scaled()
    expected = heights.points["sd_mm"].to_numpy() * heights.sigma0
    assert scaled.points["sd_mm"].to_numpy() == pytest.approx(expected, rel=1e-12)
    assert scaled.covariance() == pytest.approx(heights.covariance() * heights.sigma0**2)
    with pytest.raises(Refusal, match="scaling by sigma0"):
        scaled.scaled()
    with pytest.raises(Refusal, match="scaling by sigma0"):
        adjust(readings, None, 0.0).scaled()
