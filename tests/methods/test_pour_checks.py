"""What is checked and said of a pour: depths, how level it sets, its weight, cautions."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

import kit
from kit.base.pour_zones import Zone
from kit.base.runs import Frame
from kit.job import Base, Job, Service
from kit.methods import METHODS
from kit.methods.pour_checks import comes_near
from kit.parts import Answer
from kit.strength.joists import NoJoists

POUR = METHODS["compound"]


def check_of(answer: Answer, name: str, subject: str | None = None) -> Any:
    rows = answer.checks[answer.checks["check"] == name]
    return (rows if subject is None else rows[rows["subject"] == subject]).iloc[0]


def test_depths_and_weights_are_checked_zone_by_zone(poured: Answer) -> None:
    zones = poured.details["zones.csv"].set_index("zone")
    for zone in zones.index:
        least = check_of(poured, "least depth of compound", zone)
        assert (least["value"], least["limit"]) == (zones.loc[zone, "least_mm"], 3.0)
        greatest = check_of(poured, "greatest depth of compound", zone)
        assert (greatest["value"], greatest["limit"]) == (zones.loc[zone, "greatest_mm"], 30.0)
        assert least["verdict"] == greatest["verdict"] == "ok"
    weight = check_of(poured, "weight of compound on the floor")
    heaviest = zones["mean_mm"].max() * 2.0 * 9.81 / 1000
    assert weight["value"] == pytest.approx(heaviest, rel=1e-12)  # round-off
    assert (weight["subject"], weight["verdict"]) == ("low bookcase 3", "not_checked")
    both = check_of(poured, "load on the footprint, with compound")
    own = (35 + 95) * 9.81 / 1000 / (0.9 * 0.32)
    assert both["value"] == pytest.approx(own + heaviest, rel=1e-12)  # round-off
    assert (both["subject"], both["verdict"]) == ("low bookcase 3", "refer")


def test_a_pour_that_sets_less_level_than_was_asked_for_is_referred(
    poured: Answer, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    assert check_of(poured, "level set by hand")["verdict"] == "refer"
    finer = kit.solve(job_with("reading-room", pour_of({"level_within_mm": 0.4})))
    row = check_of(finer, "level set by hand")
    assert row["source"].startswith("compound.level_within_mm against base.tolerance_mm")
    assert (row["value"], row["limit"], row["verdict"]) == (0.4, 0.5, "ok")


def test_a_depth_out_of_range_fails_its_check(poured: Answer) -> None:
    # No level that is chosen leaves the range: a level set by hand 2 mm lower does.
    low = replace(poured.datum.plan, datum_mm=poured.datum.datum_mm - 2.0)
    datum = replace(poured.datum, plan=low)

    class Lower(type(POUR)):  # type: ignore[misc]
        def set_level(self, *_: Any) -> Any:
            return datum

    answer = Lower().build(poured.job, poured.survey, poured.ground, poured.base)
    verdicts = {
        zone: check_of(answer, "least depth of compound", zone)["verdict"]
        for zone in ("low bookcase 1", "low bookcase 2", "atlas case")
    }
    assert verdicts == {"low bookcase 1": "fail", "low bookcase 2": "fail", "atlas case": "ok"}


def test_without_joists_the_load_is_not_judged_ok(
    pour_of: Callable[..., Base], job_with: Callable[..., Job], with_run: Callable[..., Job]
) -> None:
    job = job_with("reading-room", pour_of())
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


def test_what_is_said_on_boards_and_on_all_floors(
    poured: Answer, pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    said = " ".join(poured.cautions)
    for words in ("only as its maker says", "alkaline", "silica", "expansion joint", "3 days"):
        assert words in said
    assert "Known under this pour: 'heating pipe', which can no longer" in said
    solid = " ".join(kit.solve(job_with("market-counter", pour_of())).cautions)
    assert "only as its maker says" not in solid
    assert "alkaline" in solid


def test_a_service_that_no_zone_comes_near_is_not_said_to_be_under_it(
    pour_of: Callable[..., Base], job_with: Callable[..., Job]
) -> None:
    job = job_with("reading-room", pour_of())
    (pipe,) = job.services
    beside = {"name": "drain", "from_mm": (-300.0, 400.0), "to_mm": (1900.0, 400.0)}
    drain = pipe.model_copy(update=beside)  # 80 mm in front of the low cases, 100 mm off the deep
    for clear, named in ((79.0, False), (81.0, True)):
        near = drain.model_copy(update={"clear_mm": clear})
        said = " ".join(kit.solve(job.model_copy(update={"services": (pipe, near)})).cautions)
        assert ("'heating pipe', 'drain', which can" in said) == named
    far = " ".join(kit.solve(job.model_copy(update={"services": (drain,)})).cautions)
    assert "Known under this" not in far


@pytest.mark.parametrize(
    ("start", "end", "distance"),
    [
        ((-900.0, 200.0), (2000.0, 210.0), 0.0),  # through, both ends outside
        ((300.0, 90.0), (310.0, 90.0), 0.0),  # wholly within
        ((-40.0, 10.0), (-40.0, 320.0), 40.0),  # alongside its left edge
        ((900.0, 520.0), (900.0, 900.0), 35.0),  # ends before its front
        ((1340.0, 320.0), (1100.0, 560.0), 60.0 * 2**0.5),  # past a corner, slantwise
    ],
)
def test_how_near_a_service_comes_is_measured_to_the_whole_zone(
    start: tuple[float, float], end: tuple[float, float], distance: float
) -> None:
    turned = Frame((700.0, -250.0), 90.0)
    zone = Zone("press", "A", "press", turned, 0.0, 1055.0, 485.0, (False, True), (2, 2))
    ends = [tuple(float(part) for part in turned.to_site(*place)) for place in (start, end)]
    for clear in (distance - 0.01, distance + 0.01):
        service = Service.model_validate(
            {"name": "pipe", "from_mm": ends[0], "to_mm": ends[1], "clear_mm": max(clear, 0.0)}
            | {"depth_mm": 30.0}
        )
        assert comes_near(service, zone) == (distance == 0.0 or clear > distance)


def test_what_the_joists_carry_is_told_with_the_pour_in_it(poured: Answer) -> None:
    row = check_of(poured, "joist deflection, final, furniture and compound alone")
    assert row["value"] > 0
    assert "comes of furniture and compound alone" in row["source"]
    assert not poured.checks["check"].str.contains("final, furniture alone").any()
