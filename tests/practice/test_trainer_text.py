from collections.abc import Callable, Sequence

from kit.job import Problem
from kit.practice.drill import Drill
from kit.practice.record import Record
from kit.practice.records import Records
from kit.practice.trainer import trainers_table
from kit.practice.trainer_text import trainers_lines


def test_the_table_in_plain_lines(named: Callable[..., Record], fakes: Sequence[Drill]) -> None:
    attempts = (
        named(nickname="Zoë", marks=85, mistakes=("out",), tries_before=1),
        named(nickname="a", drill="booking", seed=9, marks=100, hints=0, mistakes=()),
    )
    refused = Problem("cy.csv, row 3, marks", "'x'", "a whole number")
    records = Records(attempts, ("a.csv", "zoe.csv"), (refused,), ("cy.csv",))
    lines = list(trainers_lines(trainers_table(records, fakes), records))
    assert lines[0] == "2 tries of 2 apprentices from 2 files."
    head, first, second = lines[3:6]
    assert lines[2] == "Who did what"
    assert head == (
        "  apprentice  drill               tries  floors  worst grade  best mark  last mark"
        "  placements  good practice's  hints  last try"
    )
    assert first == (
        "  a           Book a line             1       1  fair               100        100"
        "           6                4      0  2031-05-08 09:30"
    )
    assert second == (
        "  Zoë         Sight on two posts      1       1  fair                 –          –"
        "           0                0      1  2031-05-08 09:30"
    )
    assert "  mistake            made in  of" in lines
    assert "  the answer is out        1   2" in lines
    # What is not in the tables is told once, where errors are.
    assert not [line for line in lines if "cy.csv" in line]
    assert any(line.startswith("- Zoë: Sight on two posts, fair: not tried") for line in lines)
    assert any(line.startswith("Next drill: ") for line in lines)


def test_nothing_amiss_is_no_section(named: Callable[..., Record], fakes: Sequence[Drill]) -> None:
    records = Records((named(mistakes=()),), ("a.csv",))
    lines = list(trainers_lines(trainers_table(records, fakes), records))
    assert lines[0] == "1 try of 1 apprentice from 1 file."
    assert lines.count("  none") == 2
