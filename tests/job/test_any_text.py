"""Whatever a job file holds, it is a job or it is refused; nothing else happens."""

from pathlib import Path

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.job import Job, Refusal, read_job
from kit.job.keys import fields_of, heading_of, inch_key, part_of
from kit.job.model import Part
from kit.job.read import read_text

NOWHERE = Path("/nowhere")

#: Words of the validating library, which a person must never meet.
JARGON = ("Input should", "validation", "pydantic", "NoneType", "dict", "tuple", "str ", "finite")


def parts(part: type[Part] = Job) -> list[type[Part]]:
    inner = [part_of(field.annotation) for field in fields_of(part).values()]
    return [part, *(deeper for found in inner if found is not None for deeper in parts(found))]


KEYS = sorted({key for part in parts() for key in fields_of(part)})
INCHES = [inch_key(key) for key in KEYS if key.endswith("mm")]

numbers = st.one_of(
    st.integers(),
    st.floats(),
    st.sampled_from([0, -1, 1, 3, 900, 10**30, 10**400, 1e308, 5e-324, 0.5]),
)
words = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["3 5/8", "900", "boarded", "C16", "y", "heights", "../x", "settlement"]),
)
values = st.recursive(
    st.one_of(numbers, words, st.booleans(), st.dates(), st.datetimes(), st.times()),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.one_of(st.sampled_from(KEYS + INCHES), words), inner, max_size=4),
    ),
    max_leaves=12,
)


def answered(text: str) -> Job | Refusal:
    try:
        return read_text(text, NOWHERE)
    except Refusal as refusal:
        return refusal


def well_worded(refusal: Refusal) -> bool:
    return bool(refusal.problems) and all(
        problem.where.startswith("job.toml")
        and problem.found
        and problem.allowed
        and str(problem).isprintable()
        for problem in refusal.problems
    )


@given(st.text())
@settings(deadline=None, derandomize=True)
def test_any_text(text: str) -> None:
    answer = answered(text)
    assert isinstance(answer, Refusal)
    assert well_worded(answer)


@given(st.binary(max_size=200))
@settings(
    deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_bytes(tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "job.toml").write_bytes(raw)
    with pytest.raises(Refusal):
        read_job(tmp_path)


@given(st.dictionaries(st.one_of(st.sampled_from(KEYS + INCHES), words), values, max_size=6))
@settings(deadline=None, derandomize=True)
def test_any_tables(tables: dict[str, object]) -> None:
    answer = answered(tomlkit.dumps(tables))
    assert isinstance(answer, Refusal)
    assert well_worded(answer)
    assert not any(word in problem.allowed for word in JARGON for problem in answer.problems)


ASSIGNMENTS = [
    "schema = 1",
    'title = "Boot room, east wall"',
    'units = "mm"',
    'kind = "boarded"',
    "board_mm = 21",
    "bearing_mm = [0, 3600]",
    'file = "heights.csv"',
    'name = "A"',
    "origin_mm = [0, 0]",
    "width_mm = 1100",
    "divisions_mm = [350, 720]",
    'width_in = "23 5/8"',
    "size_mm = [300, 250]",
    "height_mm = [55, 75]",
    "bearer = { width_mm = 45, thickness_mm = 20 }",
    'packers = [ {mm = 1}, {mm = 3}, {mm = 6, count = 40}, {in = "3/4", price = 0.22} ]',
]


@given(st.sampled_from(ASSIGNMENTS), values)
@settings(deadline=None, derandomize=True, max_examples=200)
def test_any_value_at_a_key(boot_room: str, assignment: str, value: object) -> None:
    assert assignment in boot_room
    key = assignment.partition(" = ")[0]
    written = tomlkit.item({key: value}).as_string().strip() if not _is_table(value) else ""
    answer = answered(boot_room.replace(assignment, written, 1))
    assert isinstance(answer, Job) or well_worded(answer)


def _is_table(value: object) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and any(_is_table(item) for item in value)
    )


@given(st.integers(0, 900), st.integers(0, 40), st.text(max_size=6))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_any_slip_of_the_pen(boot_room: str, at: int, gone: int, typed: str) -> None:
    answer = answered(boot_room[:at] + typed + boot_room[at + gone :])
    assert isinstance(answer, Job) or well_worded(answer)


def test_every_table_has_a_heading() -> None:
    headings = {heading_of(part) for part in parts()}
    assert {"", "[floor]", "[floor.joists]", "[[run]]", "[[run.unit]]", "[stock]"} < headings
