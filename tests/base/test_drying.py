"""How long compound dries: by the maker's steps, with nothing put in between."""

import re

import pytest

from kit.base.drying import drying_days, drying_words
from kit.base.sure import Sure
from kit.job import Compound, Refusal

COMPOUND = Compound.model_validate(
    {
        "least_mm": 2.0,
        "greatest_mm": 28.0,
        "powder_kg_per_l": 1.7,
        "set_kg_per_l": 2.0,
        "drying": (
            {"to_mm": 5.0, "days": 0.5},
            {"to_mm": 12.0, "days": 2.0},
            {"to_mm": 30.0, "days": 7.0},
        ),
    }
)


@pytest.mark.parametrize(
    ("depth_mm", "days"),
    [(2.0, 0.5), (5.0, 0.5), (5.0 + 1e-12, 0.5), (5.01, 2.0), (12.0, 2.0), (12.5, 7.0), (30, 7.0)],
)
def test_a_depth_dries_as_long_as_its_step_says(depth_mm: float, days: float) -> None:
    assert drying_days(COMPOUND, depth_mm) == days


def test_deeper_than_the_last_step_is_refused() -> None:
    expected = "compound.drying: found a depth of 30.4 mm; allowed: at most 30 mm"
    with pytest.raises(Refusal, match=f"^{re.escape(expected)}$"):
        drying_days(COMPOUND, 30.4)


@pytest.mark.parametrize(
    ("sure_mm", "said"),
    [
        (5.0, "0.5 days"),
        (5.9, "0.5 days, 2 where the floor lies 1.7 mm lower than expected"),
        (12.1, "0.5 days, 7 where the floor lies 1.7 mm lower than expected"),
        # The steps end at 30 mm: nothing is refused for a floor that is only possible.
        (30.2, "0.5 days, longer than its maker says where the floor lies 1.7 mm lower than"
         " expected"),
    ],
)  # fmt: skip
def test_a_floor_that_may_lie_lower_dries_longer(sure_mm: float, said: str) -> None:
    assert drying_words(COMPOUND, 4.3, Sure(sure_mm, 1.7, 0)) == said
