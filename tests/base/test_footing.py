"""What a base sets on the floor, as far as the layout has to know."""

from pathlib import Path

import pytest

from kit.base.footing import Footing, bearer_footing
from kit.job import Base, Job


@pytest.mark.parametrize(
    ("strip", "pad", "across"), [(45.0, (75.0, 30.0), 45.0), (18.0, (18.0, 61.5), 61.5)]
)
def test_a_row_takes_the_wider_of_what_runs_along_it_and_what_stands_there(
    strip: float, pad: tuple[float, float], across: float
) -> None:
    assert Footing(strip, pad).across_mm == across


def test_bearers_are_joined_and_packers_lie_as_the_stock_says() -> None:
    base = {"name": "b", "height_mm": 60.0, "bearer": {"width_mm": 70.0}}
    job = Job.model_validate(
        {
            "schema": 1,
            "title": "boot room",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": (
                {
                    "name": "A",
                    "unit": (
                        {"name": "case", "width_mm": 900.0, "depth_mm": 320.0,
                         "height_mm": 900.0, "side_mm": 19.0},
                    ),
                },
            ),
            "base": (base,),
            "stock": {"packers": ({"mm": 3.0},), "packer_size_mm": (80.0, 52.0)},
            "folder": Path(),
        }
    )  # fmt: skip
    footing = bearer_footing(job, Base.model_validate(base))
    assert (footing.strip_mm, footing.pad_mm, footing.across_mm) == (70.0, (80.0, 52.0), 70.0)
    assert footing.joined
    assert footing.shared
