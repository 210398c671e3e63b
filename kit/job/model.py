"""The job as the rest of the kit sees it: frozen, complete, in millimetres.

Every field is a key of ``job.toml``; lists of tables carry the plural here (``[[run]]`` is
``Job.runs``). Lengths are millimetres, masses kilograms, angles degrees.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

#: Nothing in a room that a base is built in is longer than this [mm]: 200 m.
LONGEST_MM = 200_000.0

#: Longest distance of neighbouring supports unless the base says another [mm]; common practice.
MAX_SPAN_MM = 600.0

#: Plan size of a packer unless the stock says another [mm]: along the bearer, across it.
PACKER_SIZE_MM = (75.0, 45.0)

#: A head drawn deeper than this would come through a packer of 6 mm, the thinnest that is screwed
#: [mm] (common practice, no source).
DEEPEST_COUNTERSINK_MM = 5.0

#: Places along a run that are this near [mm] are one stack's: a tape tells no finer.
SAME_STACK_MM = 0.5


#: What a method cannot do without, of its base: the key, and what it may be.
_NEEDED = {
    "feet": ("feet", "at least one kind of foot, such as [ {low_mm = 40, high_mm = 65} ]"),
    "ladder": ("ladder", "a table headed [base.ladder]"),
    "compound": ("compound", "a table headed [base.compound]"),
}

#: Methods whose top cannot be set out of level.
_LEVEL_ITSELF = ("compound",)

#: Methods with bearers, along which a stack can be moved by hand.
ON_BEARERS = ("packers",)


class Slips(ValueError):  # noqa: N818 - what the person wrote slipped, not the kit
    """Values that are possible one by one and do not go together.

    Parameters
    ----------
    *slips : tuple of (key path, allowed)
        The key to be put right, from the table that is judged, and what it may be.
    """

    def __init__(self, *slips: tuple[tuple[str | int, ...], str]) -> None:
        super().__init__("; ".join(f"{path[-1]}: {allowed}" for path, allowed in slips))
        self.slips = slips


def _on_one_line(text: str) -> str:
    if not text.strip() or not text.isprintable():
        raise ValueError("a name stands on one line, and something can be seen of it")
    return text


def _no_truth(value: object) -> object:
    """Refuse true for 1, which Python takes for the same."""
    if isinstance(value, bool):
        raise ValueError("a number, not true or false")
    return value


Length = Annotated[float, Field(gt=0, le=LONGEST_MM)]
Clear = Annotated[float, Field(ge=0, le=LONGEST_MM)]
Coordinate = Annotated[float, Field(ge=-LONGEST_MM, le=LONGEST_MM)]
Place = tuple[Coordinate, Coordinate]
Name = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_on_one_line)]
Mass = Annotated[float, Field(ge=0, le=100_000)]
Price = Annotated[float, Field(ge=0)]


class Part(BaseModel):
    """A table of the job file: frozen, no unknown keys, numbers finite and not quoted."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, populate_by_name=True
    )


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
    cell_mm: Length | None = None


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


class Room(Part):
    """``[room]``."""

    ceiling_mm: Length | None = None
    #: EN 1995-1-1 2.3.1.3: 1 heated, 2 under a roof, 3 in the weather.
    service_class: Annotated[Literal[1, 2, 3], BeforeValidator(_no_truth)] = 1


class Bearer(Part):
    """The timber that the units stand on and the stacks carry."""

    width_mm: Length = 45.0
    thickness_mm: Length = 20.0
    strength_class: Literal["C16", "C24"] = "C16"
    stock_mm: Annotated[tuple[Length, ...], Field(min_length=1)] = (2400.0, 3600.0)
    kerf_mm: Clear = 3.0
    splice: bool = False
    price_per_m: Price | None = None


class Plinth(Part):
    """The board that hides the base."""

    set_back_mm: Clear
    thickness_mm: Length
    board_mm: Annotated[tuple[Length, ...], Field(min_length=1)]


class Foot(Part):
    """One kind of adjustable screw foot, as its maker gives it."""

    low_mm: Length
    high_mm: Length
    plate_mm: Length = 50.0
    bears_n: Annotated[float, Field(gt=0, le=1_000_000)] | None = None
    #: How exactly its height is set with a level on it: an eighth of a turn of M10, 1.5 mm
    #: (common practice, no source).
    set_within_mm: Annotated[float, Field(ge=0, le=10)] = 0.2
    count: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    price: Price | None = None

    @model_validator(mode="after")
    def _travels(self) -> Self:
        if self.low_mm > self.high_mm:
            raise Slips((("high_mm",), f"at least low_mm, {self.low_mm:g} mm"))
        return self


class LadderBoard(Part):
    """One depth of board that a ladder frame is ripped or bought in."""

    mm: Length
    price_per_m: Price | None = None


class Ladder(Part):
    """A ladder frame: long members under back and front, rungs between, scribed to the floor."""

    thickness_mm: Length = 18.0
    boards: Annotated[tuple[LadderBoard, ...], Field(min_length=1)]
    #: What must be left of a member where the floor is highest (common practice, no source).
    least_mm: Length = 25.0
    stock_mm: Annotated[tuple[Length, ...], Field(min_length=1)] = (2440.0,)
    kerf_mm: Clear = 3.0
    #: How close a scribed edge follows its line (common practice, no source).
    scribe_within_mm: Annotated[float, Field(ge=0, le=10)] = 0.5
    #: Mean of birch plywood (from memory).
    density_kg_per_m3: Annotated[float, Field(gt=0, le=3000)] = 650.0


class Drying(Part):
    """How long a compound dries where it is at most so deep."""

    to_mm: Length
    days: Annotated[float, Field(ge=0, le=365)]


class Compound(Part):
    """Levelling compound, as its maker gives it."""

    least_mm: Length
    greatest_mm: Length
    powder_kg_per_l: Annotated[float, Field(gt=0, le=10)]
    set_kg_per_l: Annotated[float, Field(gt=0, le=10)]
    bag_kg: Annotated[float, Field(gt=0, le=1000)] = 25.0
    drying: Annotated[tuple[Drying, ...], Field(min_length=1)]
    #: How far in front of the units, and beyond the run's free ends, is poured.
    margin_mm: Clear = 0.0
    #: Mixed and not used (common practice, no source).
    waste_percent: Annotated[float, Field(ge=0, le=100)] = 5.0
    #: How far off level it sets (common practice, no source).
    level_within_mm: Annotated[float, Field(ge=0, le=10)] = 1.0
    price: Price | None = None

    @model_validator(mode="after")
    def _ranges(self) -> Self:
        slips: list[tuple[tuple[str | int, ...], str]] = []
        if self.least_mm > self.greatest_mm:
            slips.append((("greatest_mm",), f"at least least_mm, {self.least_mm:g} mm"))
        slips += self._drying_slips()
        if slips:
            raise Slips(*slips)
        return self

    def _drying_slips(self) -> list[tuple[tuple[str | int, ...], str]]:
        slips: list[tuple[tuple[str | int, ...], str]] = []
        for place, (less, more) in enumerate(pairwise(self.drying), start=1):
            if more.to_mm <= less.to_mm:
                allowed = f"more than the {less.to_mm:g} mm before it"
                slips.append((("drying", place, "to_mm"), allowed))
            if more.days < less.days:
                allowed = f"at least the {less.days:g} days of the lesser depth before it"
                slips.append((("drying", place, "days"), allowed))
        last = len(self.drying) - 1
        if not slips and self.drying[last].to_mm < self.greatest_mm:
            allowed = f"greatest_mm, {self.greatest_mm:g} mm, or more at the last one"
            slips.append((("drying", last, "to_mm"), allowed))
        return slips


class Moved(Part):
    """One stack moved by hand.

    Both places are along the run, of the stack's centre [mm]: where the rules put it and where
    it stands instead.
    """

    bearer: Name
    from_mm: Clear
    to_mm: Clear

    def is_of_same_stack(self, other: Moved) -> bool:
        """Tell whether two moves speak of one stack."""
        return self.bearer == other.bearer and abs(self.from_mm - other.from_mm) <= SAME_STACK_MM


class Base(Part):
    """``[[base]]``: one way of building the base."""

    name: Name
    method: Literal["packers", "stacks", "feet", "ladder", "compound"] = "packers"
    height_mm: Length | tuple[Length, Length]
    minimum_pack_mm: Length = 3.0
    back_mm: Clear = 45.0
    front_mm: Clear = 55.0
    end_inset_mm: Clear = 0.0
    max_span_mm: Length = MAX_SPAN_MM
    front_lift_mm: Annotated[float, Field(ge=-50, le=50)] | Literal["settlement"] = 0.0
    tolerance_mm: Annotated[float, Field(ge=0, le=10)] = 0.5
    max_pieces: Annotated[int, Field(ge=1, le=20)] = 9
    max_stack_mm: Length = 100.0
    bearer: Bearer = Bearer()
    feet: tuple[Foot, ...] = ()
    ladder: Ladder | None = None
    compound: Compound | None = None
    plinth: Plinth | None = None
    moved: tuple[Moved, ...] = ()

    @property
    def height_range_mm(self) -> tuple[float, float]:
        """Lowest and highest allowed base top above the high point [mm]."""
        given = self.height_mm
        return given if isinstance(given, tuple) else (given, given)

    @property
    def on_bearers(self) -> bool:
        """Whether bearers carry the units, with stacks that can be moved along them."""
        return self.method in ON_BEARERS

    @model_validator(mode="after")
    def _ranges_ascend(self) -> Self:
        low, high = self.height_range_mm
        if low > high:
            raise Slips((("height_mm",), "two heights with the lower one first"))
        return self

    @model_validator(mode="after")
    def _method_has_what_it_needs(self) -> Self:
        slips: list[tuple[tuple[str | int, ...], str]] = []
        key, allowed = _NEEDED.get(self.method, ("", ""))
        if key and not getattr(self, key):
            slips.append(((key,), f'{allowed}, which method = "{self.method}" needs'))
        if self.method in _LEVEL_ITSELF and self.front_lift_mm != 0:
            slips.append((("front_lift_mm",), f'0 with method = "{self.method}", which lies level'))
        if self.moved and not self.on_bearers:
            words = " or ".join(f'"{word}"' for word in ON_BEARERS)
            slips.append((("moved",), f"this key only with method = {words}"))
        if slips:
            raise Slips(*slips)
        return self

    @model_validator(mode="after")
    def _each_stack_moves_once(self) -> Self:
        slips: list[tuple[tuple[str | int, ...], str]] = [
            (("moved", index, "from_mm"), f"a stack of {moved.bearer} that no other move names")
            for index, moved in enumerate(self.moved)
            if any(moved.is_of_same_stack(earlier) for earlier in self.moved[:index])
        ]
        if slips:
            raise Slips(*slips)
        return self


class Packer(Part):
    """One kind of packer; no count means as many as wanted."""

    mm: Annotated[float, Field(gt=0, le=500)]
    count: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    measured_mm: Annotated[float, Field(gt=0, le=500)] | None = None
    price: Price | None = None

    @property
    def thickness_mm(self) -> float:
        """Thickness that counts [mm]: as measured where it was measured."""
        return self.mm if self.measured_mm is None else self.measured_mm


class Stock(Part):
    """``[stock]``: what lies in the van."""

    packers: Annotated[tuple[Packer, ...], Field(min_length=1)]
    screws_mm: tuple[Length, ...] = ()
    screw_diameter_mm: Annotated[float, Field(ge=2, le=12)] | None = None
    screw_price: Price | None = None
    countersink_mm: Annotated[float, Field(ge=0, le=DEEPEST_COUNTERSINK_MM)] = 0.0
    packer_size_mm: tuple[Length, Length] = PACKER_SIZE_MM
    packer_bears_n_per_mm2: Annotated[float, Field(gt=0, le=1000)] | None = None


Minutes = Annotated[float, Field(ge=0, le=10_000)]


class Rates(Part):
    """``[rates]``: minutes that each step of the work takes; the defaults are from memory."""

    mark_support_min: Minutes = 2.0
    packer_min: Minutes = 0.5
    screw_min: Minutes = 1.0
    bearer_piece_min: Minutes = 8.0
    foot_min: Minutes = 5.0
    ladder_piece_min: Minutes = 6.0
    scribe_m_min: Minutes = 12.0
    prime_m2_min: Minutes = 20.0
    edge_m_min: Minutes = 6.0
    bag_min: Minutes = 8.0
    level_unit_min: Minutes = 10.0
    day_hours: Annotated[float, Field(gt=0, le=24)] = 8.0
    hour_price: Price | None = None


class Job(Part):
    """A whole job: what the person says about floor, readings, furniture, base and stock."""

    schema_version: Annotated[Literal[1], Field(alias="schema")]
    title: Name
    units: Literal["mm", "in"] = "mm"
    floor: Floor
    surveys: Annotated[tuple[Survey, ...], Field(alias="survey", min_length=1)]
    runs: Annotated[tuple[Run, ...], Field(alias="run", min_length=1)]
    no_go: tuple[NoGo, ...] = ()
    services: Annotated[tuple[Service, ...], Field(alias="service")] = ()
    doorways: Annotated[tuple[Doorway, ...], Field(alias="doorway")] = ()
    room: Room = Room()
    bases: Annotated[tuple[Base, ...], Field(alias="base", min_length=1)]
    stock: Stock
    rates: Rates = Rates()
    folder: Annotated[Path, Field(exclude=True)]
    #: Of the file that the job was read from: SHA-256 of its bytes in hexadecimal; empty where
    #: it was not read from a file.
    fingerprint: Annotated[str, Field(exclude=True)] = ""

    @model_validator(mode="after")
    def _names_are_unique(self) -> Self:
        named: tuple[tuple[str, tuple[Run | Base | NoGo | Service | Doorway, ...]], ...] = (
            ("run", self.runs),
            ("base", self.bases),
            ("no_go", self.no_go),
            ("service", self.services),
            ("doorway", self.doorways),
        )
        slips = [slip for key, parts in named for slip in _repeated(key, parts)]
        if slips:
            raise Slips(*slips)
        return self


def _repeated(
    key: str, parts: tuple[Run | Base | NoGo | Service | Doorway | Unit, ...]
) -> list[tuple[tuple[str | int, ...], str]]:
    """Return a slip for each part whose name an earlier one has."""
    names = [part.name for part in parts]
    return [
        ((key, index, "name"), f"a name that no other {key} has")
        for index, name in enumerate(names)
        if name in names[:index]
    ]
