"""The commands for large floors, from the command line to the files."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from pydantic import ValidationError

from kit.answer import survey_floor
from kit.job import Job, Problem, Refusal, ScanFrame, read_job, refuse, show_length
from kit.large_floor.columns import texts_with_columns
from kit.large_floor.floor_files import FloorAsked, FloorTold, floor_tables
from kit.large_floor.zone_files import PaperMaker, ZonesDone, zone_papers, zone_texts, zones_of_job
from kit.levels import Asked
from kit.parts import Survey
from kit.results_files import refuse_readings, write_files

if TYPE_CHECKING:
    from kit.many import Room

Tell = Callable[[float], None]

#: The command line's words for the keys of a scan's frame.
_FRAME_OPTIONS = MappingProxyType(
    {
        "origin_mm": "--origin",
        "x_towards_deg": "--x-towards",
        "mirrored": "--mirrored",
        "own_zero": "--own-zero",
        "height_mm": "--height",
    }
)
_FRAME_WORDS = "--origin, --x-towards, --mirrored, --own-zero and --height set them into the plan"

_WHOLE = re.compile(r"-?[0-9]{1,9}")


def run_scan(options: argparse.Namespace) -> int:
    """Reduce a scan to cells of floor, and write what was found and what was taken away."""
    from kit.scan import reduce_scan  # noqa: PLC0415 - loads what reads scans

    frame = frame_asked(options)
    tell = progress("scan")
    found = reduce_scan(
        options.scan, options.scan.name, options.cell,
        file_unit=options.unit, frame=frame, tell=tell,
    )  # fmt: skip
    texts = texts_with_columns(found.tables())
    given = os.path.realpath(options.scan)  # unlike Path.resolve it takes links in a circle
    if any(os.path.realpath(options.out / name) == given for name in texts):
        raise refuse("--out", f"the folder of {options.scan.name}", "another folder")
    written = write_files(texts, options.out)
    for note in found.notes:
        print(f"- {note}")
    if frame == ScanFrame():
        print(f"- Places and heights are those of the file's own axes, in mm: {_FRAME_WORDS}.")
    print(f"{len(written)} files in {options.out}")
    return 0


def frame_asked(options: argparse.Namespace) -> ScanFrame:
    """Return how a scan lies in the plan, from the words of the command line.

    Raises
    ------
    Refusal
        Where a number is none that a frame may have.
    """
    given = {key: value for key in ScanFrame.model_fields if (value := vars(options).get(key))}
    try:
        return ScanFrame.model_validate(
            {key: tuple(one) if isinstance(one, list) else one for key, one in given.items()}
        )
    except ValidationError as error:
        first = error.errors()[0]
        word = _FRAME_OPTIONS[str(first["loc"][0])]
        raise refuse(word, f"{first['input']!r}", first["msg"]) from error


def run_flatness(options: argparse.Namespace) -> int:
    """Tell how flat a job's floor is, and what would bring it within a class."""
    job = read_job(options.job)
    asked = FloorAsked(options.edge, options.cell, options.datum, options.target, options.ways)
    told = floor_tables(job, _survey(job), asked, progress("flatness"))
    texts = texts_with_columns(told.tables)
    written = _write(job, texts, options)
    print(f"{job.short_title}: {told.floor.grid.area_m2:.1f} m² of floor, from {told.floor.source}")
    for line in _flatness_said(told):
        print(line)
    print(f"{len(written)} files in {options.out}")
    for note in (*told.report.notes, *told.cautions):
        print(f"- {note}")
    return 0


def run_levels(options: argparse.Namespace, papers: PaperMaker) -> int:
    """Part a base into level zones, and write zones, work and each zone's answer.

    Parameters
    ----------
    options : Namespace
        job, base, zones, start, sheets, out.
    papers : callable
        Makes the papers of a zone, where they are asked for.
    """
    job = read_job(options.job)
    start = tuple(options.start) if options.start else None
    zones = zones_asked(options.zones)
    done = zones_of_job(
        job, options.base, zones, survey=_survey(job), start_mm=start,
        tell=progress("levels"),
    )  # fmt: skip
    contents: dict[str, str | bytes] = {**zone_texts(done)}
    if options.sheets:
        contents |= zone_papers(done, papers, progress("papers"))
    written = _write(job, contents, options)
    for line in _zones_said(done):
        print(line)
    print(f"{len(written)} files in {options.out}")
    for caution in done.zones.cautions:
        print(f"- {caution}")
    return 0


def zones_asked(words: Sequence[str] | None) -> Asked:
    """Return how many zones the words after ``--zones`` ask for.

    Parameters
    ----------
    words : sequence of str, or None
        One number, or RUN=NUMBER for each run that is named.

    Raises
    ------
    Refusal
        Where they are neither, or a run has two numbers.
    """
    if words is None:
        return None
    if len(words) == 1 and _WHOLE.fullmatch(words[0]):
        return int(words[0])
    found: dict[str, int] = {}
    for word in words:
        run, sign, number = word.partition("=")
        if not (run and sign and _WHOLE.fullmatch(number)):
            raise refuse("--zones", repr(word), "one number, or RUN=NUMBER for each run you name")
        if run in found:
            raise refuse("--zones", f"run {run!r} twice", "one number for each run")
        found[run] = int(number)
    return found


def run_many(options: argparse.Namespace) -> int:
    """Work out many jobs, and write each answer into a folder of its own."""
    from kit.many import cluster, solve_many  # noqa: PLC0415 - not for the other commands

    rooms = _rooms(options.jobs, options.base)
    with cluster(options.scheduler, options.workers) as client:
        found = solve_many(rooms, client, progress("many"))
    texts = {f"{one.name}/{name}": text for one in found for name, text in one.texts.items()}
    for folder in options.jobs:
        refuse_readings(read_job(folder), (options.out / name for name in texts))
    written = write_files(texts, options.out) if texts else []
    for one in found:
        print(f"{one.name}: {'answered' if one.answered else 'refused'}")
        for problem in one.problems:
            print(f"{one.name}: {problem}", file=sys.stderr)
    print(f"{len(written)} files in {options.out}")
    return 0 if all(one.answered for one in found) else 2


def _rooms(folders: Sequence[Path], base: str | None) -> list[Room]:
    """Return all jobs as they can be sent, or what is wrong in each that cannot be read."""
    from kit.many import room_of  # noqa: PLC0415 - not for the other commands

    rooms, problems = [], []
    for folder in folders:
        try:
            rooms.append(room_of(folder, base))
        except Refusal as refusal:
            problems += [_in_folder(one, folder) for one in refusal.problems]
    if problems:
        raise Refusal(*problems)
    return rooms


def _in_folder(problem: Problem, folder: Path) -> Problem:
    named = str(folder) in problem.where
    return problem if named else replace(problem, where=f"{folder}: {problem.where}")


def run_hall(options: argparse.Namespace) -> int:
    """Write a made scan of a made hall."""
    from kit.scan import make_hall, write_made_scan  # noqa: PLC0415 - loads what writes scans

    if os.path.lexists(options.out):
        raise refuse(f"--out {options.out}", "a file that is there already", "a name that is free")
    write_made_scan(
        make_hall(options.seed), options.out, options.points, tell=progress("made hall")
    )
    print(f"{options.points:,} points of made hall {options.seed}: {options.out}")
    return 0


def progress(what: str) -> Tell | None:
    """Return what shows the share done on a terminal; none where nobody looks on."""
    if not sys.stderr.isatty():
        return None
    shown = -1

    def tell(share: float) -> None:
        nonlocal shown
        percent = round(100 * share)
        if percent != shown:
            shown = percent
            end = "\n" if percent >= 100 else ""
            print(f"\r{what}: {percent} %", end=end, file=sys.stderr, flush=True)

    return tell


def _survey(job: Job) -> Survey:
    return survey_floor(job, tell=progress("readings"))


def _write(job: Job, texts: Mapping[str, str | bytes], options: argparse.Namespace) -> list[Path]:
    refuse_readings(job, (options.out / name for name in texts))
    return write_files(texts, options.out)


def _flatness_said(told: FloorTold) -> Iterator[str]:
    for row in told.report.classes.itertuples():
        yield f"  {row[1]}: {row.area_m2:.1f} m² ({row.share:.0%})"
    worst = told.report.worst
    if len(worst):
        one = worst.iloc[0]
        yield (
            f"  worst: {one['departure_mm']:.1f} mm under the straight edge along {one['axis']},"
            f" at x {one['x_mm']:.0f}, y {one['y_mm']:.0f} mm"
        )
    for change in told.change:
        yield (
            f"  to {change.limit_mm:g} mm: grind {change.ground.litres:.1f} l, fill"
            f" {change.filled.litres:.1f} l; {'least possible' if change.is_least else ''}"
            f"{'' if change.is_least else f'within {change.gap:.1%} of the least'}"
        )


def _whole_length(mm: float, units: Literal["mm", "in"]) -> str:
    """Return a length for the eye: whole millimetres, or sixteenths of an inch."""
    return f"{mm:.0f} mm" if units == "mm" else show_length(mm, units)


def _zones_said(done: ZonesDone) -> Iterator[str]:
    for zone in done.zones.zones:
        stacks, units = zone.stacks_mm, zone.job.units
        top = show_length(zone.base_top_mm, units)
        least, most = (_whole_length(float(mm), units) for mm in (stacks.min(), stacks.max()))
        yield (
            f"{zone.name}: {zone.from_unit} to {zone.to_unit}, base top {top},"
            f" {len(stacks)} stacks of {least.removesuffix(f' {units}')} to {most}"
        )
    every = done.order.pace.iloc[-1]
    yield (
        f"{every['stacks']} stacks, {every['packers']} packers in {every['crates']} crates;"
        f" {every['walk_m']:.0f} m to walk, {every['minutes'] / 60:.1f} hours,"
        f" {every['stacks_per_hour']:.1f} stacks an hour"
    )
