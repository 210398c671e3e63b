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
    """Least wall time of a fresh process that runs the code, less one that runs nothing."""

    def least(text: str) -> float:
        times = []
        for _ in range(rounds):
            start = time.perf_counter()
            subprocess.run([sys.executable, "-c", text], check=True)
            times.append(time.perf_counter() - start)
        return min(times)

    return least(code) - least("pass")


def test_import_against_numpy(benchmark: Any) -> None:
    benchmark.extra_info["peer"] = "import numpy"
    ours = benchmark.pedantic(seconds_to_run, ("import kit",), rounds=1)
    numpy = seconds_to_run("import numpy")
    benchmark.extra_info.update(ours_s=ours, numpy_s=numpy, ratio=ours / numpy)
    print(f"\nimport kit {ours * 1000:.0f} ms, import numpy {numpy * 1000:.0f} ms")
    assert ours < numpy


def test_cold_answer(benchmark: Any, job: Job) -> None:
    benchmark(kit.solve, job)
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
