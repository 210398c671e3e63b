"""What must be said before a floor is ground or filled."""

from __future__ import annotations

from collections.abc import Iterator

from kit.job import Compound

#: Deeper than this a floor is not ground but taken out [mm] (common practice, no source).
DEEP_MM = 20.0

#: Of grinding, wherever there is any.
DUST = (
    "Grinding concrete, screed or stone frees silica dust, which scars lungs for good; dust of old"
    " coatings, adhesives and tiles may hold lead or asbestos: have them looked at first, grind"
    " only with extraction at the tool and a fitted mask, and keep others out of the room."
)
SERVICES = (
    "Before grinding, find what lies in the floor: heating pipes, cables, drains and"
    " reinforcement. Cover over steel is part of the structure: an engineer says how much may go."
)
#: Of filling.
BOND = (
    "Fill holds only on ground that is sound, clean, dry and primed as the compound's maker says."
)
#: Always.
JOINTS = (
    "Movement joints are carried through fill at their full width; none is bridged, and no straight"
    " edge of this reckoning knows of them."
)
CONTRACTOR = (
    "This is a sum over the heights given; it approves no floor. The flooring contractor decides"
    " what the floor to come needs and how it is made so."
)


def grind_cautions(
    ground_mm: float, thin_m2: float, thin_l: float, sd_mm: float, compound: Compound | None
) -> Iterator[str]:
    """Yield the cautions of a grind and fill.

    Parameters
    ----------
    ground_mm : float
        The most that is ground off anywhere [mm]; 0 where nothing is.
    thin_m2, thin_l : float
        Area and volume of the fill that is thinner than the compound's least [m²], [l].
    sd_mm : float
        Typical standard deviation of a height [mm].
    compound : Compound or None
        What is filled with, where that is known.
    """
    if ground_mm > 0:
        yield DUST
        yield SERVICES
    yield BOND
    if compound is None:
        yield (
            "Each compound has a least thickness: fill runs out thinner than that at its edges."
            " Use one that may be feathered, or cut a step for the edge."
        )
    elif thin_m2 > 0:
        yield (
            f"{thin_m2:.2f} m² of the fill ({thin_l:.1f} l) is thinner than the"
            f" {compound.least_mm:g} mm that the compound is laid at least: there use one that may"
            " be feathered, or cut a step."
        )
    yield JOINTS
    yield (
        f"The limit is kept by the heights as given; each is known to about {sd_mm:.2f} mm, so"
        " that on site a straight edge finds departures that differ by about as much. Where the"
        " limit must hold on site, ask for less here, and read the floor again after the work."
    )
    yield CONTRACTOR


def deep_cautions(ground_mm: float, x_mm: float, y_mm: float) -> Iterator[str]:
    """Yield what must be said where more would be ground off than a grinder takes.

    Parameters
    ----------
    ground_mm : float
        The most that is ground off anywhere [mm].
    x_mm, y_mm : float
        Its place [mm].
    """
    if ground_mm > DEEP_MM:
        yield (
            f"{ground_mm:.1f} mm would be ground off at x {x_mm:.0f}, y {y_mm:.0f} mm. More than"
            f" {DEEP_MM:g} mm is no grinding but taking out and laying anew: ask an engineer first."
            " A ramp or a gutter of the floor belongs under [[excluded]]."
        )
