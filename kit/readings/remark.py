"""A plain sentence that goes with adjusted heights."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Remark:
    """A sentence, and whether a person must act on it."""

    text: str
    caution: bool = False
