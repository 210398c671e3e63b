"""Heights without some of the readings, against adjusting again without them."""

from __future__ import annotations

import numpy as np
import pytest

from kit.job.refusal import Refusal
from kit.readings import adjust


@pytest.mark.parametrize("held", [None, "B3"])
@pytest.mark.parametrize("rows", [(3,), (19, 40), (0, 23, 31)])
def test_leaving_out_equals_adjusting_without(mixed, held, rows):
    readings = mixed(8).readings
    heights = adjust(readings, held, 517.25)
    left = heights.without(rows)
    again = adjust(readings.without(rows), held, 517.25)
    points = again.points.set_index("point").loc[left.points["point"]].reset_index()
    shift = left.points["without_mm"] - points["height_mm"]
    # A free network has no zero: there all points may be shifted alike. Otherwise rounding only.
    assert np.ptp(shift) < 1e-8
    if held:
        assert abs(shift).max() < 1e-8
    assert left.points["without_sd_mm"].to_numpy() == pytest.approx(points["sd_mm"], abs=1e-9)
    assert left.sigma0 == pytest.approx(again.sigma0, rel=1e-9)
    assert left.redundancy == again.redundancy == heights.redundancy - len(rows)
    assert left.global_test_p == pytest.approx(again.global_test_p, rel=1e-7)


def test_the_change_of_a_free_network_is_laid_at_the_median(mixed):
    heights = adjust(mixed(8).readings, None, 0.0)
    assert np.median(heights.without((3,)).points["change_mm"]) == pytest.approx(0, abs=1e-9)


def test_a_spoilt_reading_left_out_gives_the_truth_back(mixed):
    made = mixed(8)
    clean = adjust(made.readings, "B3", 517.25)
    table = made.readings.tables[0]
    observed = table.readings["observed_mm"].to_numpy().copy()
    observed[6] += 40
    tables = (type(table)(table.survey, "staff", "", table.readings.assign(observed_mm=observed),
                          table.extra), *made.readings.tables[1:])  # fmt: skip
    spoilt = adjust(type(made.readings)(tables), "B3", 517.25)
    (finding,) = spoilt.findings
    assert finding.choices == ((6,),)
    left = spoilt.without(finding.choices[0]).points
    point = table.readings["point"].iloc[6]
    change = left.set_index("point")["change_mm"]
    assert abs(change).idxmax() == point
    # Only what the one good reading had added is missing: within 3 sd of its own estimate.
    gap = left["without_mm"] - clean.points["height_mm"]
    assert abs(gap).max() < 3 * finding.error_sd_mm


def test_what_only_one_reading_tells_cannot_be_left_out(mixed):
    heights = adjust(mixed(8).readings, "B3", 517.25)
    alone = int(np.flatnonzero(heights.residuals["redundancy"] < 1e-6)[0])
    with pytest.raises(Refusal, match="without which a height is not determined"):
        heights.without((alone,))
