"""Where the other base would win: each setting turned, both bases solved anew at every position.

Nothing is extrapolated: a turning point is told as two positions, the last at which the base that
wins now still does (or none does) and the first at which the other one wins, both solved. Both
are solved as if there were as many packers and feet as wanted: what is short can be bought.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.answer import solve_on
from kit.job import Base, Job, Refusal
from kit.parts import Answer, Survey
from kit.side_by_side.comparison import Comparison
from kit.side_by_side.doubt import well_stocked
from kit.side_by_side.limits import Limit, limits_of
from kit.side_by_side.measures import measures_of
from kit.side_by_side.position import Setting
from kit.side_by_side.settings import settings_of
from kit.side_by_side.stop import Side, Stop

#: Positions at which a setting is looked at before its turning points are closed in on.
POSITIONS = 9

#: A turning point is closed in to this part of the way that its setting was turned.
CLOSE = 1 / 200

#: Called with what is being turned, and how far that has come (0 to 1).
Progress = Callable[[str, float], None]


@dataclass(frozen=True, eq=False)
class Turning:
    """Where a setting makes the other base win by one measure, or that it does not.

    Parameters
    ----------
    setting : Setting
        What is turned.
    key, measure, unit : str
        By what is judged.
    names : tuple of str
        Of both bases.
    now : Stop
        Where the setting stands.
    last, first : Stop
        The last position where that is as now, and the first where it is not; both ``now`` where
        it turns nowhere.
    until : Stop
        How far, of the positions looked at, the other base goes on winning from ``first`` on.
    """

    setting: Setting
    key: str
    measure: str
    unit: str
    names: tuple[str, str]
    now: Stop
    last: Stop
    first: Stop
    until: Stop

    @property
    def turns(self) -> bool:
        """Whether the other base wins anywhere between the ends of the setting."""
        return self.first is not self.now

    @property
    def winner_now(self) -> str:
        """Name of the base that wins now; empty where neither does."""
        return self._name(self.now.winner(self.key))

    @property
    def winner_beyond(self) -> str:
        """Name of the base that wins beyond; empty where it turns nowhere."""
        return self._name(self.first.winner(self.key)) if self.turns else ""

    @property
    def why(self) -> str:
        """Why a base cannot be built beyond, where that is what turns it."""
        return (self.first.a.refused or self.first.b.refused) if self.turns else ""

    def _name(self, side: str) -> str:
        return {"a": self.names[0], "b": self.names[1]}.get(side, "")


@dataclass(frozen=True, eq=False)
class Sweep:
    """One setting turned from end to end.

    Parameters
    ----------
    setting : Setting
        What was turned.
    names : tuple of str
        Of both bases.
    stops : tuple of Stop
        Every position that was solved, ascending.
    turnings : tuple of Turning
        One for each measure that it can decide, downwards and upwards where it turns both ways.
    limits : tuple of Limit
        Where either base passes a limit of what carries it.
    """

    setting: Setting
    names: tuple[str, str]
    stops: tuple[Stop, ...]
    turnings: tuple[Turning, ...]
    limits: tuple[Limit, ...] = ()

    def table(self) -> pd.DataFrame:
        """Return every position: value, supports of both, and both figures of each measure."""
        rows = []
        for stop in self.stops:
            row: dict[str, object] = {self.setting.words: stop.value}
            for name, side in zip(self.names, (stop.a, stop.b), strict=True):
                row[f"supports, {name}"] = side.supports or math.nan
                for key in self.setting.criteria:
                    row[f"{key}, {name}"] = side.value(key)
            rows.append(row)
        return pd.DataFrame(rows)


class _Solver:
    """Both bases at any position of one setting, each solved once."""

    def __init__(self, comparison: Comparison, setting: Setting) -> None:
        self._pair = comparison.a, comparison.b
        self._setting = setting
        self.stops: dict[float, Stop] = {}

    def at(self, value: float) -> Stop:
        if value not in self.stops:
            position = self._setting.at(value)
            sides = [
                _side(*well_stocked(job, base), position.survey, answer)
                for job, base, answer in zip(position.jobs, position.bases, self._pair, strict=True)
            ]
            self.stops[value] = Stop(value, *sides)
        return self.stops[value]


def _side(job: Job, base: Base, survey: Survey, before: Answer) -> Side:
    known = before if survey is before.survey else None
    try:
        answer = solve_on(job, survey, base, before=known)
    except Refusal as refusal:
        problem = refusal.problems[-1]  # what the readings leave in doubt stands before it
        return Side({}, refused=f"{problem.found}; allowed: {problem.allowed}")
    measures = {measure.key: measure for measure in measures_of(answer)}
    return Side(measures, supports=len(answer.supports))


def turning_points(
    comparison: Comparison,
    settings: Iterable[Setting] | None = None,
    *,
    progress: Progress = lambda _words, _share: None,
) -> tuple[Sweep, ...]:
    """Turn the settings of a job and find where the other base wins.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    settings : iterable of Setting, optional
        What to turn; all of `settings_of` unless given.
    progress : callable, optional
        Told what is being turned and how far it has come.

    Returns
    -------
    tuple of Sweep
        One a setting. A turning that comes and goes between two of the positions looked at is
        not seen.
    """
    chosen = tuple(settings_of(comparison.a, comparison.b) if settings is None else settings)
    return tuple(_sweep(comparison, setting, progress) for setting in chosen)


def _sweep(comparison: Comparison, setting: Setting, progress: Progress) -> Sweep:
    solver = _Solver(comparison, setting)
    places = _places(setting)
    for number, value in enumerate(places):
        progress(setting.words, number / len(places))
        solver.at(value)
    now = solver.at(setting.now)
    keys = [key for key in setting.criteria if key in {**now.a.measures, **now.b.measures}]
    turnings = tuple(
        turning for key in keys for turning in _turnings(comparison, setting, solver, key, places)
    )
    close = CLOSE * (setting.high - setting.low)
    limits = limits_of(setting, comparison.names, places, solver.at, close)
    progress(setting.words, 1.0)
    stops = tuple(solver.stops[value] for value in sorted(solver.stops))
    return Sweep(setting, comparison.names, stops, turnings, limits)


def _places(setting: Setting) -> list[float]:
    even = np.linspace(setting.low, setting.high, POSITIONS).tolist()
    return sorted({*even, setting.now})


def _turnings(
    comparison: Comparison, setting: Setting, solver: _Solver, key: str, places: list[float]
) -> list[Turning]:
    """Return where a measure turns below and above now; one that turns nowhere if neither."""
    now = solver.at(setting.now)
    here = places.index(setting.now)
    found = []
    for way in (places[here::-1], places[here:]):
        pair = _first_change(solver, key, way)
        if pair:
            last, first = _closed_in(solver, key, *pair, CLOSE * (setting.high - setting.low))
            found.append((last, first, _until(solver, key, first, way)))
    measure = {**now.b.measures, **now.a.measures}[key]
    return [
        Turning(setting, key, measure.measure, measure.unit, comparison.names, now, *stops)
        for stops in found or [(now, now, now)]
    ]


def _until(solver: _Solver, key: str, first: Stop, way: list[float]) -> Stop:
    """Return the last position, going one way, up to which the winner of the first one wins."""
    wins, until = first.winner(key), first
    for value in way:
        if abs(value - way[0]) <= abs(first.value - way[0]):
            continue
        stop = solver.at(value)
        if stop.winner(key) != wins:
            break
        until = stop
    return until


def _first_change(solver: _Solver, key: str, way: list[float]) -> tuple[Stop, Stop] | None:
    """Return the two positions between which another base begins to win, going one way."""
    begins = solver.at(way[0])
    before = begins
    for value in way[1:]:
        stop = solver.at(value)
        if _other(begins, stop, key):
            return before, stop
        before = stop
    return None


def _other(begins: Stop, stop: Stop, key: str) -> bool:
    return bool(stop.winner(key)) and stop.winner(key) != begins.winner(key)


def _closed_in(
    solver: _Solver, key: str, last: Stop, first: Stop, close: float
) -> tuple[Stop, Stop]:
    wins = first.winner(key)
    while abs(first.value - last.value) > close:
        middle = solver.at((first.value + last.value) / 2)
        if middle.winner(key) == wins:
            first = middle
        else:
            last = middle
    return last, first
