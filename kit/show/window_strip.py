"""The window of heights as a strip above the panel's slider."""

from __future__ import annotations

from collections.abc import Iterator

from kit.show import paint
from kit.show.escape import html_text
from kit.show.lengths import Units, length_with_unit
from kit.show.window import Reach


def window_strip(found: Reach, height_mm: float, units: Units) -> str:
    """Draw which heights can be made, which are asked for, and where the base is now.

    Parameters
    ----------
    found : Reach
        From `kit.show.window.reach`.
    height_mm : float
        Height of the base that is shown [mm].
    units : {"mm", "in"}
        What lengths are shown in.

    Returns
    -------
    str
        HTML with a drawing that fits its width, and the two ends in words.
    """
    span = found.high_mm - found.low_mm
    drawn = "".join(_parts(found, height_mm, span if span > 0 else 1.0))
    low, high = (length_with_unit(mm, units) for mm in (found.low_mm, found.high_mm))
    asked = " to ".join(length_with_unit(mm, units) for mm in found.asked_mm)
    now = length_with_unit(height_mm, units)
    words = f"Heights that can be made: {low} to {high}. Asked for in job.toml: {asked}. Now {now}."
    return (
        f'<svg class="ufk-strip" width="100%" height="30" role="img"'
        f' aria-label="{html_text(words)}" style="display:block;overflow:visible">{drawn}</svg>'
        '<div style="display:flex;justify-content:space-between;gap:1em;font-size:12px;'
        'line-height:1.25">'
        f"<span><b>{low}</b><br>{html_text(found.binding_low)}</span>"
        f'<span style="text-align:right"><b>{high}</b><br>{html_text(found.binding_high)}</span>'
        "</div>"
    )


def _parts(found: Reach, height_mm: float, span_mm: float) -> Iterator[str]:
    def place(mm: float) -> float:
        return 100 * min(max((mm - found.low_mm) / span_mm, 0.0), 1.0)

    yield '<rect x="0" y="12" width="100%" height="9" fill="#fff" stroke="#7d8890"/>'
    for start, end in found.feasible_mm:
        wide = max(place(end) - place(start), 0.2)
        yield (
            f'<rect x="{place(start):.2f}%" y="12" width="{wide:.2f}%" height="9" fill="#8fb3c9"/>'
        )
    low, high = found.asked_mm
    yield (
        f'<rect x="{place(low):.2f}%" y="8" width="{max(place(high) - place(low), 0.5):.2f}%"'
        f' height="17" fill="none" stroke="{paint.ACCENT}" stroke-width="1.6"'
        ' stroke-dasharray="4 2"/>'
    )
    at = place(height_mm)
    yield (
        f'<rect class="ufk-now" x="{at:.2f}%" y="3" width="3.5" height="27" fill="{paint.MARK}"'
        ' transform="translate(-1.7 0)"/>'
    )
