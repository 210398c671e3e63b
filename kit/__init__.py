"""Uneven Floor Kit: from floor readings to the number on every packer stack.

>>> import kit
>>> sorted(kit.__all__)
['Refusal', 'compare', 'read_job', 'save_job', 'solve', 'write_results']
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kit.answer import solve
    from kit.job import Refusal, read_job, save_job
    from kit.results import write_results
    from kit.side_by_side import compare

__all__ = ["Refusal", "compare", "read_job", "save_job", "solve", "write_results"]

_HOMES = {
    "Refusal": "kit.job",
    "compare": "kit.side_by_side",
    "read_job": "kit.job",
    "save_job": "kit.job",
    "solve": "kit.answer",
    "write_results": "kit.results",
}


def __getattr__(name: str) -> Any:
    """Bring a room in when it is first asked for, so that ``import kit`` stays light."""
    if name not in _HOMES:
        raise AttributeError(f"module 'kit' has no attribute {name!r}")
    found = getattr(importlib.import_module(_HOMES[name]), name)
    globals()[name] = found
    return found
