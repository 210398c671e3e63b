"""``python -m kit compare``: two bases of a job, from the command line to the files."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from kit.answer import solve_on, survey_floor
from kit.job import Job, read_job, refuse
from kit.side_by_side.comparison import Comparison, both, compare
from kit.side_by_side.files import folder_names, write_comparison
from kit.side_by_side.turning import Sweep, turning_points
from kit.side_by_side.weighing import Weighing, weigh
from kit.side_by_side.words import sentences_of

#: Draws the page that goes with the tables.
Page = Callable[[Comparison, Sequence[Sweep], "Weighing | None"], str]


def run(options: argparse.Namespace, page: Page) -> int:
    """Compare two bases, write the files, say what came of it.

    Parameters
    ----------
    options : Namespace
        job, bases (two names), floors, weights, no_turning, out.
    page : callable
        Draws the page for a client.

    Returns
    -------
    int
        0.

    Raises
    ------
    Refusal
        Where the job, a base, a weight or the folder cannot be used; nothing is written then.
    """
    weights = weights_of(options.weights)
    comparison = _comparison(read_job(options.job), tuple(options.bases), options.floors)
    weighing = weigh(comparison, weights) if weights else None
    sweeps = () if options.no_turning else turning_points(comparison, progress=_progress())
    pages = {"comparison.html": page(comparison, sweeps, weighing)}
    written = write_comparison(comparison, options.out, sweeps=sweeps, pages=pages)
    for line in _said(comparison, weighing):
        print(line)
    print(f"{len(written)} files in {options.out}")
    for line in (*_left_alone(Path(options.out), comparison), *_cautions(comparison)):
        print(line)
    return 0


def _comparison(job: Job, names: tuple[str, str], floors: int) -> Comparison:
    one, other = both(job, names)
    survey = survey_floor(job)
    a = solve_on(job, survey, one)
    b = a if other is one else solve_on(job, survey, other)
    return compare(a, b, floors=floors)


def weights_of(words: Sequence[str]) -> dict[str, float]:
    """Return weights by measure from words like ``cost=2``.

    Raises
    ------
    Refusal
        Where one is written otherwise, or a measure has two.
    """
    found: dict[str, float] = {}
    for word in words:
        key, _, number = word.partition("=")
        try:
            weight = float(number)
        except ValueError:
            raise refuse("--weights", repr(word), "MEASURE=NUMBER, for example cost=2") from None
        if key in found:
            raise refuse("--weights", f"{key!r} a second time", "each measure once")
        found[key] = weight
    return found


def _said(comparison: Comparison, weighing: Weighing | None) -> list[str]:
    one, other = comparison.names
    lines = [f"{comparison.a.job.short_title}: {one} beside {other}", *sentences_of(comparison)]
    return [*lines, *(_weighed(weighing, one) if weighing else ())]


def _weighed(weighing: Weighing, first: str) -> list[str]:
    """Say who is ahead by the weights, and which of them could not be counted."""
    left_out = weighing.left_out
    if len(left_out) == len(weighing.weighed):
        return [f"By your weights nothing can be said: {', '.join(left_out)} cannot be compared."]
    winner = weighing.winner or "neither is ahead"
    said = f"By your weights: {winner} (score {weighing.score:+.3f}, + for {first})."
    return [said, f"Not in the score, for want of figures that compare: {', '.join(left_out)}."][
        : 1 + bool(left_out)
    ]


def _left_alone(out: Path, comparison: Comparison) -> Iterator[str]:
    """Say which answers of an earlier comparison still lie in the folder."""
    own = folder_names(comparison.names, [path.name for path in out.iterdir() if path.is_file()])
    others = sorted(path.parent.name for path in out.glob("*/summary.json"))
    old = [name for name in others if name not in own]
    if old:
        yield f"Not of this comparison, and left alone: {', '.join(old)}"


def _cautions(comparison: Comparison) -> Iterator[str]:
    """Yield the cautions of both bases, those that both have once."""
    a, b = comparison.a.cautions, comparison.b.cautions
    yield from (f"- {one}" for one in a if one in b)
    for name, own, other in zip(comparison.names, (a, b), (b, a), strict=True):
        yield from (f"- {name}: {one}" for one in own if one not in other)


def _progress() -> Callable[[str, float], None]:
    """Return what shows progress on a terminal, and nothing elsewhere."""

    def show(words: str, share: float) -> None:
        if sys.stderr.isatty():
            end = "\n" if share >= 1 else ""
            print(f"\rturning the {words}: {share:4.0%}", end=end, file=sys.stderr, flush=True)

    return show
