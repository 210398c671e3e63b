"""Named draws: whole-number arithmetic anybody can repeat, evenly spread, each on its own."""

import hashlib
import math
import os
import subprocess
import sys

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

import kit.practice.draws as room
from kit.practice.draws import Draws

KEYS = st.text(st.characters(codec="utf-8"), min_size=1, max_size=12)


def by_whole_numbers(name: str, key: str, count: int) -> list[float]:
    """FIPS 202 SHAKE-256 of the name, 8 bytes a share, little end first, leading 52 bits."""
    stream = hashlib.shake_256(f"{name}/{key}".encode()).digest(8 * count)
    words = [int.from_bytes(stream[8 * k : 8 * k + 8], "little") for k in range(count)]
    return [(2 * (word >> 12) + 1) / 2**53 for word in words]


@given(KEYS, KEYS, st.integers(1, 40))
def test_shares_are_the_leading_bits_of_the_names_digest(name, key, count):
    # Exact: every share is an odd multiple of 2^-53, which a double holds.
    assert Draws(name).shares(key, count).tolist() == by_whole_numbers(name, key, count)


@pytest.mark.parametrize(("byte", "share"), [(b"\xff", 1 - 2.0**-53), (b"\x00", 2.0**-53)])
def test_the_greatest_and_least_words_give_shares_inside_0_to_1(monkeypatch, byte, share):
    class Stuck:
        def __init__(self, _name: bytes) -> None: ...

        def digest(self, length: int) -> bytes:
            return byte * length

    monkeypatch.setattr(room.hashlib, "shake_256", Stuck)
    assert Draws("any").shares("any", 2).tolist() == [share, share]
    assert math.isfinite(Draws("any").normals("any", 1)[0])
    assert Draws("any").whole("any", 3, 7) == (7 if byte == b"\xff" else 3)


@given(st.lists(KEYS, min_size=2, max_size=8, unique=True), st.data())
def test_a_draw_does_not_hang_on_what_was_drawn_before_it(keys, data):
    draws = Draws("one floor")
    alone = {key: Draws("one floor").shares(key, 3).tolist() for key in keys}
    order = data.draw(st.permutations(keys))
    assert {key: draws.shares(key, 3).tolist() for key in order} == alone
    assert len({tuple(shares) for shares in alone.values()}) == len(keys)


def test_more_of_one_key_go_on_where_fewer_ended():
    draws = Draws("prefix")
    assert draws.shares("a", 9)[:4].tolist() == draws.shares("a", 4).tolist()
    assert draws.normals("a", 9)[:4].tolist() == draws.normals("a", 4).tolist()


def test_shares_and_normals_are_spread_as_they_say():
    # Kolmogorov's test (scipy); the draws are fixed, so that this either always passes or never.
    # A share of 1 in 1000 is asked; 20,000 normals that spread a tenth too wide fail by it.
    draws = Draws("spread")
    assert scipy.stats.kstest(draws.shares("a", 20_000), "uniform").pvalue > 0.001
    assert scipy.stats.kstest(draws.normals("b", 20_000), "norm").pvalue > 0.001
    assert scipy.stats.kstest(draws.normals("b", 20_000) * 1.1, "norm").pvalue < 0.001


def test_whole_numbers_come_alike_often_ends_included():
    found = [Draws(f"die {k}").whole("thrown", -2, 3) for k in range(3000)]
    counts = [found.count(face) for face in range(-2, 4)]
    assert sum(counts) == 3000
    assert scipy.stats.chisquare(counts).pvalue > 0.001


def test_between_one_of_happens_sign_and_normals_follow_their_share():
    for k in range(200):
        draws, share = Draws(f"case {k}"), by_whole_numbers(f"case {k}", "it", 1)[0]
        # 1e-12: a product and a sum of doubles of size 10.
        assert draws.between("it", -3.0, 7.0) == pytest.approx(-3 + 10 * share, abs=1e-12)
        assert draws.one_of("it", ("a", "b", "c")) == "abc"[int(3 * share)]
        assert draws.happens("it", 0.3) == (share < 0.3)
        assert draws.sign("it") == (1.0 if share < 0.5 else -1.0)
        # scipy's own normal distribution; 1e-9 relative for two ways to its inverse.
        assert draws.normals("it", 1)[0] == pytest.approx(scipy.stats.norm.ppf(share), rel=1e-9)


def test_shuffling_keeps_every_thing_once_and_every_place_is_reached():
    things = ("thin", "thin", "middling", "thick")
    orders = {Draws(f"pack {k}").shuffled("it", things) for k in range(300)}
    assert {tuple(sorted(order)) for order in orders} == {tuple(sorted(things))}
    assert len(orders) == 12  # 4!/2! arrangements of four things, two of them alike


def test_another_process_with_another_hash_seed_draws_the_same():
    code = "from kit.practice.draws import Draws; print(Draws('a').shares('b', 3).tolist())"
    said = {
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True, text=True, check=True,
        ).stdout.strip()
        for seed in ("0", "12345")
    }  # fmt: skip
    assert said == {str(Draws("a").shares("b", 3).tolist())}
