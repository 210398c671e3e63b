"""Own and shared doubt against the dense covariance of the same adjustment."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from kit.job import Refusal
from kit.readings import adjust
from kit.readings import factors as module
from kit.readings.factors import shared_doubt

KINDS = (("staff",), ("staff", "heights"), ("staff", "grid", "heights"), ("heights",))


def differences(covariance: np.ndarray) -> np.ndarray:
    own = np.diag(covariance)
    return own[:, None] + own[None, :] - 2 * covariance


@pytest.mark.parametrize("kinds", KINDS, ids="+".join)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_with_a_benchmark_it_is_the_dense_covariance(
    network: Callable[..., Any], kinds: tuple[str, ...], seed: int
) -> None:
    readings = network(seed, points=14, setups=4, kinds=kinds).readings
    heights = adjust(readings, readings.places["point"].iloc[2], 120.0)
    own, shared = heights.shared_doubt()
    # Rounding of sums of some ten numbers near 1 mm².
    assert np.allclose(np.diag(own) + shared @ shared.T, heights.covariance(), atol=1e-10)
    assert own[2] == 0
    assert not shared[2].any()
    assert (np.delete(own, 2) > 0).all()


@pytest.mark.parametrize("kinds", KINDS, ids="+".join)
def test_of_a_free_network_every_difference_is_the_same(
    network: Callable[..., Any], kinds: tuple[str, ...]
) -> None:
    heights = adjust(network(5, points=14, setups=4, kinds=kinds).readings, None, 0.0)
    own, shared = heights.shared_doubt()
    full, dense = np.diag(own) + shared @ shared.T, heights.covariance()
    assert np.allclose(differences(full), differences(dense), atol=1e-10)
    assert abs(np.diag(full) - np.diag(dense)).max() <= 2 * own.max() / len(own)


def test_levels_and_straight_edges_hang_together_too(mixed: Callable[..., Any]) -> None:
    readings = mixed(4).readings
    heights = adjust(readings, readings.places["point"].iloc[0], 0.0)
    own, shared = shared_doubt(heights.solution)
    assert np.allclose(np.diag(own) + shared @ shared.T, heights.covariance(), atol=1e-9)
    levelled = {*readings.rows["start"][readings.rows["kind"] == "level"]} - {""}
    joined = readings.places["point"].isin(levelled).to_numpy()
    assert joined.any()
    assert not own[joined].any()


def test_a_scaled_doubt_is_scaled_in_both_parts(staff: Callable[..., Any]) -> None:
    book = {"A": 1400.0, "B": 1402.0, "C": 1399.0, "D": 1405.0}
    wrong = {p: r + e for (p, r), e in zip(book.items(), (0.0, 4.0, -3.0, 5.0), strict=True)}
    heights = adjust(staff({"S1": book, "S2": wrong}, 0.4), "B", 0.0).scaled()
    own, shared = heights.shared_doubt()
    assert heights.sd_factor > 2
    assert np.allclose(np.diag(own) + shared @ shared.T, heights.covariance(), atol=1e-9)


def test_what_would_take_gigabytes_is_refused(
    network: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    heights = adjust(network(6, points=14, setups=4).readings, "P1", 0.0)
    monkeypatch.setattr(module, "MOST_SHARED", 3)
    with pytest.raises(Refusal, match="4 set-ups, placements and points"):
        shared_doubt(heights.solution)
    monkeypatch.setattr(module, "MOST_SHARED", 4)
    monkeypatch.setattr(module, "MOST_NUMBERS", 55)
    with pytest.raises(Refusal, match="14 points from 4 set-ups, 56 numbers"):
        shared_doubt(heights.solution)
