"""What draws into a drawing file: layers, outlines, points and letters, in the room's own places.

The room's y runs out from the wall, a drawing's y up the page. Here, and only here, a place
(x, y) of the room becomes (x, -y): seen from above with the wall at the top, x to the right,
nothing mirrored.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kit.paper.dxf_room import LINE_TALL, Place, Taken, letters_box

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

#: Size of letters, where there is room for them [mm].
LETTERS_MM = 25.0

#: Smaller ones are not read [mm].
LEAST_LETTERS_MM = 12.0

#: The face that letters are set in; a program without it takes another.
_STYLE, _FACE = "LETTERS", "arial.ttf"

#: Kinds of line, each by its length and its parts, gaps negative [mm].
_LINES = {"DASHES": [60.0, 40.0, -20.0], "CHAIN": [110.0, 80.0, -12.0, 6.0, -12.0]}


@dataclass(frozen=True)
class Layer:
    """A layer: what lies on it looks as it says.

    Parameters
    ----------
    name : str
        Of the layer.
    about : str
        What lies on it.
    colour : int
        Number of the colour in the index that drawing programs share; 7 is black or white.
    width : int
        Of its lines [1/100 mm of paper].
    line : str
        Kind of line.
    """

    name: str
    about: str
    colour: int = 7
    width: int = 25
    line: str = "Continuous"


#: The layers, the ground first.
LAYERS = (
    Layer("JOISTS", "joists at their own width, from bearing to bearing", 8, 13, "DASHES"),
    Layer("FLOOR_CONTOURS", "the floor's height; each line lies at its own height", 33, 13),
    Layer("READINGS", "points that were read, each at its own height", 94, 18),
    Layer("WALLS", "the wall along each run, and those at its ends", 7, 70),
    Layer("SKIRTINGS", "skirtings in front of the walls", 8, 18),
    Layer("DOORWAYS", "openings", 7, 35, "DASHES"),
    Layer("NO_GO", "areas that stay free", 1, 35, "DASHES"),
    Layer("SERVICES", "known pipes and cables, and what screws keep away from", 140, 35, "CHAIN"),
    Layer("UNITS", "outlines of the units", 7, 50),
    Layer("PANELS", "middle lines of sides and divisions", 9, 18),
    Layer("BEARERS", "pieces of bearer", 30, 25),
    Layer("FRAME", "members and rungs of a ladder frame", 30, 25),
    Layer("POUR", "zones of levelling compound", 30, 25),
    Layer("JOINTS", "where pieces of one bearer or member meet", 6, 50),
    Layer("SUPPORTS", "supports, with their names and how high they are", 150, 35),
    Layer("HIGH_POINT", "the highest floor under the base", 6, 35),
    Layer("DIMENSIONS", "lengths of runs and units, and how far rows stand out", 8, 13),
    Layer("TEXT", "title and notes", 7, 18),
)


#: Of jobs that have any: drawings of others stay as they are.
MOVEMENT_JOINTS = Layer(
    "MOVEMENT_JOINTS", "movement joints, which nothing of the base crosses", 1, 50, "CHAIN"
)


def safe_mtext(text: str) -> str:
    """Return a text that a drawing program shows as it was typed, and runs nothing of.

    Parameters
    ----------
    text : str
        As the person wrote it.

    Returns
    -------
    str
        For the content of a text of several lines (MTEXT): backslash and braces by a backslash,
        a caret by the blank behind it, %% parted by a group, line ends as paragraphs.
    """
    plain = text.replace("\\", "\\\\").replace("{", "\\{").replace("}", "\\}")
    # A backslash that reads as the start of a code number for a letter is shut away.
    plain = re.sub(r"\\\\(?=[UM]\+)", r"{\\\\}", plain)
    plain = plain.replace("^", "^ ")
    plain = re.sub(r"%(?=%)", "%{}", plain)
    return plain.replace("\n", "\\P")


class Pencil:
    """Draws on the layers of one drawing, and keeps letters off letters.

    Parameters
    ----------
    drawing : ezdxf.document.Drawing
        A new one; layers, kinds of line and the face of its letters are added.
    """

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        drawing.styles.add(_STYLE, font=_FACE)
        for name, pattern in _LINES.items():
            drawing.linetypes.add(name, pattern)
        for layer in LAYERS:
            self._declare(layer)
        self._space: Modelspace = drawing.modelspace()
        self.taken = Taken()

    def _declare(self, layer: Layer) -> None:
        self._drawing.layers.add(
            layer.name, color=layer.colour, lineweight=layer.width, linetype=layer.line
        ).description = layer.about

    def has_joints(self) -> None:
        """Make the layer of movement joints."""
        self._declare(MOVEMENT_JOINTS)

    def outline(self, layer: str, places: Iterable[Sequence[float]]) -> None:
        """Draw a closed outline."""
        self.path(layer, places, closed=True)

    def path(
        self,
        layer: str,
        places: Iterable[Sequence[float]],
        *,
        closed: bool = False,
        height_mm: float = 0.0,
    ) -> None:
        """Draw a line through places, at a height."""
        turned = [_turned(place) for place in places]
        look = {"layer": layer, "elevation": height_mm}
        self._space.add_lwpolyline(turned, close=closed, dxfattribs=look)

    def line(self, layer: str, start: Sequence[float], end: Sequence[float]) -> None:
        """Draw a straight line."""
        self._space.add_line(_turned(start), _turned(end), dxfattribs={"layer": layer})

    def point(self, layer: str, place: Sequence[float], height_mm: float) -> None:
        """Set a point at its height."""
        self._space.add_point((*_turned(place), height_mm), dxfattribs={"layer": layer})

    def circle(self, layer: str, place: Sequence[float], radius_mm: float) -> None:
        """Draw a circle."""
        self._space.add_circle(_turned(place), radius_mm, dxfattribs={"layer": layer})

    def text(
        self,
        layer: str,
        text: str,
        at: Place,
        *,
        size_mm: float = LETTERS_MM,
        direction_deg: float = 0.0,
    ) -> None:
        """Write one line of the kit's own about a place, along a direction of the room."""
        from ezdxf.enums import TextEntityAlignment  # noqa: PLC0415 - with the drawing itself

        angle = upright(direction_deg)
        look = {"layer": layer, "style": _STYLE, "rotation": angle}
        written = self._space.add_text(text, height=size_mm, dxfattribs=look)
        written.set_placement(_turned(at), align=TextEntityAlignment.MIDDLE_CENTER)
        self.taken.add(letters_box((text,), at, size_mm, angle))

    def lines(self, layer: str, lines: Sequence[str], at: Place, *, size_mm: float) -> None:
        """Write lines of the kit's own below each other, near a place where no letters stand."""
        x, y = self.taken.near(lines, at, size_mm)
        for number, text in enumerate(lines):
            down = size_mm * LINE_TALL * (number - (len(lines) - 1) / 2)
            self.text(layer, text, (x, y + down), size_mm=size_mm)

    def name(self, layer: str, text: str, at: Place, *, size_mm: float = LETTERS_MM) -> None:
        """Write a text of the person's near a place, where no other letters stand."""
        lines = text.split("\n")
        where = self.taken.near(lines, at, size_mm)
        self.taken.add(letters_box(lines, where, size_mm))
        self._mtext(layer, text, where, size_mm, attachment_point=5)

    def notes(
        self, layer: str, text: str, corner: Place, size_mm: float, *, wide_mm: float, up: bool
    ) -> None:
        """Write a text in lines of a width, down from its upper left corner or up from below."""
        self._mtext(layer, text, corner, size_mm, attachment_point=7 if up else 1, width=wide_mm)

    def _mtext(self, layer: str, text: str, at: Place, size_mm: float, **look: float) -> None:
        fixed = {"layer": layer, "style": _STYLE, "char_height": size_mm, "insert": _turned(at)}
        self._space.add_mtext(safe_mtext(text), dxfattribs={**fixed, **look})


def upright(direction_deg: float) -> float:
    """Return the angle of letters along a direction of the room, never upside down [degrees].

    Parameters
    ----------
    direction_deg : float
        From +x towards +y of the room.

    Returns
    -------
    float
        Anticlockwise on the page, over -90 up to 90.
    """
    angle = -direction_deg % 360.0
    angle = angle - 360.0 if angle > 180.0 else angle
    if angle > 90.0:
        return angle - 180.0
    return angle + 180.0 if angle <= -90.0 else angle + 0.0


def _turned(place: Sequence[float]) -> tuple[float, float]:
    return float(place[0]), 0.0 - float(place[1])
