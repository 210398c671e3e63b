"""What the printed pages for a class share: paper, page, lists, tables, steps."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from kit.ink.escape import html_text
from kit.practice.class_set import ClassSet, Step
from kit.show.practice.plain_table import plain_table

#: Width of a page less its margins, at 96 px to the inch [px].
PAGE_PX = 690.0

_STYLE = (
    "@page{size:A4;margin:12mm}"
    "body{font:10.5pt/1.35 sans-serif;color:#000;background:#fff;max-width:186mm;margin:8mm auto;"
    "padding:0 2mm}@media print{body{margin:0;padding:0;max-width:none}}"
    "h1{font-size:14pt;margin:0 0 1mm}h2{font-size:12.5pt;margin:1mm 0}"
    "h3{font-size:10.5pt;margin:3mm 0 1mm}h1,h2,h3,caption{break-after:avoid}"
    "p,ul,ol{margin:1mm 0}ul,ol{padding-left:6mm}li{margin:.5mm 0}"
    "table{border-collapse:collapse;font-size:9pt;line-height:1.2;margin:1.5mm 0;"
    "font-variant-numeric:tabular-nums}"
    "caption{text-align:left;font-weight:bold;padding:.5mm 0}thead{display:table-header-group}"
    "th,td{border-bottom:.25mm solid #888;padding:.35mm 2mm;text-align:left;vertical-align:top}"
    "thead th{border-bottom:.5mm solid #000;vertical-align:bottom}"
    ".n{text-align:right}tr,svg,.keep{break-inside:avoid}"
    "svg{max-width:100%;height:auto;display:block;filter:grayscale(1)}"
    ".beside{display:flex;flex-wrap:wrap;gap:0 8mm;align-items:flex-start}"
    ".who{display:flex;flex-wrap:wrap;gap:1mm 4mm;align-items:baseline}.who .gap{min-width:24mm}"
    ".gap{display:inline-block;min-width:22mm;border-bottom:.3mm solid #000;height:1.3em;"
    "vertical-align:bottom}"
    ".blanks{display:flex;flex-wrap:wrap;gap:1.5mm 7mm;align-items:baseline;margin:1mm 0}"
    ".blanks>p{margin:0}.one{white-space:nowrap}.whole{flex-basis:100%}"
    ".grid{margin:1mm 0;width:100%;table-layout:fixed}"
    ".grid td,.grid th{border:.25mm solid #888;height:5mm;padding:.2mm 1mm}"
    ".grid th{font-weight:normal;vertical-align:middle}.grid td{text-align:center}"
    ".grid .has{text-align:left;height:7mm}.ticks{table-layout:auto;width:auto}"
    ".none{background:#ccc}"
    "small{font-size:8.5pt}"
)


def printed_page(title: str, style: str, parts: Iterable[str]) -> str:
    """Return a self-contained HTML page for A4 in black and white, without a script.

    Parameters
    ----------
    title : str
        Escaped.
    style : str
        Rules of this page beside those that all share.
    parts : iterable of str
        What stands on it, from `head` on.
    """
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{title}</title><style>{_STYLE}{style}</style></head><body><main>"
        f"{''.join(parts)}</main></body></html>\n"
    )


def which(of_class: ClassSet) -> str:
    """Return seed and grade of a set, escaped."""
    return html_text(f"seed {of_class.seed}, grade {of_class.grade.name}")


def made_words(of_class: ClassSet) -> str:
    """Return what kind of floors these are."""
    return (
        f"Made floors: {html_text(of_class.grade.words)}. The same seed and grade give the same "
        "exercises everywhere."
    )


def head(title: str, *, who: bool = True) -> str:
    """Return the head of a page: its title, blanks for a nickname and a date."""
    gap = '<span class="gap"></span>'
    blanks = f"<span>Nickname: {gap} &ensp; Date: {gap}</span>" if who else ""
    return f'<div class="who"><h1>{title}</h1>{blanks}</div>'


def listed(texts: Iterable[str]) -> str:
    """Return a list of sentences; nothing for none."""
    items = "".join(f"<li>{html_text(text)}</li>" for text in texts)
    return f"<ul>{items}</ul>" if items else ""


def tables(some: Iterable[tuple[str, pd.DataFrame]]) -> str:
    """Return tables beside each other where there is room; those without a row are left out."""
    drawn = "".join(plain_table(title, frame) for title, frame in some if len(frame))
    return f'<div class="beside">{drawn}</div>' if drawn else ""


def steps(some: Iterable[Step]) -> str:
    """Return moves and what they showed, numbered."""
    items = "".join(f"<li>{html_text(one.words)}{tables(one.tables)}</li>" for one in some)
    return f"<ol>{items}</ol>"
