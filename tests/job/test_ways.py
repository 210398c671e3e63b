from typing import get_args

import pytest

from kit.job.model import Base
from kit.job.ways import unused_keys, way_of

METHODS = get_args(Base.model_fields["method"].annotation)


@pytest.mark.parametrize("method", METHODS)
def test_every_method_has_words_of_its_own(method: str) -> None:
    way = way_of(Base.model_construct(method=method))
    others = [way_of(Base.model_construct(method=other)) for other in METHODS if other != method]
    assert way.name not in [other.name for other in others]
    assert ("bearer" in f"{way.name} {way.stands}") == (method == "packers")
    assert ("packer" in way.name) == (method in ("packers", "stacks"))


def test_one_and_several() -> None:
    feet = way_of(Base.model_construct(method="feet"))
    assert [feet.count(number) for number in (1, 12)] == ["1 foot", "12 feet"]


@pytest.mark.parametrize("method", METHODS)
def test_each_is_said_in_one_sentence_without_the_trades_words(method: str) -> None:
    said = way_of(Base.model_construct(method=method)).said
    assert said.endswith(".")
    assert said.count(".") == 1
    assert said[0].isupper()
    trade = ("packer", "bearer", "scribe", "datum", "rung", "plinth")
    assert not [word for word in trade if word in said.lower()]


@pytest.mark.parametrize("method", METHODS)
def test_keys_that_are_not_used_are_keys_of_a_base_and_never_its_own_table(method: str) -> None:
    way = way_of(Base.model_construct(method=method))
    assert set(way.unused) <= set(Base.model_fields)
    assert method not in way.unused
    assert not {"name", "height_mm", "tolerance_mm", "plinth"} & set(way.unused)
    assert ("bearer" in way.unused) == (way.along != "bearer")


def test_only_keys_that_are_given_and_differ_are_told() -> None:
    base = Base(name="b", height_mm=60.0, method="stacks", max_span_mm=450.0, end_inset_mm=0.0)
    assert unused_keys(base) == ("max_span_mm",)
    assert unused_keys(Base(name="b", height_mm=60.0, method="stacks")) == ()
