"""A line drawn on a large floor by hand, and the floor cut open along it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import ipywidgets as widgets

from kit.flatness import Section, section
from kit.height_grid import HeightGrid
from kit.ink.lengths import Units
from kit.ink.paint import ACCENT, PAPER
from kit.job import Refusal, refuse
from kit.job.units import mm_to_inches
from kit.show.chart import Drawing, Trace
from kit.show.controls import said, text, typed_mm
from kit.show.large_floor.cell_map import cell_drawing
from kit.show.large_floor.cells import fewer
from kit.show.large_floor.floor_maps import HEIGHTS, over_cells
from kit.show.large_floor.floor_marks import NO_MARKS, FloorMarks
from kit.show.large_floor.section_chart import section_drawing, section_table
from kit.show.live_figure import LiveFigure

Place = tuple[float, float]

#: What the map says of the place under the pointer.
_TAP_HERE = "x %{x:.0f}, y %{y:.0f} mm<extra></extra>"


class SectionPanel:
    """A map on which two taps draw a line, boxes for its ends, and the floor along it.

    The first tap is one end of the line, the second the other; a third begins a new line. The
    boxes take the same places typed.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    units : {"mm", "in"}
        Of pictures and boxes.
    line : (Place, Place), optional
        The line at first [mm]; along the middle of the floor unless given.
    edge_mm : float
        Length of the straight edge laid along it [mm].
    marks : FloorMarks
        Drawn over the map; no straight edge is laid across its steps.
    zero : str
        What the heights are above.
    """

    def __init__(
        self,
        grid: HeightGrid,
        units: Units = "mm",
        *,
        line: tuple[Place, Place] | None = None,
        edge_mm: float = 2000.0,
        marks: FloorMarks = NO_MARKS,
        zero: str = "",
    ) -> None:
        self.grid, self.units, self.edge_mm = grid, units, edge_mm
        self.marks, self.zero = marks, zero
        self.line = line or _along_the_middle(grid)
        self.cut = self._cut(*self.line)
        self._first: Place | None = None
        self._shown = False
        self.message, self.page = text(), text()
        self.boxes = [self._box(name) for name in ("from x", "from y", "to x", "to y")]
        self.map = LiveFigure(self._map())
        self.chart = LiveFigure(section_drawing(self.cut, units))
        self.map.widget.data[0].on_click(self._tapped)
        row = widgets.HBox(self.boxes, layout=widgets.Layout(flex_flow="wrap"))
        parts = [self.map.widget, row, self.message, self.chart.widget, self.page]
        self.widget: widgets.Box = widgets.VBox(parts, layout=widgets.Layout(width="100%"))
        self.widget.add_class("ufk-section")
        self.widget.add_class("ufk-charted")
        self._show()
        for box in self.boxes:
            box.observe(lambda _: self._typed(), names="value")

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    def draw(self, from_mm: Place, to_mm: Place) -> None:
        """Cut the floor open along a line; one that cannot be is told, and the last one stays."""
        try:
            self.cut = self._cut(from_mm, to_mm)
        except Refusal as refusal:
            self.message.value = said(f"✗ {refusal}", alert=True)
            return
        self.line = (from_mm, to_mm)
        self._show()

    def tap(self, place: Place) -> None:
        """Take a tap on the map: the first end of a line, or the second."""
        if self._first is None:
            self._first = place
            self.message.value = said("The line begins here; tap where it ends.")
            self.map.show(self._map(begun=place))
            return
        first, self._first = self._first, None
        self.draw(first, place)
        self.map.show(self._map())

    def _cut(self, from_mm: Place, to_mm: Place) -> Section:
        # A line across the cells is cut in the cells' own steps, so that the edge fits.
        step = self.grid.cell_mm
        return section(self.grid, from_mm, to_mm, step, self.edge_mm, steps=self.marks.steps)

    def _tapped(self, _: Any, points: Any, __: Any) -> None:
        if points.point_inds:
            self.tap((float(points.xs[0]), float(points.ys[0])))

    def _typed(self) -> None:
        if not self._shown:  # the boxes are being filled, one after the other
            return
        try:
            x1, y1, x2, y2 = (self._length_mm(box) for box in self.boxes)
        except Refusal as refusal:
            self.message.value = said(f"✗ {refusal}", alert=True)
            return
        if ((x1, y1), (x2, y2)) != self.line:
            self.draw((x1, y1), (x2, y2))

    def _show(self) -> None:
        self._shown = False
        for box, value in zip(self.boxes, (*self.line[0], *self.line[1]), strict=True):
            shown = value if self.units == "mm" else mm_to_inches(value)
            box.value = f"{shown:.10g}"
        self._shown = True
        self.map.show(self._map())
        self.chart.show(section_drawing(self.cut, self.units))
        self.page.value = section_table(self.cut, self.units).html
        self.message.value = said("Tap twice on the map to draw another line, or type its ends.")

    def _map(self, begun: Place | None = None) -> Drawing:
        cells = fewer(self.grid.x_mm, self.grid.y_mm, self.grid.height_mm, "mean")
        line = _line_trace((begun,) if begun else self.line)
        over = over_cells(cells, self.marks, above=[line])
        sentence = "Tap where a line begins, then where it ends."
        if self.zero:
            sentence += f" Heights are above {self.zero}."
        drawn = cell_drawing(cells, HEIGHTS, self.units, "Draw a line", [sentence], over)
        # A line may begin or end over a hole: a tap there counts too.
        drawn.traces[0] |= {"hoverongaps": True, "hovertemplate": _TAP_HERE}
        return drawn

    def _box(self, name: str) -> widgets.Text:
        return widgets.Text(
            description=f"{name} [{self.units}]",
            continuous_update=False,
            style={"description_width": "7em"},
            layout=widgets.Layout(width="14em"),
        )

    def _length_mm(self, box: widgets.Text) -> float:
        """Return a length that was typed.

        Raises
        ------
        Refusal
            Where it is none.
        """
        written = box.value.strip()
        value = typed_mm(written, inches=self.units == "in")
        if not math.isfinite(value):
            kind = "inches" if self.units == "in" else "mm"
            raise refuse(box.description, repr(written[:40]), f"a length in {kind}")
        return value


def _along_the_middle(grid: HeightGrid) -> tuple[Place, Place]:
    """Return the line along x through the middle row of cells that has most of them known."""
    known = grid.known.sum(axis=1)
    middle = len(known) / 2
    best = max(range(len(known)), key=lambda row: (known[row], -abs(row - middle)))
    y = float(grid.y_mm[best])
    return (float(grid.x_mm[0]), y), (float(grid.x_mm[-1]), y)


def _line_trace(places: Sequence[Place]) -> Trace:
    return {
        "type": "scatter",
        "meta": "line",
        "xaxis": "x",
        "name": "line that is cut open",
        "x": [place[0] for place in places],
        "y": [place[1] for place in places],
        "mode": "lines+markers",
        "line": {"color": ACCENT, "width": 3},
        "marker": {"size": 12, "color": PAPER, "line": {"color": ACCENT, "width": 3}},
        "hoverinfo": "skip",
    }
