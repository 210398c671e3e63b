"""Comments go with the member that they describe, and nothing else moves."""

import itertools
import re
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job import Refusal
from kit.job.change import parse_change
from kit.job.changed_text import changed_text
from kit.job.rearrange import rearranged

SHED = """\
# Potting shed.
title = "Potting shed"

# the wall with the window
[[run]]
name = "A"

  # the first one
  [[run.unit]]
  name = "bench"
  width_mm = 900     # as ordered

  mass_kg = 40
  # pots on top

  # -- from here on the tall ones --

  # two people to carry
  # mind the glass
  [[run.unit]]
  name = "glass case"
  [[run.unit]]
  name = "tall"      # not yet built
  [run.unit.extra]
  x = 1

# the other wall
[[run]]
name = "B"

  [[run.unit]]
  name = "stool"

# where the tap is
[[no_go]]
name = "tap"

[[no_go]]
name = "drain"
# end of the areas

[stock]
packers = [   # in the crate
  {mm = 1},   # card
  # steel ones
  {mm = 3, count = 4},  # bent

  # -- thick --

  {mm = 6},
  {mm = 18}   # oak
]
screws_mm = [30]   # brass
"""


def test_a_unit_takes_its_comments_along() -> None:
    assert rearranged(SHED, ("run", 0, "unit"), (1, 2, 0), [{}, {}, {}]) == SHED.replace(
        SHED[SHED.index("  # the first one") : SHED.index("# the other wall")],
        """\
  # two people to carry
  # mind the glass
  [[run.unit]]
  name = "glass case"

  # -- from here on the tall ones --

  [[run.unit]]
  name = "tall"      # not yet built
  [run.unit.extra]
  x = 1
  # the first one
  [[run.unit]]
  name = "bench"
  width_mm = 900     # as ordered

  mass_kg = 40
  # pots on top

""",
    )


def test_a_unit_that_goes_takes_its_comments_and_no_others() -> None:
    new = rearranged(SHED, ("run", 0, "unit"), (0, 2), [{}, {}])
    gone = '  # two people to carry\n  # mind the glass\n  [[run.unit]]\n  name = "glass case"\n'
    assert new == SHED.replace(gone, "")
    new = rearranged(SHED, ("run", 0, "unit"), (1,), [{}])
    assert "# -- from here on the tall ones --" in new
    assert "# the other wall" in new
    for mark in ("# the first one", "# as ordered", "# pots on top", "# not yet built"):
        assert mark not in new


def test_a_unit_in_the_middle_looks_like_the_others() -> None:
    table = {"name": "hat shelf", "width_mm": 300.5, "divisions_mm": [150]}
    new = rearranged(SHED, ("run", 1, "unit"), (-1, 0), [table, {}])
    assert new == SHED.replace(
        '  [[run.unit]]\n  name = "stool"\n',
        '  [[run.unit]]\n  name = "hat shelf"\n  width_mm = 300.5\n  divisions_mm = [150]\n\n'
        '  [[run.unit]]\n  name = "stool"\n',
    )


def test_a_run_takes_its_units_along() -> None:
    new = rearranged(SHED, ("run",), (1, 0), [{}, {}])
    a, b = SHED.index("# the wall with the window"), SHED.index("# the other wall")
    c = SHED.index("# where the tap is")
    assert new == SHED[:a] + SHED[b:c] + SHED[a:b] + SHED[c:]


def test_a_new_run_has_its_units_under_it() -> None:
    run = {"name": "C", "unit": [{"name": "stand"}, {"name": "rack"}]}
    new = rearranged(SHED, ("run",), (0, 1, -1), [{}, {}, run])
    assert tomllib.loads(new)["run"][2] == run
    assert new.index("# where the tap is") > new.index('name = "rack"')
    assert new.count("[[run.unit]]") == 6


def test_areas() -> None:
    new = rearranged(SHED, ("no_go",), (1, 0), [{}, {}])
    assert new.index('name = "drain"\n# end of the areas\n\n# where the tap is\n[[no_go]]') > 0
    assert rearranged(SHED, ("no_go",), (), []).count("no_go") == 0
    assert "# where the tap is" not in rearranged(SHED, ("no_go",), (1,), [{}])


def test_packers_keep_the_comments_beside_them() -> None:
    new = rearranged(SHED, ("stock", "packers"), (3, 1, -1, 0), [{}, {}, {"mm": 9, "count": 2}, {}])
    assert new[new.index("packers") : new.index("screws")] == (
        "packers = [   # in the crate\n"
        "  {mm = 18},   # oak\n"
        "  # steel ones\n"
        "  {mm = 3, count = 4},  # bent\n\n"
        "  # -- thick --\n\n"
        "  {mm = 9, count = 2},\n"
        "  {mm = 1}   # card\n"
        "]\n"
    )


@pytest.mark.parametrize(
    ("array", "came_from", "result"),
    [
        ("[{mm = 1}, {mm = 3}]", (1, 0), "[{mm = 3}, {mm = 1}]"),
        ("[ {mm = 1}, {mm = 3} ]", (0, -1, 1), "[ {mm = 1}, {mm = 9}, {mm = 3} ]"),
        ("[ {mm = 1}, {mm = 3}, ]", (1,), "[ {mm = 3}, ]"),
        ("[{mm = 1} # a\n, {mm = 3}]", (1, 0), None),
        ("[{mm = 1}, # a\n{mm = 3}]", (1, 0), None),
        ("[{mm = 1},{mm = 3} # b\n]", (1, 0), None),
        (
            "[\r\n  {mm = 1}, # a\r\n  {mm = 3}\r\n]",
            (1, 0),
            "[\r\n  {mm = 3},\r\n  {mm = 1} # a\r\n]",
        ),
    ],
)  # fmt: skip
def test_lists_as_people_lay_them_out(
    array: str, came_from: tuple[int, ...], result: str | None
) -> None:
    new = rearranged(
        f"[stock]\npackers = {array}\n",
        ("stock", "packers"),
        came_from,
        [{"mm": 9}] * len(came_from),
    )
    found = [packer["mm"] for packer in tomllib.loads(new)["stock"]["packers"]]
    assert found == [9 if origin < 0 else (1, 3)[origin] for origin in came_from]
    assert re.findall("# .", new) == re.findall("# .", array)
    if result is not None:
        assert new == f"[stock]\npackers = {result}\n"


def test_windows_line_ends_and_no_end_of_the_last_line() -> None:
    text = SHED[SHED.index("[[no_go]]") : SHED.index("\n# end")].replace("\n", "\r\n")
    new = rearranged(text, ("no_go",), (1, -1, 0), [{}, {"name": "well"}, {}])
    assert [area["name"] for area in tomllib.loads(new)["no_go"]] == ["drain", "well", "tap"]
    assert new.count("\r\n") == new.count("\n")


@pytest.mark.parametrize(
    "text", ["run = [{name = 'A'}, {name = 'B'}]", "x.run = [{a = 1}, {a = 2}]"]
)
def test_a_list_at_the_top_of_a_file_on_one_line(text: str) -> None:
    path = ("run",) if text.startswith("run") else ("x", "run")
    if text.startswith("run"):
        assert rearranged(text, path, (1, 0), [{}, {}]) == "run = [{name = 'B'}, {name = 'A'}]"
    else:
        with pytest.raises(Refusal, match="a layout in which this change cannot be made safely"):
            rearranged(text, path, (1, 0), [{}, {}])


def test_members_with_other_tables_between_them() -> None:
    text = "# a\n[[run]]\nname = 'A'\n[floor]\nx = 1\n# b\n[[run]]\nname = 'B'\n"
    assert rearranged(text, ("run",), (1, 0), [{}, {}]) == (
        "# b\n[[run]]\nname = 'B'\n[floor]\nx = 1\n# a\n[[run]]\nname = 'A'\n"
    )


orders = [p for n in range(1, 4) for p in itertools.permutations((0, 1, 2), n)]


@given(st.sampled_from(orders), st.lists(st.integers(0, 3), max_size=2))
@settings(deadline=None, derandomize=True)
def test_comments_are_kept_in_every_order(order: tuple[int, ...], fresh: list[int]) -> None:
    came_from = list(order)
    for place in fresh:
        came_from.insert(place, -1)
    new_units = [{"name": f"new {place}"} for place in range(len(came_from))]
    new = rearranged(SHED, ("run", 0, "unit"), came_from, new_units)
    names = [unit["name"] for unit in tomllib.loads(new)["run"][0]["unit"]]
    old = ["bench", "glass case", "tall"]
    assert names == [old[o] if o >= 0 else f"new {p}" for p, o in enumerate(came_from)]
    owned = [
        ["# the first one", "# as ordered", "# pots on top"],
        ["# two people to carry", "# mind the glass"],
        ["# not yet built"],
    ]
    gone = [mark for place in range(3) if place not in order for mark in owned[place]]
    assert sorted(re.findall("#.*", new)) == sorted(
        mark for mark in re.findall("#.*", SHED) if mark not in gone
    )
    for place in order:
        # Each comment still stands before or inside the unit that it describes.
        for mark in owned[place]:
            following = new.index(f'"{old[place]}"') - new.index(mark)
            assert -80 < following < 120


@given(st.permutations(range(4)), st.integers(1, 4), st.lists(st.integers(0, 4), max_size=2))
@settings(deadline=None, derandomize=True)
def test_comments_are_kept_in_every_order_of_a_list(
    order: list[int], count: int, fresh: list[int]
) -> None:
    came_from = order[:count]
    for place in fresh:
        came_from.insert(place, -1)
    new = rearranged(SHED, ("stock", "packers"), came_from, [{"mm": 9}] * len(came_from))
    sizes = [packer["mm"] for packer in tomllib.loads(new)["stock"]["packers"]]
    assert sizes == [(1, 3, 6, 18)[origin] if origin >= 0 else 9 for origin in came_from]
    owned = {"# card": 0, "# steel ones": 1, "# bent": 1, "# oak": 3}
    assert sorted(re.findall("#.*", new)) == sorted(
        mark for mark in re.findall("#.*", SHED) if owned.get(mark, order[0]) in came_from
    )


def test_a_whole_list_and_a_member_less_in_a_change() -> None:
    def changed(address: str, value: object) -> str:
        return changed_text(SHED, [parse_change(address, value)])

    units = tomllib.loads(SHED)["run"][0]["unit"]
    assert changed("run[0].unit", [units[1], units[2], units[0]]) == rearranged(
        SHED, ("run", 0, "unit"), (1, 2, 0), [{}, {}, {}]
    )
    assert changed("run[0].unit[1]", None) == rearranged(SHED, ("run", 0, "unit"), (0, 2), [{}] * 2)
    new = changed("run[0].unit", [units[0], {"name": "tall", "extra": {"y": 2}}])
    assert tomllib.loads(new)["run"][0]["unit"] == [units[0], {"name": "tall", "extra": {"y": 2}}]
    assert "# not yet built" in new
