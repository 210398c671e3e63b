"""Words and places for HTML in the small panels of the notebooks."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit.ink.escape import html_text


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
