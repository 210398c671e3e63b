"""``[floor]`` and what lies in it or crosses it: joists, no-go areas, services, steps, joints."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kit.job.model_parts import Clear, Coordinate, Length, Name, Part, Place, Slips


class Joists(Part):
    """``[floor.joists]``: what carries the boards."""

    along: Literal["x", "y"]
    width_mm: Length
    depth_mm: Length
    centres_mm: Length
    first_mm: Coordinate
    bearing_mm: Annotated[tuple[Coordinate, ...], Field(min_length=2)]
    strength_class: Literal["C16", "C24"]
    #: The floor's own weight, and what the room's use adds (EN 1991-1-1, category A, the lower
    #: value); both from memory, for the joists' stress only.
    dead_kn_per_m2: Annotated[float, Field(ge=0, le=20)] = 0.5
    imposed_kn_per_m2: Annotated[float, Field(ge=0, le=20)] = 1.5

    @model_validator(mode="after")
    def _bearings_ascend(self) -> Self:
        if any(b <= a for a, b in pairwise(self.bearing_mm)):
            raise Slips((("bearing_mm",), "places in ascending order"))
        return self


class Floor(Part):
    """``[floor]``: what a screw may meet, and what heights are measured from."""

    kind: Literal["boarded", "solid"]
    board_mm: Length | None = None
    board_strength_class: Literal["C16", "C24"] | None = None
    services: Literal["unknown", "checked", "no_fixings"] = "unknown"
    clear_below_mm: Length | None = None
    reserve_mm: Clear = 2.0
    finish_mm: Clear = 0.0
    benchmark: Name | None = None
    benchmark_mm: Coordinate = 0.0
    doubt: Literal["stated", "scaled"] = "stated"
    joists: Joists | None = None

    @model_validator(mode="after")
    def _what_a_screw_may_enter(self) -> Self:
        slips: list[tuple[tuple[str | int, ...], str]] = []
        if self.kind == "boarded" and self.board_mm is None:
            slips.append((("board_mm",), "what a screw may enter, which a boarded floor must say"))
        if self.kind == "solid" and self.joists is not None:
            slips.append((("joists",), "no joists under a solid floor"))
        if self.kind == "solid" and self.board_strength_class is not None:
            slips.append((("board_strength_class",), "no boards on a solid floor"))
        if self.clear_below_mm is not None and self.services != "checked":
            slips.append((("clear_below_mm",), 'this key only with services = "checked"'))
        enters = self.board_mm if self.clear_below_mm is None else self.clear_below_mm
        if enters is not None and self.reserve_mm >= enters:
            slips.append((("reserve_mm",), f"less than the {enters:g} mm that a screw may enter"))
        if slips:
            raise Slips(*slips)
        return self


class NoGo(Part):
    """``[[no_go]]``: a rectangle of the plan that must stay free."""

    name: Name
    corner_mm: Place
    size_mm: tuple[Length, Length]
    forbids: Literal["supports", "screws"] = "supports"

    def holds(self, x_mm: float, y_mm: float) -> bool:
        """Tell whether a place lies in the area, its edges included."""
        across, out = x_mm - self.corner_mm[0], y_mm - self.corner_mm[1]
        return 0 <= across <= self.size_mm[0] and 0 <= out <= self.size_mm[1]


class Service(Part):
    """``[[service]]``: a known pipe or cable under the floor."""

    name: Name
    from_mm: Place
    to_mm: Place
    depth_mm: Length
    clear_mm: Clear = 50.0


class Doorway(Part):
    """``[[doorway]]``: an opening whose threshold the floor must be known at."""

    name: Name
    from_mm: Place
    to_mm: Place


class FloorStep(Part):
    """``[[floor_step]]``: a line, from wall to wall, along which the floor itself steps."""

    name: Name
    from_mm: Place
    to_mm: Place

    @model_validator(mode="after")
    def _is_a_line(self) -> Self:
        if self.from_mm == self.to_mm:
            raise Slips((("to_mm",), "another place than from_mm"))
        return self


class Excluded(Part):
    """``[[excluded]]``: a rectangle of the plan that no flatness is asked of: a ramp, a gutter."""

    name: Name
    corner_mm: Place
    size_mm: tuple[Length, Length]


class MovementJoint(Part):
    """``[[movement_joint]]``: a line of the floor whose two sides move apart or past each other."""

    name: Name
    from_mm: Place
    to_mm: Place
    #: How far whatever is fixed to one side stays from the line (common practice, no source).
    clear_mm: Clear = 10.0

    @model_validator(mode="after")
    def _is_a_line(self) -> Self:
        if self.from_mm == self.to_mm:
            raise Slips((("to_mm",), "another place than from_mm"))
        return self
