"""Words and places for HTML in the small panels of the notebooks."""

from __future__ import annotations

import math
from typing import Any

import ipywidgets as widgets

from kit.ink.escape import html_text
from kit.job import Refusal, parse_inches
from kit.job.units import inches_to_mm


def said(words: str, *, alert: bool = False) -> str:
    """Return a sentence that a panel says; screen readers read it out, an alert at once."""
    role = "alert" if alert else "status"
    return (
        f'<p role="{role}" style="white-space:normal;max-width:60em;line-height:1.35">'
        f"{html_text(words)}</p>"
    )


def text(html: str = "", **layout: Any) -> widgets.HTML:
    """Return a place for HTML in the panel."""
    return widgets.HTML(value=html, layout=widgets.Layout(**layout))


def typed_mm(written: str, *, inches: bool) -> float:
    """Return a length that somebody typed [mm]; nan where it is none.

    Examples
    --------
    >>> typed_mm(" 12.5", inches=False), typed_mm("2 1/2", inches=True), typed_mm("x", inches=True)
    (12.5, 63.5, nan)
    """
    try:
        if inches:
            return inches_to_mm(parse_inches(written.strip()))
        # Python reads 1_0 as ten; a person who types it means something else.
        return math.nan if "_" in written else float(written)
    except (ValueError, Refusal):
        return math.nan
