import math

import pytest

from kit.as_built.judged import judge, worst


@pytest.mark.parametrize(
    ("value", "limit", "sd", "verdict"),
    [
        (0.3, 1.0, 0.3, "within"),
        (-1.7, 1.0, 0.3, "outside"),
        (1.0, 1.0, 0.0, "within"),  # the limit is closed
        (1.1, 1.0, 0.0, "outside"),
        (0.4, 1.0, 0.3, "too close to tell"),  # 0.6 = 2 sd from the limit, closed
        (-1.6, 1.0, 0.3, "too close to tell"),
        (math.nan, 1.0, 0.3, "not read"),
        (0.1, 1.0, math.nan, "not read"),
    ],
)
def test_a_figure_is_judged_either_way_with_its_doubt(
    value: float, limit: float, sd: float, verdict: str
) -> None:
    assert judge(value, limit, sd) == verdict


def test_the_worst_verdict_counts() -> None:
    assert worst(["within", "too close to tell", "not read"]) == "too close to tell"
    assert worst(["within", "outside", "too close to tell"]) == "outside"
    assert worst(["within", "not read"]) == "not read"
    assert worst([]) == "not read"
