"""A job as the tables of a file that would say it, in millimetres."""

from __future__ import annotations

from kit.job.model import Part

#: Lists of tables of which each member stands under a heading of its own, ``[[run.unit]]``; the
#: others (packers, moves) stand on one line.
HEADED = frozenset(
    ("survey", "run", "unit", "no_go", "service", "doorway", "excluded", "movement_joint", "base")
)


def tables_of(part: Part) -> dict[str, object]:
    """Return what a file would hold to say a job, or a part of one.

    Parameters
    ----------
    part : Part
        A job, or any table of it.

    Returns
    -------
    dict
        The file's own keys with lengths in millimetres [mm], lists as lists, and whole numbers
        without a decimal point as a person writes them. What was left to its usual value is left
        out. Nothing in it is shared with the job.
    """
    dumped = part.model_dump(by_alias=True, exclude_unset=True, exclude_none=True)
    return {key: _as_typed(value) for key, value in dumped.items()}


def every_key_of(part: Part) -> dict[str, object]:
    """Return as `tables_of`, with every usual value put in; None where a key has none."""
    dumped = part.model_dump(by_alias=True)
    return {key: _as_typed(value) for key, value in dumped.items()}


def _as_typed(value: object) -> object:
    if isinstance(value, dict):
        return {key: _as_typed(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_as_typed(item) for item in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
