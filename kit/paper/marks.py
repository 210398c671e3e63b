"""What a drawing on paper is made of: strokes, areas, discs and letters, in millimetres of paper.

Places are measured from the drawing's upper left corner, x to the right and y down. Everything is
black, white or grey: a sheet is copied, and read in poor light.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: A place on the paper [mm]: to the right, down.
Place = tuple[float, float]


@dataclass(frozen=True)
class Pen:
    """How a line is drawn.

    Parameters
    ----------
    width_mm : float
        Its width on paper [mm].
    grey : float
        0 black to 1 white.
    dash_mm : tuple of float
        Lengths of dash and gap in turn [mm]; empty for a line without gaps.
    """

    width_mm: float = 0.25
    grey: float = 0.0
    dash_mm: tuple[float, ...] = ()


THIN = Pen(0.13)
LINE = Pen()
THICK = Pen(0.5)


@dataclass(frozen=True)
class Stroke:
    """A line through places.

    Parameters
    ----------
    places : tuple of Place
        Two or more.
    pen : Pen
        How it is drawn.
    """

    places: tuple[Place, ...]
    pen: Pen = LINE


@dataclass(frozen=True)
class Area:
    """A closed area, filled evenly.

    Parameters
    ----------
    places : tuple of Place
        Its corners in turn; three or more.
    grey : float
        Of its filling: 0 black to 1 white.
    pen : Pen
        Of its edge; a width of 0 draws none.
    """

    places: tuple[Place, ...]
    grey: float = 1.0
    pen: Pen = LINE


@dataclass(frozen=True)
class Disc:
    """A filled circle.

    Parameters
    ----------
    middle : Place
        Where.
    radius_mm : float
        Of its edge's middle [mm].
    grey : float
        Of its filling.
    pen : Pen
        Of its edge.
    """

    middle: Place
    radius_mm: float
    grey: float = 1.0
    pen: Pen = LINE


@dataclass(frozen=True)
class Letters:
    """One line of text.

    Parameters
    ----------
    at : Place
        Of its baseline: its start, middle or end, as `anchor` says.
    text : str
        As the person wrote it; whatever prints it makes it harmless.
    size_mm : float
        Size of the face, baseline to baseline of solid lines [mm]; 2.5 reads in the hand, 3.5 at
        arm's length, 5 across a room's corner (common practice, no source).
    anchor : {"start", "middle", "end"}
        What of the line lies at the place.
    angle_deg : float
        By how much it is turned to the left about the place; 90 reads upwards.
    bold : bool
        Whether it is set in the bold face.
    halo : bool
        Whether a rim of paper keeps it readable over lines.
    """

    at: Place
    text: str
    size_mm: float = 2.5
    anchor: Literal["start", "middle", "end"] = "start"
    angle_deg: float = 0.0
    bold: bool = False
    halo: bool = False


Mark = Stroke | Area | Disc | Letters


@dataclass(frozen=True)
class Drawing:
    """A drawing at the size at which it is printed.

    Parameters
    ----------
    width_mm, height_mm : float
        On paper [mm].
    marks : tuple of Mark
        In the order in which they are drawn, later ones over earlier ones.
    words : str
        What is to be seen, for those who do not see it.
    scale : float
        How many times smaller than the real thing: 20 for 1:20; 1 for full size.
    """

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    words: str
    scale: float = 1.0


def box(left: float, top: float, wide: float, tall: float) -> tuple[Place, ...]:
    """Return the corners of a rectangle [mm], from the upper left one, clockwise as seen."""
    right, low = left + wide, top + tall
    return ((left, top), (right, top), (right, low), (left, low))
