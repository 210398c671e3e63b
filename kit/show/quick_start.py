"""Plotly, loaded without the five seconds that one of its helpers' helpers takes.

Plotly asks for nbformat, nbformat for jsonschema, and jsonschema, where it finds the optional
package rfc3987_syntax (JupyterLab brings it), builds 39 grammars for a kind of address that no
chart has. While they load, that package is hidden; afterwards it can be imported as ever. What is
missed: jsonschema leaves "iri" formats unchecked in a process that first loads it here.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import cast

__all__ = ["hidden", "load_plotly"]

#: The package whose import builds the grammars.
GRAMMARS = "rfc3987_syntax"


@contextmanager
def hidden(name: str) -> Iterator[None]:
    """Let an optional package be missing for a while, unless it is loaded already.

    Parameters
    ----------
    name : str
        Name of the package.
    """
    if name in sys.modules:
        yield
        return
    modules = cast("dict[str, object]", sys.modules)
    modules[name] = None  # the way in which Python marks a module that must not be found
    try:
        yield
    finally:
        del modules[name]


def load_plotly() -> None:
    """Import what the charts need of plotly, and with it jsonschema."""
    with hidden(GRAMMARS):
        import plotly.graph_objects as go  # noqa: PLC0415
        import plotly.io  # noqa: F401, PLC0415

        assert go.FigureWidget  # loads the live figure, which is lazy


load_plotly()
