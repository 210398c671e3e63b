"""The moves of a base held against its layout, each wrong one as a problem with its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kit.base.by_hand import Rules, orphans, what_is_wrong
from kit.base.runs import Frame, Row
from kit.base.supports import Stand
from kit.job import Base, PlacedProblem, Problem
from kit.job.model import Moved


def moves_on(base: Base, bearer: str) -> list[Moved]:
    """Return the moves of one bearer."""
    return [move for move in base.moved if move.bearer == bearer]


def moves_of_nothing(
    base: Base, rows: Sequence[Row], stands: Sequence[Sequence[Stand]]
) -> list[Problem]:
    """Return a problem for each move of a bearer or a stack that the rules do not place.

    Parameters
    ----------
    base : Base
        The moves.
    rows, stands : sequences of Row, of sequences of Stand
        The bearers and the stacks of each.
    """
    at = {row.name: of_row for row, of_row in zip(rows, stands, strict=True)}
    problems = []
    for move in base.moved:
        where = _where(base, f"bearer {move.bearer!r}, from_mm = {move.from_mm:g}")
        if move.bearer not in at:
            found = "a bearer that this base does not have"
            problems.append(Problem(where, found, "one of " + ", ".join(at)))
        elif orphans(at[move.bearer], [move]):
            places = ", ".join(f"{stand.rules_mm:g}" for stand in at[move.bearer])
            found = "no stack that the rules place there"
            problems.append(Problem(where, found, f"one of {places} mm, or no such move"))
    return problems


def wrong_moves(
    base: Base,
    rows: Sequence[Row],
    stands: Sequence[Sequence[Stand]],
    names: Sequence[Sequence[str]],
    frames: Mapping[str, Frame],
    rules: Sequence[Rules],
) -> list[Problem]:
    """Return a problem, with its place, for each thing that a moved stack breaks.

    Parameters
    ----------
    base : Base
        The moves.
    rows, stands, names, rules : sequences
        The bearers; the stacks, their names and the rules of each.
    frames : mapping of str to Frame
        Each run's own frame.
    """
    problems: list[Problem] = []
    for row, of_row, called, kept in zip(rows, stands, names, rules, strict=True):
        for wrong in what_is_wrong(row, of_row, kept):
            x, y = frames[row.run].to_site(of_row[wrong.number].x_mm, row.y_mm)
            support = called[wrong.number]
            where = _where(base, f"support {support}")
            at = (float(x), float(y))
            problems.append(PlacedProblem(where, wrong.found, wrong.allowed, at, support))
    return problems


def _where(base: Base, place: str) -> str:
    return f"job.toml, base {base.name!r}, moved, {place}"


def kept_moves(
    base: Base, rows: Sequence[Row], stands: Sequence[Sequence[Stand]]
) -> tuple[Moved, ...]:
    """Return the moves that are of a stack that the rules place.

    Parameters
    ----------
    base, rows, stands : Base, sequences of Row, of sequences of Stand
        As for `moves_of_nothing`.
    """
    at = {row.name: of_row for row, of_row in zip(rows, stands, strict=True)}
    return tuple(
        move for move in base.moved if move.bearer in at and not orphans(at[move.bearer], [move])
    )
