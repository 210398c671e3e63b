import pytest

from kit.job import keys
from kit.job.model import (
    Base,
    Bearer,
    Compound,
    Foot,
    Job,
    Ladder,
    Levels,
    Moved,
    Packer,
    Plinth,
    Unit,
)

UNIT = list(keys.fields_of(Unit))


@pytest.mark.parametrize(
    ("written", "home"),
    [("width_mm", "width_mm"), ("width_in", "width_mm"), ("width", None), ("mass_in", None)],
)
def test_home_key(written: str, home: str | None) -> None:
    assert keys.home_key(written, UNIT) == home


def test_a_packer_is_as_thick_in_inches() -> None:
    known = keys.fields_of(Packer)
    assert keys.home_key("in", known) == "mm"
    assert keys.home_key("measured_in", known) == "measured_mm"


@pytest.mark.parametrize(
    ("written", "nearest"),
    [
        ("widht_mm", "width_mm"),
        ("widht_in", "width_in"),
        ("Depth_mm", "depth_mm"),
        ("contents", "contents_kg"),
        ("centre", "centre_of_gravity_mm"),
        ("center_of_gravity_mm", "centre_of_gravity_mm"),
        ("colour", None),
    ],
)
def test_nearest_key(written: str, nearest: str | None) -> None:
    assert keys.nearest_key(written, UNIT) == nearest


def test_a_length_without_its_unit() -> None:
    assert keys.without_unit("width", UNIT) == "width_mm"
    assert keys.without_unit("mass", UNIT) is None


def test_the_file_has_its_own_names_for_lists() -> None:
    known = keys.fields_of(Job)
    assert {"run", "survey", "base", "service", "schema"} <= set(known)
    assert not {"runs", "surveys", "bases", "services", "schema_version", "folder"} & set(known)


def test_the_tables_inside_a_table() -> None:
    assert keys.parts_of(Base) == {
        "bearer": Bearer,
        "feet": Foot,
        "ladder": Ladder,
        "compound": Compound,
        "plinth": Plinth,
        "moved": Moved,
        "levels": Levels,
    }


def test_where_a_key_belongs() -> None:
    assert keys.tables_with("title") == [""]
    assert keys.tables_with("thickness_in") == ["[base.bearer]", "[base.ladder]", "[base.plinth]"]
    assert keys.tables_with("low_in") == ["[[base.feet]]"]
    assert keys.tables_with("bag_min") == ["[rates]"]
    assert keys.tables_with("divisions_mm") == ["[[run.unit]]"]
