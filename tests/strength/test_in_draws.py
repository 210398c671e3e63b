"""How sure it is that a stack is idle, over random floors."""

from __future__ import annotations

import numpy as np
import pytest

from kit.job import Refusal
from kit.strength.bearers import lay_bearers
from kit.strength.in_draws import idle_shares
from kit.strength.pieces import bearer_pieces

NAMES = ("B1", "B2", "B3", "F1", "F2", "F3")


@pytest.fixture
def pieces(job_of, laid_out):
    job = job_of({"mass_kg": 2.0, "contents_kg": 0.0})
    layout, cuts = laid_out(job)
    return bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)


def test_a_floor_known_exactly_gives_all_or_nothing(pieces):
    errors = dict.fromkeys(NAMES, 0.0) | {"B2": -0.4}
    shares = idle_shares(pieces, errors, dict.fromkeys(NAMES, np.zeros(3)))
    back = lay_bearers(pieces, errors, 1)[0]
    assert [name for name, _ in back.idle] == ["B2"]
    assert shares == dict.fromkeys(NAMES, 0.0) | {"B2": 1.0}


def test_each_floor_counts_once(pieces):
    """The middle stack ends 0.4 mm low on a level floor; a floor 0.5 mm higher there lifts it."""
    errors = dict.fromkeys(NAMES, 0.0) | {"B2": -0.4}
    level = np.zeros(4)
    raised = np.array([0.0, 0.5, 0.0, 0.0])
    shares = idle_shares(pieces, errors, dict.fromkeys(NAMES, level) | {"B2": raised})
    assert shares["B2"] == 0.75


def test_a_floor_that_is_higher_as_a_whole_changes_nothing(pieces):
    rng = np.random.default_rng(5)
    errors = dict(zip(NAMES, rng.uniform(-0.5, 0.5, 6), strict=True))
    floors = {name: rng.normal(0, 0.3, 40) for name in NAMES}
    shares = idle_shares(pieces, errors, floors)
    assert shares == idle_shares(pieces, errors, {name: one + 7 for name, one in floors.items()})
    assert any(0 < share < 1 for share in shares.values())


def test_floors_must_be_the_same_for_all(pieces):
    errors = dict.fromkeys(NAMES, 0.0)
    some = dict.fromkeys(NAMES, np.zeros(4)) | {"B1": np.zeros(3)}
    with pytest.raises(Refusal, match=r"found \[3, 4\] floors"):
        idle_shares(pieces, errors, some)
    with pytest.raises(Refusal, match=r"found \[0\] floors"):
        idle_shares(pieces, errors, dict.fromkeys(NAMES, np.zeros(0)))
