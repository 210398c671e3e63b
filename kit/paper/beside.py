"""What a paper that lies beside the job sheet says of all the other cautions of its job."""

from __future__ import annotations

from kit.base.cautions import NO_APPROVAL

#: Last lines of a paper that shows one thing only: repeating every caution would hide its own.
BESIDE = (
    "All other cautions, the hold points and what was not checked stand on the job sheet: read"
    " them before the work begins.",
    NO_APPROVAL,
)
