from collections.abc import Callable, Sequence

import pytest

from kit.practice.drill import Drill
from kit.practice.next_drill import RULE, next_drill
from kit.practice.record import Record

Make = Callable[..., Record]


def tries(named: Make, text: str) -> list[Record]:
    """Return first tries from words like ``sighting fair 80``, one a comma."""
    parts = [one.split() for one in text.split(",") if one.strip()]
    return [
        named(drill=drill, grade=grade, marks=int(marks), seed=seed)
        for seed, (drill, grade, marks) in enumerate(parts)
    ]


SETTLED = ", ".join(f"{drill} rough 80" for drill in ("sighting", "booking") for _ in range(2))


@pytest.mark.parametrize(
    ("done", "drill", "grade", "why"),
    [
        ("", "sighting", "fair", "not tried yet on fair or worse floors; 2 first tries with 80"
         " marks or more are wanted"),
        ("sighting fair 80", "sighting", "fair", "1 of 1 first tries on fair or worse floors had"
         " 80 marks or more; 2 are wanted"),
        ("sighting fair 80, sighting fair 79, sighting fair 100", "booking", "fair", "not tried"),
        # A worse floor counts for a better one, not the other way round.
        ("sighting rough 80, sighting ordinary 90", "booking", "fair", "not tried"),
        ("sighting rough 80, sighting ordinary 90, booking fair 85, booking fair 95", "booking",
         "ordinary", "not tried yet on ordinary or worse floors"),
        ("sighting ordinary 80, sighting ordinary 90, booking rough 85, booking rough 95",
         "sighting", "rough", "not tried yet on rough floors"),
        (f"{SETTLED}, booking rough 62, booking fair 3", "booking", "rough", "every drill is"
         " settled on rough floors; of all this one had the lowest last marks, 62"),
        (SETTLED, "sighting", "rough", "lowest last marks, 80: take a new floor"),
    ],
)  # fmt: skip
def test_the_first_drill_that_is_not_settled_is_next(
    named: Make, fakes: Sequence[Drill], done: str, drill: str, grade: str, why: str
) -> None:
    found = next_drill(fakes, tries(named, done))
    assert (found.drill, found.grade) == (drill, grade)
    assert why in found.why
    assert found.title == {one.key: one.title for one in fakes}[drill]


def test_the_rule_says_what_is_counted() -> None:
    assert "on fair, then ordinary, then rough floors" in RULE
    assert "2 first tries of 80 marks or more" in RULE
