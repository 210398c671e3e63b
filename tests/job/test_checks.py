"""Keys of a survey that its kind has no use for; settlement and the joists that give it."""

from __future__ import annotations

import pytest

from kit.job.read import read_text
from kit.job.refusal import Refusal

LISTS = '"heights", "staff", "booking", "level" or "straightedge"'


@pytest.mark.parametrize(
    ("kind", "line", "key", "homes"),
    [
        ("heights", "cell_mm = 50", "cell_mm", '"scan"'),
        ("grid", 'cell_in = "2 1/2"', "cell_in", '"scan"'),
        ("level", "cell_mm = 50", "cell_mm", '"scan"'),
        ("grid", 'points_file = "places.csv"', "points_file", LISTS),
        ("grid", "leave_out = [4]", "leave_out", LISTS),
        ("staff", "own_error_mm_per_m = 0.2", "own_error_mm_per_m", '"level"'),
        ("level", 'datum = "line"', "datum", '"heights", "grid", "staff" or "scan"'),
        ("straightedge", 'datum = "line"', "datum", '"heights", "grid", "staff" or "scan"'),
        ("booking", 'datum = "line"', "datum", '"heights", "grid", "staff" or "scan"'),
    ],
)
def test_keys_of_other_kinds_are_refused(boot_room, tmp_path, kind, line, key, homes):
    text = boot_room.replace('kind = "heights"', f'kind = "{kind}"\n{line}')
    with pytest.raises(Refusal) as caught:
        read_text(text, tmp_path)
    assert str(caught.value) == (
        f'job.toml, survey "heights.csv", {key}: found a key of readings of kind {homes};'
        f' allowed: no {key.replace("_in", "_mm")} with kind "{kind}"'
    )


def test_keys_of_a_scan(boot_room, tmp_path):
    frame = "frame = {origin_mm = [500, -200], x_towards_deg = 90, mirrored = true}"
    keys = f'kind = "scan"\ncell_in = 5\nfile_unit = "ft"\ndatum = "joined"\n{frame}'
    survey = read_text(boot_room.replace('kind = "heights"', keys), tmp_path).surveys[0]
    assert (survey.cell_mm, survey.file_unit, survey.datum) == (127.0, "ft", "joined")
    assert survey.frame.origin_mm == (500.0, -200.0)
    assert (survey.frame.x_towards_deg, survey.frame.mirrored) == (90.0, True)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("leave_out = [4]", f"leave_out: found a key of readings of kind {LISTS}"),
        ("frame = {x_towards_deg = 400}", "frame.x_towards_deg: found 400; allowed: a number from"),
        ("frame = 3", "frame: found 3; allowed: a table headed [survey.frame]"),
        ("frame = {turn = 3}", "frame.turn: found a key that is not known here"),
        ('file_unit = "km"', 'file_unit: found "km"; allowed: "m", "mm", "in" or "ft"'),
        ("cell_mm = 0", "cell_mm: found 0; allowed: a number above 0"),
        ("cell = 50", "cell: found 50, a length without its unit; allowed: cell_mm"),
    ],
)
def test_what_a_scan_may_not_say(boot_room, tmp_path, line, message):
    text = boot_room.replace('kind = "heights"', f'kind = "scan"\n{line}')
    with pytest.raises(Refusal) as caught:
        read_text(text, tmp_path)
    assert message in str(caught.value)


def test_two_sheets_of_one_workbook_are_two_tables(boot_room, tmp_path):
    more = '\n[[survey]]\nkind = "level"\nfile = "heights.csv"\nsheet = "level"\n'
    job = read_text(boot_room.replace("[[run]]", more + "\n[[run]]", 1), tmp_path)
    assert [survey.sheet for survey in job.surveys] == [None, "level"]
    with pytest.raises(Refusal, match="a second time"):
        read_text(boot_room.replace("[[run]]", more + more + "\n[[run]]", 1), tmp_path)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("leave_out = 4", "leave_out: found 4; allowed: "),
        ("leave_out = [0]", "leave_out, value 1: found 0; allowed: a whole number from 1"),
        ("leave_out = [4.5]", "leave_out, value 1: found 4.5; allowed: a whole number from 1"),
    ],
)
def test_rows_that_are_left_out_are_whole_numbers(boot_room, tmp_path, line, message):
    text = boot_room.replace('kind = "heights"', f'kind = "heights"\n{line}')
    with pytest.raises(Refusal) as caught:
        read_text(text, tmp_path)
    assert message in str(caught.value)


def test_a_lift_by_settlement_wants_joists(boot_room, tmp_path):
    text = boot_room.replace("[[base]]", '[[base]]\nfront_lift_mm = "settlement"', 1)
    assert read_text(text, tmp_path).bases[0].front_lift_mm == "settlement"
    start, end = text.index("[floor.joists]"), text.index("[[survey]]")
    solid = text[:start].replace('"boarded"\nboard_mm = 21', '"solid"') + text[end:]
    with pytest.raises(Refusal) as caught:
        read_text(solid, tmp_path)
    assert str(caught.value).endswith(
        'found "settlement", which joists give, and a solid floor has none; allowed: a number from'
        " -50 to 50 mm"
    )
    with pytest.raises(Refusal) as caught:
        read_text(text[:start] + text[end:], tmp_path)
    assert str(caught.value) == (
        'job.toml, base "oak bearers", front_lift_mm: found "settlement", which joists give, and'
        " no [floor.joists]; allowed: a number from -50 to 50 mm, or [floor.joists] in the job"
    )


@pytest.mark.parametrize(
    ("table", "line", "message"),
    [
        ("[stock]", "screw_diameter_mm = 1.9", "screw_diameter_mm: found 1.9; allowed: a number"),
        ("[stock]", "packer_bears_n_per_mm2 = 0", "allowed: a number above 0 up to 1000 N/mm2"),
        ("[[run.unit]]", 'contents_are = "books"', 'allowed: "stored" or "people"'),
        ("[floor.joists]", "dead_kn_per_m2 = -1", "allowed: a number from 0 to 20 kN/m2"),
        ("[floor]", 'board_strength_class = "C99"', 'allowed: "C16" or "C24"'),
    ],
)
def test_what_carries_the_base(boot_room, tmp_path, table, line, message):
    assert table in boot_room
    text = boot_room.replace(table, f"{table}\n{line}", 1)
    with pytest.raises(Refusal) as caught:
        read_text(text, tmp_path)
    assert message in str(caught.value)


def test_a_room_is_heated_covered_or_in_the_weather(boot_room, tmp_path):
    assert read_text(boot_room, tmp_path).room.service_class == 1
    room = "[room]\nservice_class = {}\n\n[stock]"
    covered = boot_room.replace("[stock]", room.format(2), 1)
    assert read_text(covered, tmp_path).room.service_class == 2
    with pytest.raises(Refusal) as caught:
        read_text(boot_room.replace("[stock]", room.format(4), 1), tmp_path)
    assert str(caught.value) == "job.toml, room.service_class: found 4; allowed: 1, 2 or 3"
    with pytest.raises(Refusal, match="service_class: found true; allowed: 1, 2 or 3"):
        read_text(boot_room.replace("[stock]", room.format("true"), 1), tmp_path)
