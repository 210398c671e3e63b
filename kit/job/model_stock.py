"""``[stock]`` and ``[rates]``: what lies in the van or can be had, and what work takes."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from kit.job.model_parts import Length, Name, Part, Price

#: Plan size of a packer unless the stock says another [mm]: along the bearer, across it.
PACKER_SIZE_MM = (75.0, 45.0)

#: A head drawn deeper than this would come through a packer of 6 mm, the thinnest that is screwed
#: [mm] (common practice, no source).
DEEPEST_COUNTERSINK_MM = 5.0


class Packer(Part):
    """One kind of packer; no count means as many as wanted."""

    mm: Annotated[float, Field(gt=0, le=500)]
    count: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    measured_mm: Annotated[float, Field(gt=0, le=500)] | None = None
    price: Price | None = None
    #: How many are sold together.
    pack: Annotated[int, Field(ge=1, le=100_000)] = 1

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
    #: How many screws a box holds (from memory).
    screw_box: Annotated[int, Field(ge=1, le=100_000)] = 200
    #: What is bought beyond the list, of packers and screws (common practice, no source).
    spare_percent: Annotated[float, Field(ge=0, le=100)] = 5.0
    countersink_mm: Annotated[float, Field(ge=0, le=DEEPEST_COUNTERSINK_MM)] = 0.0
    packer_size_mm: tuple[Length, Length] = PACKER_SIZE_MM
    packer_bears_n_per_mm2: Annotated[float, Field(gt=0, le=1000)] | None = None
    #: What a litre of packers weighs: solid polypropylene (from memory).
    packer_kg_per_l: Annotated[float, Field(gt=0, le=25)] = 0.91
    #: What a crate of packers may weigh: what one person carries about all day (common practice,
    #: no source).
    crate_kg: Annotated[float, Field(gt=0, le=100)] = 12.0


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
    #: Walking with a crate in hand, and fetching the next one (from memory).
    walk_m_per_min: Annotated[float, Field(gt=0, le=1000)] = 40.0
    crate_min: Minutes = 3.0
    #: What prices are counted in.
    money: Name = "money"
    day_hours: Annotated[float, Field(gt=0, le=24)] = 8.0
    hour_price: Price | None = None
