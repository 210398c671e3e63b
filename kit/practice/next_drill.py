"""Which drill comes next for an apprentice: by a plain rule that is printed beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kit.practice.drill import Drill
from kit.practice.grades import GRADES, Grade
from kit.practice.record import Record

#: A drill is settled at a grade by so many first tries of so many marks or more.
ENOUGH_TRIES, ENOUGH_MARKS = 2, 80

#: The rule in words.
RULE = (
    "Next drill: drills are taken in the order of the work on site, on "
    + ", then ".join(grade.name for grade in GRADES)
    + f" floors. A drill is settled at a grade by {ENOUGH_TRIES} first tries of {ENOUGH_MARKS} "
    "marks or more on floors of that grade or a worse one; the first one that is not settled is "
    "next. Only the first try on a floor counts: after it the worked answer is shown."
)


@dataclass(frozen=True)
class NextDrill:
    """What an apprentice should do next.

    Parameters
    ----------
    drill, title, grade : str
        Key and title of the drill, name of the grade.
    why : str
        By the rule, with this apprentice's figures.
    """

    drill: str
    title: str
    grade: str
    why: str


def next_drill(drills: Sequence[Drill], first_tries: Sequence[Record]) -> NextDrill:
    """Find the next drill by `RULE`.

    Parameters
    ----------
    drills : sequence of Drill
        One or more, in the order of the work on site.
    first_tries : sequence of Record
        Of one apprentice.

    Returns
    -------
    NextDrill
        Where everything is settled, the drill with the lowest last marks at the worst grade, the
        first of those that have the same.
    """
    for place, grade in enumerate(GRADES):
        counted = [one.name for one in GRADES[place:]]
        for drill in drills:
            tries = [one for one in first_tries if one.drill == drill.key and one.grade in counted]
            good = sum(one.marks >= ENOUGH_MARKS for one in tries)
            if good < ENOUGH_TRIES:
                return NextDrill(drill.key, drill.title, grade.name, _why(grade, good, tries))
    return _all_settled(drills, first_tries)


def _why(grade: Grade, good: int, tries: Sequence[Record]) -> str:
    worst = GRADES[-1].name
    floors = f"{grade.name} floors" if grade.name == worst else f"{grade.name} or worse floors"
    if not tries:
        wanted = f"{ENOUGH_TRIES} first tries with {ENOUGH_MARKS} marks or more are wanted"
        return f"not tried yet on {floors}; {wanted}"
    had = f"{good} of {len(tries)} first tries on {floors} had {ENOUGH_MARKS} marks or more"
    return f"{had}; {ENOUGH_TRIES} are wanted"


def _all_settled(drills: Sequence[Drill], first_tries: Sequence[Record]) -> NextDrill:
    grade = GRADES[-1].name

    def last_marks(drill: Drill) -> int:
        mine = [one for one in first_tries if one.drill == drill.key and one.grade == grade]
        return mine[-1].marks

    lowest = min(drills, key=last_marks)
    why = (
        f"every drill is settled on {grade} floors; of all this one had the lowest last marks, "
        f"{last_marks(lowest)}: take a new floor"
    )
    return NextDrill(lowest.key, lowest.title, grade, why)
