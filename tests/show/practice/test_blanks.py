"""Blanks for what is asked: a line each, or a small grid for what looks alike."""

import re
from html import unescape

from kit.practice.fields import Field
from kit.show.practice.blanks import blanks

LENGTHS = ("none", "16", "20", "25", "30")


def seen(html: str) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", html))).strip()


def test_each_kind_of_field_has_its_blank() -> None:
    html = blanks(
        (
            Field("n", "B over A <x>", unit="mm/m"),
            Field("p", "stand at", "place", "mm"),
            Field("k", "packers under it", "packers", "mm"),
            Field("c", "cut which", "choice", "", ("A", "B", "neither")),
            Field("l", "screw", "choice", "mm", LENGTHS),
        )
    )
    assert seen(html) == (
        "B over A <x>: mm/m stand at: x y mm packers under it: mm, from the floor up "
        "cut which: ☐ A ☐ B ☐ neither screw: mm"
    )
    assert html.count('class="gap"') == 1 + 2 + 2 + 0 + 1
    assert "<table" not in html


def test_several_stacks_stand_in_a_grid_under_what_they_have_in_common() -> None:
    names = ("B1", "B2", "B3", "F1", "F2", "F3")
    html = blanks([Field(name, f"stack at {name}", "packers", "mm") for name in names])
    assert seen(html) == f"stack at … [mm], from the floor up: {' '.join(names)}"
    assert html.count("<tr>") == 2
    assert html.count('class="none"') == 2  # six of eight cells


def test_screws_stand_in_a_grid_of_stacks_and_steps() -> None:
    asked = [
        Field(f"{stack}{step}", f"{stack}, {step} screw", "choice", "mm", LENGTHS)
        for stack, steps in (("S1", ("base", "bearer")), ("S2", ("base", "pack", "bearer")))
        for step in steps
    ]
    html = blanks(asked)
    assert seen(html) == "S1 S2 base screw [mm] pack screw [mm] bearer screw [mm]"
    rows = html.split("<tr>")[2:]
    assert [row.count("<td></td>") for row in rows] == [2, 1, 2]
    assert '<td class="none"></td><td></td>' in rows[1]  # S1 has no pack screw


def test_the_same_choices_stand_in_a_table_of_ticks() -> None:
    choices = ("neither", "ladder <frame>")
    html = blanks([Field(k, f"better by {k}", "choice", "", choices) for k in "abcd"])
    assert seen(html).startswith("neither ladder <frame> better by a ☐ ☐ better by b ☐ ☐")
    assert html.count("☐") == 8


def test_the_order_of_the_fields_is_kept() -> None:
    html = blanks(
        (
            Field("n", "first", unit="mm"),
            *(Field(k, f"at {k}", "packers", "mm") for k in "abc"),
            Field("m", "last", unit="mm"),
        )
    )
    assert html.index("first") < html.index("<table") < html.index("last")
