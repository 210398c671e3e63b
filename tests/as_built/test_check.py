"""A finished base from its table to the verdict; and what verdicts and changes are worth."""

import shutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import kit
from kit.as_built import Checked, check_base
from kit.as_built.changes_exact import Best, fewest_changes
from kit.as_built.judged import judge
from kit.as_built.level import best_level
from kit.as_built.stack_menu import ChangeTask
from kit.base.stack_rules import StackRules, to_mm, to_units
from kit.job import Job, Refusal
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"

Staff = Callable[..., list[tuple[object, ...]]]


@pytest.fixture(scope="module")
def demo(reading_room: Answer) -> Checked:
    return check_base(reading_room.job, answer=reading_room)


def test_the_demo_finds_the_two_stacks_that_were_built_wrong(demo: Checked) -> None:
    verdicts = demo.supports.set_index("support")["verdict"]
    assert verdicts.index[verdicts == "outside"].tolist() == ["B5", "F8"]
    changed = demo.changes.changed.set_index("support")
    assert changed.index.tolist() == ["B5", "F8"]
    assert changed["stack_after"].tolist() == ["18 3 18", "18 6 3 18"]  # as planned
    assert (demo.changes.opened, demo.changes.handled) == (2, 3)
    assert demo.verdict == "outside"


def test_the_tables_of_the_demo_are_those_of_its_maker(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import importlib.util

    shutil.copytree(DATA / "reading-room", tmp_path / "reading-room")
    spec = importlib.util.spec_from_file_location("make_floors", DATA / "make_floors.py")
    assert spec is not None
    assert spec.loader is not None
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    monkeypatch.setattr(maker, "HERE", tmp_path)
    for name in ("as-built.csv", "as-built-stacks.csv"):
        (tmp_path / "reading-room" / name).unlink()
    maker.make_reading_room_base()
    for path in (DATA / "reading-room").iterdir():
        assert (tmp_path / "reading-room" / path.name).read_bytes() == path.read_bytes()


def test_a_level_base_is_within_all_through(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    job = as_read(reading_room, staff(reading_room, lambda _x, _y: 53.7), tolerance_mm=1.0)
    checked = check_base(job, answer=reading_room)
    assert checked.verdict == checked.units_verdict == "within"
    assert checked.supports["off_mm"].abs().max() < 1e-5  # readings to 1e-6 mm
    # Against the mean of 24: 0.1 / sqrt(2) * sqrt(1 - 1/24).
    expected = 0.1 / np.sqrt(2) * np.sqrt(1 - 1 / 24)
    assert checked.supports["sd_mm"].to_numpy() == pytest.approx(expected, rel=1e-6)
    assert checked.changes.opened == 0
    assert checked.supports["off_plan_mm"].isna().all()
    assert checked.tolerance_mm == 1.0


def test_against_the_plan_where_the_benchmark_was_read(
    market_counter: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    floor, plan = market_counter.job.floor, market_counter.datum
    rows = [
        *staff(market_counter, lambda _x, _y: plan.base_top_mm + 0.7),
        ("T1", floor.benchmark, 1290.25 - floor.benchmark_mm),
        ("T2", floor.benchmark, 1311.5 - floor.benchmark_mm),
    ]
    checked = check_base(as_read(market_counter, rows), answer=market_counter)
    assert checked.tops.absolute
    assert checked.supports["off_plan_mm"].to_numpy() == pytest.approx(0.7, abs=1e-5)
    # The benchmark's own readings count in the doubt against the plan, not in that of the level.
    assert (checked.supports["off_plan_sd_mm"] > checked.supports["sd_mm"]).all()
    assert checked.tolerance_mm == market_counter.base.tolerance_mm


def test_unread_supports_are_told_and_the_rest_is_judged(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    rows = staff(reading_room, lambda _x, _y: 53.7, leave=("B4", "D2"))
    checked = check_base(as_read(reading_room, rows, tolerance_mm=1.0), answer=reading_room)
    assert checked.unread == ("B4", "D2")
    assert checked.changes.unread == ("B4", "D2")
    assert checked.verdict == "not read"
    assert Counter(checked.supports["verdict"]) == {"within": 22, "not read": 2}


def test_every_way_of_building_can_be_checked(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    for base in reading_room.job.bases:
        answer = kit.solve(reading_room.job, base.name, before=reading_room)
        rows = staff(answer, lambda x, _y: 40 + 3.0 * (x > 3300))
        checked = check_base(as_read(answer, rows, tolerance_mm=1.0), answer=answer)
        assert checked.verdict == "outside"
        off = checked.supports["off_mm"]
        assert off.max() - off.min() == pytest.approx(3.0, abs=1e-5)
        assert checked.changes.on_packers == (base.method in {"packers", "stacks"})
        assert len(checked.units) == 4


def test_what_cannot_be_checked_is_refused(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    without = reading_room.job.model_copy(update={"as_built": None})
    with pytest.raises(Refusal, match=r"job\.toml, as_built: found no such table"):
        check_base(without, answer=reading_room)
    rows = [("T", "B1", 1200)]
    with pytest.raises(Refusal, match=r"as_built\.base: found 'none of these'"):
        check_base(as_read(reading_room, rows, base="none of these"), answer=reading_room)
    with pytest.raises(Refusal, match="found base 'bearers on packers'; allowed: that of base"):
        check_base(as_read(reading_room, rows, base="screw feet"), answer=reading_room)


TOLERANCE_MM, SD_MM, SURVEYS = 0.8, 0.2, 100


def made_base(seed: int, supports: int) -> tuple[np.ndarray, np.ndarray]:
    """Return true tops, two of which are wrong, and two readings of each with their noise."""
    draw = np.random.default_rng(seed)
    true = draw.normal(0, 0.3, supports)
    true[draw.choice(supports, 2, replace=False)] += draw.choice([-3.0, 2.0, 3.0, -6.0], 2)
    return true, np.round(true + draw.normal(0, SD_MM, (2, supports)), 4)


def test_verdicts_and_changes_over_100_surveys(reading_room: Answer) -> None:
    """Take the mean of two readings for the adjusted height, as the next test shows it to be."""
    rules = StackRules(TOLERANCE_MM, 9, 100.0, 3.0)
    packers = reading_room.job.stock.packers
    standing = np.array(
        [[stack.count(kind) for kind in range(4)] for stack in reading_room.datum.plan.stacks[:10]]
    )
    doubt = SD_MM / np.sqrt(2) * np.sqrt(1 - 1 / 10)
    told: Counter[tuple[str, bool]] = Counter()
    worst_after, opened = [], 0
    for seed in range(SURVEYS):
        true, read = made_base(seed, 10)
        top = read.mean(axis=0)
        level = best_level(top, TOLERANCE_MM).level_mm
        true = true + (top - true).mean()  # heights are among themselves
        for one, other in zip(top - level, true - level, strict=True):
            told[judge(one, TOLERANCE_MM, doubt), abs(other) <= TOLERANCE_MM] += 1
        task = ChangeTask(
            names=tuple("abcdefghij"),
            tops=to_units(top),
            standing=standing,
            thickness=to_units([packer.thickness_mm for packer in packers]),
            left=np.array([3, 3, 2, 1]),
            rules=rules,
        )
        found = fewest_changes(task)
        assert isinstance(found, Best)
        after = true + to_mm(found.tops - task.tops) - to_mm(found.level)
        worst_after.append(float(np.abs(after).max()))
        opened += found.opened
    within, outside = told["within", True], told["outside", False]
    # 2 sd on one side: 2.3 % of those right at the limit would be told wrong, fewer of all.
    assert told["within", False] <= 0.023 * (within + told["within", False])
    assert told["outside", True] <= 0.023 * (outside + told["outside", True])
    assert outside >= 1.5 * SURVEYS  # two of each are wrong, and most of them are told
    assert within >= 3 * SURVEYS
    # Of 1,000 heights the worst errs by 3.3 sd or so; the tolerance is closed.
    assert max(worst_after) <= TOLERANCE_MM + 4.5 * doubt
    assert np.quantile(worst_after, 0.95) <= TOLERANCE_MM + 2.5 * doubt
    assert 2 * SURVEYS * 0.9 <= opened <= 3 * SURVEYS


@pytest.mark.parametrize("seed", range(4))
def test_a_survey_from_its_table_is_the_mean_of_its_readings(
    reading_room: Answer, as_read: Callable[..., Job], seed: int
) -> None:
    names = reading_room.supports["support"].tolist()
    _, read = made_base(seed, len(names))
    rows = [
        (setup, name, f"{collimation - top:.4f}")
        for setup, collimation, tops in zip(("T1", "T2"), (1290.0, 1311.0), read, strict=True)
        for name, top in zip(names, tops.tolist(), strict=True)
    ]
    job = as_read(reading_room, rows, survey={"sd_mm": SD_MM}, tolerance_mm=TOLERANCE_MM)
    checked = check_base(job, answer=reading_room)
    top = read.mean(axis=0)
    off = top - best_level(top, TOLERANCE_MM).level_mm
    # Readings stand in the table to 1e-4 mm; sums of them lose 1e-9 of that at most.
    assert checked.supports["off_mm"].to_numpy() == pytest.approx(off, abs=1e-8)
    assert checked.changes.possible
    assert checked.changes.greatest_after_mm <= TOLERANCE_MM + 1e-9


def test_doubts_and_verdicts_are_those_of_many_readings(
    reading_room: Answer, as_read: Callable[..., Job]
) -> None:
    """One base, read anew 40 times from two set-ups: what is told against what is true.

    Verdicts are on the level that is told: it is chosen by the readings, and taken as it comes out.
    """
    answer = kit.solve(reading_room.job, "ladder frame", before=reading_room)
    names = answer.supports["support"].tolist()
    true, _ = made_base(11, len(names))
    true[[3, 8]] = 0.95, -0.65  # either side of the limit, and hard to tell
    off_by, told, unjudged = [], Counter[tuple[str, bool]](), 0
    for seed in range(40):
        noise = np.random.default_rng(seed).normal(0, SD_MM, (2, len(names)))
        rows = [
            (setup, name, f"{collimation - top:.4f}")
            for setup, collimation, tops in (("T1", 1290.0, noise[0]), ("T2", 1311.3, noise[1]))
            for name, top in zip(names, (true + tops).tolist(), strict=True)
        ]
        job = as_read(answer, rows, survey={"sd_mm": SD_MM}, tolerance_mm=TOLERANCE_MM)
        checked = check_base(job, answer=answer)
        # Heights are among themselves: the true ones are brought to the mean of those told.
        read = checked.supports["top_mm"].notna().to_numpy()
        # Of some thousand readings a few contradict by chance: these are judged by nobody.
        unjudged += int((~read).sum())
        told_mean = checked.supports["top_mm"].mean() - checked.level.level_mm
        there = true - true[read].mean() + told_mean
        off_by.append((checked.supports["off_mm"].to_numpy() - there)[read])
        for word, off in zip(checked.supports["verdict"][read], there[read], strict=True):
            told[word, abs(off) <= TOLERANCE_MM] += 1
    # 40 surveys of n supports against their mean tell an sd to 1/sqrt(2 · 40 · (n - 1)), 2.3 %.
    found = float(
        np.sqrt(np.mean(np.square(np.concatenate(off_by))) * len(names) / (len(names) - 1))
    )
    stated = float(checked.supports["sd_mm"].iloc[0]) / np.sqrt(1 - 1 / len(names))
    assert found == pytest.approx(SD_MM / np.sqrt(2), rel=0.08)
    assert stated == pytest.approx(SD_MM / np.sqrt(2), rel=1e-6)
    # Beyond 3.29 sd lies one in a thousand (normal tails, table value): 1 of 40 · n on average.
    assert unjudged <= 5
    # 2 sd on one side: 2.3 % of those right at the limit would be told wrong; one of so few more.
    assert told["within", False] <= 0.023 * told["within", True]
    assert told["outside", True] <= 0.023 * told["outside", False] + 1
    assert told["within", True] > 400
    assert told["outside", False] > 40
    assert told["too close to tell", False] > 0 < told["too close to tell", True]
