"""What is checked and said of a pour: depths, how level it sets, its weight, cautions."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.job import Base, Job
from kit.methods import METHODS
from kit.parts import Answer
from kit.strength.joists import NoJoists

DATA = Path(__file__).parents[2] / "data"

COMPOUND = {
    "least_mm": 3.0,
    "greatest_mm": 30.0,
    "powder_kg_per_l": 1.7,
    "set_kg_per_l": 2.0,
    "drying": ({"to_mm": 10.0, "days": 1.0}, {"to_mm": 30.0, "days": 3.0}),
}

POUR = METHODS["compound"]


def base_of(compound: dict[str, Any] | None = None, **changes: Any) -> Base:
    told = {"name": "pour", "method": "compound", "height_mm": (2.0, 40.0)}
    return Base.model_validate({**told, "compound": COMPOUND | (compound or {}), **changes})


def job_of(folder: str, base: Base, **changes: Any) -> Job:
    job = kit.read_job(DATA / folder)
    return job.model_copy(update={"bases": (base,), **changes})


def with_run(job: Job, **changes: Any) -> Job:
    first, *others = job.runs
    return job.model_copy(update={"runs": (first.model_copy(update=changes), *others)})


@pytest.fixture(scope="module")
def reading_room() -> Answer:
    return kit.solve(job_of("reading-room", base_of()))


def check_of(answer: Answer, name: str, subject: str | None = None) -> Any:
    rows = answer.checks[answer.checks["check"] == name]
    return (rows if subject is None else rows[rows["subject"] == subject]).iloc[0]


def test_depths_and_weights_are_checked_zone_by_zone(reading_room: Answer) -> None:
    zones = reading_room.details["zones.csv"].set_index("zone")
    for zone in zones.index:
        least = check_of(reading_room, "least depth of compound", zone)
        assert (least["value"], least["limit"]) == (zones.loc[zone, "least_mm"], 3.0)
        greatest = check_of(reading_room, "greatest depth of compound", zone)
        assert (greatest["value"], greatest["limit"]) == (zones.loc[zone, "greatest_mm"], 30.0)
        assert least["verdict"] == greatest["verdict"] == "ok"
    weight = check_of(reading_room, "weight of compound on the floor")
    heaviest = zones["mean_mm"].max() * 2.0 * 9.81 / 1000
    assert weight["value"] == pytest.approx(heaviest, rel=1e-12)
    assert (weight["subject"], weight["verdict"]) == ("low bookcase 3", "not_checked")
    both = check_of(reading_room, "load on the footprint, with compound")
    own = (35 + 95) * 9.81 / 1000 / (0.9 * 0.32)
    assert both["value"] == pytest.approx(own + heaviest, rel=1e-12)
    assert (both["subject"], both["verdict"]) == ("low bookcase 3", "refer")


def test_a_pour_that_sets_less_level_than_was_asked_for_is_referred(reading_room: Answer) -> None:
    assert check_of(reading_room, "level of the pour")["verdict"] == "refer"
    finer = kit.solve(job_of("reading-room", base_of({"level_within_mm": 0.4})))
    row = check_of(finer, "level of the pour")
    assert (row["value"], row["limit"], row["verdict"]) == (0.4, 0.5, "ok")


def test_a_depth_out_of_range_fails_its_check(reading_room: Answer) -> None:
    # No level that is chosen leaves the range: a level set by hand 2 mm lower does.
    low = replace(reading_room.datum.plan, datum_mm=reading_room.datum.datum_mm - 2.0)
    datum = replace(reading_room.datum, plan=low)

    class Lower(type(POUR)):  # type: ignore[misc]
        def set_level(self, *_: Any) -> Any:
            return datum

    answer = Lower().build(
        reading_room.job, reading_room.survey, reading_room.ground, reading_room.base
    )
    verdicts = {
        zone: check_of(answer, "least depth of compound", zone)["verdict"]
        for zone in ("low bookcase 1", "low bookcase 2", "atlas case")
    }
    assert verdicts == {"low bookcase 1": "fail", "low bookcase 2": "fail", "atlas case": "ok"}


def test_without_joists_the_load_is_not_judged_ok() -> None:
    job = job_of("reading-room", base_of())
    light = tuple(
        unit.model_copy(update={"mass_kg": 12.0, "contents_kg": 4.0}) for unit in job.runs[0].units
    )
    job = with_run(job, units=light)
    known = kit.solve(job)
    assert check_of(known, "load on the footprint, with compound")["verdict"] == "ok"
    floor = job.floor.model_copy(update={"joists": None})
    unknown = kit.solve(job.model_copy(update={"floor": floor}))
    assert isinstance(unknown.ground.joists, NoJoists)
    row = check_of(unknown, "load on the footprint, with compound")
    assert (row["verdict"], row["source"]) == ("not_checked", "no [floor.joists] given")
    weightless = with_run(job, units=(light[0].model_copy(update={"mass_kg": 0.0}), *light[1:]))
    row = check_of(kit.solve(weightless), "load on the footprint, with compound")
    assert row["source"] == "no mass_kg given of low bookcase 1"
    assert row["verdict"] == "not_checked"


def test_what_is_said_on_boards_and_on_all_floors(reading_room: Answer) -> None:
    said = " ".join(reading_room.cautions)
    for words in ("only as its maker says", "alkaline", "silica", "expansion joint", "3 days"):
        assert words in said
    assert "'heating pipe'" in said
    solid = " ".join(kit.solve(job_of("market-counter", base_of())).cautions)
    assert "only as its maker says" not in solid
    assert "alkaline" in solid
