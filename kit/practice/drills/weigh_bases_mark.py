"""The kinds of mistake in weighing two bases, and which of them an answer shows."""

from __future__ import annotations

from kit.practice.mistakes import OUT, Kind

MATERIAL_ONLY = Kind("material_only", "forgot what the work costs",
    "compares what is bought, and the client pays hours as well", 25)  # fmt: skip
WITHIN_DOUBT = Kind("within_doubt", "took a difference inside its doubt for real",
    "calls the smaller figure the better one, however small the difference", 20)  # fmt: skip
CHECK_OVERLOOKED = Kind("check_overlooked", "overlooked a check",
    "takes a base without minding whether everything carries that is to carry it", 30)  # fmt: skip
WAIT_FORGOTTEN = Kind("wait_forgotten", "forgot what has to dry",
    "counts hours of work and not the days until anything may stand on it", 25)  # fmt: skip

KINDS = (MATERIAL_ONLY, WITHIN_DOUBT, CHECK_OVERLOOKED, WAIT_FORGOTTEN, OUT)
