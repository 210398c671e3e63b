"""The kit without a notebook.

``python -m kit plan JOB_FOLDER --out FILE.csv`` before the readings,
``python -m kit solve JOB_FOLDER --out DIR`` with them,
``python -m kit compare JOB_FOLDER --bases NAME NAME --out DIR`` for two bases side by side,
``python -m kit sheet JOB_FOLDER --out DIR`` for what goes to site and to the merchant,
``python -m kit as-built JOB_FOLDER --out DIR`` for what comes back,
``python -m kit flatness JOB_FOLDER --out DIR``, ``levels``, ``scan``, ``many`` for large floors,
``python -m kit practice sheet --seed N --out DIR`` for a class, and
``python -m kit practice records FOLDER`` for its trainer.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kit.job import Refusal
from kit.large_floor.arguments import add_commands

if TYPE_CHECKING:
    from kit.answer import Answer
    from kit.job import Job


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
    except BrokenPipeError:  # whoever read the words has read enough; the files are written
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - for the last flush
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m kit", description="Uneven Floor Kit")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    one = commands.add_parser("solve", help="work out one base and write its tables")
    one.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml and its readings")
    one.add_argument("--base", metavar="NAME", help="which base; the first unless given")
    one.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    one.set_defaults(run=_solve)
    two = commands.add_parser("plan", help="list the places to read, before anything is read")
    two.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml")
    two.add_argument("--base", metavar="NAME", help="which base; the first unless given")
    two.add_argument("--again", choices=("ends", "supports", "all"), default="ends",
                     help="what is read a second time, from other set-ups")  # fmt: skip
    two.add_argument("--as-built", action="store_true",
                     help="the places to read on the finished base")  # fmt: skip
    two.add_argument(
        "--out", metavar="FILE.csv", required=True, help="a file that is not there yet"
    )
    two.set_defaults(run=_plan)
    _add_compare(commands.add_parser("compare", help="two bases of a job side by side"))
    _add_sheet(commands.add_parser("sheet", help="papers for the site and the merchant"))
    _add_as_built(commands.add_parser("as-built", help="check the finished base by its readings"))
    _add_practice(commands.add_parser("practice", help="a sheet for a class, its records"))
    add_commands(commands, _papers)
    return parser


def _add_compare(three: argparse.ArgumentParser) -> None:
    three.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml and its readings")
    three.add_argument("--bases", metavar="NAME", nargs=2, required=True, help="two of the job's")
    three.add_argument("--floors", metavar="N", type=int, default=200,
                       help="floors that fit the readings, drawn for both (200)")  # fmt: skip
    three.add_argument("--weights", metavar="MEASURE=NUMBER", nargs="+", default=[],
                       help="your own weights by short names: cost=2 hours=1")  # fmt: skip
    three.add_argument("--no-turning", action="store_true",
                       help="do not look for where the other base would win")  # fmt: skip
    three.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    three.set_defaults(run=_compare)


def _add_sheet(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml and its readings")
    one.add_argument("--base", metavar="NAME", help="which base; the first unless given")
    one.add_argument("--pitch", metavar="MM", type=float, default=100.0,
                     help="distance of the plinth's heights, in mm (100)")  # fmt: skip
    one.add_argument("--certainty", metavar="SHARE", type=float, default=0.95,
                     help="how surely the buying list suffices (0.95)")  # fmt: skip
    one.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    one.set_defaults(run=_sheet)


def _add_as_built(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", metavar="JOB_FOLDER", help="folder with job.toml, its [as_built] too")
    one.add_argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files")
    one.set_defaults(run=_as_built)


def _add_practice(four: argparse.ArgumentParser) -> None:
    commands = four.add_subparsers(required=True, metavar="COMMAND")
    sheet = commands.add_parser("sheet", help="a printed sheet for a class, the answers apart",
                                add_help=False)  # fmt: skip
    sheet.add_argument("-h", "--help", action=_HelpWithDrills, nargs=0,
                       help="show this message, with the keys of all drills, and exit")  # fmt: skip
    sheet.add_argument("--seed", metavar="N", type=int, required=True, help="0 to 999999")
    sheet.add_argument("--grade", default="ordinary", help="fair | ordinary | rough (ordinary)")
    sheet.add_argument(
        "--drills", metavar="KEY", nargs="+", default=[], help="all unless given; keys below"
    )
    sheet.add_argument("--on-paper", action="store_true",
                       help="to be worked without a screen, the drills that can be")  # fmt: skip
    sheet.add_argument("--out", metavar="DIR", required=True, help="folder for the two files")
    sheet.set_defaults(run=_practice_sheet)
    records = commands.add_parser("records", help="the trainer's table over a folder of records")
    records.add_argument("folder", metavar="FOLDER", help="with the apprentices' files")
    records.add_argument("--out", metavar="FILE.csv", default="",
                         help="write the tables too, beside this file")  # fmt: skip
    records.set_defaults(run=_practice_records)


class _HelpWithDrills(argparse.Action):
    """Help that lists the drills: only who asks for it waits until they are read."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from kit.practice.drills import DRILLS  # noqa: PLC0415

        wide = max(len(drill.key) for drill in DRILLS)
        lines = (f"  {drill.key.ljust(wide)}  {drill.title}" for drill in DRILLS)
        parser.epilog = "\n".join(("drills, in the order of the work on site:", *lines))
        parser.formatter_class = argparse.RawDescriptionHelpFormatter
        parser.print_help()
        parser.exit()


def _solve(options: argparse.Namespace) -> int:
    from kit.answer import solve  # noqa: PLC0415
    from kit.job import read_job, show_length  # noqa: PLC0415 - `--help` does not wait
    from kit.job.ways import way_of  # noqa: PLC0415
    from kit.results import write_results  # noqa: PLC0415

    answer = solve(read_job(options.job), options.base)
    written = write_results(answer, options.out)
    height = show_length(answer.datum.base_height_mm, answer.job.units)
    packers = f", {answer.pieces} packers" if answer.pieces else ""
    print(
        f"{answer.job.short_title}, {answer.base.name} ({way_of(answer.base).name}):"
        f" {way_of(answer.base).count(len(answer.supports))}{packers}, base top {height} above"
        f" the high point, worst error {answer.worst_error_mm:.2f} mm"
    )
    print(_what_it_takes(answer))
    print(f"{len(written)} files in {options.out}")
    for line in answer.heights.understood:
        print(f"  {line}")
    for caution in answer.cautions:
        print(f"- {caution}")
    return 0


def _what_it_takes(answer: Answer) -> str:
    """Return what the material costs, where every price is given, the hours, and the wait."""
    bill, wait = answer.bill, answer.bill.wait_days
    unpriced = ", ".join(bill.unpriced)
    cost = f"no price given of {unpriced}" if unpriced else f"{bill.cost:.2f} as priced"
    waiting = f", and {wait:g} days of waiting" if wait else ""
    return f"Material: {cost}. Work: {bill.minutes / 60:.1f} hours{waiting}."


def _plan(options: argparse.Namespace) -> int:
    from kit.answer import choose_base  # noqa: PLC0415
    from kit.base.plan_file import plan_csv  # noqa: PLC0415
    from kit.base.reading_plan import reading_plan  # noqa: PLC0415
    from kit.ink.inch_words import in_units  # noqa: PLC0415
    from kit.job import read_job  # noqa: PLC0415 - `--help` does not wait
    from kit.job.replace import write_new  # noqa: PLC0415
    from kit.methods import method_of  # noqa: PLC0415

    job = read_job(options.job)
    if options.as_built:
        return _plan_as_built(options, job)
    base = choose_base(job, options.base)
    layout = method_of(base).lay_out(job, base)
    plan = reading_plan(job, base, again=options.again, layout=layout)
    write_new(Path(options.out), plan_csv(plan, job.units).encode("utf-8"))
    print(f"{job.short_title}: {options.out}")
    for note in plan.notes:
        print(f"- {in_units(note, job.units)}")
    return 0


def _plan_as_built(options: argparse.Namespace, job: Job) -> int:
    from kit.answer import solve  # noqa: PLC0415 - `--help` does not wait
    from kit.as_built import as_built_plan_csv  # noqa: PLC0415
    from kit.job.replace import write_new  # noqa: PLC0415

    answer = solve(job, options.base)
    twice = options.again != "ends"
    text = as_built_plan_csv(answer, twice=twice)
    write_new(Path(options.out), text.encode("utf-8"))
    print(f"{job.short_title}: {options.out}")
    print("- Read the top of the base over each support; the first is read again at the end.")
    if twice:
        print("- Everything is read from two set-ups, T1 and T2: move the instrument in between.")
    else:
        print(
            "- A single set-up cannot tell a slip from a stack that is wrong: read twice where it"
            " matters (--again supports)."
        )
    return 0


def _compare(options: argparse.Namespace) -> int:
    from kit.show.two_bases.client_page import client_page  # noqa: PLC0415 - `--help` does not wait
    from kit.side_by_side.command import run  # noqa: PLC0415

    return run(options, client_page)


def _sheet(options: argparse.Namespace) -> int:
    from kit.paper.command import run_sheet  # noqa: PLC0415 - `--help` does not wait

    return run_sheet(options)


def _papers(answer: Answer, on_progress: Callable[[str, int, int], None]) -> dict[str, str | bytes]:
    """Make the papers of a zone."""
    from kit.paper.sheets import papers  # noqa: PLC0415 - `--help` does not wait

    return papers(answer, on_progress=on_progress)


def _as_built(options: argparse.Namespace) -> int:
    from kit.paper.command import run_as_built  # noqa: PLC0415 - `--help` does not wait

    return run_as_built(options)


def _practice_sheet(options: argparse.Namespace) -> int:
    from kit.practice.command import Pages, write_sheet  # noqa: PLC0415 - `--help` does not wait
    from kit.practice.drills import DRILLS  # noqa: PLC0415
    from kit.show.practice.answers import answers_page  # noqa: PLC0415
    from kit.show.practice.paper_sheet import paper_page  # noqa: PLC0415
    from kit.show.practice.sheet import sheet_page  # noqa: PLC0415

    return write_sheet(options, DRILLS, Pages(sheet_page, paper_page, answers_page))


def _practice_records(options: argparse.Namespace) -> int:
    from kit.practice.command import write_records  # noqa: PLC0415 - `--help` does not wait
    from kit.practice.drills import DRILLS  # noqa: PLC0415

    return write_records(options, DRILLS)


if __name__ == "__main__":
    sys.exit(main())
