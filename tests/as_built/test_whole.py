"""Fall and flatness against numpy.linalg.lstsq and against closed forms."""

from collections.abc import Callable

import numpy as np
import pytest

from kit.as_built.tops import Tops, look_at_tops
from kit.as_built.whole import Whole, look_at_whole
from kit.job import Job
from kit.parts import Answer

Staff = Callable[..., list[tuple[object, ...]]]


def whole_of(job: Job, answer: Answer) -> tuple[Whole, Tops]:
    assert job.as_built is not None
    tops = look_at_tops(job.folder, answer, job.as_built)
    return look_at_whole(tops, answer.layout), tops


def test_a_plane_base_falls_as_it_was_made_and_is_flat(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(reading_room, lambda x, y: 40 + 0.0013 * x - 0.0042 * y)
    whole, _ = whole_of(as_read(reading_room, rows), reading_room)
    (fall,) = whole.falls.to_dict("records")
    # Readings stand there to 1e-6 mm, over 4 m along and 0.3 m across.
    assert fall["along_mm_per_m"] == pytest.approx(1.3, abs=1e-5)
    assert fall["across_mm_per_m"] == pytest.approx(-4.2, abs=1e-5)
    assert whole.departures["departure_mm"].abs().max() < 1e-5
    assert whole.steepest_mm_per_m == pytest.approx(np.hypot(1.3, 4.2), abs=1e-5)
    known = whole.front_to_back
    assert known["difference_mm"].to_numpy() == pytest.approx(-0.0042 * known["apart_mm"], abs=1e-5)


def test_an_uneven_base_against_lstsq(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    def top(x: float, y: float) -> float:
        return 40 + 0.0007 * x + 1.1 * np.sin(x / 700) * (1 + y / 300)

    whole, tops = whole_of(as_read(reading_room, staff(reading_room, top)), reading_room)
    x, y, z = (tops.points[c].to_numpy() for c in ("x_mm", "y_mm", "top_mm"))
    (_, a, b), *_ = np.linalg.lstsq(np.column_stack([np.ones_like(x), x, y]), z, rcond=None)
    fall = whole.falls.iloc[0]
    assert fall["along_mm_per_m"] == pytest.approx(1000 * a, abs=1e-9)  # round-off
    assert fall["across_mm_per_m"] == pytest.approx(1000 * b, abs=1e-9)
    here = (tops.points["bearer"] == "F").to_numpy()
    line = np.polyfit(x[here], z[here], 1)
    left = z[here] - np.polyval(line, x[here])
    worst = int(np.argmax(np.abs(left)))
    of_row = whole.departures.set_index("against").loc["F"]
    assert of_row["point"] == tops.points["point"][here].iloc[worst]
    assert of_row["departure_mm"] == pytest.approx(left[worst], abs=1e-9)


def test_the_doubt_of_a_fall_is_that_of_many_draws(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(reading_room, lambda _x, _y: 40.0)
    whole, tops = whole_of(as_read(reading_room, rows), reading_room)
    draw = np.random.default_rng(5)
    x, y = (tops.points[c].to_numpy() for c in ("x_mm", "y_mm"))
    noise = draw.multivariate_normal(np.zeros(len(x)), tops.covariance, 4000, method="svd")
    design = np.column_stack([np.ones_like(x), x, y])
    slopes = np.linalg.lstsq(design, noise.T, rcond=None)[0][1:] * 1000
    fall = whole.falls.iloc[0]
    # 4000 draws tell a standard deviation to 1.1 %; three times that.
    assert fall["along_sd_mm_per_m"] == pytest.approx(slopes[0].std(), rel=0.035)
    assert fall["across_sd_mm_per_m"] == pytest.approx(slopes[1].std(), rel=0.035)


def test_each_run_falls_in_its_own_frame(
    boot_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(boot_room, lambda x, y: 30 + 0.0021 * x + 0.0008 * y)
    whole, _ = whole_of(as_read(boot_room, rows), boot_room)
    falls = whole.falls.set_index("run")
    # Run B's own x is the site's y, its own y the site's -x.
    assert falls.loc["A", ["along_mm_per_m", "across_mm_per_m"]].tolist() == pytest.approx(
        [2.1, 0.8], abs=1e-5
    )
    assert falls.loc["B", ["along_mm_per_m", "across_mm_per_m"]].tolist() == pytest.approx(
        [0.8, -2.1], abs=1e-5
    )


def test_a_run_falls_as_its_own_tops_do(
    boot_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    """Run A rises to its right, run B falls to its right; no plane lies through both."""
    start = boot_room.layout.frames["B"].to_site(0.0, 0.0)
    of_run = dict(
        zip(zip(boot_room.supports["x_mm"], boot_room.supports["y_mm"], strict=True),
            boot_room.supports["run"], strict=True)
    )  # fmt: skip

    def top(x: float, y: float) -> float:
        return 30 + 0.0013 * x if of_run[x, y] == "A" else 34 - 0.0027 * (y - start[1])

    whole, _ = whole_of(as_read(boot_room, staff(boot_room, top)), boot_room)
    falls = whole.falls.set_index("run")[["along_mm_per_m", "across_mm_per_m"]]
    # Readings stand there to 1e-6 mm, over 0.4 m across.
    assert falls.loc["A"].tolist() == pytest.approx([1.3, 0.0], abs=1e-5)
    assert falls.loc["B"].tolist() == pytest.approx([-2.7, 0.0], abs=1e-5)
    assert whole.departures.set_index("against").loc["plane", "departure_mm"] != 0


def test_a_run_of_which_one_row_was_read_is_not_told(
    boot_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    supports = boot_room.supports
    front = (supports["run"] == "B") & (supports["row"] != "B")
    leave = tuple(supports["support"][front])
    rows = staff(boot_room, lambda x, _y: 30 + 0.001 * x, leave=leave)
    whole, _ = whole_of(as_read(boot_room, rows), boot_room)
    assert whole.falls["run"].tolist() == ["A"]
    assert whole.unplaned == ("B",)
    assert whole.has_plane


def test_points_on_one_line_have_no_plane(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    leave = tuple(name for name in reading_room.supports["support"] if not name.startswith("B"))
    rows = staff(reading_room, lambda _x, _y: 40.0, leave=leave)
    whole, _ = whole_of(as_read(reading_room, rows), reading_room)
    assert not whole.has_plane
    assert whole.falls.empty
    assert np.isnan(whole.steepest_mm_per_m)
    assert whole.departures["against"].tolist() == ["B"]
    assert whole.front_to_back.empty
