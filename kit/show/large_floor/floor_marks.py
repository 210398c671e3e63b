"""What lies in a large floor and is drawn over its maps: joints, steps, lines, excluded areas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from kit.flatness import Line
from kit.ink.escape import chart_text, cut_text
from kit.ink.paint import FAINT_INK, INK, PAPER
from kit.job import FloorStep, Job, MovementJoint
from kit.show.chart import Trace, polygons
from kit.show.large_floor.cell_map import joint_trace

Place = tuple[float, float]

#: Least and greatest x, least and greatest y [mm].
BoxMm = tuple[float, float, float, float]

#: Letters of a name on a map at most.
NAME_LETTERS = 16


class Area(Protocol):
    """A named rectangle of the plan."""

    @property
    def name(self) -> str:
        """What the job calls it."""

    @property
    def corner_mm(self) -> Place:
        """Its corner of least x and y [mm]."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Its sides along x and y [mm]."""


@dataclass(frozen=True)
class FloorMarks:
    """What is drawn over the maps of a floor.

    Parameters
    ----------
    joints : sequence of MovementJoint
    steps : sequence of FloorStep
        Along which the floor itself steps.
    excluded : sequence of Area
        Which no figure is told of.
    """

    joints: Sequence[MovementJoint] = ()
    steps: Sequence[FloorStep] = ()
    excluded: Sequence[Area] = ()

    def traces(self, box: BoxMm) -> list[Trace]:
        """Return them as traces, no further than the box."""
        return [
            *excluded_traces(self.excluded),
            joint_trace(self.joints),
            *step_traces(self.steps, box),
        ]

    def names(self, box: BoxMm) -> list[dict[str, Any]]:
        """Return the names of steps and areas, where they lie."""
        return [*step_names(self.steps, box), *excluded_names(self.excluded)]


#: Nothing drawn over a map.
NO_MARKS = FloorMarks()


def marks_of(job: Job) -> FloorMarks:
    """Return what a job says lies in its floor."""
    return FloorMarks(job.movement_joints, job.floor_steps, job.excluded)


def step_traces(steps: Sequence[FloorStep], box: BoxMm) -> list[Trace]:
    """Return steps of the floor as dotted lines on a light ground, which dark cells do not hide.

    Parameters
    ----------
    steps : sequence of FloorStep
    box : tuple of float
        Least and greatest x, least and greatest y of the map [mm]; nothing is drawn beyond.
    """
    kept = [(step.name, ends) for step in steps for ends in clipped(step.from_mm, step.to_mm, box)]
    x, y = _ends([ends for _, ends in kept])
    names = [text for name, _ in kept for text in (chart_text(name), chart_text(name), "")]
    ground = _lines("step ground", "", x, y) | {"showlegend": False}
    return [
        ground | {"line": {"color": PAPER, "width": 5.5}},
        _lines("floor steps", "step of the floor", x, y)
        | {
            "line": {"color": INK, "width": 3, "dash": "dot"},
            "hoverinfo": "all",
            "hovertext": names,
            "hovertemplate": "step of the floor %{hovertext}<extra></extra>",
        },
    ]


def step_names(steps: Sequence[FloorStep], box: BoxMm) -> list[dict[str, Any]]:
    """Return the name of each step at its end that lies further from the wall."""
    named = []
    for step in steps:
        for ends in clipped(step.from_mm, step.to_mm, box):
            x, y = max(ends, key=lambda place: (place[1], place[0]))
            side = "right" if x > (box[0] + box[1]) / 2 else "left"
            shift = {"xanchor": side, "yanchor": "bottom", "xshift": -5 if side == "right" else 5}
            named.append(name_note(step.name, (x, y)) | shift | {"yshift": 4})
    return named


def excluded_traces(areas: Sequence[Area]) -> list[Trace]:
    """Return excluded areas as hatched rectangles."""
    shapes = [_corners(area) for area in areas]
    hatched = {
        "fill": "toself",
        "fillcolor": "rgba(255,255,255,0.55)",
        "fillpattern": {"shape": "/", "fgcolor": INK, "bgcolor": "rgba(255,255,255,0.55)",
                        "size": 9, "solidity": 0.12},
        "line": {"color": INK, "width": 1.6},
    }  # fmt: skip
    return [_lines("excluded", "excluded area", *polygons(shapes)) | hatched]


def excluded_names(areas: Sequence[Area]) -> list[dict[str, Any]]:
    """Return the name of each excluded area in its middle."""
    return [
        name_note(
            area.name,
            (area.corner_mm[0] + area.size_mm[0] / 2, area.corner_mm[1] + area.size_mm[1] / 2),
        )
        for area in areas
    ]


def line_trace(lines: Sequence[Line], name: str) -> Trace:
    """Return thin lines along which the floor is told."""
    x, y = _ends([(line.from_mm, line.to_mm) for line in lines])
    names = [text for one in lines for text in (chart_text(one.name), chart_text(one.name), "")]
    return _lines("lines", name, x, y) | {
        "line": {"color": FAINT_INK, "width": 1.2},
        "hoverinfo": "all",
        "hovertext": names,
        "hovertemplate": "line %{hovertext}<extra></extra>",
    }


def line_names(lines: Sequence[Line]) -> list[dict[str, Any]]:
    """Return the name of each line a little way along it."""
    return [
        name_note(line.name, _along(line.from_mm, line.to_mm, 0.04))
        | {"font": {"size": 9, "color": INK}}
        for line in lines
    ]


def name_note(text: str, place: Place) -> dict[str, Any]:
    """Return a name on a light ground, its middle at a place [mm]."""
    return {
        "x": place[0],
        "y": place[1],
        "text": f"<b>{chart_text(cut_text(text, NAME_LETTERS))}</b>",
        "showarrow": False,
        "xanchor": "center",
        "yanchor": "middle",
        "xshift": 0,
        "yshift": 0,
        "font": {"size": 11, "color": INK},
        "borderpad": 1,
        "bgcolor": "rgba(255,255,255,0.8)",
    }


def clipped(from_mm: Place, to_mm: Place, box: BoxMm) -> list[tuple[Place, Place]]:
    """Return what of a line lies in a box; nothing where it passes beside.

    Parameters
    ----------
    from_mm, to_mm : tuple of float
        Its ends [mm].
    box : tuple of float
        Least and greatest x, least and greatest y [mm].

    Examples
    --------
    >>> clipped((10.0, -5.0), (10.0, 50.0), (0.0, 20.0, 0.0, 40.0))
    [((10.0, 0.0), (10.0, 40.0))]
    """
    first, last = 0.0, 1.0
    for start, end, least, most in zip(from_mm, to_mm, box[::2], box[1::2], strict=True):
        run = end - start
        if not run:
            if not least <= start <= most:
                return []
            continue
        enters, leaves = sorted(((least - start) / run, (most - start) / run))
        first, last = max(first, enters), min(last, leaves)
    return [(_along(from_mm, to_mm, first), _along(from_mm, to_mm, last))] if first < last else []


def _along(one: Place, other: Place, share: float) -> Place:
    return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])


def _corners(area: Area) -> list[Place]:
    (x, y), (wide, deep) = area.corner_mm, area.size_mm
    return [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]


def _ends(pairs: Sequence[tuple[Place, Place]]) -> tuple[list[Any], list[Any]]:
    x = [value for one, other in pairs for value in (one[0], other[0], None)]
    y = [value for one, other in pairs for value in (one[1], other[1], None)]
    return x, y


def _lines(meta: str, name: str, x: list[Any], y: list[Any]) -> Trace:
    return {
        "type": "scatter",
        "meta": meta,
        "xaxis": "x",
        "name": name,
        "x": x,
        "y": y,
        "mode": "lines",
        "hoverinfo": "skip",
        "showlegend": bool(x),
    }
