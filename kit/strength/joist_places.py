"""Which joist carries which stack.

Boards span from joist to joist: a stack between two of them is carried by both, by the lever rule
(common practice, no source; boards that run on over several joists spread it a little further).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kit.job import Joists, refuse

#: A stack nearer to a joist's middle than this stands on it, and on it alone [mm].
_ON_JOIST_MM = 1e-6

#: So far beyond its outermost bearing a stack still counts as standing on it [mm]: nobody knows
#: the place of a bearing better (common practice, no source).
ON_BEARING_MM = 1.0

#: More joists than this lie under no room.
MOST_JOISTS = 1000

#: What round-off may leave of a stack's load below zero [N].
_NOTHING_N = 1e-6


@dataclass(frozen=True)
class Pressed:
    """What one stack presses on the floor.

    Parameters
    ----------
    support : str
        Its name, unlike all others.
    row : str
        Label of its row: ``"B"``, ``"M"``, ``"F"`` or ``"D"``.
    x_mm, y_mm : float
        Its place on the site [mm].
    permanent_n, stored_n, people_n : float
        Downwards [N]: units' own mass and bearer; stored contents; people. A part may be
        negative where the parts of a continuous bearer are given each for itself; their sum may
        not.
    run : str
        Name of its run; where there is one run it needs none.

    Raises
    ------
    Refusal
        A place or force that is no number, or a sum that pulls.
    """

    support: str
    row: str
    x_mm: float
    y_mm: float
    permanent_n: float
    stored_n: float = 0.0
    people_n: float = 0.0
    run: str = ""

    def __post_init__(self) -> None:
        numbers = (self.x_mm, self.y_mm, self.permanent_n, self.stored_n, self.people_n)
        if not all(math.isfinite(number) for number in numbers):
            raise refuse(f"stack {self.support}", f"{numbers}", "places and forces, all numbers")
        if self.total_n < -_NOTHING_N:
            raise refuse(
                f"stack {self.support}", f"{self.total_n:g} N", "0 N or more: a stack only presses"
            )

    @property
    def total_n(self) -> float:
        """All of it [N]."""
        return self.permanent_n + self.stored_n + self.people_n


@dataclass(frozen=True)
class Grid:
    """Joists in plan: straight, alike, at even centres.

    Parameters
    ----------
    along : str
        The axis that they run along, ``"x"`` or ``"y"``.
    first_mm, centres_mm : float
        Place of the first one's middle on the axis across them, and their distance [mm].
    """

    along: str
    first_mm: float
    centres_mm: float

    @property
    def across(self) -> str:
        """The axis across them."""
        return "x" if self.along == "y" else "y"

    def across_mm(self, number: int) -> float:
        """Return the place of a joist's middle, counted from 1, on the axis across [mm]."""
        return self.first_mm + (number - 1) * self.centres_mm

    def place_of(self, stack: Pressed) -> tuple[float, float]:
        """Return the place of a stack along the joists and across them [mm]."""
        xy = stack.x_mm, stack.y_mm
        return xy if self.along == "x" else xy[::-1]

    def before_first_mm(self, stack: Pressed) -> float:
        """Return how far a stack stands before the first joist, 0 where it does not [mm]."""
        before = self.first_mm - self.place_of(stack)[1]
        return before if before > _ON_JOIST_MM else 0.0

    def too_far_before_mm(self, stack: Pressed) -> float:
        """Return the same, 0 up to half the centres: so far the first joist carries all of it.

        Further before it either another joist lies there or its place is wrong: nobody knows what
        carries that stack (common practice, no source).
        """
        before = self.before_first_mm(stack)
        return before if before > self.centres_mm / 2 + _ON_JOIST_MM else 0.0

    def lever(self, across_mm: float) -> tuple[tuple[int, float], ...]:
        """Divide a load between the joists beside it, by the lever rule.

        Parameters
        ----------
        across_mm : float
            Its place on the axis across the joists [mm].

        Returns
        -------
        tuple of (number, share)
            One joist, counted from 1, where it stands on it or before the first one; else two.

        Examples
        --------
        >>> Grid("y", 150.0, 400.0).lever(650.0)
        ((2, 0.75), (3, 0.25))
        """
        beyond = across_mm - self.first_mm
        if beyond <= _ON_JOIST_MM:
            return ((1, 1.0),)
        passed = math.floor(beyond / self.centres_mm)
        rest = beyond - passed * self.centres_mm
        if rest <= _ON_JOIST_MM:
            return ((passed + 1, 1.0),)
        if rest >= self.centres_mm - _ON_JOIST_MM:
            return ((passed + 2, 1.0),)
        forward = rest / self.centres_mm
        return ((passed + 1, 1.0 - forward), (passed + 2, forward))

    def edge_distance_mm(self, stack: Pressed, width_mm: float) -> float:
        """Return how far a stack's middle is from the nearest joist that carries it [mm].

        Parameters
        ----------
        stack : Pressed
        width_mm : float
            Width of a joist [mm].

        Returns
        -------
        float
            From the joist's edge; 0 over it.
        """
        across = self.place_of(stack)[1]
        middles = (self.across_mm(number) for number, _ in self.lever(across))
        return max(0.0, min(abs(across - middle) for middle in middles) - width_mm / 2)


def grid_of(joists: Joists) -> Grid:
    """Return where joists lie."""
    return Grid(joists.along, joists.first_mm, joists.centres_mm)


def why_not(joists: Joists, pressed: Sequence[Pressed]) -> str:
    """Return why these joists are not computed; empty where they are.

    Parameters
    ----------
    joists : Joists
    pressed : sequence of Pressed
    """
    if not pressed:
        return "no stack presses on the floor"
    width, depth = joists.width_mm, joists.depth_mm
    if joists.centres_mm < width:
        return f"joists {width:g} mm wide at centres of {joists.centres_mm:g} mm would overlap"
    spans = [b - a for a, b in zip(joists.bearing_mm, joists.bearing_mm[1:], strict=False)]
    if min(spans) < depth:
        return f"bearings {min(spans):g} mm apart are no span for joists {depth:g} mm deep"
    grid = grid_of(joists)
    count = max(grid.lever(grid.place_of(stack)[1])[-1][0] for stack in pressed)
    if count > MOST_JOISTS:
        return f"{count} joists from first_mm to the last stack; at most {MOST_JOISTS} are computed"
    return ""
