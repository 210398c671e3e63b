"""Tables of what is screwed and bought, in a job in inches."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kit.answer import Answer
from kit.as_built import Checked
from kit.ink.base_tables import stack_table
from kit.ink.buying_tables import screw_table, take_off_table
from kit.job import Packer

INCH = 25.4


@pytest.fixture(scope="module")
def in_inches(checked: Checked) -> Answer:
    """The reading room in inches, its packers called by sizes in inches but for one."""
    stock = checked.answer.job.stock
    sizes = (Packer(mm=INCH / 16), Packer(mm=INCH / 8), Packer(mm=INCH / 4), *stock.packers[3:])
    update = {"units": "in", "stock": stock.model_copy(update={"packers": sizes})}
    return replace(checked.answer, job=checked.answer.job.model_copy(update=update))


def test_piles_name_inches_and_millimetres_as_they_are_printed(in_inches: Answer) -> None:
    table = stack_table(in_inches)
    assert table.heads[1].text == "packers from the floor up [as printed]"
    piles = {row[1] for row in table.rows}
    assert "18 + 18 mm" in piles
    mixed = [pile for pile in piles if " in" in pile]
    assert mixed
    # Every size of a mixed pile has its own unit.
    assert all(size.endswith((" in", " mm")) for pile in mixed for size in pile.split(" + "))
    assert any("18 mm + " in pile for pile in mixed)
    # 17.8 / 25.4 = 0.70079
    assert table.note.endswith("18 mm measures 0.701 in.")


def test_metric_screws_stay_metric(in_inches: Answer) -> None:
    table = screw_table(in_inches)
    assert [head.unit for head in table.heads[1:4]] == ["as printed"] * 3
    assert table.rows[0][1] == "30 mm"


def test_timber_is_taken_in_inches_with_its_rounding(in_inches: Answer) -> None:
    table = take_off_table(in_inches)
    sizes = {row[1] for row in table.rows if row[0] == "bearer length"}
    # 2400 / 25.4 = 94.4882, shown as 94 1/2: 0.0118 more.
    assert "94 1/2 in (+0.012)" in sizes
    assert {row[1] for row in table.rows if row[0] == "screw"} <= {
        "30 mm",
        "40 mm",
        "50 mm",
        "70 mm",
    }
