"""What a person waits for: the import, a cold answer, a new height. Ratios against named peers."""

import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.answer import Answer
from kit.job import Job

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def job() -> Job:
    return kit.read_job(DATA / "reading-room")


@pytest.fixture(scope="module")
def answer(job: Job) -> Answer:
    return kit.solve(job)


def seconds_to_run(code: str, rounds: int = 5) -> float:
    """Least time that the code takes in a fresh process, as that process measures it."""
    timed = f"import time; t = time.perf_counter(); {code}; print(time.perf_counter() - t)"
    words = [sys.executable, "-c", timed]
    return min(
        float(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
        for _ in range(rounds)
    )


def test_import_against_numpy(benchmark: Any) -> None:
    benchmark.extra_info["peer"] = "import numpy"
    ours = benchmark.pedantic(seconds_to_run, ("import kit",), rounds=1)
    numpy = seconds_to_run("import numpy")
    benchmark.extra_info.update(ours_s=ours, numpy_s=numpy, ratio=ours / numpy)
    print(f"\nimport kit {ours * 1000:.0f} ms, import numpy {numpy * 1000:.0f} ms")
    assert ours < numpy


def test_cold_answer(benchmark: Any, job: Job) -> None:
    answer = benchmark(kit.solve, job)
    assert answer.worst_error_mm <= answer.base.tolerance_mm + 1e-9  # closed tolerance, rounding
    benchmark.extra_info["peer"] = "none: the peer of the next one"


@pytest.mark.parametrize("change", ["height", "set-back"])
def test_a_change_against_a_cold_answer(
    benchmark: Any, job: Job, answer: Answer, change: str
) -> None:
    base = job.bases[0]
    new = {"height_mm": (54.0, 58.0)} if change == "height" else {"back_mm": 49.0}
    changed = job.model_copy(update={"bases": (base.model_copy(update=new),)})
    benchmark(kit.solve, changed, before=answer)
    start = time.perf_counter()
    kit.solve(changed)
    cold = time.perf_counter() - start
    ratio = benchmark.stats.stats.median / cold
    benchmark.extra_info.update(peer="the same job solved cold", ratio=ratio)
    assert ratio < 1
