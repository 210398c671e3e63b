"""``[[survey]]``: one table of readings, or one scan."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kit.job.model_parts import Coordinate, Length, Name, Part, Place

#: A coordinate in a country's grid, in whatever unit.
Own = Annotated[float, Field(ge=-1e9, le=1e9)]


class ScanFrame(Part):
    """How a scan's own axes lie in the plan of the job."""

    #: What is taken off the scan's own x, y and z first, in the unit of its file: of a scan in a
    #: country's grid, a place near the room, as all else counts from there.
    own_zero: tuple[Own, Own, Own] = (0.0, 0.0, 0.0)
    #: Place in the plan of the scan's own x = y = 0.
    origin_mm: Place = (0.0, 0.0)
    #: Direction in the plan of the scan's own x, from +x towards +y.
    x_towards_deg: Annotated[float, Field(ge=-360, le=360)] = 0.0
    #: Whether the scan's y runs the other way round from its x than the plan's does. The plan is
    #: drawn with its wall at the top, y down; most instruments count y up.
    mirrored: bool = False
    #: Height in the job of the scan's own z = 0.
    height_mm: Coordinate = 0.0


class Survey(Part):
    """``[[survey]]``: one table of readings."""

    kind: Literal["heights", "grid", "staff", "booking", "level", "straightedge", "scan"]
    file: Name
    sheet: Name | None = None
    sd_mm: Annotated[float, Field(gt=0, le=1000)] = 0.5
    datum: Name | None = None
    points_file: Name | None = None
    own_error_mm_per_m: Annotated[float, Field(ge=-20, le=20)] | None = None
    leave_out: tuple[Annotated[int, Field(ge=1)], ...] = ()
    #: Side of the squares that a scan is reduced to.
    cell_mm: Length | None = None
    #: What a scan counts in; what its file says, or metres, unless given.
    file_unit: Literal["m", "mm", "in", "ft"] | None = None
    frame: ScanFrame | None = None
