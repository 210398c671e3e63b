import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.scan import tally
from kit.scan.tally import Tally


@given(st.integers(0, 2**32), st.integers(1, 60), st.integers(1, 6))
def test_counts_and_sums_as_numpy_has_them(seed, spread_bits, pieces):
    generator = np.random.default_rng(seed)
    keys = generator.integers(0, 1 << spread_bits, 4000) >> generator.integers(0, 12)
    values = generator.integers(0, 2048, 4000)
    mine = Tally(10**6, 11)
    for part in np.array_split(np.arange(4000), pieces):
        mine.add(keys[part], values[part])
    unique, place = np.unique(keys, return_inverse=True)
    found = mine.told()
    assert found[0].tolist() == unique.tolist()
    assert found[1].tolist() == np.bincount(place).tolist()
    # Sums of whole numbers below 2^53 are exact in float.
    assert found[2].tolist() == np.bincount(place, values).tolist()


def test_keys_that_share_their_lowest_bits_find_places():
    keys = np.arange(300_000) << 20
    mine = Tally(10**6, 11)
    mine.add(keys, keys & 1023)
    assert np.array_equal(mine.told()[0], keys)


def test_more_additions_than_a_number_holds(monkeypatch):
    # With 57 bits a value, three additions fill the count.
    monkeypatch.setattr(tally, "_AT_ONCE", 2)
    mine = Tally(100, 57)
    keys = np.array([5, 9, 5, 5, 7, 9, 5])
    mine.add(keys, np.array([1, 2, 3, (1 << 57) - 1, 5, 6, 7]))
    found, count, sums = mine.told()
    assert (found.tolist(), count.tolist()) == ([5, 7, 9], [4, 1, 2])
    assert sums.tolist() == [(1 << 57) + 10, 5, 8]


@pytest.mark.parametrize(("keys", "full"), [(20, False), (21, True)])
def test_full(keys, full):
    mine = Tally(20, 11)
    mine.add(np.tile(np.arange(keys), 5), np.zeros(5 * keys, dtype=np.int64))
    assert mine.full is full
