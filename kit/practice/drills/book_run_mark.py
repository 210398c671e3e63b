"""Marking of the drill with the run."""

from __future__ import annotations

from kit.practice.mistakes import Kind

NOT_CLOSED = Kind("not_closed", "never came back to where it began",
    "carries a height one way only, so that nothing shows what it is worth", 25)  # fmt: skip
NOT_SPREAD = Kind("not_spread", "left the misclosure in the last leg",
    "finds what the round misses and answers the heights as first booked", 20)  # fmt: skip
