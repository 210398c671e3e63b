"""A TOML text cut where its own grammar cuts it: at lines, headings and brackets."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from kit.job.keys import KeyPath

#: Texts and comments, inside which no bracket, comma or line break means anything; then those.
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?!")'
    r"|'''.*?'''(?!')"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*"
    r"|[\[\]{}\n,]",
    re.DOTALL,
)


@dataclass(frozen=True)
class Token:
    """One thing that the grammar counts, where it stands, and how many brackets are open there.

    A bracket counts itself neither when it opens nor when it closes.
    """

    text: str
    start: int
    stop: int
    depth: int


def tokens(text: str) -> Iterator[Token]:
    """Yield texts, comments, brackets, commas and line breaks of a text that is TOML."""
    depth = 0
    for found in _TOKEN.finditer(text):
        depth -= found[0] in "]}"
        yield Token(found[0], found.start(), found.end(), depth)
        depth += found[0] in "[{"


def lines_of(text: str) -> list[str]:
    """Return the lines of a TOML text with their ends; a value over several lines is one line."""
    cuts = [token.stop for token in tokens(text) if token.text == "\n" and token.depth == 0]
    lines = [text[a:b] for a, b in zip([0, *cuts], [*cuts, len(text)], strict=True)]
    return lines if lines[-1] else lines[:-1]


def is_blank(line: str) -> bool:
    """Tell whether a line holds nothing."""
    return not line.strip()


def is_comment(line: str) -> bool:
    """Tell whether a line holds a comment and nothing else."""
    return line.lstrip().startswith("#")


def headings(lines: list[str]) -> dict[int, KeyPath]:
    """Return the headings of a text, by the line in which they stand.

    Parameters
    ----------
    lines : list of str
        As `lines_of` gives them.

    Returns
    -------
    dict
        Line, from 0, to key path: the second ``[[run.unit]]`` of the first ``[[run]]`` is
        ``("run", 0, "unit", 1)``.
    """
    counts: dict[KeyPath, int] = {}
    found: dict[int, KeyPath] = {}
    for number, line in enumerate(lines):
        if not line.lstrip().startswith("["):
            continue
        path: KeyPath = ()
        names = _names(line)
        for depth, name in enumerate(names, start=1):
            path = (*path, name)
            if depth == len(names) and line.lstrip().startswith("[["):
                counts[path] = counts.get(path, 0) + 1
            if path in counts:
                path = (*path, counts[path] - 1)
        found[number] = path
    return found


def _names(line: str) -> list[str]:
    """Return the keys of a heading, read by the parser itself: they may be quoted."""
    names: list[str] = []
    node: object = tomllib.loads(line)
    while node:
        if isinstance(node, Mapping):
            names += node
            node = next(iter(node.values()))
        elif isinstance(node, list):
            node = node[0]
    return names
