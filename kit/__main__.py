"""The kit without a notebook: ``python -m kit solve JOB_FOLDER --out DIR``."""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Sequence

from kit.job import Refusal


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        Words of the command line; those of the process unless given.

    Returns
    -------
    int
        0 answered, 2 refused; anything else is a defect of the kit.
    """
    if isinstance(sys.stdout, io.TextIOWrapper):  # names may hold what a terminal cannot show
        sys.stdout.reconfigure(errors="backslashreplace")
    options = _parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m kit", description="Uneven Floor Kit")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    one = commands.add_parser("solve", help="work out one base and write its tables")
    one.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml and its readings")
    one.add_argument("--base", metavar="NAME", help="which base; the first unless given")
    one.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    one.set_defaults(run=_solve)
    return parser


def _solve(options: argparse.Namespace) -> int:
    from kit.answer import solve  # noqa: PLC0415
    from kit.job import read_job, show_length  # noqa: PLC0415 - `--help` does not wait
    from kit.results import write_results  # noqa: PLC0415

    answer = solve(read_job(options.job), options.base)
    written = write_results(answer, options.out)
    height = show_length(answer.datum.base_height_mm, answer.job.units)
    print(
        f"{answer.job.title}, {answer.base.name}: {len(answer.supports)} supports,"
        f" {answer.pieces} packers, base top {height} above the high point,"
        f" worst error {answer.worst_error_mm:.2f} mm"
    )
    print(f"{len(written)} files in {options.out}")
    for caution in answer.cautions:
        print(f"- {caution}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
