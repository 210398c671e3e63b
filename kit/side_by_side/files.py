"""The files of a comparison, as the headless command writes them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from kit.results import csv_text, write_results, write_texts
from kit.side_by_side.comparison import Comparison
from kit.side_by_side.turning import Sweep, turning_table

#: Characters of a base's name that may not stand in the name of a folder anywhere.
_UNFIT = re.compile(r'[<>:"/\\|?*\x00-\x1f]|^\.+|[. ]+$')

#: Longest name of a folder that is taken from a base's name.
_LONGEST = 60


def folder_names(names: tuple[str, str]) -> tuple[str, str]:
    """Return the folders of two bases: their names, as far as a folder may be called so.

    Examples
    --------
    >>> folder_names(("bearers", "18/25 feet"))
    ('bearers', '18-25 feet')
    >>> folder_names(("a", "A"))
    ('a', 'A 2')
    """
    one, other = (_UNFIT.sub("-", name)[:_LONGEST].rstrip(". ") or "base" for name in names)
    return one, f"{other} 2" if other.casefold() == one.casefold() else other


def write_comparison(
    comparison: Comparison,
    folder: str | Path,
    *,
    sweeps: Sequence[Sweep] = (),
    pages: Mapping[str, str] | None = None,
) -> list[Path]:
    """Write a comparison: its tables, and both answers in folders of their own.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    folder : path
        Made where it does not exist; files of the same names are replaced, others left alone.
    sweeps : sequence of Sweep
        From `turning_points`; ``turning.csv`` is written where there are any.
    pages : mapping of str to str
        Further files, by their name.

    Returns
    -------
    list of Path
        What was written: comparison.csv (measure, unit, one column a base, better), doubt.csv,
        and the files of both answers.

    Raises
    ------
    Refusal
        Where the folder cannot be written to.
    """
    out = Path(folder)
    written = [
        path
        for answer, name in zip(
            (comparison.a, comparison.b), folder_names(comparison.names), strict=True
        )
        for path in write_results(answer, out / name)
    ]
    texts = {
        "comparison.csv": csv_text(comparison.table()),
        "doubt.csv": csv_text(comparison.doubts()),
        **({"turning.csv": csv_text(turning_table(sweeps))} if sweeps else {}),
        **(pages or {}),
    }
    return [*write_texts(texts, out), *written]
