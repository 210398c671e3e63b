"""Every way of building has its one sentence."""

from __future__ import annotations

from kit.methods import METHODS
from kit.methods.words import SAID


def test_all_ways_are_said_in_one_sentence() -> None:
    assert list(SAID) == list(METHODS)
    for said in SAID.values():
        assert said.endswith(".")
        assert said.count(".") == 1
        assert said[0].isupper()


def test_no_word_of_the_trade_is_needed() -> None:
    trade = ("packer", "bearer", "scribe", "datum", "rung", "plinth")
    for method, said in SAID.items():
        assert not [word for word in trade if word in said.lower()], method
