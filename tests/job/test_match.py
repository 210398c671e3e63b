import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job.match import match


def named(names: str) -> list[dict[str, object]]:
    """Return tables of these names; a capital letter has a width that no other table has."""
    return [{"name": name, "width_mm": ord(name) if name.isupper() else 9} for name in names]


def test_same_names_are_the_same_member() -> None:
    found = match(named("ABCD"), named("DBCA"))
    assert found.came_from == (3, 1, 2, 0)
    assert found.moved == {0, 3}
    assert found.removed == ()


def test_a_new_name_between_the_same_neighbours_is_a_renaming() -> None:
    assert match(named("ABC"), named("AXC")).came_from == (0, 1, 2)
    assert match(named("ABC"), named("ACX")).came_from == (0, 2, -1)
    assert match(named("ABC"), named("ACX")).removed == (1,)


def test_the_first_of_several_by_position() -> None:
    found = match(named("aXYb"), named("aUVWb"))
    assert found.came_from == (0, 1, 2, -1, 3)


def test_what_differs_in_nothing_but_its_name_comes_first() -> None:
    old = [{"name": "left", "width_mm": 300}, {"name": "right", "width_mm": 470}]
    assert match(old, [{"name": "only", "width_mm": 470}]).came_from == (1,)
    # Renamed and moved past others at once.
    assert match(named("ABC"), [{"name": "z", "width_mm": 67}, *named("AB")]).came_from == (2, 0, 1)


def test_packers_by_size_whatever_the_unit_and_how_often() -> None:
    old = [{"mm": 3}, {"in": "3/4"}, {"mm": 3, "count": 4}]
    new = [{"mm": 19.05, "count": 8}, {"mm": 3.0}, {"mm": 3}]
    assert match(old, new).came_from == (1, 0, 2)


def test_surveys_by_sheet_and_moves_by_place() -> None:
    old = [{"file": "a.xlsx", "sheet": "one"}, {"file": "a.xlsx", "sheet": "two"}]
    assert match(old, old[::-1]).came_from == (1, 0)
    moves = [{"bearer": "B", "from_mm": x, "to_mm": 9} for x in (100, 350, 720)]
    assert match(moves, moves[1:]).came_from == (1, 2)


@given(st.permutations("abcdefg"), st.integers(0, 7), st.integers(0, 7))
@settings(deadline=None, derandomize=True)
def test_as_few_as_possible_moved(order: list[str], a: int, b: int) -> None:
    new = "".join(order[min(a, b) : max(a, b)])
    found = match(named("abcdefg"), named(new))
    assert [named("abcdefg")[place]["name"] for place in found.came_from] == list(new)
    assert sorted([*found.came_from, *found.removed]) == list(range(7))
    stay = [place for i, place in enumerate(found.came_from) if i not in found.moved]
    assert stay == sorted(stay)
    # No larger set could have stayed: tried out one by one.
    assert not any(
        list(kept) == sorted(kept)
        for kept in itertools.combinations(found.came_from, len(stay) + 1)
    )
