"""Words of the command line for large floors; nothing is loaded before one of them is run."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any


def add_commands(commands: Any, papers: Callable[..., Any]) -> None:
    """Add ``scan``, ``flatness``, ``levels``, ``many`` and ``made-hall``.

    Parameters
    ----------
    commands : subparsers of argparse
        To which they are added.
    papers : callable
        `kit.large_floor.zone_files.PaperMaker`: of a room that lies above this one.
    """
    _add_scan(commands.add_parser("scan", help="reduce a laser scan to the floor in cells"))
    _add_flatness(commands.add_parser("flatness", help="straight edge, classes, volumes, grinding"))
    _add_levels(commands.add_parser("levels", help="a base in level zones, the order of the work"),
                papers)  # fmt: skip
    _add_many(commands.add_parser("many", help="many jobs at once, on a cluster if there is one"))
    _add_hall(commands.add_parser("made-hall", help="a made scan of a made hall, to try it all on"))


def _add_scan(one: argparse.ArgumentParser) -> None:
    one.add_argument("scan", metavar="FILE", type=Path, help=".csv, .ply, .las, .laz or .e57")
    one.add_argument("--cell", metavar="MM", type=float, default=100.0,
                     help="side of the cells, in mm (100)")  # fmt: skip
    one.add_argument("--unit", choices=("m", "mm", "in", "ft"),
                     help="what the file counts in; what it says, or metres")  # fmt: skip
    _add_frame(one)
    _add_out(one)
    one.set_defaults(run=_later("run_scan"))


def _add_frame(one: argparse.ArgumentParser) -> None:
    """Add what a job file says under ``frame``; what is not given is left out of the options."""
    how = one.add_argument_group("how the scan lies in the plan; its own axes unless given")
    unsaid = argparse.SUPPRESS
    how.add_argument("--origin", dest="origin_mm", metavar=("X", "Y"), type=float, nargs=2,
                     default=unsaid, help="place of its x = y = 0, in mm")  # fmt: skip
    how.add_argument("--x-towards", dest="x_towards_deg", metavar="DEG", type=float,
                     default=unsaid, help="direction of its x, from +x towards +y")  # fmt: skip
    how.add_argument("--mirrored", action="store_true", default=unsaid,
                     help="its y runs the other way round from its x")  # fmt: skip
    how.add_argument("--own-zero", dest="own_zero", metavar=("X", "Y", "Z"), type=float, nargs=3,
                     default=unsaid, help="taken off first, in its own unit")  # fmt: skip
    how.add_argument("--height", dest="height_mm", metavar="MM", type=float,
                     default=unsaid, help="height of its z = 0, in mm")  # fmt: skip


def _add_flatness(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml and its readings")
    one.add_argument("--edge", metavar="MM", type=float, default=2000.0,
                     help="length of the straight edge, in mm (2000)")  # fmt: skip
    one.add_argument("--cell", metavar="MM", type=float,
                     help="side of the cells, in mm; the scan's own, or 100")  # fmt: skip
    one.add_argument("--datum", metavar="MM", type=float,
                     help="level of hollows and humps; where they balance")  # fmt: skip
    one.add_argument("--class", dest="target", metavar="CLASS", default="",
                     help="grind and fill to SR1, SR2 or SR3 with the least volume")  # fmt: skip
    one.add_argument("--ways", choices=("both", "grind", "fill"), default="both",
                     help="what may be done to the floor (both)")  # fmt: skip
    _add_out(one)
    one.set_defaults(run=_later("run_flatness"))


def _add_levels(one: argparse.ArgumentParser, papers: Callable[..., Any]) -> None:
    one.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml and its readings")
    one.add_argument("--base", metavar="NAME", help="which base; the first unless given")
    one.add_argument("--zones", metavar="N|RUN=N", nargs="+",
                     help="in each run, or in those named; otherwise least packing")  # fmt: skip
    one.add_argument("--start", metavar=("X", "Y"), type=float, nargs=2,
                     help="where the crates stand, in mm; the first doorway")  # fmt: skip
    one.add_argument("--sheets", action="store_true",
                     help="the papers of every zone too, as `sheet` writes them")  # fmt: skip
    _add_out(one)
    one.set_defaults(run=_later("run_levels", papers))


def _add_many(one: argparse.ArgumentParser) -> None:
    one.add_argument("jobs", metavar="JOB_FOLDER", type=Path, nargs="+", help="with a job.toml")
    one.add_argument("--base", metavar="NAME", help="which base of each; the first unless given")
    where = one.add_mutually_exclusive_group()
    where.add_argument("--workers", metavar="N", type=int, default=0,
                       help="processes on this machine; one by one unless given")  # fmt: skip
    where.add_argument("--scheduler", metavar="ADDRESS",
                       help="of a Dask cluster that runs: tcp://host:8786")  # fmt: skip
    _add_out(one)
    one.set_defaults(run=_later("run_many"))


def _add_hall(one: argparse.ArgumentParser) -> None:
    one.add_argument("--seed", metavar="N", type=int, default=12, help="which hall (12)")
    one.add_argument("--points", metavar="N", type=int, default=2_000_000, help="(2000000)")
    one.add_argument("--out", metavar="FILE", type=Path, required=True,
                     help="ends in .csv, .ply, .las or .laz")  # fmt: skip
    one.set_defaults(run=_later("run_hall"))


def _add_out(one: argparse.ArgumentParser) -> None:
    one.add_argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files")


def _later(name: str, *further: Any) -> Any:
    """Return what runs a command, and loads its room only then: `--help` does not wait.

    Whatever is given further is handed to it behind the options.
    """

    def run(options: argparse.Namespace) -> int:
        from kit.large_floor import command  # noqa: PLC0415 - see above

        return int(getattr(command, name)(options, *further))

    return run
