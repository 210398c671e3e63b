"""The floor in front of two zones: whether it steps between them, and the ramp that leads up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kit.base.runs import Frame
from kit.floor import Surface
from kit.floor.stepped import StepLine, steps_of
from kit.levels.ramps import EDGE_MM, GENTLE_MM_PER_M, INSIDE_MM, Ramp, floor_at, ramp_over

#: So far in front of the units people walk [mm] (common practice, no source); nearer where the
#: floor was not surveyed there.
WALKED_MM = (600.0, 300.0, 50.0)
#: A step of the floor so near to the gap lies between the zones [mm].
NEAR_MM = 100.0
#: Where no step of the floor is named it steps by more than this, within the gap [mm].
STEP_MM = 10.0
#: A named step that is lower needs no ramp [mm].
LOWEST_MM = 1.0


@dataclass(frozen=True)
class FloorBeside:
    """The floor on either side of where two zones meet, in front of the units.

    Parameters
    ----------
    line : Frame
        The line that is walked along, in the direction of the run.
    left_mm, right_mm : float
        The edges between which it steps, along that line [mm]; one place for one named step.
    left_floor_mm, right_floor_mm : float
        The floor beside them, `INSIDE_MM` outside, in the survey's datum [mm]; nan where it was
        not surveyed.
    named : bool
        Whether a named step of the floor lies between.
    """

    line: Frame
    left_mm: float
    right_mm: float
    left_floor_mm: float
    right_floor_mm: float
    named: bool

    @property
    def rise_mm(self) -> float:
        """How much higher the floor on the right is [mm]."""
        return self.right_floor_mm - self.left_floor_mm

    @property
    def known(self) -> bool:
        """Whether the floor was surveyed on both sides."""
        return math.isfinite(self.rise_mm)

    @property
    def steps(self) -> bool:
        """Whether the floor steps here; what is gentler than 1 in 20 counts as level."""
        if self.named:
            return abs(self.rise_mm) > LOWEST_MM
        across = self.right_mm - self.left_mm + 2 * INSIDE_MM
        gentle = GENTLE_MM_PER_M / 1000 * across
        return abs(self.rise_mm) > max(STEP_MM, gentle)

    def why_none(self, base_step_mm: float) -> str:
        """Return in words why no ramp is told, for base tops that differ by so much [mm]."""
        tops = f"the base tops differ by {abs(base_step_mm):.0f} mm"
        if not self.known:
            return f"the floor in front of the units was not surveyed here: no ramp told; {tops}"
        return f"the floor does not step here: no ramp is needed to walk along; {tops}"

    def ramp(self, surface: Surface, gradient_mm_per_m: float, room_mm: float) -> Ramp:
        """Return the ramp from the lower floor up to the higher one, over the lower floor.

        Raises
        ------
        Refusal
            As of `kit.levels.ramps.ramp_over`.
        """
        falls = self.rise_mm < 0
        edge = self.left_mm if falls else self.right_mm
        x, y = self.line.to_site(edge, 0.0)
        down = self.line.direction_deg + (0.0 if falls else 180.0)
        top = Frame((float(x), float(y)), down)
        lower, upper = sorted((self.left_floor_mm, self.right_floor_mm))
        return ramp_over(surface, top, upper, lower, gradient_mm_per_m, room_mm)


def floor_beside(
    surface: Surface, run: Frame, front_mm: float, gap_mm: tuple[float, float]
) -> FloorBeside:
    """Look at the floor in front of the gap between two zones.

    Parameters
    ----------
    surface : Surface
        The floor.
    run : Frame
        Of the run in which the zones are neighbours.
    front_mm : float
        How far the units beside the gap come out [mm].
    gap_mm : tuple of float
        Where the left zone ends and the right one begins, along the run [mm].
    """
    looks = (_look(surface, run, front_mm + out, gap_mm) for out in WALKED_MM)
    found = next(looks)
    if found.known:
        return found
    return next((nearer for nearer in looks if nearer.known), found)


def _look(surface: Surface, run: Frame, out_mm: float, gap_mm: tuple[float, float]) -> FloorBeside:
    x, y = run.to_site(0.0, out_mm)
    line = Frame((float(x), float(y)), run.direction_deg)
    left, right = gap_mm
    crossed = [at for step in steps_of(surface) for at in _crossing(line, step)]
    between = [at for at in crossed if left - NEAR_MM <= at <= right + NEAR_MM]
    if between:
        left, right = min(between), max(between)
    sides = np.array([-1.0, 1.0])
    places = np.array([left, right]) + INSIDE_MM * sides
    floor = floor_at(surface, line, places, EDGE_MM * sides)
    return FloorBeside(line, left, right, float(floor[0]), float(floor[1]), bool(between))


def _crossing(line: Frame, step: StepLine) -> tuple[float, ...]:
    """Return where a step, drawn out to both sides, crosses a line [mm]; nowhere if along it."""
    (ax, ay), (bx, by) = step.from_mm, step.to_mm
    (x, y), (far_x, far_y) = line.origin_mm, line.to_site(1.0, 0.0)
    along_x, along_y = float(far_x) - x, float(far_y) - y
    dx, dy = bx - ax, by - ay
    across = along_x * dy - along_y * dx  # sine of the angle between them, times the step's length
    if abs(across) <= 0.1 * math.hypot(dx, dy):  # nearly along the line: no step to walk up
        return ()
    return (((ax - x) * dy - (ay - y) * dx) / across,)
