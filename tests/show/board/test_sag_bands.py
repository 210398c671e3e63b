"""Bands of the joists' sag: few, even, darker the deeper, told in the job's units."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from kit.ink.paint import lightness
from kit.job import Joists
from kit.show.board.map_levels import tone as tone_of_map
from kit.show.board.sag_bands import MOST_BANDS, SagBands, sag_bands
from kit.strength.joists import JoistWork, Pressed, joists_under

ONE_SPAN = Joists(
    along="y",
    width_mm=47,
    depth_mm=170,
    centres_mm=450,
    first_mm=100,
    bearing_mm=(0, 3100),
    strength_class="C24",
)


def work_of(joists: Joists, force_n: float = 1000.0) -> JoistWork:
    found = joists_under(joists, "boarded", [Pressed("B1", "B", 100.0, 900.0, force_n)], 1)
    assert isinstance(found, JoistWork)
    return found


def sagging(most_mm: float) -> JoistWork:
    """Return work whose worst joist sags so far, whatever it carries."""
    work = work_of(ONE_SPAN)
    return replace(work, joists=(replace(work.joists[0], greatest_final_mm=most_mm),))


@pytest.mark.parametrize(
    ("most_mm", "units", "step", "texts"),
    [
        (0.949, "mm", 0.2, ("0 to 0.2", "0.2 to 0.4", "0.4 to 0.6", "0.6 to 0.8", "0.8 to 0.95")),
        (1.0, "mm", 0.2, ("0 to 0.2", "0.2 to 0.4", "0.4 to 0.6", "0.6 to 0.8", "0.8 to 1.00")),
        (1.01, "mm", 0.5, ("0 to 0.5", "0.5 to 1.0", "1.0 to 1.01")),
        (13.2, "mm", 5.0, ("0 to 5", "5 to 10", "10 to 13.20")),
        (0.949, "in", 0.01, ("0 to 0.01", "0.01 to 0.02", "0.02 to 0.03", "0.03 to 0.037")),
        (0.0, "mm", 0.005, ("0 to 0.00",)),
    ],
)
def test_bands_are_even_and_few(
    most_mm: float, units: str, step: float, texts: tuple[str, ...]
) -> None:
    bands = sag_bands(sagging(most_mm), units)  # type: ignore[arg-type]
    assert bands.step == step
    assert bands.texts == texts
    assert bands.count == len(bands.tones) == len(texts) <= MOST_BANDS


def test_a_sag_is_in_its_own_band() -> None:
    bands = SagBands(0.95, 0.2, 5, "mm", rises=False)
    sags = np.array([-0.3, 0.0, 0.19, 0.21, 0.79, 0.95, 1.0])
    assert bands.number_of(sags).tolist() == [0, 0, 0, 1, 3, 4, 4]
    inches = SagBands(0.95, 0.01, 4, "in", rises=False)
    # 0.254 mm is a hundredth of an inch.
    assert inches.number_of(np.array([0.25, 0.26, 0.52, 0.95])).tolist() == [0, 1, 2, 3]


def test_tones_darken_all_the_way_and_read_in_grey() -> None:
    tones = SagBands(0.95, 0.2, 5, "mm", rises=False).tones
    light = [lightness(tone) for tone in tones]
    assert light[0] > 95
    assert light[-1] < 30
    # At least a tenth of the range from one to the next: told apart on paper (common practice,
    # no source).
    assert min(a - b for a, b in pairwise(light)) > 10


def test_tones_are_none_of_the_map_of_the_floor() -> None:
    sags = [rgb(tone) for tone in SagBands(0.95, 0.2, 5, "mm", rises=False).tones]
    maps = [rgb(tone_of_map(number / 50)) for number in range(51)]
    # Steps of a byte; the five of the map's own scale are 40 to 53 apart.
    assert min(math.dist(sag, other) for sag in sags for other in maps) > 25


def rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


def test_a_rise_is_said_where_there_is_one() -> None:
    over_two = sag_bands(work_of(ONE_SPAN), "mm")
    over_three = sag_bands(
        work_of(ONE_SPAN.model_copy(update={"bearing_mm": (0, 1900, 3100)})), "mm"
    )
    assert not over_two.rises
    assert over_three.rises
    assert over_three.texts[0].startswith("rise, or 0 to ")


def test_joists_that_are_not_computed_count_for_nothing() -> None:
    work = work_of(ONE_SPAN)
    out = replace(work.joists[0], beyond=("B1",), greatest_final_mm=math.nan)
    assert sag_bands(replace(work, joists=(out,)), "mm").most_mm == 0
