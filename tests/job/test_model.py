from pathlib import Path

import pytest
from pydantic import ValidationError

from kit.job import Refusal
from kit.job.model import Base, Floor, Packer, Run, Slips, Unit
from kit.job.read import read_text


def unit(**given: object) -> Unit:
    return Unit.model_validate(
        {"name": "u", "width_mm": 800.0, "depth_mm": 310.0, "height_mm": 900.0, **given}
    )


def slips(raised: ValidationError) -> list[tuple[str | int, ...]]:
    (error,) = raised.errors()
    told = error["ctx"]["error"]
    assert isinstance(told, Slips)
    return [path for path, _ in told.slips]


def test_a_unit_tells_all_that_does_not_fit_together() -> None:
    with pytest.raises(ValidationError) as raised:
        unit(divisions_mm=(10.0,), centre_of_gravity_mm=311.0)
    assert slips(raised.value) == [("divisions_mm",), ("centre_of_gravity_mm",)]


def test_panels_may_just_touch() -> None:
    # Sides of 18 mm have their centres at 9 and 791 mm; the next panel starts 18 mm further.
    assert unit(divisions_mm=(27.0, 773.0)).divisions_mm == (27.0, 773.0)
    with pytest.raises(ValidationError):
        unit(divisions_mm=(26.9,))


def test_the_centre_of_gravity_is_halfway_unless_given() -> None:
    assert unit().centre_of_gravity_from_back_mm == 155.0
    assert unit(centre_of_gravity_mm=120.0).centre_of_gravity_from_back_mm == 120.0


def test_the_length_of_a_run_counts_its_gaps() -> None:
    second = unit(name="v", width_mm=455.0, gap_before_mm=12.0)
    assert Run.model_validate({"unit": (unit(), second)}).length_mm == 1267.0


def test_two_units_of_one_name() -> None:
    with pytest.raises(ValidationError) as raised:
        Run.model_validate({"unit": (unit(), unit(name="v"), unit())})
    assert slips(raised.value) == [("unit", 2, "name")]


def test_a_floor_tells_all_that_does_not_fit_together() -> None:
    with pytest.raises(ValidationError) as raised:
        Floor.model_validate({"kind": "boarded", "clear_below_mm": 40.0})
    assert slips(raised.value) == [("board_mm",), ("clear_below_mm",)]


def test_what_was_measured_counts() -> None:
    assert Packer(mm=18, measured_mm=17.8).thickness_mm == 17.8
    assert Packer(mm=18).thickness_mm == 18.0


def test_a_base_has_one_height_or_two() -> None:
    assert Base(name="b", height_mm=60).height_range_mm == (60.0, 60.0)
    assert Base(name="b", height_mm=(55.0, 75.0)).height_range_mm == (55.0, 75.0)


@pytest.mark.parametrize(
    "name", ["", " ", "\u200b", "a\nb", "x" * 81, "\u200d", "\u200c \u200d", "a\u202eb", "a\u200bb"]
)
def test_names_that_nobody_can_read(name: str) -> None:
    with pytest.raises(ValidationError):
        unit(name=name)


@pytest.mark.parametrize("name", ["\U0001f469\U0001f3fd\u200d\U0001f527", "می\u200cخواهم"])
def test_names_keep_the_joiners_that_their_spelling_needs(name: str) -> None:
    assert unit(name=name).name == name


def test_a_stack_is_moved_once(boot_room: str, tmp_path: Path) -> None:
    def told(moves: str) -> str:
        text = boot_room.replace("\n[stock]", f"moved = [ {moves} ]\n\n[stock]")
        try:
            job = read_text(text, tmp_path)
        except Refusal as refusal:
            return str(refusal)
        return "; ".join(
            f"{move.bearer} {move.from_mm:g} {move.to_mm:g}" for move in job.bases[0].moved
        )

    first = '{ bearer = "B", from_mm = 1000, to_mm = 1040 }'
    assert told(first) == "B 1000 1040"
    assert told(f"{first}, {{ bearer = 'B', from_in = 10, to_in = '9 1/2' }}") == (
        "B 1000 1040; B 254 241.3"
    )
    assert told(f"{first}, {{ bearer = 'F', from_mm = 1000, to_mm = 900 }}") == (
        "B 1000 1040; F 1000 900"
    )
    assert told(f"{first}, {{ bearer = 'B', from_mm = 1000.6, to_mm = 900 }}") == (
        "B 1000 1040; B 1000.6 900"
    )
    assert told(f"{first}, {{ bearer = 'B', from_mm = 999.5, to_mm = 900 }}") == (
        'job.toml, base "oak bearers", moved 2, from_mm: found 999.5; '
        "allowed: a stack of B that no other move names"
    )
    assert told(first.replace("1040", "-1")) == (
        'job.toml, base "oak bearers", moved 1, to_mm: found -1; '
        "allowed: a number from 0 to 200000 mm"
    )
    assert told(first.replace("to_mm", "two_mm")).endswith("allowed: to_mm, the nearest known key")
