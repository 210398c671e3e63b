"""The pushed straight edge against every pair of contacts tried at every place."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.flatness import edge_sweep
from kit.flatness.edge_sweep import carried, gaps_along


def brute(w):
    """Return the largest gap between any two contacts about the middle that clear all cells.

    Pairs on one line are all tried, so that the outermost has the largest gap; where the middle
    is a contact, pairs of both facets are.
    """
    p, x, largest = len(w) - 1, np.arange(len(w)), 0.0
    for i, j in itertools.product(range(p // 2 + 1), range((p + 1) // 2, p + 1)):
        if i < j:
            line = w[i] + (w[j] - w[i]) * (x - i) / (j - i)
            if np.all(line >= w - 1e-9):
                largest = max(largest, float((line - w)[i : j + 1].max()))
    return largest


def profiles(kind, rng, cells):
    """Return three profiles: smooth chance, whole numbers, tenths on a slope, walks, domes."""
    chance = rng.normal(size=(3, cells)) * 3
    along = np.arange(cells)
    return {
        "chance": chance,
        "whole mm": np.round(chance),
        "tenths on a slope": np.round(chance / 3) * 0.1 + along / 3,
        "walk": np.cumsum(chance, axis=1),
        "level but for a few": np.where(rng.random((3, cells)) < 0.2, np.round(chance), 0.0),
        "dome in tenths": np.round(chance / 4) * 0.1 - (along - cells / 2) ** 2 * 0.1,
        "far above its datum": 48_000 + np.round(chance) + along * 0.2,
    }[kind]


KINDS = (
    "chance", "whole mm", "tenths on a slope", "walk", "level but for a few", "dome in tenths",
    "far above its datum",
)  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_place_is_as_every_pair_of_contacts_says(kind):
    """Some 13,000 places in all, of floors with ties, level runs and holes."""
    rng, places = np.random.default_rng(KINDS.index(kind)), 0
    for turn in range(60):
        cells = int(rng.integers(5, 34))
        steps = int(rng.integers(2, min(cells, 19)))
        h = profiles(kind, rng, cells)
        if turn % 3 == 0:
            h = np.where(rng.random(h.shape) < 0.04, np.nan, h)
        found = gaps_along(h, steps)
        assert found.shape == (3, cells - steps)
        for row, first in np.ndindex(found.shape):
            window = h[row, first : first + steps + 1]
            if np.isnan(window).any():
                assert np.isnan(found[row, first])
            else:
                # The tie rule's own width; round-off is a thousandth of it.
                assert found[row, first] == pytest.approx(brute(window), abs=1e-9)
            places += 1
    assert places > 1500


@settings(max_examples=150, deadline=None)
@given(st.lists(st.integers(-3, 3), min_size=3, max_size=15), st.integers(2, 8))
def test_of_small_whole_heights_every_one_agrees(heights, steps):
    h = np.array(heights, dtype=float)
    found = gaps_along(h[None, :], steps)[0]
    wanted = [brute(h[k : k + steps + 1]) for k in range(len(h) - steps)]
    assert found.tolist() == pytest.approx(wanted, abs=1e-9)


def test_blocks_of_profiles_change_nothing(monkeypatch):
    h = np.random.default_rng(5).normal(size=(23, 60))
    whole = gaps_along(h, 11)
    done = []
    monkeypatch.setattr(edge_sweep, "BLOCK_CELLS", 40)  # three profiles a block
    # Each block has a level of its own that heights are told from: round-off.
    assert gaps_along(h, 11, done.append) == pytest.approx(whole, abs=1e-12)
    assert done[0] == pytest.approx(3 / 23)
    assert done[-1] == 1.0


def test_the_floor_turned_round_and_lifted_gives_the_same():
    h = np.random.default_rng(6).normal(size=(4, 50))
    assert gaps_along(h[:, ::-1], 12)[:, ::-1] == pytest.approx(gaps_along(h, 12), abs=1e-9)
    tilted = h + 700 + 0.37 * np.arange(50)
    # Tilting a rigid edge with its floor changes no gap; round-off of 700 mm is 1e-13 mm.
    assert gaps_along(tilted, 12) == pytest.approx(gaps_along(h, 12), abs=1e-9)


def test_an_edge_longer_than_the_profile_has_no_place():
    assert gaps_along(np.zeros((2, 5)), 5).shape == (2, 0)
    assert gaps_along(np.zeros((2, 5)), 4).shape == (2, 1)


@pytest.mark.parametrize(
    ("heights", "contacts", "gap_at", "gap"),
    [
        # A hollow at the right, met at cells 2 and 6.
        ([0, 1, 2, 0, -1, 0.5, 2, 0, -9], (2, 6), 4, 3.0),
        # The middle stands out: the right one of two facets has the larger gap.
        ([0, 1, 2.5, 1, 4, 0, 1, 1.5, 0], (4, 7), 5, 4 - 2.5 / 3),
        # ... and the left one.
        ([0, 1.5, 1, 0, 4, 1, 2.5, 1, 0], (1, 4), 3, 4 - 2.5 / 3),
        # Five contacts on one line: from the first to the last; beyond them nothing counts.
        ([-9, 1, 0.5, 1, 1, 1, 0, 1, -9], (1, 7), 6, 1.0),
    ],
)
def test_contacts_and_the_place_of_the_largest_gap(heights, contacts, gap_at, gap):
    lie = carried(np.array(heights, dtype=float))
    assert (lie.left, lie.right) == contacts
    assert lie.gap_at == gap_at
    assert lie.gap_mm == pytest.approx(gap, abs=1e-9)
    assert gaps_along(np.array([heights], dtype=float), 8)[0, 0] == pytest.approx(gap, abs=1e-9)


def test_one_placement_and_the_sweep_agree():
    rng = np.random.default_rng(8)
    for turn in range(400):
        h = rng.normal(size=int(rng.integers(3, 25)))
        h = np.round(h * 2) if turn % 2 else h
        assert carried(h).gap_mm == pytest.approx(brute(h), abs=1e-9)


def test_ties_are_judged_by_a_billionth_of_a_millimetre():
    """A cell under the edge by less touches it, and carries it from there; by more it does not."""
    for short, left in ((0.5e-9, 1), (1e-6, 2)):
        h = np.array([-9, -short, 0, -1, -0.5, 0, -9, -9, -9.0])
        assert carried(h).left == left
