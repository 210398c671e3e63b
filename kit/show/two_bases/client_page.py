"""One printed page for the client: two ways of building on one floor, without the trade's words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL
from kit.ink.escape import html_text
from kit.ink.inch_words import in_units
from kit.ink.lengths import number, plan_length
from kit.ink.table import Head, records
from kit.job.ways import way_of
from kit.show.board.elevation_frame import zero_name
from kit.show.two_bases.drawing import image
from kit.show.two_bases.elevations import elevation_picture, elevation_table, runs_of
from kit.show.two_bases.plain_measures import PLAIN, plain_table
from kit.show.two_bases.turning_words import turning_sentences
from kit.side_by_side import Comparison, Sweep, Weighing, verdict
from kit.side_by_side.words import sentences_of

#: Width of the pictures: of A4 less its margins, at 96 px to the inch [px].
_PICTURE_PX = 680.0

_FORMULA = (
    "Score = sum over all measures of weight × (worse − better) / larger of the two figures"
    " (of percentages of a limit: / 100),"
    " counted for the first way where it is better, against it where the second is; 0 where they do"
    " not"
    " differ beyond doubt. These are the weights of the person, not of the kit."
)

_STYLE = (
    "@page{size:A4;margin:15mm}"
    "body{font:11pt/1.4 sans-serif;color:#000;background:#fff;max-width:180mm;margin:8mm auto;"
    "padding:0 4mm}"
    "h1{font-size:17pt;margin:0 0 2mm}h2{font-size:13pt;margin:6mm 0 1mm;break-after:avoid}"
    "h3{font-size:11pt;margin:3mm 0 1mm;break-after:avoid}"
    "p,ul{margin:1mm 0}li{margin:.6mm 0}"
    "table{border-collapse:collapse;width:100%;font-size:9.5pt;margin:2mm 0;"
    "font-variant-numeric:tabular-nums}"
    "caption{text-align:left;font-weight:bold;padding:1mm 0}"
    "th,td{border-bottom:.3mm solid #888;padding:.8mm 1.5mm;text-align:left;vertical-align:top}"
    "thead th{border-bottom:.6mm solid #000;vertical-align:bottom}tbody th{font-weight:normal}"
    ".n{text-align:right}tbody .n{white-space:nowrap}tr,svg,.keep{break-inside:avoid}"
    "svg{max-width:100%;height:auto;display:block}"
    ".no{border:.6mm solid #000;padding:2mm 3mm;margin:5mm 0 0;font-weight:bold}"
    "small{font-size:9pt}"
    ".two{display:flex;gap:6mm;align-items:flex-start}.two table{font-size:8.5pt}"
)


def client_page(
    comparison: Comparison, sweeps: Iterable[Sweep] = (), weighing: Weighing | None = None
) -> str:
    """Return one HTML page that compares both bases for a person without the trade's words.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    sweeps : iterable of Sweep, optional
        From `kit.side_by_side.turning_points`.
    weighing : Weighing, optional
        The person's own weights.

    Returns
    -------
    str
        Self-contained: no script, nothing from outside; to be printed on A4 in black and white.
        All names of the person are escaped.
    """
    title = html_text(comparison.a.job.title)
    parts = (
        _asked(comparison),
        _ways(comparison),
        _pictures(comparison),
        f"<h2>What it comes to</h2>{plain_table(comparison)}{_zero(comparison)}",
        _in_words(comparison),
        _turnings(comparison, tuple(sweeps)),
        _weights(weighing) if weighing is not None else "",
        _cautions(comparison),
        _unchecked(comparison),
    )
    names = " and ".join(html_text(name) for name in comparison.names)
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{title}: {names}</title><style>{_STYLE}</style></head><body><main>"
        f"<h1>{title}</h1>{''.join(parts)}"
        f'<p class="no">{html_text(NO_APPROVAL)}</p></main></body></html>\n'
    )


def _asked(comparison: Comparison) -> str:
    """Say what is to be built and what is asked."""
    job = comparison.a.job
    units = [unit for run in job.runs for unit in run.units]
    count = f"{len(units)} {'piece' if len(units) == 1 else 'pieces'} of furniture"
    along = sum(run.length_mm for run in job.runs)
    fall = number(comparison.a.plane.fall_mm_per_m, 1)
    return (
        f"<h2>What is asked</h2><p>{count},"
        f" {html_text(plan_length(along, job.units))} {job.units} long in all, are to stand dead"
        f" level on a floor that falls by about {fall} mm in every metre. Two ways of building what"
        " they stand on are compared below, both over the same readings of the floor.</p>"
    )


def _ways(comparison: Comparison) -> str:
    items = "".join(
        f"<li><b>{html_text(name)}</b>: {html_text(way_of(answer.base).said)}</li>"
        for name, answer in _sides(comparison)
    )
    return f"<h2>The two ways</h2><ol>{items}</ol>"


def _sides(comparison: Comparison) -> Iterator[tuple[str, Answer]]:
    yield from zip(comparison.names, (comparison.a, comparison.b), strict=True)


def _pictures(comparison: Comparison) -> str:
    drawn = "".join(
        f'<div class="keep">{image(elevation_picture(comparison, run, _PICTURE_PX, row))}</div>'
        for run in runs_of(comparison)
        for row in _rows_of(comparison, run)
    )
    return f"<h2>Seen from the room</h2>{drawn}{_heights(comparison)}"


def _rows_of(comparison: Comparison, run: str) -> list[str]:
    """Return the front row, and the further one under deeper units where either way has one."""
    both = (row for one in (comparison.a, comparison.b) for row in one.layout.rows)
    return [label for label in ("F", "D") if label in {r.label for r in both if r.run == run}]


def _heights(comparison: Comparison) -> str:
    """Return the table of heights, written for print: one half a base."""
    table = elevation_table(comparison)
    halves = "".join(
        _half(name, table.heads[1:], [row[1:] for row in table.rows if row[0] == name])
        for name in comparison.names
    )
    note = f"{table.title}. {table.note}"
    return f'<div class="two">{halves}</div><p><small>{html_text(note)}</small></p>'


def _half(name: str, heads: tuple[Head, ...], rows: Iterable[tuple[str, ...]]) -> str:
    top = "".join(
        f'<th scope="col" class="{head.style}">{html_text(head.text)}'
        + (f" [{html_text(head.unit)}]" if head.unit else "")
        + "</th>"
        for head in heads
    )
    body = "".join(f"<tr>{_cells(row, heads)}</tr>" for row in rows)
    return (
        f"<table><caption>{html_text(name)}</caption><thead><tr>{top}</tr></thead>"
        f"<tbody>{body}</tbody></table>"
    )


def _cells(row: tuple[str, ...], heads: tuple[Head, ...]) -> str:
    first, *rest = zip(row, heads, strict=True)
    cells = (f'<td class="{head.style}">{html_text(text)}</td>' for text, head in rest)
    return f'<th scope="row">{html_text(first[0])}</th>{"".join(cells)}'


def _zero(comparison: Comparison) -> str:
    zero = html_text(zero_name(comparison.a))
    return (
        f"<p><small>Heights count from {zero}. “No difference” means that the figures differ by"
        " less than counts (a sheet of paper, a tenth of the working time), or that the floors"
        " which fit the readings do not agree on which is better. Where something stands open"
        " neither is called the better.</small></p>"
    )


def _in_words(comparison: Comparison) -> str:
    """Say what the table comes to, in the table's own words."""
    rows = [row for row in comparison.rows if row.key in PLAIN]
    said = verdict(comparison, rows, lambda row: _lower(PLAIN[row.key]))
    rest = sentences_of(comparison)[1:]
    return f"<h2>In words</h2>{_list([said, *rest])}"


def _lower(words: str) -> str:
    return words[0].lower() + words[1:]


def _turnings(comparison: Comparison, sweeps: tuple[Sweep, ...]) -> str:
    if not sweeps:
        return ""
    lead = (
        "What would make the other way the better one, each by itself, on the floor as it is"
        " expected and with as many packers and feet as wanted. Both were worked out again at each"
        " of these figures:"
    )
    said = turning_sentences(sweeps, comparison.a.job.units)
    return f"<h2>Where it would turn</h2><p>{lead}</p>{_list(said)}"


def _weights(weighing: Weighing) -> str:
    """Show a person's own weights and what they make of it."""
    heads = "".join(
        f'<th scope="col" class="{style}">{text}</th>'
        for text, style in (
            ("Measure", ""), ("Weight", "n"), ("Difference as a part", "n"),
            ("Adds to the score", "n"), ("Ranking turns at weight", "n"),
        )
    )  # fmt: skip
    body = "".join(_weight_row(one) for one in records(weighing.table()))
    winner = weighing.winner or "neither"
    left_out = (
        f" Left out, for want of figures that compare: {', '.join(weighing.left_out)}."
        if weighing.left_out
        else ""
    )
    return (
        f"<h2>By your own weights</h2><p>{html_text(_FORMULA)}</p>"
        f"<table><caption>Weights and what they make of it</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{body}</tbody></table><p>Score {weighing.score:+.3f}: by these weights"
        f" <b>{html_text(winner)}</b> is the better.{html_text(left_out)}</p>"
    )


def _weight_row(one: dict[str, float | str]) -> str:
    figures = (f"{one['weight']:g}", *(number(float(one[key]), 3) for key in _PARTS))
    cells = "".join(f'<td class="n">{html_text(text)}</td>' for text in figures)
    return f'<tr><th scope="row">{html_text(one["measure"])}</th>{cells}</tr>'


_PARTS = ("share", "part", "turns_at")


def _cautions(comparison: Comparison) -> str:
    """Return the cautions of both, those that both have once."""
    units = comparison.a.job.units
    one, other = (
        _told(in_units(line, units) for line in answer.cautions)
        for answer in (comparison.a, comparison.b)
    )
    both = [text for text in one if text in other]
    parts = [("Of both ways", both)]
    parts += [
        (f"Of {name} alone", [text for text in mine if text not in both])
        for name, mine in zip(comparison.names, (one, other), strict=True)
    ]
    return "<h2>Take care</h2>" + "".join(
        f"<h3>{html_text(head)}</h3>{_list(texts)}" for head, texts in parts if texts
    )


def _told(cautions: Iterable[str]) -> list[str]:
    """Return cautions once each; the sentence on approval has a place of its own."""
    return [text for text in dict.fromkeys(cautions) if text != NO_APPROVAL]


def _unchecked(comparison: Comparison) -> str:
    parts = []
    for name, answer in _sides(comparison):
        checks = answer.checks[answer.checks["verdict"] == "not_checked"]
        said = dict.fromkeys(
            f"{one['check']}, {one['subject']}: {in_units(str(one['source']), answer.job.units)}"
            for one in records(checks)
            if one["source"] != NO_APPROVAL  # it stands at the end of the page
        )
        parts.append(f"<h3>{html_text(name)}</h3>{_list(said)}")
    return f"<h2>What was not checked</h2>{''.join(parts)}"


def _list(texts: Iterable[str]) -> str:
    items = "".join(f"<li>{html_text(text)}</li>" for text in texts)
    return f"<ul>{items}</ul>" if items else "<p>Nothing.</p>"
