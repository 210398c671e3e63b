"""What the errors of the stacks do to the furniture: lean, wind, and the gaps between units.

Heights are those of the bearers' tops under a unit's corners against the level that was meant,
positive = high. Places are in the run's own frame: x to the right as one looks at the wall, y out
into the room. All angles are a few millimetres per metre, so that sine, tangent and angle are
taken as one (an error of less than 1 in 10,000 up to 10 mm/m), and a unit that leans turns about
its foot and moves there neither along nor out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from kit.base.runs import PlacedUnit
from kit.job import refuse
from kit.strength.feet import Feet


@dataclass(frozen=True)
class Consequence:
    """What a unit does on such feet.

    Parameters
    ----------
    run, unit : str
        Names of its run and of the unit.
    lean_along_mm : float
        How far its top is off plumb along the run, positive to the right [mm].
    lean_out_mm : float
        How far its top is off plumb across the run, positive into the room [mm].
    wind_mm : float
        Back left + front right - back right - front left [mm].
    door_taper_mm : float
        How much the gap along a door tapers over the unit's height [mm].
    lifted_lean_mm : float
        What a deliberate front lift that is not in the feet adds to ``lean_out_mm``, negative =
        back to the wall [mm].
    """

    run: str
    unit: str
    lean_along_mm: float
    lean_out_mm: float
    wind_mm: float
    door_taper_mm: float
    lifted_lean_mm: float


@dataclass(frozen=True)
class Gap:
    """The gap between two neighbours of a run at the top of the lower one.

    Parameters
    ----------
    run, left, right : str
        Names of the run and of the two units, as one looks at the wall.
    height_mm : float
        Above the base: the height of the lower of the two [mm].
    before_mm : float
        The gap that was meant [mm].
    top_mm : float
        The gap there [mm]; negative where the two press on each other.
    """

    run: str
    left: str
    right: str
    height_mm: float
    before_mm: float
    top_mm: float

    @property
    def change_mm(self) -> float:
        """How much wider than meant the gap is there [mm]."""
        return self.top_mm - self.before_mm


@dataclass(frozen=True)
class Together:
    """How all units stand at one time, and the gaps between them.

    Parameters
    ----------
    units : tuple of Consequence
        Each of them, run by run, from left to right.
    gaps : tuple of Gap
        Between neighbours at the top.
    """

    units: tuple[Consequence, ...]
    gaps: tuple[Gap, ...]


def together(units: Sequence[PlacedUnit], found: Sequence[Consequence]) -> Together:
    """Put what units do beside each other; parameters and refusals as for `gaps`."""
    return Together(tuple(found), gaps(units, found))


def subject_of(placed: PlacedUnit, *, several_runs: bool) -> str:
    """Return the name of a unit as the checks write it, the run in front where there are more."""
    return f"{placed.run}: " * several_runs + placed.unit.name


def consequence(placed: PlacedUnit, feet: Feet, lifted_mm: float = 0.0) -> Consequence:
    """Work out how a unit leans and winds on its feet.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    feet : Feet
        What it stands on.
    lifted_mm : float
        How much higher than its rearmost row its frontmost row was meant to be [mm]: the front
        lift times the difference of the two rows' `kit.base.layout.Layout.lift_share`; 0 where
        it is in the feet already.

    Returns
    -------
    Consequence
        nan where a height that it depends on is nan.

    Raises
    ------
    Refusal
        Where the feet have no width or no depth between them.

    Notes
    -----
    A stiff unit on four uneven feet stands between two attitudes (it rocks by the wind); taken
    is the plane nearest to the four in the least-squares sense. The feet are the corners of a
    rectangle, for which that plane's slopes are those between the means of opposite sides, and
    what it leaves over is a quarter of the wind at each corner, in turn + and -::

        s_x = ((BR + FR) - (BL + FL)) / (2 * width of the feet)     (1)
        s_y = ((FL + FR) - (BL + BR)) / (2 * depth of the feet)     (2)

    A point at height h above the base goes by -h * s (3): a right side that stands high tips
    the top to the left, a front that stands high tips it back to the wall. A lift of the front
    row is a slope of the same kind.

    A carcass that gives by the whole wind has its front turned in its own plane against its
    back by wind / width of the unit; the door stays square, so that its gap tapers over the
    height by |wind| * height / width (4) (common practice, no source).
    """
    width, depth = feet.right_x_mm - feet.left_x_mm, feet.front_y_mm - feet.back_y_mm
    if not (width > 0 and depth > 0):
        raise refuse(
            _where(placed), f"feet {width:g} mm apart along and {depth:g} mm out", "more than 0"
        )
    unit = placed.unit
    height = unit.height_mm
    left, right = feet.back_left_mm + feet.front_left_mm, feet.back_right_mm + feet.front_right_mm
    back, front = feet.back_left_mm + feet.back_right_mm, feet.front_left_mm + feet.front_right_mm
    lean_out = -height * (front - back) / (2 * depth)  # Eqs. (2), (3)
    wind = feet.back_left_mm + feet.front_right_mm - feet.back_right_mm - feet.front_left_mm
    return Consequence(
        placed.run,
        unit.name,
        -height * (right - left) / (2 * width) + 0.0,  # Eqs. (1), (3)
        lean_out + 0.0,
        wind,
        abs(wind) * height / unit.width_mm,  # Eq. (4)
        -height * lifted_mm / depth + 0.0,  # + 0.0: no lift is 0, not -0
    )


def gaps(units: Sequence[PlacedUnit], found: Sequence[Consequence]) -> tuple[Gap, ...]:
    """Return the gap at the top of every pair of neighbours of one run.

    Parameters
    ----------
    units : sequence of PlacedUnit
        Run by run, from left to right.
    found : sequence of Consequence
        What each of them does, in the same order.

    Returns
    -------
    tuple of Gap
        One for each pair, from left to right; none across the end of a run.

    Raises
    ------
    Refusal
        Where the two sequences do not speak of the same units in the same order.

    Notes
    -----
    The two meet up to the height h of the lower one, and there the gap is widest or narrowest.
    A unit of height H whose top leans by ``lean_along_mm`` leans by lean * h / H at h, so that::

        gap = gap_before + lean_right * h / H_right - lean_left * h / H_left

    The lower one enters with its whole lean, the taller one in proportion.
    """
    names = [(placed.run, placed.unit.name) for placed in units]
    other = [(one.run, one.unit) for one in found]
    if names != other:
        raise refuse("the gaps between units", f"consequences of {other}", f"those of {names}")
    return tuple(
        _gap(left, right)
        for left, right in pairwise(zip(units, found, strict=True))
        if left[0].run == right[0].run
    )


def _gap(left: tuple[PlacedUnit, Consequence], right: tuple[PlacedUnit, Consequence]) -> Gap:
    height = min(left[0].unit.height_mm, right[0].unit.height_mm)
    lean_left, lean_right = (
        one.lean_along_mm * height / placed.unit.height_mm for placed, one in (left, right)
    )
    before = right[0].unit.gap_before_mm
    return Gap(
        left[0].run,
        left[0].unit.name,
        right[0].unit.name,
        height,
        before,
        before + lean_right - lean_left,
    )


def _where(placed: PlacedUnit) -> str:
    return f"run {placed.run}, unit {placed.unit.name!r}"
