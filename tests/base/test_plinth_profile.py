"""The floor line under a plinth: heights, cuts, boards, what was not surveyed."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import kit
from kit.answer import survey_floor
from kit.base.layout import Layout, lay_out
from kit.base.plinth import plinth_lines, plinth_places
from kit.base.plinth_profile import COLUMNS, PlinthProfile, plinth_profile
from kit.floor import Surface, fit_surface
from kit.floor.surface import Prediction
from kit.job import Base, Refusal

DATA = Path(__file__).parents[2] / "data"


@dataclass
class Floor:
    """A made floor of known shape, surveyed where it says so."""

    height: Callable[[Any, Any], Any]
    known: Callable[[Any, Any], Any] = field(default=lambda x, _: np.full(len(x), True))

    def predict(self, x_mm: Any, y_mm: Any) -> Prediction:
        return Prediction(self.height(x_mm, y_mm), np.full(len(x_mm), 0.4))

    def surveyed(self, x_mm: Any, y_mm: Any) -> Any:
        return self.known(x_mm, y_mm)


def set_back(base: Base, by_mm: float) -> Base:
    """Return a base with its plinth so far behind the fronts of its units."""
    plinth = base.plinth.model_copy(update={"set_back_mm": by_mm})  # type: ignore[union-attr]
    return base.model_copy(update={"plinth": plinth})


@pytest.fixture(scope="module")
def base() -> Base:
    return set_back(kit.read_job(DATA / "reading-room").bases[0], 40.0)


@pytest.fixture(scope="module")
def layout(base: Base) -> Layout:
    return lay_out(kit.read_job(DATA / "reading-room"), base)


@pytest.fixture(scope="module")
def profile(base: Base, layout: Layout) -> Callable[..., PlinthProfile]:
    """Profile of the reading room's plinth, its face at y = 280, on a floor of one's own."""

    def make(floor: Any, top: float = 60.0, finish: float = 0.0, **plinth: Any) -> PlinthProfile:
        pitch = plinth.pop("pitch_mm", 100.0)
        changed = base.plinth.model_copy(update=plinth)  # type: ignore[union-attr]
        other = base.model_copy(update={"plinth": changed})
        return plinth_profile(other, layout, floor, top, finish, pitch)

    return make


@pytest.fixture(scope="module")
def plane() -> Surface:
    """A plane read at eighteen places: z = 1.7 + 0.002 x - 0.004 y [mm]."""
    x = np.array([-50.0, 410.0, 890.0, 1500.0, 2050.0, 2500.0, 3010.0, 3600.0, 4100.0] * 2)
    y = np.array([20.0] * 9 + [510.0] * 9)
    return fit_surface(x, y, 1.7 + 0.002 * x - 0.004 * y, np.full(18, 0.09))


def test_a_plane_floor_gives_its_closed_form(
    profile: Callable[..., PlinthProfile], plane: Surface
) -> None:
    found = profile(plane, 60.0, 12.0)
    assert [str(column) for column in found.table] == COLUMNS
    along = found.table["along_mm"].to_numpy()
    floor = 1.7 + 0.002 * along - 0.004 * 280.0
    # Readings that lie in a plane leave nothing but their trend; 1e-6 mm is round-off.
    np.testing.assert_allclose(found.table["floor_mm"], floor, atol=1e-6)
    np.testing.assert_allclose(found.table["height_mm"], 60.0 - 12.0 - floor, atol=1e-6)
    first, second = found.boards
    # Falls 4 mm over each board of 2 m: scribed, out of the board of 70.
    assert (first.manner, second.manner) == ("scribe", "scribe")
    assert first.greatest_mm == pytest.approx(48.0 - 0.58, abs=1e-6)
    assert first.deepest_cut_mm == pytest.approx(4.0, abs=1e-6)
    assert second.rip_mm == pytest.approx(48.0 - 4.58, abs=1e-6)
    np.testing.assert_allclose(found.table["cut_mm"], 70.0 - (48.0 - floor), atol=1e-6)
    assert found.table["floor_sd_mm"].to_numpy() == pytest.approx(
        plane.predict(along, np.full(len(along), 280.0)).sd_mm
    )


def test_places_of_the_table(profile: Callable[..., PlinthProfile], plane: Surface) -> None:
    table = profile(plane, pitch_mm=700.0).table
    # Whole pitches, sides of units at 1000, 2000 and 3100, the right end; the joint stands twice.
    assert table["along_mm"].tolist() == [
        0, 700, 1000, 1400, 2000, 2000, 2100, 2800, 3100, 3500, 4000,
    ]  # fmt: skip
    assert table["board"].tolist() == ["1"] * 5 + ["2"] * 6
    assert table["joint"].tolist() == [""] * 4 + ["1|2"] * 2 + [""] * 5
    assert set(table["y_mm"]) == {280.0}
    assert table["x_mm"].tolist() == table["along_mm"].tolist()


def test_straight_where_the_line_keeps_within_two_millimetres(
    profile: Callable[..., PlinthProfile],
) -> None:
    # 0.001 over 2 m: exactly 2 mm on the first board; steeper by a hair on the second.
    floor = Floor(lambda x, _: np.where(x <= 2000, 0.001 * x, 2.0 + 0.00101 * (x - 2000)))
    first, second = profile(floor).boards
    assert (first.manner, second.manner) == ("straight", "scribe")
    assert (first.rip_mm, first.deepest_cut_mm) == (pytest.approx(58.0), pytest.approx(0.0))
    assert first.gap_mm == pytest.approx(2.0)
    assert set(first.line["cut_mm"]) == {12.0}  # all along: it touches where the floor is highest
    assert second.gap_mm == 0.0
    assert second.line["cut_mm"].iloc[-1] == pytest.approx(70.0 - (60.0 - 4.02))


def test_a_hump_between_the_places_of_the_table_is_seen(
    profile: Callable[..., PlinthProfile],
) -> None:
    # 6 mm high, 80 mm wide, between two places every 500 mm.
    hump = Floor(lambda x, _: 6.0 * np.clip(1 - np.abs(x - 1260.0) / 40.0, 0, None))
    found = profile(hump, pitch_mm=500.0)
    assert found.table["height_mm"].min() == 60.0
    # 1260 is one of the places every 20 mm.
    assert found.boards[0].least_mm == pytest.approx(54.0)
    assert found.boards[0].manner == "scribe"
    assert found.boards[1].manner == "straight"
    assert found.summary()["least_mm"].tolist() == pytest.approx([54.0])


def test_the_next_wider_board_and_none(profile: Callable[..., PlinthProfile]) -> None:
    dip = Floor(lambda x, _: np.where(np.abs(x - 3000.0) < 1.0, -10.1, 0.0))
    assert {board.board_mm for board in profile(dip).boards} == {95.0}
    found = profile(dip, board_mm=(70.0,))
    assert all(math.isnan(board.board_mm) for board in found.boards)
    assert found.table["cut_mm"].isna().all()
    assert found.table["height_mm"].notna().all()


def test_what_was_not_surveyed_stays_open(profile: Callable[..., PlinthProfile]) -> None:
    floor = Floor(lambda x, _: 0.0001 * x, lambda x, _: (x < 805) | (x > 1115))
    first, second = profile(floor, pitch_mm=300.0).boards
    assert (first.manner, second.manner) == ("open", "straight")
    assert first.open_mm == ((800.0, 1120.0),)
    assert second.open_mm == ()
    table = profile(floor, pitch_mm=300.0).table.set_index("along_mm")
    assert math.isnan(table.loc[900.0, "height_mm"])
    assert math.isnan(table.loc[900.0, "cut_mm"])
    # An open board is not ripped straight: what is known of it keeps to the line.
    assert table.loc[600.0, "cut_mm"] == pytest.approx(70.0 - (60.0 - 0.06))
    assert second.line["cut_mm"].iloc[0] == pytest.approx(10.4)


def test_nothing_surveyed_at_all(profile: Callable[..., PlinthProfile]) -> None:
    nowhere = Floor(lambda x, _: 0.0 * x, lambda x, _: np.full(len(x), False))
    found = profile(nowhere)
    assert all(math.isnan(board.least_mm) for board in found.boards)
    assert all(math.isnan(board.board_mm) for board in found.boards)
    assert [board.open_mm for board in found.boards] == [((0.0, 2000.0),), ((2000.0, 4000.0),)]


@pytest.mark.parametrize("folder", ["reading-room", "boot-room", "market-counter"])
def test_the_summary_of_the_answer_agrees(folder: str) -> None:
    job = kit.read_job(DATA / folder)
    base, surface = job.bases[0], survey_floor(job).surface
    layout = lay_out(job, base)
    closer = plinth_profile(base, layout, surface, 70.0, job.floor.finish_mm)
    places = plinth_places(base, layout)
    floor = surface.predict(places["x_mm"], places["y_mm"]).height_mm
    rough = plinth_lines(base, places.assign(floor_mm=floor), 70.0, job.floor.finish_mm)
    found = closer.summary()
    assert found["run"].tolist() == rough["run"].tolist()
    # Every place of the summary is one of the line; between them it may reach a little further.
    assert (found["least_mm"] <= rough["least_mm"] + 1e-9).all()
    assert (found["greatest_mm"] >= rough["greatest_mm"] - 1e-9).all()
    np.testing.assert_allclose(found["least_mm"], rough["least_mm"], atol=0.1)
    np.testing.assert_allclose(found["greatest_mm"], rough["greatest_mm"], atol=0.1)
    assert found["board_mm"].tolist() == rough["board_mm"].tolist()
    for run in found["run"]:
        x = np.concatenate([board.line["x_mm"] for board in closer.runs[run]])
        y = np.concatenate([board.line["y_mm"] for board in closer.runs[run]])
        own = places[places["run"] == run]
        off = np.hypot(
            own["x_mm"].to_numpy()[:, None] - x[None, :], own["y_mm"].to_numpy()[:, None] - y
        )
        assert off.min(axis=1).max() < 1e-6


def test_two_runs_round_a_corner() -> None:
    job = kit.read_job(DATA / "boot-room")
    base = set_back(job.bases[0], 50.0)
    layout = lay_out(job, base)
    found = plinth_profile(base, layout, Floor(lambda _, y: 0.01 * y), 60.0, 0.0)  # type: ignore[arg-type]
    assert [board.name for board in found.boards] == ["A-1", "B-1"]
    # Run B begins at 3600, 510 and leads out of the wall; its shallowest unit is 420 deep.
    last = found.runs["B"][0].line.iloc[-1]
    assert (last["x_mm"], last["y_mm"]) == pytest.approx((3600.0 - 370.0, 510.0 + 1700.0))
    assert last["height_mm"] == pytest.approx(60.0 - 22.1)


def test_refused(base: Base, layout: Layout, plane: Surface) -> None:
    without = base.model_copy(update={"plinth": None})
    with pytest.raises(Refusal, match="plinth: found none"):
        plinth_profile(without, layout, plane, 60.0, 0.0)
    for pitch in (9.9, 1001.0, math.nan):
        with pytest.raises(Refusal, match=r"pitch_mm: found .* allowed: 10 to 1000 mm"):
            plinth_profile(base, layout, plane, 60.0, 0.0, pitch)
