"""Two bases on drawn floors: the same floors for both, and what follows on each."""

from __future__ import annotations

import numpy as np
import pytest

import kit
from kit.base.datum import Datum
from kit.methods import Lie, as_expected, method_of
from kit.side_by_side.doubt import Doubt, Drawn, draw

SURE = np.array([True] * 8)


def doubt(a: list[float], b: list[float], a_built: object = SURE) -> Doubt:
    one = Drawn(np.asarray(a_built, dtype=bool), {"things": np.array(a)})
    return Doubt(8, one, Drawn(SURE, {"things": np.array(b)}))


def test_shares_are_of_the_floors_on_which_both_can_be_built() -> None:
    built = [True, True, True, True, True, False, True, False]
    odds = doubt([1, 2, 3, 4, 5, 6, 7, 8], [2, 3, 3, 5, 4, 9, 9, 9], built).odds("things")
    assert odds.floors == 6
    assert (odds.a_less, odds.b_less) == (pytest.approx(4 / 6), pytest.approx(1 / 6))
    # Differences -1, 0, 1, 1, 1, 2: their median, and the ends as numpy's linear rule puts them.
    assert odds.difference == pytest.approx((-1 + 0.125, 1.0, 2 - 0.125))


def test_what_is_not_drawn_has_no_odds() -> None:
    assert not doubt([1] * 8, [2] * 8).odds("reaction_N").drawn


def test_what_was_drawn_and_never_known_is_told_from_what_was_not_drawn() -> None:
    for odds in (
        doubt([np.nan] * 8, [2] * 8).odds("things"),
        doubt([1] * 8, [2] * 8, [False] * 8).odds("things"),
    ):
        assert (odds.drawn, odds.floors, odds.of) == (True, 0, 8)


def test_the_same_seed_gives_the_same_floors_and_another_gives_others(answer_of) -> None:
    a, b = (answer_of("reading-room", name) for name in ("bearers on packers", "screw feet"))
    first, again, other = draw(a, b, 12, 3), draw(a, b, 12, 3), draw(a, b, 12, 4)
    assert first.a.values["packers"].tolist() == again.a.values["packers"].tolist()
    assert first.a.values["top_mm"].tolist() != other.a.values["top_mm"].tolist()


def test_on_every_floor_a_looser_tolerance_takes_no_more_packers(job_of, answer_of) -> None:
    """What is best among more is no worse: only true on each floor if both stand on the same."""
    strict = answer_of("reading-room", "bearers on packers")
    loose = kit.solve(
        with_base(job_of("reading-room"), strict.base.model_copy(update={"tolerance_mm": 0.9})),
        before=strict,
    )
    drawn = draw(strict, loose, 80)
    assert (drawn.b.values["packers"] <= drawn.a.values["packers"]).all()
    assert (drawn.b.values["packers"] < drawn.a.values["packers"]).mean() > 0.9


def with_base(job, base):
    return job.model_copy(update={"bases": (base,)})


@pytest.mark.parametrize("base", ["bearers on packers", "screw feet", "ladder frame",
                                  "levelling compound", "stacks without bearers"])  # fmt: skip
def test_on_the_floor_as_expected_it_comes_to_what_was_answered(answer_of, base: str) -> None:
    """What is worked out on each floor is what the answer is made of."""
    answer = answer_of("reading-room", base)
    method, ground, lie = method_of(answer.base), answer.ground, as_expected(answer.ground)
    datum: Datum = method.set_level(answer.job, answer.base, ground, lie)
    bill = method.bill(answer.job, answer.base, ground, lie, datum, answer.screws)
    assert datum.datum_mm == answer.datum.datum_mm
    assert (bill.items, bill.work) == (answer.bill.items, answer.bill.work)


@pytest.mark.parametrize("base", ["bearers on packers", "screw feet", "ladder frame",
                                  "levelling compound", "stacks without bearers"])  # fmt: skip
def test_a_floor_that_lies_higher_lifts_the_base_and_nothing_else(answer_of, base: str) -> None:
    """All heights are above the high point: a floor raised by 7.25 mm asks for the same things."""
    answer = answer_of("reading-room", base)
    method, ground, lie = method_of(answer.base), answer.ground, as_expected(answer.ground)
    up = Lie(lie.supports_mm + 7.25, lie.under_mm + 7.25, lie.high_point_mm + 7.25)
    job = answer.job.model_copy(
        update={"room": answer.job.room.model_copy(update={"ceiling_mm": None})}
    )
    datum = method.set_level(job, answer.base, ground, up)
    bill = method.bill(job, answer.base, ground, up, datum, answer.screws)
    assert datum.datum_mm == pytest.approx(answer.datum.datum_mm + 7.25, abs=1e-6)
    assert [i.count for i in bill.items] == [i.count for i in answer.bill.items]


def test_bags_that_are_short_are_bought_on_drawn_floors(answer_of) -> None:
    """A bag that just suffices on the expected floor refuses no drawn floor."""
    ample = answer_of("reading-room", "bearers on packers")
    used = ample.take_off.set_index(["item", "size_mm"])["count"]
    packers = tuple(
        one.model_copy(update={"count": int(used.get(("packer", one.mm), 0))})
        for one in ample.job.stock.packers
    )
    stock = ample.job.stock.model_copy(update={"packers": packers})
    short = kit.solve(ample.job.model_copy(update={"stock": stock}), before=ample)
    assert draw(short, short, 20).a.built.all()


def test_a_floor_too_uneven_for_the_heights_allowed_cannot_be_built_on(answer_of, job_of) -> None:
    """A compound whose greatest depth just reaches the lowest place: some floors are deeper."""
    answer = answer_of("reading-room", "levelling compound")
    compound = answer.base.compound
    assert compound is not None
    deepest = float(answer.details["zones.csv"]["greatest_mm"].max())
    tight = compound.model_copy(update={"greatest_mm": deepest + 0.05})
    base = answer.base.model_copy(update={"compound": tight})
    built = kit.solve(with_base(job_of("reading-room"), base), before=answer)
    share = draw(built, built, 80).a.built.mean()
    assert 0.05 < share < 0.95
    assert draw(answer, answer, 80).a.built.all()


def test_drawn_floors_scatter_as_the_surface_says(answer_of) -> None:
    """The compound's volume is linear in the floor: its scatter against the exact covariance.

    Reference: var(w·z) = wᵀ C w with the joint covariance of the nodes, worked out apart.
    """
    answer = answer_of("reading-room", "levelling compound")
    known = answer.ground.known
    x, y = known["x_mm"].to_numpy(), known["y_mm"].to_numpy()
    _, covariance = answer.surface.joint(x, y)
    drawn = draw(answer, answer, 400)
    # The base top follows the highest place; what the top has not, the mean depth has.
    tops = drawn.a.values["top_mm"]
    highest = int(np.argmax(known["height_mm"].to_numpy()))
    # The highest of correlated places scatters no more than the one that is expected highest, and
    # not much less: within a factor of two, by far the wider than the sampling error of 400.
    expected = float(np.sqrt(covariance[highest, highest]))
    assert 0.5 * expected < tops.std() < 1.1 * expected
    assert tops.mean() > answer.datum.base_top_mm  # the highest of many is above its expectation
