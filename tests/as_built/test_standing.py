from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from kit.as_built.standing import Standing, height_mm, kind_of, printed, what_stands
from kit.job import Job, Refusal, Stock
from kit.job.model import Packer
from kit.parts import Answer

ROWS = [("T", "B1", 1200)]


def standing(job: Job, answer: Answer) -> Standing:
    assert job.as_built is not None
    return what_stands(job.folder, answer, job.as_built)


def test_without_a_table_the_stacks_stand_as_planned_and_it_is_said(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    found = standing(as_read(reading_room, ROWS), reading_room)
    assert tuple(found.stacks.values()) == reading_room.datum.plan.stacks
    assert "as planned; no table" in found.notes[0]
    used = sum(stack.count(0) for stack in found.stacks.values())
    assert found.left[0] == 40 - used  # stock counts 40 of 1 mm


def test_a_table_says_what_stands_from_the_floor_up(
    reading_room: Answer, as_read: Callable[..., Job], tmp_path: Path
) -> None:
    (tmp_path / "stacks.csv").write_text('support,packers_mm\nF8,18 6 1\nB2,"18 + 6 + 6,0"\n')
    found = standing(as_read(reading_room, ROWS, stacks_file="stacks.csv"), reading_room)
    stock = reading_room.job.stock
    assert printed(found.stacks["F8"], stock) == "18 6 1"
    assert height_mm(found.stacks["F8"], stock) == pytest.approx(24.8, abs=1e-12)  # 18 is 17.8
    assert printed(found.stacks["B2"], stock) == "18 6 6"
    assert printed(found.stacks["B1"], stock) == "18 18"
    assert found.notes == ("stacks.csv names 2 of 24 stacks: the others are taken to stand as"
                           " planned.",)  # fmt: skip


@pytest.mark.parametrize(
    ("line", "where", "found"),
    [
        ("B99,18", r"stacks\.csv, row 3, support", "'B99'"),
        ("B1,18\nB1,18", "row 4, support", "B1 a second time"),
        ("B1,18 7", "row 3, packers_mm", "'7'"),
        ("B1,18 six", "row 3, packers_mm", "'six'"),
        ("B1,", "row 3, packers_mm", "an empty cell"),
    ],
)
def test_what_the_stock_or_the_plan_does_not_know_is_refused(
    reading_room: Answer,
    as_read: Callable[..., Job],
    tmp_path: Path,
    line: str,
    where: str,
    found: str,
) -> None:
    (tmp_path / "stacks.csv").write_text(f"support,packers_mm\nF1,18\n{line}\n")
    job = as_read(reading_room, ROWS, stacks_file="stacks.csv")
    with pytest.raises(Refusal, match=f"{where}.*found {found}"):
        standing(job, reading_room)


def test_a_table_without_packers_is_refused(
    reading_room: Answer, as_read: Callable[..., Job], tmp_path: Path
) -> None:
    (tmp_path / "stacks.csv").write_text("support,pieces\nF1,18\n")
    with pytest.raises(Refusal, match="no column packers_mm"):
        standing(as_read(reading_room, ROWS, stacks_file="stacks.csv"), reading_room)


def test_what_is_said_to_be_left_counts(reading_room: Answer, as_read: Callable[..., Job]) -> None:
    left = ({"mm": 3.0, "count": 2}, {"mm": 18.0, "count": 1})
    assert standing(as_read(reading_room, ROWS, left=left), reading_room).left == (0, 2, 0, 1)
    assert standing(as_read(reading_room, ROWS, left=()), reading_room).left == (0, 0, 0, 0)
    with pytest.raises(Refusal, match=r"as_built\.left, value 1: found a packer of 5 mm"):
        standing(as_read(reading_room, ROWS, left=({"mm": 5.0, "count": 2},)), reading_room)
    twice = ({"mm": 3.0, "count": 2}, {"mm": 3.0, "count": 1})
    with pytest.raises(Refusal, match=r"as_built\.left, value 2: found 3 mm a second time"):
        standing(as_read(reading_room, ROWS, left=twice), reading_room)


def test_more_that_stand_than_the_stock_counts_ask_what_is_left(
    reading_room: Answer, as_read: Callable[..., Job], tmp_path: Path
) -> None:
    names = reading_room.supports["support"]
    rows = "".join(f"{name},{'1 ' * 3}\n" for name in names)
    (tmp_path / "stacks.csv").write_text(f"support,packers_mm\n{rows}")
    with pytest.raises(Refusal, match=r"72 packers of 1 mm that stand, where .* counts 40"):
        standing(as_read(reading_room, ROWS, stacks_file="stacks.csv"), reading_room)


def test_kinds_without_a_count_are_left_as_many_as_wanted(
    boot_room: Answer, as_read: Callable[..., Job]
) -> None:
    assert standing(as_read(boot_room, ROWS), boot_room).left == (None, None, None, None)


def test_a_size_of_two_thicknesses_names_neither() -> None:
    stock = Stock(packers=(Packer(mm=6.0), Packer(mm=6.0, measured_mm=5.8), Packer(mm=3.0)))
    assert kind_of(3.0, stock) == 2
    with pytest.raises(Refusal, match=r"of which the stock has 6 and 5\.8 mm"):
        kind_of(6.0, stock)


def test_packers_in_inches_are_those_of_the_same_size(
    reading_room: Answer, as_read: Callable[..., Job], tmp_path: Path
) -> None:
    sizes = (Packer(mm=19.05), Packer(mm=1.5875), Packer(mm=38.1), Packer(mm=6.35))
    stock = reading_room.job.stock.model_copy(update={"packers": sizes})
    job = reading_room.job.model_copy(update={"stock": stock, "units": "in"})
    answer = replace(reading_room, job=job)
    (tmp_path / "stacks.csv").write_text("support,packers_in\nF8,3/4 1/16 3/4\nB2,1-1/2 + .25\n")
    found = standing(as_read(answer, ROWS, stacks_file="stacks.csv", left=()), answer)
    assert found.stacks["F8"] == (0, 1, 0)
    assert found.stacks["B2"] == (2, 3)
    assert found.named == {"F8", "B2"}
    (tmp_path / "stacks.csv").write_text("support,packers_in\nF8,3/4 5/8\nB2,\n")
    with pytest.raises(Refusal, match=r"row 2, packers_in: found '5/8'.*\n?.*as in 3/4 1/16"):
        standing(as_read(answer, ROWS, stacks_file="stacks.csv", left=()), answer)


def test_two_columns_of_packers_are_refused(
    reading_room: Answer, as_read: Callable[..., Job], tmp_path: Path
) -> None:
    (tmp_path / "stacks.csv").write_text("support,packers_mm,packers_in\nF1,18,3/4\n")
    with pytest.raises(Refusal, match="found packers_mm and packers_in"):
        standing(as_read(reading_room, ROWS, stacks_file="stacks.csv"), reading_room)
