"""The one way in which the kit says no."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing that stands in the way of an answer.

    Parameters
    ----------
    where : str
        File, row or key, for example ``"readings.csv, row 7, reading_mm"``.
    found : str
        What stands there now.
    allowed : str
        What may stand there, or what to do about it.
    """

    where: str
    found: str
    allowed: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; allowed: {self.allowed}"


@dataclass(frozen=True)
class PlacedProblem(Problem):
    """A problem that lies at a place of the plan, so that it can be shown there.

    Parameters
    ----------
    at_mm : tuple of float
        The place, x and y of the site [mm].
    support : str
        The support that it is about.
    """

    at_mm: tuple[float, float]
    support: str


class Refusal(Exception):  # noqa: N818 - it is an answer to the person, not a defect of the kit
    """The job cannot be answered as it stands.

    Parameters
    ----------
    *problems : Problem
        Everything that was found, so that it can be put right in one go.

    Examples
    --------
    >>> print(Refusal(Problem("job.toml, floor.kind", "'stone'", "'boarded' or 'solid'")))
    job.toml, floor.kind: found 'stone'; allowed: 'boarded' or 'solid'
    """

    def __init__(self, *problems: Problem) -> None:
        super().__init__(*problems)
        self.problems = problems

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


def refuse(where: str, found: str, allowed: str) -> Refusal:
    """Return the refusal of a single problem, ready to be raised."""
    return Refusal(Problem(where, found, allowed))
