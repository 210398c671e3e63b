"""Runs cut into windows."""

from itertools import pairwise

import pytest

from kit.paper.run_sheets import AROUND_MM, LEFT_MM, RIGHT_MM, SMALLEST, sheets


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("length", [430.0, 3987.0, 12_034.0, 51_000.0])
@pytest.mark.parametrize("paper", [186.0, 273.0])
def test_windows_fit_the_sheet_and_cover_the_run(length, paper, units):
    ways = list(sheets(length, paper, units))
    assert ways
    for way in ways:
        windows = way.windows
        assert windows[0].from_mm == 0.0
        assert windows[-1].to_mm == length
        for one in windows:
            wide = (one.to_mm - one.from_mm) / way.scale + 2 * AROUND_MM + LEFT_MM + RIGHT_MM
            assert wide <= paper + 1e-9
        for one, after in pairwise(windows):
            assert after.from_mm < one.to_mm - 100.0  # what both show
            (match,) = set(one.matches_mm) & set(after.matches_mm)
            assert after.from_mm < match < one.to_mm


def test_few_large_sheets_come_first():
    ways = list(sheets(12_000.0, 273.0, "mm"))
    good = [way for way in ways if way.scale <= SMALLEST["mm"]]
    assert ways[: len(good)] == good
    assert [len(way.windows) for way in good] == sorted(len(way.windows) for way in good)
    # 252 mm of paper show 6300 mm at 1:25: two sheets.
    assert (good[0].scale, len(good[0].windows)) == (25.0, 2)
    assert next(sheets(430.0, 186.0, "mm")).scale == 5.0
    assert next(sheets(430.0, 186.0, "in")).scale == 4.0
