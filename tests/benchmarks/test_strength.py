"""How long it takes to lay a bearer on its stacks, and the whole strength room, beside named peers.

Not part of the normal tests; run with
``python -m pytest -o addopts="" --import-mode=importlib tests/benchmarks/test_strength.py -s``.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

import numpy as np
import pytest
import quadprog

import kit
from kit.answer import Answer
from kit.job import Job
from kit.strength.beam import Beam, Loads
from kit.strength.bearers import CASES, DESIGN
from kit.strength.carry import carry
from kit.strength.contact import rest, rest_on

DATA = Path(__file__).parents[2] / "data"
STACKS = 40

#: A bearer of softwood lying flat, and one on edge: E I [N mm2].
STIFFNESS = {"flat": 2.4e8, "on edge": 2.4e10}

#: What a contact solve may take, and the whole room for the reading room [s].
SOLVE_S, ROOM_S = 0.005, 0.040


def bearer(ei: float, seed: int) -> tuple[Beam, Loads, np.ndarray]:
    """40 stacks 200 to 600 mm apart, tops within 3 mm, sides of units beside most of them."""
    rng = np.random.default_rng(seed)
    places = np.cumsum([50.0, *rng.uniform(200, 600, STACKS - 1)])
    end = float(places[-1] + 50)
    sides = np.clip(places + rng.uniform(-40, 40, STACKS), 0, end)
    points = tuple(zip(sides.tolist(), rng.uniform(5, 90, STACKS).tolist(), strict=True))
    beam = Beam(tuple(places.tolist()), 0.0, end, ei, ei / 1000)
    return beam, Loads(points, ((0.0, end, 0.02),)), rng.uniform(-3, 3, STACKS)


def seconds(run: Callable[[], object], rounds: int = 40) -> float:
    """Median time of a call."""
    times = []
    for _ in range(rounds):
        start = perf_counter()
        run()
        times.append(perf_counter() - start)
    return median(times)


@pytest.mark.parametrize("kind", STIFFNESS)
def test_40_stacks_against_quadprog(benchmark: Any, kind: str) -> None:
    """Both are handed S and f, and find the least of 1/2 w'S w - f'w with w not below the tops.

    quadprog wants a definite matrix, and S takes no force to move the whole beam: it is given a
    billionth of its greatest entry more on the diagonal.
    """
    beam, loads, tops = bearer(STIFFNESS[kind], 1)
    frame = beam.frame
    pressed = frame.condensed(frame.forces(loads))
    level = float(tops.mean())
    found = benchmark(rest_on, frame, loads, pressed, tops)
    assert not all(found.carries)
    definite = frame.stiffness + 1e-9 * np.abs(frame.stiffness).max() * np.eye(STACKS)

    def peer() -> np.ndarray:
        solved = quadprog.solve_qp(definite, pressed, np.eye(STACKS), tops - level)
        return np.asarray(solved[0]) - (tops - level)

    # The billionth moves it by some such part of 3 mm, times the weakness of the long beam.
    assert found.gaps_mm == pytest.approx(peer(), abs=0.01)
    ours, theirs = benchmark.stats.stats.median, seconds(peer)
    benchmark.extra_info.update(peer="quadprog.solve_qp", peer_s=theirs, ratio=ours / theirs)
    print(f"\n{kind}: {ours * 1e3:.2f} ms, {sum(found.carries)} of {STACKS} carry; ", end="")
    print(f"quadprog {theirs * 1e3:.2f} ms, ratio {ours / theirs:.1f}")
    assert ours < SOLVE_S
    # Pivots in NumPy against compiled ones, with room for a busy machine.
    assert ours / theirs < 30


@pytest.mark.parametrize("kind", STIFFNESS)
def test_40_stacks_from_nothing(benchmark: Any, kind: str) -> None:
    """With the stiffness of the beam itself, as after a stack has been moved."""
    (places, start, end, ei, ga), loads, tops = _parts(bearer(STIFFNESS[kind], 2))

    def lay() -> object:
        return rest(Beam(places, start, end, ei, ga), loads, tops)

    benchmark(lay)
    matrix = np.random.default_rng(3).normal(size=(2 * STACKS, 2 * STACKS))
    theirs = seconds(lambda: np.linalg.lstsq(matrix, matrix[0], rcond=None))
    ours = benchmark.stats.stats.median
    peer = "numpy.linalg.lstsq of as many heights and turns"
    benchmark.extra_info.update(peer=peer, peer_s=theirs, ratio=ours / theirs)
    print(f"\n{kind}: {ours * 1e3:.2f} ms, {peer} {theirs * 1e3:.2f} ms")
    assert ours < 2 * SOLVE_S


def _parts(
    case: tuple[Beam, Loads, np.ndarray],
) -> tuple[tuple[tuple[float, ...], float, float, float, float], Loads, np.ndarray]:
    beam, loads, tops = case
    return (beam.supports_mm, beam.start_mm, beam.end_mm, beam.ei_n_mm2, beam.ga_n), loads, tops


@pytest.mark.parametrize("kind", STIFFNESS)
def test_worst_of_200(kind: str) -> None:
    times = []
    for seed in range(200):
        beam, loads, tops = bearer(STIFFNESS[kind], seed)
        frame = beam.frame
        pressed = frame.condensed(frame.forces(loads))
        times.append(seconds(partial(rest_on, frame, loads, pressed, tops), 3))
    print(f"\n{kind}: median {median(times) * 1e3:.2f} ms, worst of 200 {max(times) * 1e3:.2f} ms")
    assert max(times) < 2 * SOLVE_S  # alone on the machine below SOLVE_S


@pytest.fixture(scope="module")
def job() -> Job:
    return kit.read_job(DATA / "reading-room")


@pytest.fixture(scope="module")
def answer(job: Job) -> Answer:
    return kit.solve(job)


def test_whole_room_against_least_squares(benchmark: Any, job: Job, answer: Answer) -> None:
    """The peer solves, for each piece of bearer, only as many equations as it has unknowns."""
    ground = answer.ground
    strength = benchmark(
        carry,
        job,
        answer.layout,
        ground.pieces,
        ground.joists,
        answer.supports,
        answer.datum,
        answer.screws,
    )
    assert {one.piece.name for one in strength.laid} == {p.name for p in ground.pieces.pieces}
    sizes = [2 * len(piece.supports) for piece in ground.pieces.pieces]
    rng = np.random.default_rng(4)
    systems = [(rng.normal(size=(2 * n, n)), rng.normal(size=2 * n)) for n in sizes]
    loadings = len(CASES) + len(DESIGN)

    def peer() -> None:
        for _ in range(loadings):
            for matrix, wanted in systems:
                np.linalg.lstsq(matrix, wanted, rcond=None)

    ours, theirs = benchmark.stats.stats.median, seconds(peer)
    name = "numpy.linalg.lstsq for each piece and loading"
    benchmark.extra_info.update(peer=name, peer_s=theirs, ratio=ours / theirs)
    print(f"\nroom {ours * 1e3:.1f} ms; {name} {theirs * 1e3:.1f} ms, ratio {ours / theirs:.1f}")
    assert ours < ROOM_S
    # Beside the solving there are joists, units, gaps, checks and words.
    assert ours / theirs < 80
