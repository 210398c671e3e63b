"""Data snooping and the global test do what theory says, over 1000 made-up networks.

Every network is solved by the kit, from staff readings of up to 12 points from three set-ups;
half have a benchmark, half are free. Readings of one network depend on each other, so each
network gives one reading, chosen without looking at its residual: 1000 independent ones. Where
all readings are counted, the bound comes from the scatter between networks (cluster-robust).

References
----------
.. [1] Baarda, W., A testing procedure for use in geodetic networks, Netherlands Geodetic
   Commission, new series 2/5, Delft 1968: a level of 0.1 %, a power of 80 % (from memory; what
   follows from the two is recomputed here).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from kit.readings import adjust
from kit.readings.equations import Block, assemble, staff_rows
from kit.readings.least_squares import UNCHECKED, Solution, solve
from kit.readings.remarks import GLOBAL_TEST_LEVEL
from kit.readings.slips import DETECTABLE, LIMIT, detectable_mm, studentise

NETWORKS, POINTS, SETUPS = 1000, 12, 3

#: How large the planted errors are, in sd/sqrt(r): what is found 4 times in 5, and every other.
FOUND_4_IN_5, FOUND_1_IN_2 = DETECTABLE, LIMIT

#: Each statement may fail by chance 1 time in 1000.
SURE = 0.999


@dataclass(frozen=True)
class Planted:
    """One error a network: its size [mm], and what the adjustment makes of it."""

    error_mm: np.ndarray
    sd_of_estimate_mm: np.ndarray
    estimate_mm: np.ndarray
    w: np.ndarray
    square_sum: np.ndarray


@dataclass(frozen=True)
class Trial:
    """What came out, one entry a network; ``all_w`` has one array a network."""

    w: np.ndarray
    all_w: list[np.ndarray]
    square_sum: np.ndarray
    degrees_of_freedom: np.ndarray
    planted: dict[float, Planted]


def made_up(rng: np.random.Generator) -> tuple[Block, np.ndarray]:
    """Return staff readings without errors, and the true reading of each."""
    true = rng.normal(0, 4, POINTS)
    parts = []
    for s in range(SETUPS):
        some = np.sort(rng.permutation(POINTS)[: rng.integers(POINTS * 2 // 3, POINTS + 1)])
        reading = rng.uniform(1100, 1700) - true[some]
        parts.append(pd.DataFrame({"point": some, "station": f"S{s}", "observed_mm": reading}))
    rows = pd.concat(parts, ignore_index=True)
    rows["point"] = "P" + rows["point"].astype(str)
    rows["sd_mm"] = rng.choice([0.3, 0.5, 0.9], len(rows))
    return staff_rows(rows), rows["observed_mm"].to_numpy()


def solved(block: Block, observed_mm: np.ndarray, held: dict[str, float]) -> Solution:
    return solve(assemble([replace(block, observed_mm=observed_mm)]), held)


def w_of(solution: Solution) -> np.ndarray:
    sd = solution.model.sd_mm
    return studentise(solution.residual_mm, sd, solution.redundancy_numbers)


@pytest.fixture(scope="module")
def trial() -> Trial:
    clean: list[tuple[float, np.ndarray, float, int]] = []
    planted: dict[float, list[tuple[float, ...]]] = {FOUND_4_IN_5: [], FOUND_1_IN_2: []}
    for seed in range(NETWORKS):
        rng = np.random.default_rng([1968, seed])
        block, true = made_up(rng)
        held = {block.terms[1].names[0]: 0.0} if seed % 2 else {}
        solution = solved(block, true + rng.normal(0, block.sd_mm), held)
        r, w = solution.redundancy_numbers, w_of(solution)
        one = int(rng.choice(np.flatnonzero(r > UNCHECKED)))
        clean.append(
            (w[one], w[r > UNCHECKED], solution.weighted_square_sum, solution.degrees_of_freedom)
        )
        for size, found in planted.items():
            sd = float(block.sd_mm[one] / np.sqrt(r[one]))
            error = float(rng.choice([-1, 1])) * size * sd
            observed = true + rng.normal(0, block.sd_mm)
            observed[one] += error
            again = solved(block, observed, held)
            estimate = -again.residual_mm[one] / again.redundancy_numbers[one]
            found.append((error, sd, estimate, w_of(again)[one], again.weighted_square_sum))
    w, all_w, square_sum, dof = zip(*clean, strict=True)
    return Trial(
        np.array(w),
        list(all_w),
        np.array(square_sum),
        np.array(dof),
        {size: Planted(*np.array(found).T) for size, found in planted.items()},
    )


def power(size: float) -> float:
    """Return how often |w| passes the limit with an error of so many sd/sqrt(r)."""
    return float(stats.norm.sf(LIMIT - size) + stats.norm.cdf(-LIMIT - size))


def test_the_detectable_error_follows_from_level_and_power():
    exact = stats.norm.isf(0.0005) + stats.norm.isf(0.2)
    assert exact == pytest.approx(DETECTABLE, abs=0.005)  # 4.13, rounded
    assert 2 * stats.norm.sf(LIMIT) == pytest.approx(0.001, abs=5e-6)  # 3.29, rounded
    assert power(DETECTABLE) == pytest.approx(0.8, abs=1e-3)
    assert power(LIMIT) == pytest.approx(0.5, abs=1e-9)
    sd, r = np.array([0.3, 0.9, 0.5]), np.array([0.25, 0.64, 0.0])
    # 0.3/0.5 and 0.9/0.8, each 4.13 times; what nothing checks is never found.
    assert detectable_mm(sd, r) == pytest.approx([4.13 * 0.6, 4.13 * 1.125, np.inf])


def test_networks_are_of_many_sorts(trial):
    assert len(trial.w) == NETWORKS
    assert set(trial.degrees_of_freedom) >= set(range(12, 22))
    assert sum(len(w) for w in trial.all_w) > 25 * NETWORKS


# --- no error ----------------------------------------------------------------------------------


def test_w_is_standard_normal(trial):
    assert stats.kstest(trial.w, "norm").pvalue > 1 - SURE


@pytest.mark.parametrize("limit", [1.0, 1.96, 2.576, LIMIT])
def test_false_alarms_of_one_reading_a_network(trial, limit):
    """At 3.29 one alarm is expected in 1000: the lower limits carry the weight."""
    low, high = stats.binom.interval(SURE, NETWORKS, 2 * stats.norm.sf(limit))
    assert low <= np.sum(abs(trial.w) > limit) <= high


@pytest.mark.parametrize("limit", [1.96, 2.576, LIMIT])
def test_false_alarms_of_all_readings(trial, limit):
    """Cluster-robust: networks are independent, their readings are not."""
    alarms = np.array([np.sum(abs(w) > limit) for w in trial.all_w])
    readings = np.array([len(w) for w in trial.all_w])
    rate = alarms.sum() / readings.sum()
    error = np.sqrt(np.sum((alarms - rate * readings) ** 2)) / readings.sum()
    expected = 2 * stats.norm.sf(limit)
    bound = stats.norm.isf((1 - SURE) / 2) * error
    assert rate == pytest.approx(expected, abs=bound)
    # No reading passes by a bound so wide that it would let twice as many alarms through.
    assert bound < expected


@pytest.mark.parametrize("level", [GLOBAL_TEST_LEVEL, 0.05, 0.5])
def test_p_of_the_global_test_is_uniform(trial, level):
    p = stats.chi2.sf(trial.square_sum, trial.degrees_of_freedom)
    assert stats.kstest(p, "uniform").pvalue > 1 - SURE
    low, high = stats.binom.interval(SURE, NETWORKS, level)
    assert low <= np.sum(p < level) <= high


# --- one error ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("size", "share"), [(FOUND_4_IN_5, 0.8), (FOUND_1_IN_2, 0.5)])
def test_power_of_data_snooping(trial, size, share):
    found = np.sum(abs(trial.planted[size].w) > LIMIT)
    low, high = stats.binom.interval(SURE, NETWORKS, share)
    assert low <= found <= high


@pytest.mark.parametrize("size", [FOUND_4_IN_5, FOUND_1_IN_2])
def test_w_of_the_wrong_reading_is_moved_by_the_size_of_its_error(trial, size):
    planted = trial.planted[size]
    # v = -r·error: w has the other sign.
    moved = planted.w * -np.sign(planted.error_mm) - size
    assert stats.kstest(moved, "norm").pvalue > 1 - SURE


@pytest.mark.parametrize("level", [GLOBAL_TEST_LEVEL, 0.05])
@pytest.mark.parametrize("size", [FOUND_4_IN_5, FOUND_1_IN_2])
def test_power_of_the_global_test(trial, size, level):
    """v' P v is noncentral chi-square, noncentrality r·(error/sd)² = size² [1]."""
    dof, square_sum = trial.degrees_of_freedom, trial.planted[size].square_sum
    uniform = stats.ncx2.sf(square_sum, dof, size**2)
    assert stats.kstest(uniform, "uniform").pvalue > 1 - SURE
    limit = stats.chi2.isf(level, dof)
    expected = stats.ncx2.sf(limit, dof, size**2).mean()
    # Of unequal chances the number scatters less than a binomial one of their mean.
    low, high = stats.binom.interval(SURE, NETWORKS, expected)
    assert low <= np.sum(square_sum > limit) <= high


@pytest.mark.parametrize("size", [FOUND_4_IN_5, FOUND_1_IN_2])
def test_the_estimated_error_is_unbiased_and_as_doubtful_as_said(trial, size):
    planted = trial.planted[size]
    off = planted.estimate_mm - planted.error_mm
    # Away from 0 is the sign of the error.
    for one in (off, off * np.sign(planted.error_mm), off / planted.sd_of_estimate_mm):
        assert abs(one.mean()) < 3.3 * one.std(ddof=1) / np.sqrt(NETWORKS)
    score = np.sum((off / planted.sd_of_estimate_mm) ** 2)
    low, high = stats.chi2.interval(SURE, NETWORKS)
    assert low < score < high


def test_what_is_reported_of_a_suspect_is_that_estimate(network):
    named = 0
    for seed in range(12):
        readings = network(seed, kinds=("staff", "heights")).readings
        table = readings.tables[0].readings
        table.loc[5, "observed_mm"] += 37.3
        heights = adjust(readings, None, 0.0)
        finding, residuals = heights.findings[0], heights.residuals.loc[5]
        if finding.choices != ((5,),):
            continue
        named += 1
        r = residuals["redundancy"]
        assert finding.error_mm == pytest.approx(-residuals["residual_mm"] / r, rel=1e-9)
        sd = residuals["sd_mm"] / np.sqrt(r)
        assert finding.error_sd_mm == pytest.approx(sd, rel=1e-9)
        assert finding.error_mm == pytest.approx(37.3, abs=3.29 * sd)
        assert residuals["detectable_mm"] == pytest.approx(DETECTABLE * sd, rel=1e-9)
    assert named >= 8
