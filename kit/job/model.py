"""The job as the rest of the kit sees it: frozen, complete, in millimetres.

Every field is a key of ``job.toml``; lists of tables carry the plural here (``[[run]]`` is
``Job.runs``). Lengths are millimetres, masses kilograms, angles degrees.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from kit.job.model_as_built import AsBuilt
from kit.job.model_base import (
    MAX_SPAN_MM,
    ON_BEARERS,
    SAME_STACK_MM,
    Base,
    Bearer,
    Compound,
    Drying,
    Foot,
    Ladder,
    LadderBoard,
    Levels,
    Moved,
    Plinth,
)
from kit.job.model_floor import (
    Doorway,
    Excluded,
    Floor,
    FloorStep,
    Joists,
    MovementJoint,
    NoGo,
    Service,
)
from kit.job.model_parts import (
    LONGEST_MM,
    Clear,
    Length,
    Mass,
    Name,
    Part,
    Place,
    Slips,
    Text,
    Title,
    no_truth,
)
from kit.job.model_stock import PACKER_SIZE_MM, Packer, Rates, Stock
from kit.job.model_survey import ScanFrame, Survey

__all__ = [
    "LONGEST_MM",
    "MAX_SPAN_MM",
    "ON_BEARERS",
    "PACKER_SIZE_MM",
    "SAME_STACK_MM",
    "AsBuilt",
    "Base",
    "Bearer",
    "Compound",
    "Doorway",
    "Drying",
    "Excluded",
    "Floor",
    "FloorStep",
    "Foot",
    "Job",
    "Joists",
    "Ladder",
    "LadderBoard",
    "Levels",
    "Moved",
    "MovementJoint",
    "NoGo",
    "Packer",
    "Part",
    "Plinth",
    "Rates",
    "Room",
    "Run",
    "ScanFrame",
    "Service",
    "Slips",
    "Stock",
    "Survey",
    "Unit",
]

#: Letters of a title that heads of pages and pictures have room for.
HEAD_LETTERS = 80


class Unit(Part):
    """``[[run.unit]]``: one piece of furniture."""

    name: Name
    width_mm: Length
    depth_mm: Length
    height_mm: Length
    side_mm: Length = 18.0
    divisions_mm: tuple[Length, ...] = ()
    mass_kg: Mass = 0.0
    contents_kg: Mass = 0.0
    contents_are: Literal["stored", "people"] = "stored"
    centre_of_gravity_mm: Length | None = None
    gap_before_mm: Clear = 0.0

    @property
    def centre_of_gravity_from_back_mm(self) -> float:
        """Distance of the centre of gravity from the back [mm]: half the depth unless given."""
        given = self.centre_of_gravity_mm
        return self.depth_mm / 2 if given is None else given

    @model_validator(mode="after")
    def _panels_fit(self) -> Self:
        slips: list[tuple[tuple[str | int, ...], str]] = []
        if 2 * self.side_mm > self.width_mm:
            slips.append((("side_mm",), "at most half the unit's width"))
        elif self._panels_touch():
            slips.append((("divisions_mm",), "centre lines from left to right, no panels touching"))
        if self.centre_of_gravity_from_back_mm > self.depth_mm:
            slips.append((("centre_of_gravity_mm",), "at most the unit's depth"))
        if slips:
            raise Slips(*slips)
        return self

    def _panels_touch(self) -> bool:
        edges = (self.side_mm / 2, *self.divisions_mm, self.width_mm - self.side_mm / 2)
        return any(b - a < self.side_mm for a, b in pairwise(edges))


class Run(Part):
    """``[[run]]``: units side by side along one wall."""

    name: Annotated[str, Field(pattern=r"^[A-Za-z][A-Za-z0-9]*$", max_length=12)] = "A"
    origin_mm: Place = (0.0, 0.0)
    direction_deg: Annotated[float, Field(ge=-360, le=360)] = 0.0
    skirting_mm: Clear = 0.0
    left_wall: bool = False
    right_wall: bool = False
    units: Annotated[tuple[Unit, ...], Field(alias="unit", min_length=1)]

    @property
    def length_mm(self) -> float:
        """Length of the run, gaps included [mm]."""
        return sum(unit.gap_before_mm + unit.width_mm for unit in self.units)

    @model_validator(mode="after")
    def _unit_names_are_unique(self) -> Self:
        slips = _repeated("unit", self.units)
        if slips:
            raise Slips(*slips)
        return self


class Room(Part):
    """``[room]``."""

    ceiling_mm: Length | None = None
    #: EN 1995-1-1 2.3.1.3: 1 heated, 2 under a roof, 3 in the weather.
    service_class: Annotated[Literal[1, 2, 3], BeforeValidator(no_truth)] = 1


#: Tables of which no two of a kind have one name.
_Named = Run | Base | NoGo | Service | Doorway | MovementJoint | FloorStep | Excluded | Unit


class Job(Part):
    """A whole job: what the person says about floor, readings, furniture, base and stock."""

    schema_version: Annotated[Literal[1], Field(alias="schema")]
    title: Title
    units: Literal["mm", "in"] = "mm"
    notes: Text = ""
    floor: Floor
    surveys: Annotated[tuple[Survey, ...], Field(alias="survey", min_length=1)]
    runs: Annotated[tuple[Run, ...], Field(alias="run", min_length=1)]
    no_go: tuple[NoGo, ...] = ()
    services: Annotated[tuple[Service, ...], Field(alias="service")] = ()
    doorways: Annotated[tuple[Doorway, ...], Field(alias="doorway")] = ()
    floor_steps: Annotated[tuple[FloorStep, ...], Field(alias="floor_step")] = ()
    excluded: tuple[Excluded, ...] = ()
    movement_joints: Annotated[tuple[MovementJoint, ...], Field(alias="movement_joint")] = ()
    room: Room = Room()
    bases: Annotated[tuple[Base, ...], Field(alias="base", min_length=1)]
    stock: Stock
    rates: Rates = Rates()
    as_built: AsBuilt | None = None
    folder: Annotated[Path, Field(exclude=True)]
    #: Of the file that the job was read from: SHA-256 of its bytes in hexadecimal; empty where
    #: it was not read from a file.
    fingerprint: Annotated[str, Field(exclude=True)] = ""

    @property
    def tables(self) -> tuple[str, ...]:
        """Names of the tables of readings of the floor."""
        return _named(self.surveys)

    @property
    def tables_as_built(self) -> tuple[str, ...]:
        """Names of the tables of the finished base, which may not have been written yet."""
        if self.as_built is None:
            return ()
        stacks = self.as_built.stacks_file
        return (*_named(self.as_built.surveys), *((stacks,) if stacks else ()))

    @property
    def short_title(self) -> str:
        """The title as heads of pages and pictures have room for it: at most 80 letters."""
        long = len(self.title) > HEAD_LETTERS
        return f"{self.title[: HEAD_LETTERS - 1].rstrip()}…" if long else self.title

    @model_validator(mode="after")
    def _names_are_unique(self) -> Self:
        named: tuple[tuple[str, tuple[_Named, ...]], ...] = (
            ("run", self.runs),
            ("base", self.bases),
            ("no_go", self.no_go),
            ("service", self.services),
            ("doorway", self.doorways),
            ("movement_joint", self.movement_joints),
            ("floor_step", self.floor_steps),
            ("excluded", self.excluded),
        )
        slips = [slip for key, parts in named for slip in _repeated(key, parts)]
        if slips:
            raise Slips(*slips)
        return self


def _named(surveys: Iterable[Survey]) -> tuple[str, ...]:
    named = (name for survey in surveys for name in (survey.file, survey.points_file))
    return tuple(dict.fromkeys(name for name in named if name is not None))


def _repeated(key: str, parts: tuple[_Named, ...]) -> list[tuple[tuple[str | int, ...], str]]:
    """Return a slip for each part whose name an earlier one has."""
    names = [part.name for part in parts]
    return [
        ((key, index, "name"), f"a name that no other {key} has")
        for index, name in enumerate(names)
        if name in names[:index]
    ]
