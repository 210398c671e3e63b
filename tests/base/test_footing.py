"""What a base sets on the floor, and what its parts are called where they find no place."""

from pathlib import Path

import pytest

import kit
from kit.base.footing import APART, BEARERS, MEMBERS, Footing, bearer_footing
from kit.base.runs import lay_out_rows
from kit.job import Base, Job, NoGo, Refusal, Run, Unit

DATA = Path(__file__).parents[2] / "data"


def frame_job(**changes: float) -> Job:
    told = {"name": "frame", "method": "ladder", "height_mm": (40.0, 90.0), **changes}
    base = Base.model_validate({**told, "ladder": {"boards": ({"mm": 95.0},)}})
    return kit.read_job(DATA / "reading-room").model_copy(update={"bases": (base,)})


def test_bearers_are_what_is_spoken_of_unless_a_way_says_otherwise() -> None:
    assert Footing(45.0, (75.0, 45.0)).words is BEARERS
    assert {words.along for words in (BEARERS, MEMBERS, APART)} == {"bearer", "member", "row"}


@pytest.mark.parametrize(
    ("no_go", "changes", "said"),
    [
        (
            ((1300.0, 20.0), (700.0, 100.0)),
            {},
            "member B: found a span of 718.5 mm from 1291 to 2009.5 mm across it; allowed: at most"
            " max_span_mm = 600 mm; deeper boards with a longer span, or units arranged so that no"
            " crossing is wanted there",
        ),
        (
            ((-20.0, 20.0), (100.0, 100.0)),
            {},
            "found it leaves no place for a crossing beside it under the end of member B; allowed:"
            " an area with room for a crossing on both sides, or another end of the run",
        ),
        (None, {"end_inset_mm": 1998.0}, "allowed: an inset that leaves a member"),
        (
            None,
            {"end_inset_mm": 60.0},
            "member B, side or division at 9.5 mm: found its nearest crossing 59.5 mm away, at"
            " 69 mm; allowed: at most 18 mm: a smaller end_inset_mm, fewer divisions, thicker"
            " boards",
        ),
    ],
)
def test_refusals_of_a_frame_speak_of_members_and_crossings(
    no_go: tuple[tuple[float, float], tuple[float, float]] | None,
    changes: dict[str, float],
    said: str,
) -> None:
    job = frame_job(**changes)
    if no_go:
        area = NoGo(name="hatch", corner_mm=no_go[0], size_mm=no_go[1])
        job = job.model_copy(update={"no_go": (area,)})
    with pytest.raises(Refusal) as refused:
        kit.solve(job)
    text = str(refused.value)
    assert said in text
    assert not [word for word in ("bearer", "packer", "stack") if word in text]


def test_a_run_shorter_than_a_support_is_not_blamed_on_an_inset() -> None:
    unit = Unit.model_validate(
        {"name": "post", "width_mm": 60.0, "depth_mm": 320.0, "height_mm": 900.0}
    )
    base = Base(name="b", height_mm=60.0, end_inset_mm=12.0)
    footing = Footing(75.0, (75.0, 75.0), joined=False, words=APART)
    with pytest.raises(Refusal) as refused:
        lay_out_rows(Run(name="A", unit=(unit,)), base, footing, several_runs=False)
    assert str(refused.value) == (
        "job.toml, run A: found 60 mm long; allowed: at least 75 mm, that of one support"
    )


@pytest.mark.parametrize(
    ("strip", "pad", "across"), [(45.0, (75.0, 30.0), 45.0), (18.0, (18.0, 61.5), 61.5)]
)
def test_a_row_takes_the_wider_of_what_runs_along_it_and_what_stands_there(
    strip: float, pad: tuple[float, float], across: float
) -> None:
    assert Footing(strip, pad).across_mm == across


def test_bearers_are_joined_and_packers_lie_as_the_stock_says() -> None:
    base = {"name": "b", "height_mm": 60.0, "bearer": {"width_mm": 70.0}}
    job = Job.model_validate(
        {
            "schema": 1,
            "title": "boot room",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": (
                {
                    "name": "A",
                    "unit": (
                        {"name": "case", "width_mm": 900.0, "depth_mm": 320.0,
                         "height_mm": 900.0, "side_mm": 19.0},
                    ),
                },
            ),
            "base": (base,),
            "stock": {"packers": ({"mm": 3.0},), "packer_size_mm": (80.0, 52.0)},
            "folder": Path(),
        }
    )  # fmt: skip
    footing = bearer_footing(job, Base.model_validate(base))
    assert (footing.strip_mm, footing.pad_mm, footing.across_mm) == (70.0, (80.0, 52.0), 70.0)
    assert footing.joined
    assert footing.shared
