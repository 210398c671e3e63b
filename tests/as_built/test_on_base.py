import numpy as np
import pandas as pd
import pytest

import kit
from kit.as_built.on_base import placed_on_base
from kit.job import Refusal
from kit.parts import Answer


def points(*rows: tuple[str, float, float]) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["point", "x_mm", "y_mm"])


def test_points_lie_on_their_bearers_and_supports(reading_room: Answer) -> None:
    # B2 stands at (500, 67.5), F3 at (1000, 242.5); bearers are 45 mm wide, row D from x 2000.
    found = placed_on_base(
        points(("B2", 498, 70), ("x", 980, 250), ("y", 760, 41), ("z", 2200, 424)), reading_room
    )
    assert found["support"].tolist() == ["B2", "F3", "", ""]
    assert found["bearer"].tolist() == ["B", "F", "B", "D"]
    assert found["own_x_mm"].tolist() == [498, 980, 760, 2200]
    assert found["lift_share"].tolist() == pytest.approx([0, 1, 0, (402.5 - 67.5) / 175])


def test_the_edge_of_a_bearer_is_closed_with_5_mm(reading_room: Answer) -> None:
    placed_on_base(points(("edge", 760, 67.5 + 22.5 + 5.0)), reading_room)
    with pytest.raises(Refusal, match=r"point beyond: found \(760, 95\.1\) mm, which lies on no"):
        placed_on_base(points(("beyond", 760, 95.1)), reading_room)


def test_every_stray_point_is_refused_by_name(reading_room: Answer) -> None:
    with pytest.raises(Refusal) as refused:
        placed_on_base(points(("a", 500, 150), ("B2", 500, 67), ("c", -6, 67)), reading_room)
    where = [problem.where for problem in refused.value.problems]
    assert where == ["as_built, point a", "as_built, point c"]


def test_a_supports_name_far_from_it_is_refused(reading_room: Answer) -> None:
    with pytest.raises(Refusal, match=r"point B2: found the place .* 500 mm from support B2"):
        placed_on_base(points(("B2", 1000, 67.5)), reading_room)


def test_of_two_points_at_a_support_the_one_of_its_name_counts(reading_room: Answer) -> None:
    near = placed_on_base(points(("a", 510, 67), ("b", 503, 67), ("F2", 520, 242)), reading_room)
    assert near["support"].tolist() == ["", "B2", "F2"]
    named = placed_on_base(points(("a", 500, 67.5), ("B2", 520, 67)), reading_room)
    assert named["support"].tolist() == ["", "B2"]


def test_rows_of_a_second_run_lie_in_its_own_frame(boot_room: Answer) -> None:
    # Run B goes down the right-hand wall: its own x is the site's y - 510, its own y 3600 - x.
    found = placed_on_base(points(("m", 3532.5, 1500), ("B-F4", 3262.5, 1760)), boot_room)
    assert found["bearer"].tolist() == ["B-B", "B-F"]
    np.testing.assert_allclose(found["own_x_mm"], [990.0, 1250.0], atol=1e-9)  # round-off
    np.testing.assert_allclose(found["own_y_mm"], [67.5, 337.5], atol=1e-9)


def test_without_bearers_only_supports_can_be_read(reading_room: Answer) -> None:
    feet = kit.solve(reading_room.job, "screw feet", before=reading_room)
    found = placed_on_base(points(("B2", 500, 72.5), ("near", 980, 72.5)), feet)
    assert found["support"].tolist() == ["B2", "B3"]
    with pytest.raises(Refusal, match="within 40 mm of a support"):
        placed_on_base(points(("between", 700, 72.5)), feet)


def test_what_is_poured_can_be_read_under_a_whole_unit(reading_room: Answer) -> None:
    poured = kit.solve(reading_room.job, "levelling compound", before=reading_room)
    found = placed_on_base(points(("B2", 500, 9.5), ("middle", 700, 160)), poured)
    assert found["bearer"].tolist() == ["B", ""]
    with pytest.raises(Refusal, match="point out"):
        placed_on_base(points(("out", 700, 340)), poured)


def test_a_name_that_only_looks_like_a_supports_is_refused(
    reading_room: Answer, boot_room: Answer
) -> None:
    # B2 stands at (500, 67.5); B1 and B3 are next to it along the row, F2 across.
    with pytest.raises(
        Refusal, match=r"point A-B44: found .* at the place of B2.*allowed: B2 \("
    ) as one:
        placed_on_base(points(("A-B44", 503, 67.5)), reading_room)
    assert "F2" in str(one.value)
    with pytest.raises(Refusal, match=r"point b2: .*at the place of B2"):
        placed_on_base(points(("b2", 503, 67.5)), reading_room)
    at = boot_room.supports.set_index("support").loc["B-F4"]
    with pytest.raises(Refusal, match=r"point F4: .*at the place of B-F4"):
        placed_on_base(points(("F4", at["x_mm"], at["y_mm"])), boot_room)
    assert placed_on_base(points(("peg 1", 503, 67.5)), reading_room)["support"].tolist() == ["B2"]
