"""What the headless commands `sheet` and `as-built` do."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace

from kit.answer import solve
from kit.as_built import check_base
from kit.ink.as_built_words import cautions_said, said_of, verdict_words
from kit.job import Refusal, read_job
from kit.paper.record import RECORD_FILES, write_record
from kit.paper.sheets import PAPERS, Choices, write_sheet

#: The options by which a person gives what `Choices` holds.
_OPTIONS = {"pitch_mm": "--pitch", "certainty": "--certainty"}


def run_sheet(options: argparse.Namespace) -> int:
    """Write the papers of a base.

    Parameters
    ----------
    options : Namespace
        job, base, pitch, certainty, out.

    Returns
    -------
    int
        0.

    Raises
    ------
    Refusal
        Where the job cannot be answered, or the papers not written.
    """
    choices = _choices(options)
    answer = solve(read_job(options.job), options.base)
    written = write_sheet(answer, options.out, choices, on_progress=Progress())
    print(f"{answer.job.short_title}, {answer.base.name}: {len(written)} papers in {options.out}")
    for path in written:
        print(f"  {path.name}: {PAPERS[path.name]}")
    print("Print at 100 %, not fitted to the page; measure the control lengths before use.")
    return 0


def _choices(options: argparse.Namespace) -> Choices:
    """Return what was chosen; what cannot be kept is named as the command names it."""
    try:
        return Choices(options.pitch, options.certainty)
    except Refusal as refusal:
        named = [replace(one, where=_OPTIONS[one.where]) for one in refusal.problems]
        raise Refusal(*named) from refusal


def run_as_built(options: argparse.Namespace) -> int:
    """Check the finished base by its readings, and write what they say.

    Parameters
    ----------
    options : Namespace
        job, out.

    Returns
    -------
    int
        0.

    Raises
    ------
    Refusal
        Where the readings cannot be answered, or the files not written.
    """
    checked = check_base(read_job(options.job))
    written = write_record(checked, options.out)
    said = said_of(checked)
    for one in verdict_words(checked):
        print(f"{one.about}: {one.word} ({one.why})")
    for line in (*said.base, *said.units, *said.changes, *said.approval):
        print(line)
    for caution in cautions_said(checked):
        print(f"- {caution}")
    print(f"{len(written)} files in {options.out}")
    for path in written:
        print(f"  {path.name}: {RECORD_FILES[path.name]}")
    return 0


class Progress:
    """Says on standard error what is being made, on one line where a person looks on."""

    def __call__(self, what: str, done: int, of: int) -> None:
        """Say it."""
        if sys.stderr.isatty():
            said = "" if done == of else f"{what} ({done} of {of})"
            print(f"\r\x1b[K{said}", end="", file=sys.stderr, flush=True)
