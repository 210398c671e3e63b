"""Room for letters in a drawing file."""

import pytest

from kit.paper.dxf_room import Taken, letters_box, letters_wide


def test_box_of_turned_letters_stands_up() -> None:
    left, top, right, low = letters_box(("abcd",), (100.0, 50.0), 10.0, 90.0)
    # Four letters of 6.8 mm and a line of 12 mm, turned by a quarter.
    assert (right - left, low - top) == pytest.approx((12.0, 27.2))
    assert ((left + right) / 2, (top + low) / 2) == pytest.approx((100.0, 50.0))


def test_wide_letters_count_twice() -> None:
    assert letters_wide("a漢") == pytest.approx(1.5 * letters_wide("ab"))


def test_letters_find_the_nearest_free_place() -> None:
    taken = Taken()
    taken.add(letters_box(("B1", "35.6"), (0.0, 0.0), 20.0))
    at = taken.near(("P7",), (5.0, 0.0), 20.0)
    assert taken.free(letters_box(("P7",), at, 20.0))
    assert 0 < abs(at[0] - 5.0) + abs(at[1]) < 100
    assert taken.near(("P8",), (500.0, 0.0), 20.0) == (500.0, 0.0)


def test_where_nothing_is_free_letters_stand_where_they_were_wanted() -> None:
    taken = Taken()
    taken.add((-1e6, -1e6, 1e6, 1e6))
    assert taken.near(("P7",), (5.0, 7.0), 20.0) == (5.0, 7.0)
