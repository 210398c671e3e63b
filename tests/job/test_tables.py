from pathlib import Path

from kit.job.changed_text import text_of
from kit.job.differ import differences
from kit.job.model import Packer
from kit.job.read import job_of_tables, read_text
from kit.job.tables import every_key_of, tables_of

NOWHERE = Path("/nowhere")


def test_the_tables_of_a_job_say_it(boot_room: str) -> None:
    job = read_text(boot_room, NOWHERE)
    tables = tables_of(job)
    assert job_of_tables(tables, NOWHERE) == job
    assert list(tables)[:3] == ["schema", "title", "units"]
    assert tables["no_go"] == [
        {"name": "floor hatch", "corner_mm": [1200, 60], "size_mm": [300, 250]}
    ]
    assert tables["stock"] == {
        "packers": [{"mm": 1}, {"mm": 3}, {"mm": 6, "count": 40}, {"mm": 19.05, "price": 0.22}],
        "screws_mm": [30, 40],
    }


def test_whole_numbers_are_written_as_a_person_writes_them() -> None:
    assert repr(tables_of(Packer(mm=18.0, measured_mm=17.8))) == "{'mm': 18, 'measured_mm': 17.8}"
    assert every_key_of(Packer(mm=18.0, count=4)) == {
        "mm": 18,
        "count": 4,
        "measured_mm": None,
        "price": None,
        "pack": 1,
    }


def test_a_text_made_of_nothing_but_the_job_says_it(boot_room: str) -> None:
    job = read_text(boot_room, NOWHERE)
    text = text_of(job)
    assert differences(read_text(text, NOWHERE), job) == ()
    assert text.count("[[run.unit]]") == 2
    assert "\n[floor]\n" in text
