"""Two bases of one job in a person's hands: which two, what is asked of both, what came of it.

Every wish changes a copy of the job. What cannot be built is kept as problems beside the last
comparison that was good; no wish is ever refused because of an earlier one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kit.answer import Answer, Survey, choose_base, solve_on, survey_floor
from kit.job import Base, Job, Problem, Refusal, amend, refuse
from kit.side_by_side import Comparison, compare
from kit.side_by_side.settings import tilted

#: Floors drawn for each comparison: half of what `kit.compare` draws, so that a hand is answered
#: within a second; a share is then good to 0.1, two standard errors.
FLOORS = 100

#: What can be asked of both bases. Lengths are in mm; contents and fall are times what the job
#: says and what was read.
CONTENTS, FALL, SPAN, TOLERANCE, LOWEST, HIGHEST = WISHES = (
    "contents", "fall", "max_span_mm", "tolerance_mm", "lowest_mm", "highest_mm",
)  # fmt: skip

#: Answers that are kept, so that going back to an earlier wish costs nothing.
_KEPT = 24

Wish = Mapping[str, float]

_Key = tuple[object, ...]


class TwoDesk:
    """A job, two of its bases and what is asked of both.

    Parameters
    ----------
    job : Job
        Stays as it is.
    a, b : str, optional
        Names of the bases, which may be one; the first two that can be built unless given.
    floors : int
        How many floors are drawn for each comparison.

    Attributes
    ----------
    comparison : Comparison
        The last good one.
    asked : tuple of str
        The names that were asked for last.
    wish : mapping of str to float
        What was asked last; what is not in it is as the job says.
    problems : tuple of Problem
        Why what was asked last cannot be; empty where ``comparison`` is its answer.

    Raises
    ------
    Refusal
        Where a base that is named cannot be built, or none of the job can: there is nothing good
        to show then.
    """

    def __init__(
        self, job: Job, a: str | None = None, b: str | None = None, floors: int = FLOORS
    ) -> None:
        self.job, self.floors = job, floors
        self.wish: Wish = MappingProxyType({})
        self.problems: tuple[Problem, ...] = ()
        self._surveys = {1.0: survey_floor(job)}
        self._known: dict[_Key, Answer] = {}
        self.asked = self._first_two(a, b)
        self.comparison = compare(*self._solved(self.asked, self.wish), floors=floors)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all bases of the job."""
        return tuple(base.name for base in self.job.bases)

    @property
    def fall_mm_per_m(self) -> float:
        """Fall of the floor as it was read."""
        return self._surveys[1.0].plane.fall_mm_per_m

    def ask(
        self,
        names: tuple[str, str],
        wish: Wish,
        solved: Callable[[Comparison], None] = lambda _: None,
    ) -> bool:
        """Work out two bases as they are asked for; keep what was there where that cannot be.

        Parameters
        ----------
        names : tuple of str
            The one above and the one below.
        wish : mapping of str to float
            By the words of `WISHES`.
        solved : callable, optional
            Called as soon as both are solved, with a comparison that has the new answers and,
            until the floors are drawn, the measures and odds of the earlier ones.

        Returns
        -------
        bool
            Whether both can be built; ``problems`` says why not.
        """
        self.asked, self.wish = names, MappingProxyType(dict(wish))
        try:
            one, other = self._solved(names, wish)
        except Refusal as refusal:
            self.problems = tuple(dict.fromkeys(refusal.problems))
            return False
        solved(replace(self.comparison, a=one, b=other))
        self.comparison = compare(one, other, floors=self.floors)
        self.problems = ()
        return True

    def own(self, wish: str) -> tuple[float, ...]:
        """Return what the job says itself of a wish, for each of the two that are asked for."""
        if wish in (CONTENTS, FALL):
            return 1.0, 1.0
        return tuple(_own(choose_base(self.job, name), wish) for name in self.asked)

    def _first_two(self, a: str | None, b: str | None) -> tuple[str, str]:
        given = [name for name in (a, b) if name is not None]
        for name in given:
            choose_base(self.job, name)
        free = (name for name in self.names if name not in given and self._can_be_built(name))
        one = a if a is not None else next(free, b)
        other = b if b is not None else next(free, one)
        if one is None or other is None:
            raise refuse("[[base]]", "none that can be built", "at least one that can")
        return one, other

    def _can_be_built(self, name: str) -> bool:
        try:
            self._answer(self.job, 1.0, choose_base(self.job, name))
        except Refusal:
            return False
        return True

    def _solved(self, names: tuple[str, str], wish: Wish) -> tuple[Answer, Answer]:
        job = self._changed(names, wish)
        fall = wish.get(FALL, 1.0)
        answers, problems = [], []
        for name in dict.fromkeys(names):
            try:
                answers.append(self._answer(job, fall, choose_base(job, name)))
            except Refusal as refusal:
                problems += [_of_base(name, problem) for problem in refusal.problems]
        if problems:
            raise Refusal(*problems)
        return answers[0], answers[-1]

    def _changed(self, names: tuple[str, str], wish: Wish) -> Job:
        """Return a copy of the job with the wish in both bases, judged as its file would be."""
        changes: dict[str, object] = {}
        for place, base in enumerate(self.job.bases):
            if base.name in names:
                changes |= _base_changes(place, base, wish)
        if CONTENTS in wish:
            for place, run in enumerate(self.job.runs):
                for number, unit in enumerate(run.units):
                    key = f"run[{place}].unit[{number}].contents_kg"
                    changes[key] = unit.contents_kg * wish[CONTENTS]
        return amend(self.job, changes) if changes else self.job

    def _answer(self, job: Job, fall: float, base: Base) -> Answer:
        key = (base, job.runs, fall)
        found = self._known.pop(key, None)
        if found is None:
            survey = self._survey(fall)
            found = solve_on(job, survey, base, before=self._before(base, survey))
        # The newest stand last, and the first are forgotten.
        self._known[key] = found
        while len(self._known) > _KEPT:
            del self._known[next(iter(self._known))]
        return found

    def _before(self, base: Base, survey: Survey) -> Answer | None:
        """Return the newest answer of that base on that floor, of which much may still hold."""
        return next(
            (
                one
                for one in reversed(self._known.values())
                if one.survey is survey and one.base.name == base.name
            ),
            None,
        )

    def _survey(self, times: float) -> Survey:
        """Return the floor with so many times its fall; the last two tilts are kept."""
        if times not in self._surveys:
            read = self._surveys[1.0]
            tilts = {k: v for k, v in self._surveys.items() if k != 1.0}
            for old in list(tilts)[:-1]:
                del self._surveys[old]
            self._surveys[times] = tilted(read, times * read.plane.fall_mm_per_m)
        return self._surveys[times]


def _own(base: Base, wish: str) -> float:
    if wish in (LOWEST, HIGHEST):
        return base.height_range_mm[wish == HIGHEST]
    return float(getattr(base, wish))


def _base_changes(place: int, base: Base, wish: Wish) -> dict[str, object]:
    changes: dict[str, object] = {
        f"base[{place}].{key}": wish[key] for key in (SPAN, TOLERANCE) if key in wish
    }
    if LOWEST in wish or HIGHEST in wish:
        low, high = base.height_range_mm
        asked = [wish.get(LOWEST, low), wish.get(HIGHEST, high)]
        changes[f"base[{place}].height_mm"] = asked
    return changes


def _of_base(name: str, problem: Problem) -> Problem:
    """Return a problem that says of which base it is."""
    return Problem(f"{name}: {problem.where}", problem.found, problem.allowed)
