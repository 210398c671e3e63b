"""The files of a comparison, as the headless command writes them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from kit.results import OF_ONE_METHOD, csv_text, result_texts
from kit.results_files import refuse_readings, take_away, write_files
from kit.side_by_side.comparison import Comparison
from kit.side_by_side.limits import limit_table
from kit.side_by_side.turning import Sweep
from kit.side_by_side.turning_table import turning_table

#: Characters of a base's name that may not stand in the name of a folder anywhere.
_UNFIT = re.compile(r'[<>:"/\\|?*\x00-\x1f]|^\.+|[. ]+$')

#: Longest name of a folder that is taken from a base's name.
_LONGEST = 60


def folder_names(names: tuple[str, str], files: Sequence[str] = ()) -> tuple[str, str]:
    """Return the folders of two bases: their names, as far as a folder may be called so.

    Parameters
    ----------
    names : tuple of str
        Of both bases.
    files : sequence of str
        Names that stand beside the folders and are taken.

    Examples
    --------
    >>> folder_names(("bearers", "18/25 feet"))
    ('bearers', '18-25 feet')
    >>> folder_names(("a", "A"))
    ('a', 'A 2')
    """
    taken = {name.casefold() for name in files}
    found = []
    for name in names:
        folder = fit = _UNFIT.sub("-", name)[:_LONGEST].rstrip(". ") or "base"
        number = 2
        while folder.casefold() in taken:
            folder, number = f"{fit} {number}", number + 1
        taken.add(folder.casefold())
        found.append(folder)
    return found[0], found[1]


def write_comparison(
    comparison: Comparison,
    folder: str | Path,
    *,
    sweeps: Sequence[Sweep] = (),
    pages: Mapping[str, str] | None = None,
) -> list[Path]:
    """Write a comparison: its tables, and both answers in folders of their own; all or nothing.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    folder : path
        Made where it does not exist; files of the same names are replaced, others left alone.
    sweeps : sequence of Sweep
        From `turning_points`; without any ``turning.csv`` and ``limits.csv`` have no rows.
    pages : mapping of str to str
        Further files, by their name.

    Returns
    -------
    list of Path
        What was written: comparison.csv (measure, unit, one column a base, better), doubt.csv,
        turning.csv, limits.csv, the pages, and the files of both answers.

    Raises
    ------
    Refusal
        Where the folder cannot be written to, or a table of the job's readings would be.
    """
    out = Path(folder)
    texts = {
        "comparison.csv": csv_text(comparison.table()),
        "doubt.csv": csv_text(comparison.doubts()),
        "turning.csv": csv_text(turning_table(sweeps)),
        "limits.csv": csv_text(limit_table(one for sweep in sweeps for one in sweep.limits)),
        **(pages or {}),
    }
    answers = comparison.a, comparison.b
    folders = folder_names(comparison.names, list(texts))
    for answer, name in zip(answers, folders, strict=True):
        texts |= {f"{name}/{file}": text for file, text in result_texts(answer).items()}
    for answer in answers:
        refuse_readings(answer.job, [out / name for name in texts])
    written = write_files(texts, out)
    of_others = [f"{folder}/{file}" for folder in folders for file in OF_ONE_METHOD]
    take_away(comparison.a.job, [out / name for name in of_others if name not in texts])
    return written
