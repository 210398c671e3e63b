"""Uneven Floor Kit: from floor readings to the number on every packer stack.

>>> import kit
>>> [name for name in kit.__all__ if name.startswith("write")]
['write_results', 'write_sheet']
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kit.answer import solve
    from kit.as_built import check_base
    from kit.buying import buying_list
    from kit.job import Refusal, read_job, save_job
    from kit.paper.sheets import write_sheet
    from kit.results import write_results
    from kit.side_by_side import compare

__all__ = [
    "Refusal",
    "buying_list",
    "check_base",
    "compare",
    "read_job",
    "save_job",
    "solve",
    "write_results",
    "write_sheet",
]

_HOMES = {
    "Refusal": "kit.job",
    "buying_list": "kit.buying",
    "check_base": "kit.as_built",
    "compare": "kit.side_by_side",
    "read_job": "kit.job",
    "save_job": "kit.job",
    "solve": "kit.answer",
    "write_results": "kit.results",
    "write_sheet": "kit.paper.sheets",
}


def __getattr__(name: str) -> Any:
    """Bring a room in when it is first asked for, so that ``import kit`` stays light."""
    if name not in _HOMES:
        raise AttributeError(f"module 'kit' has no attribute {name!r}")
    found = getattr(importlib.import_module(_HOMES[name]), name)
    globals()[name] = found
    return found
