"""``[[base]]``: one way of building a base, with the table that its method needs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kit.job.model_parts import Clear, Length, Name, Part, Price, Slips

#: One slip: the key to be put right, from the table that is judged, and what it may be.
Slip = tuple[tuple[str | int, ...], str]

#: Longest distance of neighbouring supports unless the base says another [mm]; common practice.
MAX_SPAN_MM = 600.0

#: Places along a run that are this near [mm] are one stack's: a tape tells no finer.
SAME_STACK_MM = 0.5

#: More kinds of feet than this no van holds; what counts in stock allow is asked of every set of
#: kinds.
MOST_KINDS = 8

#: What a method cannot do without, of its base: the key, and what it may be.
_NEEDED = {
    "feet": ("feet", "at least one kind of foot, such as [ {low_mm = 40, high_mm = 65} ]"),
    "ladder": ("ladder", "a table headed [base.ladder]"),
    "compound": ("compound", "a table headed [base.compound]"),
}

#: Methods whose top cannot be set out of level.
_LEVEL_ITSELF = ("compound",)

#: Methods that leave nothing for a plinth to hide.
_PLINTHLESS = ("compound",)

#: Methods with bearers, along which a stack can be moved by hand.
ON_BEARERS = ("packers",)


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
    #: Lengths that the boards come in (from memory).
    stock_mm: Annotated[tuple[Length, ...], Field(min_length=1)] = (2400.0, 3600.0)


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


def _repeated(key: str, members: Sequence[object], allowed: str) -> list[Slip]:
    """Return a slip for each member of a list that is one before it over again."""
    return [
        ((key, index), allowed) for index, member in enumerate(members) if member in members[:index]
    ]


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

    @model_validator(mode="after")
    def _boards_serve(self) -> Self:
        depths = [board.mm for board in self.boards]
        slips = _repeated("boards", depths, "a depth that no board before it has")
        if self.least_mm > max(depths):
            allowed = f"at most the deepest of its boards, {max(depths):g} mm"
            slips.append((("least_mm",), allowed))
        if slips:
            raise Slips(*slips)
        return self


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
        slips: list[Slip] = []
        if self.least_mm > self.greatest_mm:
            slips.append((("greatest_mm",), f"at least least_mm, {self.least_mm:g} mm"))
        if self.set_kg_per_l < self.powder_kg_per_l:
            least = f"at least powder_kg_per_l, {self.powder_kg_per_l:g} kg/l, which is in it"
            slips.append((("set_kg_per_l",), least))
        slips += self._drying_slips()
        if slips:
            raise Slips(*slips)
        return self

    def _drying_slips(self) -> list[Slip]:
        slips: list[Slip] = []
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


class Levels(Part):
    """``[base.levels]``: a base in several level zones, with steps between them."""

    #: How many zones a run may be parted into at most.
    most: Annotated[int, Field(ge=1, le=50)] = 2
    #: Least and greatest height of a step between neighbouring zones.
    step_mm: tuple[Length, Length] = (100.0, 200.0)
    #: How steep a ramp beside a step may be; none is looked for unless given.
    ramp_mm_per_m: Annotated[float, Field(gt=0, le=200)] | None = None
    #: How long there is room for a ramp to be.
    ramp_room_mm: Length | None = None

    @model_validator(mode="after")
    def _steps_ascend(self) -> Self:
        low, high = self.step_mm
        if low > high:
            raise Slips((("step_mm",), "two heights with the lower one first"))
        return self


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
    levels: Levels | None = None
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
    def _kinds_of_feet_are_few_and_differ(self) -> Self:
        kinds = [(foot.low_mm, foot.high_mm, foot.plate_mm) for foot in self.feet]
        allowed = "another low_mm, high_mm or plate_mm than those of each foot before it"
        slips = _repeated("feet", kinds, allowed)
        if len(kinds) > MOST_KINDS:
            slips.append((("feet",), f"at most {MOST_KINDS} kinds of feet; these are {len(kinds)}"))
        if slips:
            raise Slips(*slips)
        return self

    @model_validator(mode="after")
    def _method_has_what_it_needs(self) -> Self:
        slips: list[Slip] = []
        key, allowed = _NEEDED.get(self.method, ("", ""))
        if key and not getattr(self, key):
            slips.append(((key,), f'{allowed}, which method = "{self.method}" needs'))
        if self.method in _LEVEL_ITSELF and self.front_lift_mm != 0:
            slips.append((("front_lift_mm",), f'0 with method = "{self.method}", which lies level'))
        if self.plinth and self.method in _PLINTHLESS:
            found = f'no plinth with method = "{self.method}", which fills the floor to the front'
            slips.append((("plinth",), found))
        if self.moved and not self.on_bearers:
            words = " or ".join(f'"{word}"' for word in ON_BEARERS)
            slips.append((("moved",), f"this key only with method = {words}"))
        if slips:
            raise Slips(*slips)
        return self

    @model_validator(mode="after")
    def _each_stack_moves_once(self) -> Self:
        slips: list[Slip] = [
            (("moved", index, "from_mm"), f"a stack of {moved.bearer} that no other move names")
            for index, moved in enumerate(self.moved)
            if any(moved.is_of_same_stack(earlier) for earlier in self.moved[:index])
        ]
        if slips:
            raise Slips(*slips)
        return self
