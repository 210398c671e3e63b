"""Names on a plan."""

from kit.paper.label_places import Box, Taken, letters_of
from kit.paper.plan_names import Namer, key_lines
from kit.paper.plan_view import SITE, View

EDGE = Box(0.0, 0.0, 100.0, 60.0)


def namer(*boxes):
    return Namer(View(SITE, 1.0, (0.0, 0.0), (0.0, 0.0), EDGE), Taken(EDGE, boxes))


def square(left, top, wide, tall):
    return ((left, top), (left + wide, top), (left + wide, top + tall), (left, top + tall))


def texts(one):
    return [line.text for line in letters_of(one.marks)]


def test_a_name_stands_in_its_own_area_in_words():
    one = namer()
    one.name_area("low bookcase", "here", square(10, 10, 18, 20))
    assert texts(one) == ["low", "bookcase"]
    assert all(10 < line.at[0] < 28 for line in letters_of(one.marks))
    assert one.key == []


def test_a_name_without_room_stands_whole_in_the_key():
    one = namer()
    one.name_area("Wandregal", "here", square(10, 10, 9, 20))
    one.name_area("Anrichte", "from 3 to 4 mm", square(40, 10, 0.5, 20))
    one.name_area("Fensterbank", "there", square(60, 10, 9, 20))
    assert texts(one) == ["1", "2"]
    assert one.key == ["1: Wandregal", "from 3 to 4 mm: Anrichte", "2: Fensterbank"]


def test_places_are_named_beside_what_is_taken():
    one = namer(Box(20, 20, 30, 26))
    assert one.name_place("B7", (25.0, 23.0), (5.0, 3.0))
    assert letters_of(one.marks)[0].at[1] < 20
    full = namer(Box(10, 10, 90, 50))
    assert not full.name_place("B7", (50.0, 30.0), (1.0, 1.0))
    assert full.marks == []


def test_key_keeps_a_name_read_from_the_right_on_its_own_line():
    hebrew = "2: \u05e9\u05dc\u05d5\u05dd"
    assert key_lines(["1: a", "3: b"]) == ["1: a; 3: b"]
    assert key_lines(["1: a", hebrew, "3: b"]) == ["1: a", hebrew, "3: b"]
