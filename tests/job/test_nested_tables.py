"""Tables and lists of tables inside a base: read, changed, compared, saved, undone."""

import difflib
import tomllib
from pathlib import Path

import pytest

from kit.job import Draft, Job, Refusal, amend, differences, read_job, save_job
from kit.job.change import parse_change
from kit.job.changed_text import changed_text
from kit.job.read import read_text

NOWHERE = Path("/nowhere")

WAYS = """\
[[base]]
name = "screw feet"
method = "feet"
height_mm = [60, 90]
# two kinds lie in the van
feet = [
  {low_mm = 40, high_mm = 65, price = 1.9},   # short
  # ordered for the alcove
  {low_mm = 60, high_mm = 110, bears_n = 1500},
]
ladder = { least_mm = 30, boards = [ {mm = 70}, {mm = 95, price_per_m = 6.4} ] }  # or this way

[[base]]
name = "poured"
method = "compound"
height_mm = [5, 60]

  [base.compound]
  least_mm = 3            # thinner crumbles
  greatest_mm = 50
  powder_kg_per_l = 1.7   # off the bag
  set_kg_per_l = 2.0
  drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3.5} ]  # at 15 degrees

[rates]
foot_min = 6   # timed in the market hall

[stock]
"""

#: Changes, each with the lines that it takes from the file and puts into it, and its words.
CHANGES: list[tuple[dict[str, object], list[str], list[str]]] = [
    (
        {"base[1].feet[0].high_mm": 70},
        [
            "-   {low_mm = 40, high_mm = 65, price = 1.9},   # short",
            "+   {low_mm = 40, high_mm = 70, price = 1.9},   # short",
        ],
        ['base "screw feet", foot of 40 to 70 mm, high_mm from 65 to 70'],
    ),
    (
        {"base[1].feet[0]": None},
        ["-   {low_mm = 40, high_mm = 65, price = 1.9},   # short"],
        [
            'base "screw feet", foot of 40 to 65 mm removed'
            " (plate_mm = 50, set_within_mm = 0.2, price = 1.9)"
        ],
    ),
    (
        {"base[1].feet[2]": {"low_mm": 100, "high_mm": 165.5, "count": 12}},
        ["+   {low_mm = 100, high_mm = 165.5, count = 12},"],
        [
            'base "screw feet", foot of 100 to 165.5 mm added'
            " (plate_mm = 50, set_within_mm = 0.2, count = 12)"
        ],
    ),
    (
        {"base[1].ladder.boards[0].mm": 75},
        [
            "- ladder = { least_mm = 30, boards = [ {mm = 70}, {mm = 95, price_per_m = 6.4} ] }"
            "  # or this way",
            "+ ladder = { least_mm = 30, boards = [ {mm = 75}, {mm = 95, price_per_m = 6.4} ] }"
            "  # or this way",
        ],
        ['base "screw feet", ladder, board of 75 mm, mm from 70 to 75'],
    ),
    (
        {"base[1].ladder": None},
        [
            "- ladder = { least_mm = 30, boards = [ {mm = 70}, {mm = 95, price_per_m = 6.4} ] }"
            "  # or this way"
        ],
        [
            'base "screw feet", ladder removed (thickness_mm = 18, boards = [{mm = 70}, {mm = 95,'
            " price_per_m = 6.4}], least_mm = 30, stock_mm = [2440], kerf_mm = 3,"
            " scribe_within_mm = 0.5, density_kg_per_m3 = 650)"
        ],
    ),
    (
        {"base[2].compound.drying[1].days": 4, "base[2].compound.waste_percent": 8},
        [
            "-   drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3.5} ]  # at 15 degrees",
            "+   drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 4} ]  # at 15 degrees",
            "+   waste_percent = 8",
        ],
        [
            'base "poured", compound, drying up to 50 mm, days from 3.5 to 4',
            'base "poured", compound.waste_percent from 5 to 8',
        ],
    ),
    (
        {"base[2].compound.drying[1]": {"to_mm": 30, "days": 2}, "base[2].compound.drying[2]":
         {"to_mm": 50, "days": 3.5}},
        [
            "-   drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3.5} ]  # at 15 degrees",
            "+   drying = [ {to_mm = 10, days = 1}, {to_mm = 30, days = 2}, "
            "{to_mm = 50, days = 3.5} ]  # at 15 degrees",
        ],
        ['base "poured", compound, drying up to 30 mm added (days = 2)'],
    ),
    (
        {"base[2].compound.least_in": "1/8"},
        [
            "-   least_mm = 3            # thinner crumbles",
            "+   least_mm = 3.175            # thinner crumbles",
        ],
        ['base "poured", compound.least_mm from 3 to 3.175'],
    ),
    (
        {"rates.foot_min": 4.5, "rates.hour_price": 42},
        [
            "- foot_min = 6   # timed in the market hall",
            "+ foot_min = 4.5   # timed in the market hall",
            "+ hour_price = 42",
        ],
        ["rates.foot_min from 6 to 4.5", "rates.hour_price from nothing to 42"],
    ),
    (
        {"base[1].method": "ladder"},
        ['- method = "feet"', '+ method = "ladder"'],
        ['base "screw feet", method from "feet" to "ladder"'],
    ),
]  # fmt: skip


@pytest.fixture
def text(boot_room: str) -> str:
    return boot_room.replace("[stock]\n", WAYS, 1)


@pytest.fixture
def job(text: str) -> Job:
    return read_text(text, NOWHERE)


def test_what_stands_in_the_file_is_read(job: Job) -> None:
    feet, poured = job.bases[1], job.bases[2]
    assert [(foot.low_mm, foot.high_mm, foot.price, foot.bears_n) for foot in feet.feet] == [
        (40, 65, 1.9, None),
        (60, 110, None, 1500),
    ]
    assert feet.ladder is not None
    assert [(board.mm, board.price_per_m) for board in feet.ladder.boards] == [
        (70, None),
        (95, 6.4),
    ]
    assert poured.compound is not None
    assert [(step.to_mm, step.days) for step in poured.compound.drying] == [(10, 1), (50, 3.5)]
    assert (job.rates.foot_min, job.rates.bag_min) == (6, 8)


@pytest.mark.parametrize(("changes", "lines", "words"), CHANGES)
def test_a_change_leaves_the_comments(
    text: str, changes: dict[str, object], lines: list[str], words: list[str]
) -> None:
    new = changed_text(text, [parse_change(*change) for change in changes.items()])
    found = [
        line
        for line in difflib.ndiff(text.splitlines(), new.splitlines())
        if line[0] in "+-" and line.strip("+- ")
    ]
    assert found == lines
    del words


@pytest.mark.parametrize(("changes", "lines", "words"), CHANGES)
def test_a_change_in_words(
    job: Job, changes: dict[str, object], lines: list[str], words: list[str]
) -> None:
    assert [one.words for one in differences(job, amend(job, changes))] == words
    del lines


@pytest.mark.parametrize("changes", [changes for changes, _, _ in CHANGES])
def test_the_changed_job_is_the_one_of_the_changed_file(
    text: str, changes: dict[str, object]
) -> None:
    by_hand = amend(read_text(text, NOWHERE), changes)
    assert by_hand == read_text(
        changed_text(text, [parse_change(*change) for change in changes.items()]), NOWHERE
    )


@pytest.mark.parametrize("changes", [changes for changes, _, _ in CHANGES])
def test_saved_undone_and_saved_again_is_the_file_as_it_was(
    tmp_path: Path, text: str, changes: dict[str, object]
) -> None:
    (tmp_path / "job.toml").write_text(text, encoding="utf-8", newline="")
    draft = Draft(read_job(tmp_path))
    was = draft.job
    draft.change(changes)
    now = draft.job
    draft.save()
    assert differences(read_job(tmp_path), now) == ()
    draft.undo()
    assert differences(draft.job, was) == ()
    draft.save()
    again = (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert tomllib.loads(again) == tomllib.loads(text)
    draft.redo()
    assert differences(draft.job, now) == ()


def test_lists_under_headings_of_their_own(boot_room: str) -> None:
    headed = boot_room.replace(
        "[stock]",
        '[[base]]\nname = "feet"\nmethod = "feet"\nheight_mm = 80\n'
        "[[base.feet]]\nlow_mm = 40  # short\nhigh_mm = 65\n"
        "[[base.feet]]\nlow_mm = 60\nhigh_mm = 110\n\n[stock]",
        1,
    )
    assert [foot.high_mm for foot in read_text(headed, NOWHERE).bases[1].feet] == [65, 110]
    new = changed_text(headed, [parse_change("base[1].feet[0].high_mm", 68)])
    assert new == headed.replace("high_mm = 65", "high_mm = 68")
    assert [foot.high_mm for foot in read_text(new, NOWHERE).bases[1].feet] == [68, 110]


@pytest.mark.parametrize(
    ("put", "low_mm", "least_mm"),
    [
        # An inch is 25.4 mm by definition.
        ('feet = [ {low_in = "1 3/4", high_mm = 65} ]', 44.45, None),
        ("feet = [ {low_in = 2, high_in = 3.5} ]", 50.8, None),
        ('ladder = { boards = [ {in = "2 3/4"} ], least_in = "7/8" }', None, 22.225),
    ],
)
def test_inches_are_taken(
    boot_room: str, put: str, low_mm: float | None, least_mm: float | None
) -> None:
    base = read_text(boot_room.replace("[[base]]", f"[[base]]\n{put}", 1), NOWHERE).bases[0]
    assert [foot.low_mm for foot in base.feet] == ([] if low_mm is None else [low_mm])
    assert (None if base.ladder is None else base.ladder.least_mm) == least_mm


def test_one_may_change_ones_mind(job: Job) -> None:
    assert amend(job, {"base[1].method": "ladder"}).bases[1].feet == job.bases[1].feet
    with pytest.raises(Refusal, match="compound: found nothing"):
        amend(job, {"base[1].method": "compound"})


def test_what_was_left_to_its_usual_value_is_not_written(tmp_path: Path, text: str) -> None:
    (tmp_path / "job.toml").write_text(text, encoding="utf-8", newline="")
    save_job(tmp_path, {"base[1].feet[1].count": 16})
    saved = (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert saved == text.replace("bears_n = 1500}", "bears_n = 1500, count = 16}")
