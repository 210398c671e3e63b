import pytest

from kit.job import Difference, Job, amend, differences, read_job
from kit.job.read import read_text
from kit.job.tables import tables_of


@pytest.fixture
def job(boot_room: str, tmp_path_factory: pytest.TempPathFactory) -> Job:
    return read_text(boot_room, tmp_path_factory.mktemp("boot-room"))


def said(old: Job, new: Job) -> list[tuple[str, str]]:
    return [(d.path, d.words) for d in differences(old, new)]


def units(job: Job) -> list[dict[str, object]]:
    return [tables_of(unit) for unit in job.runs[0].units]


def test_a_figure(job: Job) -> None:
    new = amend(job, {"base[0].back_mm": 60})
    assert differences(job, new) == (
        Difference("base[0].back_mm", 45, 60, "changed", 'base "oak bearers", back_mm', "45", "60"),
    )
    assert differences(new, job)[0].words == 'base "oak bearers", back_mm from 60 to 45'


def test_nothing_where_only_the_saying_differs(job: Job) -> None:
    new = amend(job, {"run[0].unit[0].side_mm": 18, "base[0].max_pieces": 9})
    assert differences(job, new) == ()


def test_keys_of_every_depth_in_the_order_of_the_job(job: Job) -> None:
    new = amend(
        job,
        {
            "base[0].bearer.width_mm": 38.5,
            "base[0].plinth": {"set_back_mm": 40, "thickness_mm": 18, "board_mm": [95]},
            "stock.packers[2].count": None,
            "floor.joists.centres_mm": 350,
            "run[0].left_wall": True,
            "run[0].unit[0].divisions_mm": [350, 700],
            "base[0].height_mm": 60,
            "room.ceiling_mm": 2400,
            "title": "Boot room",
        },
    )
    assert said(job, new) == [
        ("title", 'title from "Boot room, east wall" to "Boot room"'),
        ("floor.joists.centres_mm", "floor.joists.centres_mm from 400 to 350"),
        ("run[0].left_wall", "run A, left_wall from false to true"),
        (
            "run[0].unit[0].divisions_mm",
            'run A, unit "boot bench", divisions_mm from [350, 720] to [350, 700]',
        ),
        ("room.ceiling_mm", "room.ceiling_mm from nothing to 2400"),
        ("base[0].height_mm", 'base "oak bearers", height_mm from [55, 75] to 60'),
        ("base[0].bearer.width_mm", 'base "oak bearers", bearer.width_mm from 45 to 38.5'),
        (
            "base[0].plinth",
            'base "oak bearers", plinth added '
            "(set_back_mm = 40, thickness_mm = 18, board_mm = [95], stock_mm = [2400, 3600])",
        ),
        ("stock.packers[2].count", "stock, packer of 6 mm, count from 40 to nothing"),
    ]


def test_inches_where_the_job_shows_inches(job: Job) -> None:
    job = amend(job, {"units": "in"})
    new = amend(job, {"base[0].back_mm": 44.45, "base[0].height_mm": [55, 76.2]})
    assert said(job, new) == [
        ("base[0].height_mm", 'base "oak bearers", height_in from [2.165, 2.953] to [2.165, 3]'),
        ("base[0].back_mm", 'base "oak bearers", back_in from 1.772 to 1 3/4'),
    ]


SHELF = {"name": "hat shelf", "width_mm": 730, "depth_mm": 310, "height_mm": 640}


def test_a_unit_in_the_middle(job: Job) -> None:
    bench, tower = units(job)
    new = amend(job, {"run[0].unit": [bench, SHELF, tower]})
    assert said(job, new) == [("run[0].unit[1]", 'run A, unit "hat shelf" added')]
    assert said(new, job) == [("run[0].unit[1]", 'run A, unit "hat shelf" removed')]


def test_a_unit_that_moves_is_told_and_the_others_are_not(job: Job) -> None:
    bench, tower = units(job)
    old = amend(job, {"run[0].unit": [bench, SHELF, tower]})
    new = amend(job, {"run[0].unit": [tower, bench, SHELF]})
    assert said(old, new) == [
        ("run[0].unit[0]", 'run A, unit "coat tower" moved before unit "boot bench"')
    ]
    assert said(new, old) == [("run[0].unit[2]", 'run A, unit "coat tower" moved to the end')]
    told = differences(new, old)[0]
    assert (told.kind, told.old, told.new) == ("moved", 0, 2)


def test_a_unit_that_is_renamed_and_changed(job: Job) -> None:
    new = amend(job, {"run[0].unit[0].name": "bench", "run[0].unit[0].mass_kg": 31})
    assert said(job, new) == [
        ("run[0].unit[0].name", 'run A, unit "boot bench" renamed "bench"'),
        ("run[0].unit[0].mass_kg", 'run A, unit "bench", mass_kg from 0 to 31'),
    ]


def test_a_moved_unit_that_changes(job: Job) -> None:
    bench, tower = units(job)
    new = amend(job, {"run[0].unit": [{**tower, "depth_mm": 430}, bench]})
    assert said(job, new) == [
        ("run[0].unit[0]", 'run A, unit "coat tower" moved before unit "boot bench"'),
        ("run[0].unit[0].depth_mm", 'run A, unit "coat tower", depth_mm from 420 to 430'),
    ]


def test_packers_are_told_by_size(job: Job) -> None:
    packers = [{"mm": 6, "count": 12}, {"mm": 1}, {"mm": 10}, {"mm": 19.05, "price": 0.22}]
    new = amend(job, {"stock.packers": packers})
    assert said(job, new) == [
        ("stock.packers[0]", "stock, packer of 6 mm moved before packer of 1 mm"),
        ("stock.packers[0].count", "stock, packer of 6 mm, count from 40 to 12"),
        ("stock.packers[2].mm", "stock, packer of 10 mm, mm from 3 to 10"),
    ]


def test_stacks_moved_by_hand(job: Job) -> None:
    moves = [
        {"bearer": "F", "from_mm": 400, "to_mm": 425},
        {"bearer": "B", "from_mm": 400, "to_mm": 380.5},
    ]
    old = amend(job, {"base[0].moved": moves})
    assert said(job, old) == [
        (
            "base[0].moved[0]",
            'base "oak bearers", move of the stack of bearer F at 400 mm added (to_mm = 425)',
        ),
        (
            "base[0].moved[1]",
            'base "oak bearers", move of the stack of bearer B at 400 mm added (to_mm = 380.5)',
        ),
    ]
    new = amend(job, {"base[0].moved": [{**moves[1], "to_mm": 390}]})
    assert said(old, new) == [
        (
            "base[0].moved[0]",
            'base "oak bearers", move of the stack of bearer F at 400 mm removed (to_mm = 425)',
        ),
        (
            "base[0].moved[0].to_mm",
            'base "oak bearers", move of the stack of bearer B at 400 mm, to_mm from 380.5 to 390',
        ),
    ]


def test_lists_of_tables_that_come_and_go(job: Job) -> None:
    new = amend(job, {"no_go": None, "service[0].name": "cable", "survey[0].leave_out": [2]})
    assert said(job, new) == [
        ("survey[0].leave_out", 'survey "heights.csv", leave_out from [] to [2]'),
        ("no_go[0]", 'no_go "floor hatch" removed'),
        ("service[0].name", 'service "heating pipe" renamed "cable"'),
    ]


def test_neither_folder_nor_fingerprint_is_a_difference(boot_room: str, job: Job) -> None:
    (job.folder / "job.toml").write_text(boot_room)
    assert differences(job, read_job(job.folder)) == ()
    assert job != read_job(job.folder)
