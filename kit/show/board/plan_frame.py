"""How the plan lies in its picture: extent, scale, margins and the names that lie still."""

from __future__ import annotations

from dataclasses import replace

from kit.base.layout import Layout
from kit.job import Job
from kit.show.board.label_places import Box
from kit.show.board.plan_geometry import PlanFrame, axes
from kit.show.board.plan_texts import ground_texts

__all__ = ["PlanFrame", "frame_of"]

#: Below the least scale stacks are too small for a hand, and the board scrolls sideways; above
#: the greatest a single unit would fill the screen [px/mm].
LEAST_PX_PER_MM, MOST_PX_PER_MM = 0.09, 0.4

#: What stands on the floor is drawn at most so tall, where the scale allows [px].
TALLEST_PX = 640.0

#: Floor shown around what stands on it, and how near to the units a no-go area or a doorway is
#: part of it [mm].
AROUND_MM, NEAR_MM = 250.0, 600.0

#: Least margins [px]: above, for names of stacks and one line behind them; below, for names of
#: stacks; beside, where no row turns its face, and where one does.
ABOVE_PX, BELOW_PX, BESIDE_PX, BESIDE_TURNED_PX = 58.0, 40.0, 24.0, 52.0

#: So far below the picture names may go; the picture then grows to hold them [px].
_GROWS_PX = 260.0


def frame_of(job: Job, layout: Layout, width_px: float) -> PlanFrame:
    """Lay the plan into a picture of a width.

    Parameters
    ----------
    job : Job
        No-go areas, services, joists, doorways.
    layout : Layout
        Units, bearers and supports.
    width_px : float
        The width asked for [px]; the picture is wider where the scale would fall under
        `LEAST_PX_PER_MM`.

    Returns
    -------
    PlanFrame
    """
    extent = _extent_mm(job, layout)
    wide, deep = extent.right - extent.left, extent.bottom - extent.top
    turned = any(abs(axes(run)[0][1]) > 0.3 for run in layout.frames.values())
    beside = BESIDE_TURNED_PX if turned else BESIDE_PX
    scale = min(width_px / (wide + 2 * AROUND_MM), (width_px - 2 * beside) / wide)
    scale = max(min(scale, MOST_PX_PER_MM, TALLEST_PX / deep), LEAST_PX_PER_MM)
    around = AROUND_MM * scale
    side = max((width_px - wide * scale) / 2, around, beside)
    top, bottom = max(around, ABOVE_PX), max(around, BELOW_PX)
    trial = PlanFrame(
        left_mm=extent.left - side / scale,
        top_mm=extent.top - top / scale,
        px_per_mm=scale,
        width_px=wide * scale + 2 * side,
        height_px=top + deep * scale + bottom,
        margins=(side, top, side, bottom),
        skirting_mm={run.name: run.skirting_mm for run in job.runs},
    )
    texts = ground_texts(job, layout, trial, _GROWS_PX)
    height = max(trial.height_px, *(text.box.bottom + 6 for text in texts))
    margins = (side, top, side, bottom + height - trial.height_px)
    return replace(trial, height_px=height, margins=margins, texts=texts)


def _extent_mm(job: Job, layout: Layout) -> Box:
    """Return the site rectangle around units, bearers, and areas and doorways near them."""
    x: list[float] = []
    y: list[float] = []
    for placed in layout.units:
        _add(layout, placed.run, (placed.left_mm, placed.right_mm), (0, placed.unit.depth_mm), x, y)
    half = layout.bearer_width_mm / 2
    for row in layout.rows:
        across = (row.y_mm - half, row.y_mm + half)
        _add(layout, row.run, (row.start_mm, row.end_mm), across, x, y)
    core = Box(min(x), min(y), max(x), max(y))
    near = [_area(area.corner_mm, area.size_mm) for area in job.no_go]
    near += [_between(door.from_mm, door.to_mm) for door in job.doorways]
    near = [box for box in near if _apart(core, box) <= NEAR_MM]
    boxes = [core, *near]
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )


def _add(
    layout: Layout,
    run: str,
    along: tuple[float, float],
    across: tuple[float, float],
    x: list[float],
    y: list[float],
) -> None:
    site_x, site_y = layout.frames[run].to_site(along * 2, (across[0],) * 2 + (across[1],) * 2)
    x += site_x.tolist()
    y += site_y.tolist()


def _area(corner: tuple[float, float], size: tuple[float, float]) -> Box:
    return Box(corner[0], corner[1], corner[0] + size[0], corner[1] + size[1])


def _between(one: tuple[float, float], other: tuple[float, float]) -> Box:
    (x0, x1), (y0, y1) = sorted((one[0], other[0])), sorted((one[1], other[1]))
    return Box(x0, y0, x1, y1)


def _apart(one: Box, other: Box) -> float:
    """Return the larger of the gaps of two boxes across and down; 0 where they meet."""
    across = max(one.left - other.right, other.left - one.right, 0.0)
    down = max(one.top - other.bottom, other.top - one.bottom, 0.0)
    return max(across, down)
