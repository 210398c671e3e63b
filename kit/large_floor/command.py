"""The commands for large floors, from the command line to the files."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from kit.answer import survey_floor
from kit.job import Job, read_job, refuse
from kit.large_floor.floor_files import FloorAsked, FloorTold, floor_tables
from kit.large_floor.zone_files import ZonesDone, zone_texts, zones_of_job
from kit.levels import Asked
from kit.parts import Survey
from kit.results import csv_text
from kit.results_files import refuse_readings, write_files

Tell = Callable[[float], None]

_WHOLE = re.compile(r"-?[0-9]{1,9}")


def run_scan(options: argparse.Namespace) -> int:
    """Reduce a scan to cells of floor, and write what was found and what was taken away."""
    from kit.scan import reduce_scan  # noqa: PLC0415 - loads what reads scans

    tell = progress("scan")
    found = reduce_scan(
        options.scan, options.scan.name, options.cell, file_unit=options.unit, tell=tell
    )
    texts = {name: csv_text(table) for name, table in found.tables().items()}
    given = os.path.realpath(options.scan)  # unlike Path.resolve it takes links in a circle
    if any(os.path.realpath(options.out / name) == given for name in texts):
        raise refuse("--out", f"the folder of {options.scan.name}", "another folder")
    written = write_files(texts, options.out)
    for note in found.notes:
        print(f"- {note}")
    print(f"{len(written)} files in {options.out}")
    return 0


def run_flatness(options: argparse.Namespace) -> int:
    """Tell how flat a job's floor is, and what would bring it within a class."""
    job = read_job(options.job)
    asked = FloorAsked(options.edge, options.cell, options.datum, options.target, options.ways)
    told = floor_tables(job, _survey(job), asked, progress("flatness"))
    texts = {name: csv_text(table) for name, table in told.tables.items()}
    written = _write(job, texts, options)
    print(f"{job.short_title}: {told.floor.grid.area_m2:.1f} m² of floor, from {told.floor.source}")
    for line in _flatness_said(told):
        print(line)
    print(f"{len(written)} files in {options.out}")
    for note in (*told.report.notes, *told.cautions):
        print(f"- {note}")
    return 0


def run_levels(options: argparse.Namespace) -> int:
    """Part a base into level zones, and write zones, work and each zone's answer."""
    job = read_job(options.job)
    start = tuple(options.start) if options.start else None
    zones = zones_asked(options.zones)
    done = zones_of_job(
        job, options.base, zones, survey=_survey(job), start_mm=start,
        tell=progress("levels"),
    )  # fmt: skip
    written = _write(job, zone_texts(done), options)
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
    from kit.many import cluster, room_of, solve_many  # noqa: PLC0415 - not for the other commands

    rooms = [room_of(folder, options.base) for folder in options.jobs]
    with cluster(options.scheduler, options.workers) as client:
        found = solve_many(rooms, client, progress("many"))
    texts = {f"{one.name}/{name}": text for one in found for name, text in one.texts.items()}
    for folder in options.jobs:
        refuse_readings(read_job(folder), (options.out / name for name in texts))
    written = write_files(texts, options.out)
    for one in found:
        print(f"{one.name}: {'answered' if one.answered else 'refused'}")
        for problem in one.problems:
            print(f"{one.name}: {problem}", file=sys.stderr)
    print(f"{len(written)} files in {options.out}")
    return 0 if all(one.answered for one in found) else 2


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


def _write(job: Job, texts: dict[str, str], options: argparse.Namespace) -> list[Path]:
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


def _zones_said(done: ZonesDone) -> Iterator[str]:
    for zone in done.zones.zones:
        stacks = zone.stacks_mm
        yield (
            f"{zone.name}: {zone.from_unit} to {zone.to_unit}, base top {zone.base_top_mm:.1f} mm,"
            f" {len(stacks)} stacks of {stacks.min():.0f} to {stacks.max():.0f} mm"
        )
    every = done.order.pace.iloc[-1]
    yield (
        f"{every['stacks']} stacks, {every['packers']} packers in {every['crates']} crates;"
        f" {every['walk_m']:.0f} m to walk, {every['minutes'] / 60:.1f} hours,"
        f" {every['stacks_per_hour']:.1f} stacks an hour"
    )
