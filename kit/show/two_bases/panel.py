"""Two bases of a job side by side, and figures that change both at once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import ipywidgets as widgets

from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.table import page
from kit.job import Job, Problem
from kit.show.board.elevation_frame import ROW_WORDS
from kit.show.controls import said, text
from kit.show.two_bases.client_page import client_page
from kit.show.two_bases.difference_bars import difference_picture
from kit.show.two_bases.drawing import beside
from kit.show.two_bases.elevations import elevation_picture, elevation_table, runs_of
from kit.show.two_bases.measure_tables import comparison_tables
from kit.show.two_bases.panel_controls import Figures
from kit.show.two_bases.panel_desk import TwoDesk
from kit.show.two_bases.panel_page import PagePart
from kit.show.two_bases.panel_room import Room
from kit.show.two_bases.panel_turning import TurningPart
from kit.show.two_bases.panel_weights import Weights
from kit.show.two_bases.row_view import labels_of
from kit.show.two_bases.said import comparison_sentences
from kit.side_by_side import Comparison

#: The row that is looked at first, where there is one.
_FIRST_ROW = "F"

#: What stands over what is amiss.
_NOT_READ, _CANNOT_BE = "This is not understood", "This cannot be built"

#: How the boxes are meant.
_HOW = (
    "A box left empty is as the job says, in grey. Base tops count from the high point; contents"
    " and fall are so many times what they are. The longest span counts for bearers and frames:"
    " feet and stacks alone stand under sides and divisions. Nothing here changes the job's file."
)

#: The panel's own looks; a notebook's page may be dark, and sliders are moved by fingers too.
_STYLE = (
    "<style>.ufk-two-bases h4{margin:.9em 0 .3em;font-size:15px}"
    ".ufk-two-bases .widget-label{overflow:visible;white-space:normal;line-height:1.2;"
    "height:auto;align-self:center}"
    ".ufk-two-bases .noUi-handle{width:22px;height:22px;top:-10px;right:-11px}"
    ".ufk-two-bases .ufk-working p{margin:0}</style>"
)


class TwoBases:
    """A panel that drives two bases of one job at once.

    Python holds the truth: whatever is touched changes a copy of the job, which is worked out or
    refused; what cannot be is said in words, and the last good answer stays in sight. Nothing is
    saved but the page for the client, where a person asks for it.

    Parameters
    ----------
    job : Job
        From `kit.read_job`.
    a, b : str, optional
        Names of the base above and of the one below, which may be one; the first two that can be
        built unless given.
    width_px : float
        Width of the pictures where the page has room for it [CSS px].

    Raises
    ------
    Refusal
        Where a base that is named cannot be built, or none of the job can.
    """

    def __init__(
        self, job: Job, a: str | None = None, b: str | None = None, *, width_px: float = 1100
    ) -> None:
        self.desk = TwoDesk(job, a, b)
        self._asked_px = self._drawn_px = width_px
        self._following = False
        self.above = _choice("base above", self.desk.names, self.desk.asked[0])
        self.below = _choice("base below", self.desk.names, self.desk.asked[1])
        self.figures = Figures(self.desk, self._change)
        self.row = widgets.Dropdown(
            description="row in the pictures", style=_named(), layout=_wide("24em")
        )
        self.working, self.problems, self.said = text(min_height="1.6em"), text(), text()
        self.working.add_class("ufk-working")
        self.pictures, self.bars = text(width="100%"), text(width="100%")
        self.tables = text(width="100%")
        self.weights = Weights(self._weigh)
        self.turning = TurningPart(lambda: self.comparison, self._width, self._no_page)
        self.page = PagePart(self._client_page, job.folder)
        self.room = Room()
        self.widget = self._arranged()
        self._show_rows(self.comparison)
        self._show_figures()
        for one in (self.above, self.below):
            one.observe(lambda _: self._change(), names="value")
        self.row.observe(lambda _: self._turn_row(), names="value")
        self.room.observe(lambda _: self._resize(), names="wide_px")

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    @property
    def comparison(self) -> Comparison:
        """The last good comparison."""
        return self.desk.comparison

    def _change(self) -> None:
        """Work out what is asked now; keep what is in sight where that cannot be."""
        if self._following:
            return
        with self._at_work():
            wish = self.figures.wish
            errors = self.figures.errors
            names = (self.above.value, self.below.value)
            good = not errors and self.desk.ask(names, wish, self._show_rows)
            if errors:
                self.desk.asked = names
            self.figures.follow()
            if good:
                self.turning.forget()
                self._no_page()
                self._show_figures()
            else:
                self.problems.value = _problems(errors, self.desk.problems, self.comparison)

    @contextmanager
    def _at_work(self) -> Iterator[None]:
        """Say so while something is worked out, and say in words what goes wrong in the kit."""
        self.working.value = said("working …")
        try:
            yield
        except Exception as error:
            words = f"✗ The kit has a defect here ({type(error).__name__}: {error})."
            self.problems.value = said(f"{words} Tell who maintains it.", alert=True)
            raise
        finally:
            self.working.value = ""

    def _show_rows(self, comparison: Comparison) -> None:
        """Show the pictures, which the eye follows, before the floors are drawn."""
        self._offer_rows(comparison)
        self._draw_rows(comparison)

    def _show_figures(self) -> None:
        """Show what is read: sentences, bars, weights, tables."""
        self.problems.value = ""
        self.said.value = comparison_sentences(self.comparison).html
        self._draw_bars()
        self.weights.show(self.comparison)
        self._fill_tables()

    def _draw_rows(self, comparison: Comparison) -> None:
        row, self._drawn_px = self.row.value or _FIRST_ROW, self._width()
        drawn = [
            elevation_picture(comparison, run, self._drawn_px, row) for run in runs_of(comparison)
        ]
        self.pictures.value = beside(drawn, []).html

    def _draw_bars(self) -> None:
        """Draw the bars; of the margins the least stands for all, which the table tells apart."""
        keys = [row.key for row in self.comparison.rows if not row.key.startswith("margin ")]
        drawn = difference_picture(self.comparison, keys, self._width())
        self.bars.value = beside([drawn], []).html

    def _fill_tables(self) -> None:
        row = self.row.value or _FIRST_ROW
        heights = elevation_table(self.comparison, row)
        self.tables.value = page(comparison_tables(self.comparison), heights).html

    def _offer_rows(self, comparison: Comparison) -> None:
        """Offer every row that either base has."""
        both = (comparison.a, comparison.b)
        runs = [run.name for run in both[0].job.runs]
        has = {label for one in both for run in runs for label in labels_of(one, run)}
        rows = [(f"{words} ({label})", label) for label, words in ROW_WORDS.items() if label in has]
        now = self.row.value if self.row.value in has else _FIRST_ROW
        if tuple(self.row.options) != tuple(rows):
            self._following = True
            self.row.options = rows
            self.row.value = now if now in has else rows[0][1] if rows else None
            self._following = False

    def _turn_row(self) -> None:
        if not self._following:
            with self._at_work():
                self._draw_rows(self.comparison)
                self._fill_tables()

    def _resize(self) -> None:
        """Draw again where the page has another room for pictures than they were drawn in."""
        if self._width() == self._drawn_px:
            return
        self._draw_rows(self.comparison)
        self._draw_bars()
        self.turning.draw()

    def _width(self) -> float:
        return self.room.fitting(self._asked_px)

    def _weigh(self) -> None:
        with self._at_work():
            self.weights.show(self.comparison)
            self._no_page()

    def _no_page(self) -> None:
        self.page.forget()

    def _client_page(self) -> str:
        weighing = next(iter(self.weights.weighing), None)
        return client_page(self.comparison, self.turning.sweeps, weighing)

    def _arranged(self) -> widgets.Box:
        chosen = widgets.HBox([self.above, self.below], layout=_rows())
        parts = [
            text(_STYLE),
            self.room,
            chosen,
            _heading("Both at once"),
            text(said(_HOW)),
            self.figures.widget,
            self.working,
            self.problems,
            _heading("Side by side"),
            self.row,
            self.pictures,
            self.said,
            self.bars,
            _heading("Your weights"),
            self.weights.widget,
            _heading("Where the other base would win"),
            self.turning.widget,
            _heading("To hand over"),
            self.page.widget,
            _heading("Every figure"),
            self.tables,
        ]
        whole = widgets.VBox(parts, layout=widgets.Layout(width="100%"))
        whole.add_class("ufk-two-bases")
        return whole


def _problems(errors: tuple[str, ...], problems: tuple[Problem, ...], in_sight: Comparison) -> str:
    """Say what was not understood, or else why it cannot be built, and what is still in sight."""
    told = errors or tuple(str(one) for one in problems)
    items = "".join(f"<li>{html_text(one)}</li>" for one in told)
    one, other = (html_text(name) for name in in_sight.names)
    return (
        f'<div role="alert" style="border-left:4px solid {paint.MARK};padding:.3em .7em;'
        f'line-height:1.35;white-space:normal"><b>✗ {_NOT_READ if errors else _CANNOT_BE}:</b>'
        f'<ul style="margin:.2em 0;padding-left:1.2em">{items}</ul>In sight below is the last good'
        f" answer: {one} beside {other}.</div>"
    )


def _heading(words: str) -> widgets.HTML:
    return text(f"<h4>{html_text(words)}</h4>")


def _choice(name: str, options: tuple[str, ...], value: str) -> widgets.Dropdown:
    return widgets.Dropdown(
        options=options, value=value, description=name, style=_named(), layout=_wide("32em")
    )


def _named() -> dict[str, str]:
    return {"description_width": "11em"}


def _wide(width: str) -> widgets.Layout:
    return widgets.Layout(width=width, max_width="100%")


def _rows() -> widgets.Layout:
    return widgets.Layout(flex_flow="row wrap", width="100%")
