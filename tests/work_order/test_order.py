"""The order of the work on a demo job: every stack once, every packer in a crate."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import kit
from kit.job import Refusal
from kit.work_order import order_of_work
from kit.work_order.stacks_to_build import sizes_count, sizes_text

ROOM = Path(__file__).parents[2] / "data" / "reading-room"


@pytest.fixture(scope="module")
def solved():
    job = kit.read_job(ROOM)
    stock = job.stock.model_copy(update={"crate_kg": 0.8})
    first = kit.solve(job.model_copy(update={"stock": stock}))
    return {"north wall": first, "again": kit.solve(first.job, "stacks without bearers")}


@pytest.fixture(scope="module")
def ordered(solved):
    return order_of_work(solved, (0.0, 2000.0))


def test_every_stack_once_with_its_own_packers(solved, ordered):
    for name, answer in solved.items():
        steps = ordered.steps[ordered.steps["zone"] == name].set_index("support")
        assert sorted(steps.index) == sorted(answer.supports["support"])
        for support, laid in answer.stacks.groupby("support"):
            sizes = laid.sort_values("position")["nominal_mm"]
            assert steps.loc[support, "packers"] == " ".join(f"{s:g}" for s in sizes)
            assert steps.loc[support, "packing_mm"] == pytest.approx(laid["thickness_mm"].sum())
    assert ordered.steps["step"].tolist() == list(range(1, len(ordered.steps) + 1))


def test_packing_lists_are_the_stacks_counted(solved, ordered):
    for name, answer in solved.items():
        listed = ordered.packing_lists[ordered.packing_lists["zone"] == name]
        counted = answer.stacks["nominal_mm"].value_counts()
        assert dict(zip(listed["size_mm"], listed["count"], strict=True)) == counted.to_dict()


def test_crates_hold_one_zone_and_no_more_than_they_may(ordered):
    assert (ordered.crates["mass_kg"] <= 0.8 + 1e-9).all()
    assert ordered.steps.groupby("crate")["zone"].nunique().max() == 1
    assert ordered.steps["crate"].is_monotonic_increasing
    assert ordered.crates["stacks"].sum() == len(ordered.steps)
    first = ordered.steps[ordered.steps["crate"] == 1]
    assert ordered.crates["from_support"].iloc[0] == first["support"].iloc[0]
    assert ordered.crates["to_support"].iloc[0] == first["support"].iloc[-1]
    packers = first["packers"].str.split().explode()
    told = {float(p.split(" x ")[1]): int(p.split(" x ")[0])
            for p in ordered.crates["packers"].iloc[0].split(", ")}  # fmt: skip
    assert told == packers.astype(float).value_counts().to_dict()


def test_mass_is_volume_times_density(ordered):
    one = ordered.steps.iloc[0]
    # 75 x 45 mm packers at 0.91 kg/l.
    assert one["mass_kg"] == pytest.approx(one["packing_mm"] * 75 * 45 / 1e6 * 0.91)


def test_walks_start_where_the_one_before_ended(ordered):
    x, y = ordered.steps["x_mm"].to_numpy(), ordered.steps["y_mm"].to_numpy()
    far = np.hypot(np.diff(x, prepend=0.0), np.diff(y, prepend=2000.0))
    np.testing.assert_allclose(ordered.steps["walk_mm"], far, rtol=1e-12)  # rounding


def test_minutes_are_the_answers_own_steps_with_walk_and_crates(solved, ordered):
    for name, answer in solved.items():
        stacking = answer.work[answer.work["operation"].isin(
            ["mark out and level a support", "lay a packer"])]["minutes"].sum()  # fmt: skip
        screws = answer.screws["length_mm"].notna().sum() * answer.job.rates.screw_min
        pace = ordered.pace.set_index("zone").loc[name]
        walked = pace["walk_m"] / 40.0 + 3.0 * pace["crates"]
        assert pace["minutes"] == pytest.approx(stacking + screws + walked)
        assert pace["stacks_per_hour"] == pytest.approx(60 * pace["stacks"] / pace["minutes"])
    both = ordered.pace.set_index("zone")
    assert both.loc["all", "minutes"] == pytest.approx(both["minutes"].iloc[:-1].sum())
    assert both.loc["all", "crates"] == ordered.crates["crate"].max()


def test_a_base_without_stacks_is_refused(solved):
    feet = kit.solve(solved["again"].job, "screw feet")
    with pytest.raises(Refusal, match=r"screw feet.*feet"):
        order_of_work({"a": feet}, (0.0, 0.0))
    with pytest.raises(Refusal, match="no zone"):
        order_of_work({}, (0.0, 0.0))


def test_sizes_typed_as_decimal_inches_are_clean_in_the_tables():
    # 0.3937 in = 9.99998 mm, 0.0394 in = 1.00076 mm, 1/16 in = 1.5875 mm, 1/64 in = 0.396875 mm
    sizes = pd.Series([0.3937, 0.0394, 1 / 16, 1 / 64, 0.75, 0.1969]) * 25.4
    assert sizes_text(sizes) == "10 1 1.5875 0.3969 19.05 5"
    sixty_fourths = pd.Series(range(1, 257)) / 64 * 25.4  # each stays what it is, to 4 digits
    kept = [float(size) for size in sizes_text(sixty_fourths).split()]
    assert kept == pytest.approx(sixty_fourths.tolist(), abs=5.1e-5)
    assert sizes_count(pd.Series(["10 1.5875", "10"])) == {10.0: 2, 1.5875: 1}
