import contextlib
import difflib
import os
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job import Job, Refusal, amend, differences, read_job, save_differences, save_job
from kit.job.change import parse_change
from kit.job.changed_text import changed_text, text_towards
from kit.job.read import read_text
from kit.job.tables import tables_of

CHAPEL = """\
# The chapel's north wall.
schema = 1
title = "Chapel reading room"
units = "in"   # as the fitter likes it

[floor]
kind = "boarded"        # old boards
board_mm = 21           # measured at the hatch

[[survey]]
kind = "staff"
file = "readings.csv"

# the long wall
[[run]]
name = "A"
skirting_in = "3/4"     # planed off

  [[run.unit]]
  name = "low bookcase 1"
  width_mm = 900    # as ordered
  depth_in = 12.5
  height_mm = 1150
  divisions_mm = [
    300,  # left
    600,  # right
  ]

  # the last one
  [[run.unit]]
  name = "low bookcase 2"
  width_in = "35 7/16"
  depth_mm = 320
  height_mm = 1150

[[base]]
name = "bearers on packers"
height_in = ["2 1/8", "3"]     # allowed
bearer = { width_mm = 45, thickness_mm = 20 }  # from the shelf

[stock]
packers = [ {mm = 1}, {mm = 3}, {in = "1/4", count = 40}, {mm = 18, measured_mm = 17.8} ]
screws_mm = [30, 40, 50, 70]   # in the van
# end of the job
"""


def changed(changes: dict[str, object], text: str = CHAPEL) -> list[str]:
    """Return the lines that changes take away and put in."""
    new = changed_text(text, [parse_change(*change) for change in changes.items()])
    read_text(new, Path("/nowhere"))
    lines = difflib.ndiff(text.splitlines(), new.splitlines())
    return [line for line in lines if line[0] in "+-"]


@pytest.mark.parametrize(
    ("changes", "lines"),
    [
        (
            {"floor.board_mm": 22.5},
            [
                "- board_mm = 21           # measured at the hatch",
                "+ board_mm = 22.5           # measured at the hatch",
            ],
        ),
        (
            {"base[0].height_mm": [50.8, 66.675]},
            [
                '- height_in = ["2 1/8", "3"]     # allowed',
                '+ height_in = ["2", "2 5/8"]     # allowed',
            ],
        ),
        (
            {"base[0].height_mm[1]": 80},
            [
                '- height_in = ["2 1/8", "3"]     # allowed',
                '+ height_in = ["2 1/8", 3.1496062992]     # allowed',
            ],
        ),
        (
            {"base[0].height_in": "2 3/4"},
            [
                '- height_in = ["2 1/8", "3"]     # allowed',
                '+ height_in = "2 3/4"     # allowed',
            ],
        ),
        (
            {"run[0].unit[0].depth_mm": 330.2},
            ["-   depth_in = 12.5", "+   depth_in = 13"],
        ),
        (
            {"run[0].unit[0].width_in": "36 1/2"},
            ["-   width_mm = 900    # as ordered", "+   width_mm = 927.1    # as ordered"],
        ),
        (
            {"run[0].unit[0].divisions_mm": [300, 610]},
            ["-     600,  # right", "+     610,  # right"],
        ),
        ({"run[0].unit[0].divisions_mm": [300.0]}, ["-     600,  # right"]),
        ({"run[0].unit[0].divisions_mm": [300, 600, 750]}, ["+     750,"]),
        (
            {"run[0].skirting_mm": 25.4},
            [
                '- skirting_in = "3/4"     # planed off',
                '+ skirting_in = "1"     # planed off',
            ],
        ),
        ({"run[0].left_wall": True}, ["+ left_wall = true"]),
        ({"run[0].unit[1].side_mm": 19.0}, ["+   side_mm = 19"]),
        ({"stock.countersink_mm": 1}, ["+ countersink_mm = 1"]),
        ({"units": None}, ['- units = "in"   # as the fitter likes it']),
        ({"units": "in"}, []),
        ({"stock.packers[2].count": 12, "stock.packers[2].mm": 6.35}, ["count = 12"]),
        ({"stock.packers[4]": {"mm": 40}}, ["{mm = 40}"]),
        ({"base[0].bearer.kerf_mm": 2.5}, ["kerf_mm = 2.5"]),
        ({"base[0].bearer": {"splice": True}}, ["splice = true"]),
        ({"room.ceiling_mm": 2400}, ["+ ", "+ [room]", "+ ceiling_mm = 2400"]),
        (
            {"no_go[0]": {"name": "hatch", "corner_mm": (1, 2), "size_mm": [30, 25]}},
            ["[[no_go]]", 'name = "hatch"', "corner_mm = [1, 2]", "size_mm = [30, 25]"],
        ),
        (
            {"base[1]": {"name": "low", "height_mm": 40.0}},
            ["+ [[base]]", '+ name = "low"', "+ height_mm = 40.0", "+ "],
        ),
        ({"floor.benchmark": "P1"}, ['+ benchmark = "P1"']),
    ],
)
def test_only_what_changes_is_changed(changes: dict[str, object], lines: list[str]) -> None:
    found = changed(changes)
    if all(line[:2] in {"+ ", "- "} for line in lines):
        assert found == lines
    else:
        assert all(any(line in other for other in found) for line in lines)


def comments(text: str) -> list[str]:
    return re.findall(r"#.*", text)


#: Lengths of the chapel [mm]: where they stand, how the job has them, and a range that fits.
LENGTHS: dict[str, tuple[Callable[[Job], float | None], int, int]] = {
    "run[0].unit[0].width_mm": (lambda job: job.runs[0].units[0].width_mm, 700, 1500),
    "run[0].unit[0].depth_mm": (lambda job: job.runs[0].units[0].depth_mm, 200, 700),
    "run[0].unit[0].divisions_mm[0]": (lambda job: job.runs[0].units[0].divisions_mm[0], 40, 550),
    "run[0].unit[1].width_mm": (lambda job: job.runs[0].units[1].width_mm, 300, 1500),
    "run[0].skirting_mm": (lambda job: job.runs[0].skirting_mm, 1, 40),
    "base[0].height_mm[0]": (lambda job: job.bases[0].height_range_mm[0], 5, 76),
    "base[0].bearer.width_mm": (lambda job: job.bases[0].bearer.width_mm, 30, 90),
    "floor.board_mm": (lambda job: job.floor.board_mm, 12, 40),
    "stock.packers[2].mm": (lambda job: job.stock.packers[2].mm, 4, 17),
    "stock.screws_mm[1]": (lambda job: job.stock.screws_mm[1], 31, 49),
}

micrometres = st.fixed_dictionaries(
    {},
    optional={key: st.integers(low * 1000, high * 1000) for key, (_, low, high) in LENGTHS.items()},
)


@given(micrometres)
@settings(deadline=None, derandomize=True, max_examples=60)
def test_comments_and_lines_stay_and_the_job_is_the_one_asked_for(asked: dict[str, int]) -> None:
    changes = {key: value / 1000 for key, value in asked.items()}
    new = changed_text(CHAPEL, [parse_change(*change) for change in changes.items()])
    assert comments(new) == comments(CHAPEL)
    assert [line.split("=")[0] for line in new.splitlines() if "," not in line] == [
        line.split("=")[0] for line in CHAPEL.splitlines() if "," not in line
    ]
    was, job = read_text(CHAPEL, Path("/nowhere")), read_text(new, Path("/nowhere"))
    for key, (length, _, _) in LENGTHS.items():
        assert length(job) == changes.get(key, length(was)), key


@pytest.fixture
def chapel(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_bytes(CHAPEL.encode())
    return tmp_path


def test_saving_writes_the_job_and_keeps_the_previous_version(chapel: Path) -> None:
    save_job(chapel, {"floor.board_mm": 22})
    assert read_job(chapel).floor.board_mm == 22.0
    assert (chapel / "job.toml.before").read_text() == CHAPEL
    first = (chapel / "job.toml").read_text()
    save_job(chapel / "job.toml", {"floor.board_mm": 23})
    assert (chapel / "job.toml.before").read_text() == first
    assert {path.name for path in chapel.iterdir()} == {"job.toml", "job.toml.before"}


def test_nothing_changed_is_nothing_written(chapel: Path) -> None:
    save_job(chapel, {})
    save_job(chapel, {"floor.board_mm": 21.0})
    assert [path.name for path in chapel.iterdir()] == ["job.toml"]


def test_windows_line_ends_stay(chapel: Path) -> None:
    (chapel / "job.toml").write_bytes(CHAPEL.replace("\n", "\r\n").encode())
    area = {"name": "hatch", "corner_mm": [1200, 60], "size_mm": [300, 250]}
    save_job(chapel, {"floor.board_mm": 22, "run[0].unit[1].width_mm": 914.4, "no_go[0]": area})
    text = (chapel / "job.toml").read_bytes()
    assert text.count(b"\r\n") == text.count(b"\n")
    assert b'width_in = "36"\r\n' in text


def test_values_from_arrays_are_plain_numbers(chapel: Path) -> None:
    changes = {
        "base[0].height_mm": np.array([60.5, 71.25]),
        "floor.board_mm": np.float64(22.5),
        "base[0].max_pieces": np.int64(7),
        "run[0].left_wall": np.bool_(True),
    }
    save_job(chapel, changes)
    job = read_job(chapel)
    assert job.bases[0].height_range_mm == (60.5, 71.25)
    assert (job.floor.board_mm, job.bases[0].max_pieces, job.runs[0].left_wall) == (22.5, 7, True)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"base[0].height_mm": [75, 55]},
            'job.toml, base "bearers on packers", height_in: found [2.9527559055, 2.1653543307]; '
            "allowed: two heights with the lower one first",
        ),
        (
            {"base[0].heigth_mm": 55},
            'job.toml, base "bearers on packers", heigth_mm: found a key that is not known here; '
            "allowed: height_mm, the nearest known key",
        ),
        (
            {"base[0].height_mm": "55"},
            'change base[0].height_mm: found "55"; allowed: a number of millimetres',
        ),
        (
            {"base[0].height_mm": float("nan")},
            "change base[0].height_mm: found nan; allowed: a finite number of millimetres",
        ),
        (
            {"floor.board_mm": float("inf")},
            "job.toml, floor.board_mm: found inf; allowed: a number above 0 up to 200000 mm",
        ),
        (
            {"floor.board_in": "an inch"},
            'change floor.board_in: found "an inch"; '
            'allowed: inches such as 3.625, "3 5/8", "3-5/8" or "5/8"',
        ),
        (
            {"floor.board_mm": None},
            "job.toml, floor.board_mm: found nothing; "
            "allowed: what a screw may enter, which a boarded floor must say",
        ),
        (
            {"base[3].name": "x"},
            "change base[3].name: found no such place in the job file; "
            "allowed: a place that is there",
        ),
        (
            {"title.x": "x"},
            "change title.x: found no such place in the job file; allowed: a place that is there",
        ),
        (
            {"no_go[1]": {"name": "x"}},
            "change no_go[1]: found no such place in the job file; allowed: a place that is there",
        ),
        (
            {"base[0]..name": 1},
            "change base[0]..name: found no place in a job file; "
            "allowed: a key path such as base[0].height_mm",
        ),
        (
            {"title": {1, 2}},
            "change title: found a value of the type set; "
            "allowed: a number, text, true or false, a list or a table of them",
        ),
        (
            {"survey[0].file": "../readings.csv"},
            'job.toml, survey "../readings.csv", file: found "../readings.csv", which is not a '
            "file inside the job's folder; allowed: the name of a table in the job's folder or in "
            "a folder below it",
        ),
        (
            {"run[0].unit[1].name": "low bookcase 1", "base[0].method": "feet"},
            'job.toml, run A, unit 2, name: found "low bookcase 1" a second time; '
            "allowed: a name that no other unit has\n"
            'job.toml, base "bearers on packers", feet: found nothing; allowed: at least one kind '
            'of foot, such as [ {low_mm = 40, high_mm = 65} ], which method = "feet" needs',
        ),
    ],
)
def test_what_is_no_job_is_not_written(
    chapel: Path, changes: dict[str, object], message: str
) -> None:
    with pytest.raises(Refusal) as refused:
        save_job(chapel, changes)
    assert str(refused.value) == message
    assert (chapel / "job.toml").read_text() == CHAPEL
    assert [path.name for path in chapel.iterdir()] == ["job.toml"]


def test_one_bad_change_among_good_ones_writes_none(chapel: Path) -> None:
    with pytest.raises(Refusal):
        save_job(chapel, {"floor.board_mm": 22, "base[0].tolerance_mm": -1})
    assert (chapel / "job.toml").read_text() == CHAPEL


def test_a_file_that_is_no_toml_is_refused(chapel: Path) -> None:
    (chapel / "job.toml").write_text("schema 1\n")
    with pytest.raises(Refusal, match="line 1"):
        save_job(chapel, {"floor.board_mm": 22})
    assert (chapel / "job.toml").read_text() == "schema 1\n"


def test_a_change_may_put_a_bad_file_right(chapel: Path) -> None:
    (chapel / "job.toml").write_text(CHAPEL.replace("board_mm = 21 ", "board_mm = -1 "))
    save_job(chapel, {"floor.board_mm": 21})
    assert (chapel / "job.toml").read_text() == CHAPEL


def test_a_disk_that_fails_is_told(chapel: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refusal) as refused:
        save_job(chapel, {"floor.board_mm": 22})
    assert str(refused.value) == (
        "job.toml: found it cannot be written (No space left on device); "
        "allowed: a folder with room"
    )
    assert (chapel / "job.toml").read_text() == CHAPEL


def test_members_may_be_taken_away(chapel: Path) -> None:
    save_job(chapel, {"run[0].unit[0]": None, "stock.packers[1]": None})
    job = read_job(chapel)
    assert [unit.name for unit in job.runs[0].units] == ["low bookcase 2"]
    assert [packer.mm for packer in job.stock.packers] == [1.0, 6.35, 18.0]


def test_a_whole_list_of_tables_may_be_put_in(chapel: Path) -> None:
    areas = [
        {"name": "hatch", "corner_mm": [1200, 60], "size_mm": [300, 250]},
        {"name": "grille", "corner_in": ["60 1/2", 2], "size_mm": [400, 90], "forbids": "screws"},
    ]
    save_job(chapel, {"no_go": areas})
    assert [area.corner_mm for area in read_job(chapel).no_go] == [(1200, 60), (1536.7, 50.8)]
    save_job(chapel, {"no_go": areas[1:]})
    assert [area.name for area in read_job(chapel).no_go] == ["grille"]


def test_the_last_of_a_list_of_tables_may_go(chapel: Path) -> None:
    area = {"name": "hatch", "corner_mm": [1200, 60], "size_mm": [300, 250]}
    for gone in ({"no_go": []}, {"no_go[0]": None}, {"no_go": None}):
        save_job(chapel, {"no_go[0]": area})
        assert len(read_job(chapel).no_go) == 1
        save_job(chapel, gone)
        assert read_job(chapel).no_go == ()
    with pytest.raises(Refusal, match=r"base: found nothing, and it is needed"):
        save_job(chapel, {"base[0]": None})


addresses = st.one_of(
    st.sampled_from(["title", "floor", "run[0]", "base[0].height_mm", "stock.packers", "no_go[0]"]),
    st.from_regex(r"[a-z_]{1,9}(\[[0-9]\])?(\.[a-z_]{1,9}(\[[0-9]\])?)?", fullmatch=True),
    st.text(max_size=9),
)
anything = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=9)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.one_of(st.text(max_size=5), st.just("name")), inner, max_size=3),
    ),
    max_leaves=6,
)


@given(st.dictionaries(addresses, anything, min_size=1, max_size=3))
@settings(deadline=None, derandomize=True, max_examples=80)
def test_any_change_is_made_or_refused(changes: dict[str, object]) -> None:
    # Anything else that is raised here fails the test.
    with contextlib.suppress(Refusal):
        new = changed_text(CHAPEL, [parse_change(*change) for change in changes.items()])
        read_text(new, Path("/nowhere"))


@pytest.mark.parametrize("value", [[], 5, "x", [[1]], True])
@pytest.mark.parametrize("address", ["run[0]", "run[1]", "run", "run[0].unit[0]", "no_go[0]"])
def test_a_table_is_not_replaced_by_something_else(address: str, value: object) -> None:
    with pytest.raises(Refusal):
        read_text(changed_text(CHAPEL, [parse_change(address, value)]), Path("/nowhere"))


def test_a_version_that_was_not_expected_is_not_written_over(chapel: Path) -> None:
    opened = read_job(chapel)
    save_job(chapel, {"floor.board_mm": 22}, expected=opened.fingerprint)
    theirs = (chapel / "job.toml").read_bytes()
    for changes in ({"floor.board_mm": 23}, {}):
        with pytest.raises(Refusal) as refused:
            save_job(chapel, changes, expected=opened.fingerprint)
        assert str(refused.value) == (
            "job.toml: found a file that something else has changed since it was opened here; "
            "nothing was written; allowed: saving as another job, or opening it again and making "
            "the changes there"
        )
    assert (chapel / "job.toml").read_bytes() == theirs
    save_job(chapel, {"floor.board_mm": 23}, expected=read_job(chapel).fingerprint)
    assert read_job(chapel).floor.board_mm == 23


def test_a_whole_list_of_units_keeps_their_comments(chapel: Path) -> None:
    first, second = (tables_of(unit) for unit in read_job(chapel).runs[0].units)
    shelf = {"name": "shelf", "width_mm": 400, "depth_mm": 300, "height_mm": 500}
    save_job(chapel, {"run[0].unit": [shelf, second, {**first, "mass_kg": 30}]})
    text = (chapel / "job.toml").read_text()
    assert [unit.name for unit in read_job(chapel).runs[0].units] == [
        "shelf",
        "low bookcase 2",
        "low bookcase 1",
    ]
    assert '  # the last one\n  [[run.unit]]\n  name = "low bookcase 2"\n' in text
    assert "width_mm = 900    # as ordered\n" in text
    assert "    300,  # left\n" in text
    assert 'width_in = "35 7/16"\n' in text
    assert comments(text) != comments(CHAPEL)
    assert sorted(comments(text)) == sorted(comments(CHAPEL))


def test_what_differs_is_written_and_nothing_else(chapel: Path) -> None:
    opened = read_job(chapel)
    packers = [tables_of(packer) for packer in opened.stock.packers]
    now = amend(
        opened,
        {
            "base[0].height_mm": [50.8, 70],
            "base[0].bearer.kerf_mm": 2.5,
            "base[0].moved": [{"bearer": "B", "from_mm": 1000, "to_mm": 1040}],
            "run[0].unit[0].depth_mm": 100 / 3 + 300,
            "stock.packers": [packers[0], {"mm": 10}, packers[3], packers[2]],
            "no_go": [{"name": "hatch", "corner_mm": [1, 2], "size_mm": [30, 25]}],
            "room.ceiling_mm": 2400,
            "units": None,
        },
    )
    saved = save_differences(opened, now)
    assert saved == read_job(chapel)
    assert saved.fingerprint != opened.fingerprint
    text = (chapel / "job.toml").read_text()
    assert 'height_in = ["2", 2.7559055118]     # allowed\n' in text
    lengths = [d for d in differences(saved, now) if d.path == "run[0].unit[0].depth_mm"]
    assert len(lengths) == len(differences(saved, now)) == 1
    # The file has it in inches, which are kept to the picometre: 1e-9 mm.
    assert saved.runs[0].units[0].depth_mm == pytest.approx(100 / 3 + 300, abs=1e-9, rel=0)
    gone = [mark for mark in comments(CHAPEL) if mark not in text]
    assert gone == ["# as the fitter likes it"]
    again = save_differences(saved, saved)
    assert again == saved
    assert (chapel / "job.toml").read_text() == text


def test_a_job_without_a_fingerprint_is_known_by_what_it_says(chapel: Path) -> None:
    opened = read_text(CHAPEL, chapel)
    now = amend(opened, {"floor.board_mm": 22})
    assert save_differences(opened, now).floor.board_mm == 22
    with pytest.raises(Refusal, match="something else has changed"):
        save_differences(opened, now)


def test_a_layout_that_cannot_be_kept_is_refused(chapel: Path) -> None:
    inline = "stock.packers = [ {mm = 1}, {mm = 3} ]\n" + CHAPEL[: CHAPEL.index("[stock]")]
    (chapel / "job.toml").write_text(inline)
    opened = read_job(chapel)
    now = amend(opened, {"stock.packers": [{"mm": 3}, {"mm": 1}]})
    with pytest.raises(Refusal, match="a layout in which this change cannot be made safely"):
        save_differences(opened, now)
    assert (chapel / "job.toml").read_text() == inline


widths = st.integers(200, 1500).map(lambda n: n / 2)


@given(
    st.permutations(range(4)),
    st.integers(2, 4),
    st.lists(widths, min_size=4, max_size=4),
    st.sampled_from(["mm", "in"]),
    st.booleans(),
)
@settings(deadline=None, derandomize=True, max_examples=60)
def test_units_in_any_order_and_size(
    order: list[int], count: int, sizes: list[float], unit: str, other_run: bool
) -> None:
    """Names, widths and comments come out together, whichever units are there."""
    length = "width_mm = {}" if unit == "mm" else 'width_in = "{} 1/2"'
    blocks = [
        f"  # why {n}\n  [[run.unit]]\n  name = 'u{n}'\n  {length.format(20 + n)}   # width {n}\n"
        f"  side_mm = 5\n  depth_mm = 300\n  height_mm = 400\n\n"
        for n in range(4)
    ]
    head, tail = CHAPEL.split("  [[run.unit]]\n", 1)[0], CHAPEL[CHAPEL.index("[[base]]") :]
    second = CHAPEL[CHAPEL.index("# the long wall") : CHAPEL.index("[[base]]")]
    second = second.replace('name = "A"', 'name = "B"') if other_run else ""
    text = head + "".join(blocks) + second + tail
    opened = read_text(text, Path("/nowhere"))
    units = [tables_of(u) for u in opened.runs[0].units]
    asked = [{**units[n], "width_mm": sizes[n]} for n in order[:count]]
    now = amend(opened, {"run[0].unit": asked})
    new = text_towards(text, now, Path("/nowhere"))
    assert read_text(new, Path("/nowhere")) == now
    found = re.findall(r"# why (\d)\n  \[\[run.unit\]\]\n  name = 'u(\d)'\n.*# width (\d)", new)
    assert found == [(str(n),) * 3 for n in order[:count]]
    assert new.endswith(second + tail)
