"""How many zones somebody asks for: one number for all runs, or one for each that is named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from numbers import Integral

from kit.job import Problem, Refusal, Run

Asked = int | Mapping[str, int] | None

#: Zones that a run may be asked to have at most, as ``base.levels.most`` may say.
MOST_ZONES = 50


def numbers_asked(asked: Asked, runs: Sequence[Run]) -> dict[str, int]:
    """Return the number of zones that is asked for of each run; a run that is not there is free.

    Parameters
    ----------
    asked : int, mapping of str to int, or None
        One number for every run, one for each run that is named, or none for any.
    runs : sequence of Run
        Of the job.

    Raises
    ------
    Refusal
        Where a run is not one of the job's, or a number is not a whole one from 1 to 50.
    """
    if asked is None:
        return {}
    known = [run.name for run in runs]
    told = asked if isinstance(asked, Mapping) else dict.fromkeys(known, asked)
    wrong = [
        Problem("zones", f"run {name!r}", "the job's runs: " + ", ".join(known))
        for name in told
        if name not in known
    ]
    by_place = {
        f"zones of run {name}" if isinstance(asked, Mapping) else "zones": number
        for name, number in told.items()
    }
    wrong += [
        Problem(place, str(number), "a whole number, 1 or more")
        for place, number in by_place.items()
        if not _is_number(number)
    ]
    wrong += [
        Problem(place, str(number), f"at most {MOST_ZONES} zones in a run")
        for place, number in by_place.items()
        if _is_number(number) and int(number) > MOST_ZONES
    ]
    if wrong:
        raise Refusal(*wrong)
    return {name: int(number) for name, number in told.items()}


def _is_number(number: object) -> bool:
    return isinstance(number, Integral) and not isinstance(number, bool) and int(number) >= 1
