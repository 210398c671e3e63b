"""The adjustment against general least-squares libraries, over random networks of all kinds.

Heights, full covariance, residuals, redundancy numbers and sigma0 of networks that mix staff,
heights, differences, spirit level and straight edge, held or free. The references get nothing but
the terms of each reading, written down here reading by reading: statsmodels (WLS, with a
generalised inverse where the network is free) and scipy.linalg.lstsq.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from scipy import linalg, stats
from statsmodels.regression.linear_model import GLS, WLS

from kit.readings.elimination import SMALL
from kit.readings.equations import (
    Block,
    assemble,
    difference_rows,
    edge_rows,
    height_rows,
    level_rows,
    staff_rows,
)
from kit.readings.least_squares import Solution, solve

#: Kinds beside the staff readings that every network has.
FURTHER = ("heights", "difference", "level", "level of known error", "edge")

#: Of the largest number compared; two ways of rounding stay a hundred times closer.
SAME = 1e-8

Name = tuple[str, str]


@dataclass
class Made:
    """Blocks for the kit, and the same readings term by term for the references."""

    blocks: list[Block] = field(default_factory=list)
    terms: list[dict[Name, float]] = field(default_factory=list)
    observed: list[float] = field(default_factory=list)
    sd: list[float] = field(default_factory=list)

    def add(self, block: Block, terms: list[dict[Name, float]], observed: np.ndarray) -> None:
        self.blocks.append(block)
        self.terms += terms
        self.observed += list(observed)
        self.sd += list(block.sd_mm)


class Maker:
    """A floor of ``points`` points and a seed; each method books readings of one kind."""

    def __init__(self, seed: int, points: int, setups: int) -> None:
        self.rng = np.random.default_rng([1976, seed])
        self.made = Made()
        self.true = dict(
            zip([f"P{i}" for i in range(points)], self.rng.normal(0, 6, points), strict=True)
        )
        self.setups = setups

    def some(self, least: int, most: int) -> list[str]:
        count = int(self.rng.integers(least, most + 1))
        return self.rng.permutation(list(self.true))[:count].tolist()

    def book(self, **columns: object) -> pd.DataFrame:
        rows = pd.DataFrame(columns)
        rows["sd_mm"] = self.rng.choice([0.2, 0.5, 1.1], len(rows))
        rows["observed_mm"] += self.rng.normal(0, rows["sd_mm"])
        return rows

    def staff(self) -> None:
        """Neighbouring set-ups share points; every point is read."""
        names = list(self.true)
        for s in range(self.setups):
            first = s * len(names) // self.setups
            points = (names[first:] + names[:first])[: len(names) // self.setups + 4]
            line = self.rng.uniform(1100, 1700)
            rows = self.book(
                point=points, station=f"S{s}", observed_mm=[line - self.true[p] for p in points]
            )
            terms = [{("set-up", f"S{s}"): 1.0, ("height", p): -1.0} for p in points]
            self.made.add(staff_rows(rows), terms, rows["observed_mm"])

    def heights(self) -> None:
        points = self.some(3, 8)
        above = self.rng.uniform(-900, 900)
        rows = self.book(
            point=points, station="H", observed_mm=[above + self.true[p] for p in points]
        )
        terms = [{("height", p): 1.0, ("offset", "H"): 1.0} for p in points]
        self.made.add(height_rows(rows, own_datum=True), terms, rows["observed_mm"])

    def grounded(self) -> None:
        """Heights above the benchmark itself: the network is held by them alone."""
        points = self.some(2, 4)
        rows = self.book(point=points, station="B", observed_mm=[self.true[p] for p in points])
        terms = [{("height", p): 1.0} for p in points]
        self.made.add(height_rows(rows, own_datum=False), terms, rows["observed_mm"])

    def difference(self) -> None:
        """Some points more, one of them hanging on one difference alone."""
        self.true["far"] = 11.0
        start, end = self.some(4, 4), self.some(3, 3)
        pairs = [(a, b) for a, b in zip(start, [*end, "far"], strict=True) if a != b]
        rows = self.book(observed_mm=[self.true[b] - self.true[a] for a, b in pairs])
        block = difference_rows(
            [a for a, _ in pairs], [b for _, b in pairs], rows["observed_mm"], rows["sd_mm"]
        )
        terms = [{("height", a): -1.0, ("height", b): 1.0} for a, b in pairs]
        self.made.add(block, terms, rows["observed_mm"])

    def level(self, known: bool) -> None:
        """Lines read as booked and turned; the error is sought, or known and taken off."""
        error = float(self.rng.normal(0, 0.6))
        survey = "known" if known else "sought"
        points = self.some(4, 9)
        span = self.rng.uniform(0.3, 2.4, len(points) - 1)
        turned = np.where(np.arange(len(span)) % 2, 1.0, -1.0)
        pairs = list(pairwise(points))
        rise = np.array([self.true[b] - self.true[a] for a, b in pairs])
        rows = self.book(
            start=points[:-1],
            point=points[1:],
            survey=survey,
            span_m=span,
            turned=turned,
            observed_mm=rise + turned * span * error,
        )
        terms = [{("height", a): -1.0, ("height", b): 1.0} for a, b in pairs]
        if known:
            taken_off = rows["observed_mm"] - turned * span * error
            self.made.add(level_rows(rows, error), terms, taken_off)
            return
        for term, factor in zip(terms, turned * span, strict=True):
            term["own error", survey] = factor
        self.made.add(level_rows(rows, float("nan")), terms, rows["observed_mm"])

    def edge(self) -> None:
        """Placements of three to six gaps, one of them at a point that nothing else reads."""
        for placement in ("E1", "E2"):
            points = self.some(3, 5)
            if placement == "E2":
                self.true["under the edge"] = -7.0
                points.append("under the edge")
            along = np.sort(self.rng.uniform(-1.2, 1.2, len(points)))
            height, slope = self.rng.uniform(20, 40), self.rng.normal(0, 3)
            gap = [height + slope * s - self.true[p] for s, p in zip(along, points, strict=True)]
            rows = self.book(point=points, station=placement, along_m=along, observed_mm=gap)
            terms = [
                {("placement", placement): 1.0, ("slope", placement): s, ("height", p): -1.0}
                for s, p in zip(along, points, strict=True)
            ]
            self.made.add(edge_rows(rows), terms, rows["observed_mm"])


def mix_of(seed: int) -> tuple[str, ...]:
    """Return a staff and some further kinds in random order; 31 seeds in a row have all mixes."""
    number = seed % (2 ** len(FURTHER) - 1) + 1
    mix = ["staff", *(kind for i, kind in enumerate(FURTHER) if number >> i & 1)]
    return tuple(np.random.default_rng([1794, seed]).permutation(mix).tolist())


def made_up(seed: int, points: int = 14, setups: int = 3) -> Made:
    maker = Maker(seed, points, setups)
    book = {
        "staff": maker.staff,
        "heights": maker.heights,
        "difference": maker.difference,
        "level": lambda: maker.level(known=False),
        "level of known error": lambda: maker.level(known=True),
        "edge": maker.edge,
    }
    for kind in mix_of(seed):
        book[kind]()
    return maker.made


def close(found: np.ndarray, expected: np.ndarray) -> None:
    assert found == pytest.approx(expected, abs=SAME * np.max(abs(expected), initial=1e-3))


def dense(made: Made, names: list[Name]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    design = np.zeros((len(made.terms), len(names)))
    at = {name: column for column, name in enumerate(names)}
    for row, terms in enumerate(made.terms):
        for name, factor in terms.items():
            design[row, at[name]] += factor
    return design, np.array(made.observed), np.array(made.sd)


def names_of(solution: Solution) -> list[Name]:
    return list(zip(solution.model.kinds, solution.model.names, strict=True))


def check_rest(solution: Solution, residual: np.ndarray, hat: np.ndarray, rank: int) -> None:
    """Compare what does not depend on the datum."""
    close(solution.residual_mm, residual)
    close(solution.redundancy_numbers, 1 - hat)
    assert solution.degrees_of_freedom == len(residual) - rank
    assert solution.redundancy_numbers.sum() == pytest.approx(len(residual) - rank, abs=SAME)


HELD, FREE = range(120), range(200, 320)

#: At one point, at two, by heights above the benchmark, or by both.
HOLDS = [("P0",), ("P3", "P5"), (), ("P1",)]


@pytest.mark.parametrize("seed", HELD)
def test_held_networks(seed):
    made = made_up(seed)
    names = HOLDS[seed % len(HOLDS)]
    if seed % len(HOLDS) > 1:
        maker = Maker(1000 + seed, 14, 3)
        maker.grounded()
        made.add(maker.made.blocks[0], maker.made.terms, np.array(maker.made.observed))
    fixed = {name: 500.0 + 3 * i for i, name in enumerate(names)}
    check_held(made, fixed)


def check_held(made: Made, fixed: dict[str, float]) -> None:
    solution = solve(assemble(made.blocks), fixed)
    assert not solution.free
    names = names_of(solution)
    design, observed, sd = dense(made, names)
    known = np.array([kind == "height" and name in fixed for kind, name in names])
    given = np.array([fixed.get(name, 0.0) for _, name in names]) * known
    fit = WLS(observed - design @ given, design[:, ~known], weights=sd**-2.0).fit()
    close(solution.values[~known], fit.params)
    assert (solution.values[known] == given[known]).all()
    whitened = design[:, ~known] / sd[:, None]
    other, _, rank, _ = linalg.lstsq(whitened, (observed - design @ given) / sd)
    assert rank == np.sum(~known)
    close(solution.values[~known], other)
    cofactors = np.zeros((len(names), len(names)))
    cofactors[np.ix_(~known, ~known)] = fit.normalized_cov_params
    points = solution.model.columns("height")
    close(solution.height_covariance(), cofactors[np.ix_(points, points)])
    close(solution.height_sd_mm, np.sqrt(np.diag(cofactors)[points]))
    close(solution.sd_of(np.arange(len(names))), np.sqrt(np.diag(cofactors)))
    hat = np.sum((design @ cofactors) * design, axis=1) / sd**2
    check_rest(solution, -fit.resid, hat, rank)
    sigma0 = np.sqrt(solution.weighted_square_sum / solution.degrees_of_freedom)
    assert sigma0 == pytest.approx(np.sqrt(fit.scale), rel=SAME)


@pytest.mark.parametrize("seed", FREE)
@pytest.mark.filterwarnings("ignore:The design matrix is rank-deficient")
def test_free_networks(seed):
    check_free(made_up(seed))


def check_free(made: Made) -> None:
    """Compare with generalised inverses, moved to the mean of heights by the S-transformation."""
    solution = solve(assemble(made.blocks), {})
    assert solution.free
    names = names_of(solution)
    design, observed, sd = dense(made, names)
    points = solution.model.columns("height")
    # Lifting all heights by 1 changes no reading if lines of sight and edges are lifted too.
    lift = np.array(
        [{"offset": -1.0, "own error": 0.0, "slope": 0.0}.get(k, 1.0) for k, _ in names]
    )
    assert design @ lift == pytest.approx(np.zeros(len(design)), abs=1e-12)
    mean = np.zeros(len(names))
    mean[points] = 1 / len(points)
    s = np.eye(len(names)) - np.outer(lift, mean)
    fit = WLS(observed, design, weights=sd**-2.0).fit(method="pinv")
    close(solution.values, s @ fit.params)
    other, _, rank, _ = linalg.lstsq(design / sd[:, None], observed / sd)
    assert rank == len(names) - 1
    close(solution.values, s @ other)
    cofactors = s @ fit.normalized_cov_params @ s.T
    close(solution.height_covariance(), cofactors[np.ix_(points, points)])
    close(solution.height_sd_mm, np.sqrt(np.diag(cofactors)[points]))
    # Neither an own error nor a slope depends on the datum.
    loose = np.flatnonzero(lift == 0)
    close(solution.sd_of(loose), np.sqrt(np.diag(cofactors)[loose]))
    hat = np.sum((design @ cofactors) * design, axis=1) / sd**2
    check_rest(solution, -fit.resid, hat, rank)
    sigma0 = np.sqrt(solution.weighted_square_sum / solution.degrees_of_freedom)
    assert sigma0 == pytest.approx(np.sqrt(fit.ssr / solution.degrees_of_freedom), rel=SAME)


@pytest.mark.parametrize("held", [False, True])
@pytest.mark.filterwarnings("ignore:The design matrix is rank-deficient")
def test_a_hall_that_is_solved_by_elimination(held):
    """More unknowns than are solved at once: rounds of elimination come first."""
    maker = Maker(7, 470, 70)
    maker.staff()
    maker.heights()
    maker.level(known=False)
    maker.edge()
    maker.difference()
    assert len(assemble(maker.made.blocks).names) > SMALL
    if held:
        check_held(maker.made, {"P17": -40.0})
    else:
        check_free(maker.made)


def test_the_networks_are_of_all_sorts():
    for seeds in (HELD, FREE):
        assert len({frozenset(mix_of(seed)) for seed in seeds}) == 2 ** len(FURTHER) - 1


def test_a_correlated_pair_is_what_generalised_least_squares_makes_of_it():
    """Two readings from one line of sight: eliminating it leaves correlated differences (GLS).

    The kit keeps the line of sight as an unknown; a general library that is given differences to
    the first reading instead, with their covariances, must find the same heights.
    """
    maker = Maker(11, 9, 3)
    maker.staff()
    solution = solve(assemble(maker.made.blocks), {"P0": 12.0})
    points = [name for kind, name in names_of(solution) if kind == "height"]
    right, rows, parts = [], [], []
    for block in maker.made.blocks:
        names = block.terms[1].names
        for name, observed in zip(names[1:], block.observed_mm[1:], strict=True):
            row = np.zeros(len(points))
            row[[points.index(name), points.index(names[0])]] = 1, -1
            rows.append(row)
            right.append(block.observed_mm[0] - observed)
        variance = block.sd_mm**2
        parts.append(np.diag(variance[1:]) + variance[0])
    design, kept = np.array(rows), [i for i, name in enumerate(points) if name != "P0"]
    origin = 12.0 * design[:, points.index("P0")]
    fit = GLS(right - origin, design[:, kept], sigma=linalg.block_diag(*parts)).fit()
    found = dict(zip(names_of(solution), solution.values, strict=True))
    close(np.array([found["height", points[i]] for i in kept]), fit.params)
    at = solution.model.columns("height")
    order = [solution.model.names[at].tolist().index(points[i]) for i in kept]
    close(solution.height_covariance()[np.ix_(order, order)], fit.normalized_cov_params)
    assert solution.degrees_of_freedom == fit.df_resid
    assert solution.weighted_square_sum == pytest.approx(fit.ssr, rel=SAME)
    p = stats.chi2.sf(fit.ssr, fit.df_resid)
    assert 0.001 < p < 0.999
