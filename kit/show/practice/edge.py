"""An edge from the side: where it touches, what lies under it, and gaps that were read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.ink import paint
from kit.ink.svg import Picture, box, element, halo, letters_px, line, path, words
from kit.job import refuse
from kit.practice.moves import UnderEdge
from kit.show.board.lettering import LINE_PX, fitted, hatched, key, paragraph
from kit.show.practice.looks import hatched_swatch

#: How often heights are enlarged against lengths; the largest that fits is taken.
ENLARGED = (200, 100, 50, 20, 10, 5, 2, 1)

#: Room for the highest packer or the widest gap under the edge [px].
TALL_PX = 46.0

_SIDE_PX, _NAMES_Y, _EDGE_TOP, _EDGE_PX, _NARROWEST_PX = 24.0, 14.0, 22.0, 16.0, 160.0

#: Half the room that is kept free of hatching around what is known [px].
_CLEAR_PX = 11.0

_HALF_PACKER_PX = 8.0

#: Steps of the scale of which the first is taken whose numbers keep apart [mm].
_STEPS_MM = (100, 200, 500, 1000, 2000)


@dataclass(frozen=True)
class Known:
    """A place where it is known how far the floor lies below the edge.

    Parameters
    ----------
    kind : str
        touch | packer | gap.
    at_mm : float
        From the marked end [mm].
    below_mm : float
        How far the floor is below the edge there [mm]; 0 where it touches.
    """

    kind: str
    at_mm: float
    below_mm: float = 0.0

    @property
    def text(self) -> str:
        """What stands below it."""
        if self.kind == "touch":
            return f"touches at {self.at_mm:g} mm"
        return f"{self.kind} {self.below_mm:g} mm"


@dataclass(frozen=True)
class EdgeFrame:
    """How an edge lies on its picture.

    Parameters
    ----------
    left_px, right_px, px_per_mm : float
        Its marked and its other end, and the scale along it [px].
    enlarged : int
        How often heights are larger than lengths.
    """

    left_px: float
    right_px: float
    px_per_mm: float
    enlarged: int

    def x(self, at_mm: float) -> float:
        """Return where a place along the edge is drawn [px]."""
        return self.left_px + at_mm * self.px_per_mm

    def y(self, below_mm: float) -> float:
        """Return where a height below the edge is drawn [px]."""
        return UNDERSIDE_PX + below_mm * self.px_per_mm * self.enlarged


#: Where the underside of the edge is drawn, and where the hatching ends [px].
UNDERSIDE_PX = _EDGE_TOP + _EDGE_PX
_BAND_BOTTOM = UNDERSIDE_PX + TALL_PX + 12


def edge_picture(under: UnderEdge, width_px: float) -> Picture:
    """Draw an edge as it lies, level on the paper; the floor only where it is known.

    Parameters
    ----------
    under : UnderEdge
        What was seen and read.
    width_px : float
        Of the picture [px].

    Returns
    -------
    Picture
        Marks of class ``ufk-touch``, ``ufk-packer`` and ``ufk-gap`` have ``data-at-mm``.

    Raises
    ------
    Refusal
        Where the edge has no length, something lies beyond it, or the picture is too narrow.
    """
    known = known_places(under)
    if not width_px >= _NARROWEST_PX:
        raise refuse("edge", f"{width_px:g} px wide", f"{_NARROWEST_PX:g} px or more")
    frame = _frame(under, known, width_px)
    labels, below = _labels(known, frame, width_px)
    scale, below = _scale(under, frame, below)
    heading, bottom = _explained(known, frame, below, width_px)
    drawn = [
        _ends(frame), *_unseen(known, frame), *_bar(frame),
        *(_drawn(one, frame) for one in sorted(known, key=_on_top)), labels, scale, heading,
    ]  # fmt: skip
    return Picture(width_px, bottom, "".join(drawn), edge_words(under))


def known_places(under: UnderEdge) -> list[Known]:
    """Return every place where the floor under an edge is known, from its marked end on.

    Raises
    ------
    Refusal
        Where the edge has no length, or something lies beyond it.
    """
    if not under.length_mm > 0:
        raise refuse("edge", f"{under.length_mm:g} mm long", "a length")
    known = {Known("touch", at) for at in under.touches_mm}
    known |= {Known("packer", *packer) for packer in under.packers}
    known |= {Known("gap", *gap) for gap in under.gaps}
    for one in known:
        if not 0 <= one.at_mm <= under.length_mm:
            found = f"{one.kind} at {one.at_mm:g} mm"
            raise refuse("edge", found, f"0 to {under.length_mm:g} mm")
    return sorted(known, key=lambda one: (one.at_mm, one.kind, one.below_mm))


def edge_words(under: UnderEdge) -> str:
    """Return what the picture of an edge shows, place by place."""
    said = {"touch": "touches", "packer": "packer of {:g} mm", "gap": "gap of {:g} mm"}
    parts = [
        f"{said[one.kind].format(one.below_mm)} at {one.at_mm:g} mm" for one in known_places(under)
    ]
    seen = f"; from its marked end on: {', '.join(parts)}" if parts else ""
    return f"Edge {under.length_mm:g} mm long from the side{seen}. Between them: not seen."


def _frame(under: UnderEdge, known: Sequence[Known], width_px: float) -> EdgeFrame:
    scale = (width_px - 2 * _SIDE_PX) / under.length_mm
    most = max((one.below_mm for one in known), default=0.0)
    enlarged = next((n for n in ENLARGED if most * scale * n <= TALL_PX), 1)
    return EdgeFrame(_SIDE_PX, width_px - _SIDE_PX, scale, enlarged)


def _ends(frame: EdgeFrame) -> str:
    return words(frame.left_px - 4, _NAMES_Y, "marked end", fill=paint.INK) + words(
        frame.right_px + 4, _NAMES_Y, "other end", text_anchor="end", fill=paint.INK
    )


def _bar(frame: EdgeFrame) -> Iterator[str]:
    """Draw the edge itself; a heavy bar stands at its marked end."""
    left, right = frame.left_px, frame.right_px
    look = {"fill": paint.UNIT, "stroke": paint.INK, "stroke_width": 1.4}
    yield box(left, _EDGE_TOP, right - left, _EDGE_PX, class_="ufk-edge", **look)
    ends = (left, _EDGE_TOP - 3, left, _EDGE_TOP + _EDGE_PX + 3)
    yield line(*ends, stroke=paint.INK, stroke_width=6, class_="ufk-marked-end")


def _unseen(known: Sequence[Known], frame: EdgeFrame) -> Iterator[str]:
    """Hatch what nobody saw: all but the places that are known."""
    left, right = frame.left_px, frame.right_px
    start, spans = left, []
    for one in known:
        x = frame.x(one.at_mm)
        spans.append((start, x - _CLEAR_PX))
        start = max(start, x + _CLEAR_PX)
    spans = [(a, b) for a, b in (*spans, (start, right)) if b - a > 2]
    for a, b in spans:
        size = (a, UNDERSIDE_PX, b - a, _BAND_BOTTOM - UNDERSIDE_PX)
        hatching = hatched(*size, step_px=8, stroke=paint.FAINT_INK, stroke_width=0.7)
        yield element("g", hatching, class_="ufk-unseen", data_from=f"{a:.1f}", data_to=f"{b:.1f}")
    widest = max(spans, key=lambda span: span[1] - span[0], default=(0.0, 0.0))
    if widest[1] - widest[0] > letters_px("not seen") + 12:
        look = halo(text_anchor="middle", fill=paint.FAINT_INK, stroke_width=6)
        yield words((widest[0] + widest[1]) / 2, UNDERSIDE_PX + 32, "not seen", **look)


def _on_top(one: Known) -> int:
    """Return the order of drawing: a packer beside a contact hides none of it."""
    return ("packer", "touch", "gap").index(one.kind)


def _drawn(one: Known, frame: EdgeFrame) -> str:
    x, top, floor = frame.x(one.at_mm), UNDERSIDE_PX, frame.y(one.below_mm)
    marks = {"touch": _touch, "packer": _packer, "gap": _gap}
    if one.kind == "packer":  # an end lies on the outer corner of its packer
        x = min(max(x, frame.left_px + _HALF_PACKER_PX), frame.right_px - _HALF_PACKER_PX)
    inner = marks[one.kind](x, top, floor)
    return element("g", inner, class_=f"ufk-{one.kind}", data_at_mm=f"{one.at_mm:g}")


def _touch(x: float, top: float, _: float) -> str:
    """Draw a full triangle whose point touches the edge."""
    corners = [(x, top), (x - 9, top + 16), (x + 9, top + 16)]
    return element("path", d=path(corners, closed=True), fill=paint.FLOOR_LINE)


def _packer(x: float, top: float, floor: float) -> str:
    look = {"fill": paint.TIMBER, "stroke": paint.TIMBER_LINE, "stroke_width": 1.4}
    left, wide = x - _HALF_PACKER_PX, 2 * _HALF_PACKER_PX
    return box(left, top, wide, floor - top, **look) + _floor(x, floor)


def _gap(x: float, top: float, floor: float) -> str:
    """Draw the height between edge and floor with a bar at either end."""
    look = {"stroke": paint.INK, "stroke_width": 1.4}
    return line(x, top, x, floor, **look) + line(x - 4, top, x + 4, top, **look) + _floor(x, floor)


def _floor(x: float, y: float) -> str:
    return line(x - 9, y, x + 9, y, stroke=paint.FLOOR_LINE, stroke_width=3, class_="ufk-floor")


def _labels(known: Sequence[Known], frame: EdgeFrame, width_px: float) -> tuple[str, float]:
    """Write what is known below the picture, in as many lines as keep the words apart.

    Returns
    -------
    drawn, bottom : str, float
    """
    ends: list[float] = []
    leaders, texts = [], []
    for one in known:
        half = letters_px(one.text) / 2
        x = min(max(frame.x(one.at_mm), half + 2), width_px - half - 2)
        row = next((n for n, end in enumerate(ends) if x - half > end + 8), len(ends))
        ends[row:] = [x + half, *ends[row + 1 :]]
        y = _BAND_BOTTOM + 14 + row * LINE_PX
        at = frame.x(one.at_mm)
        foot = 16 if one.kind == "touch" else 2
        look = {"stroke": paint.FAINT_INK, "stroke_width": 0.8, "stroke_dasharray": "2 2"}
        leaders.append(line(at, frame.y(one.below_mm) + foot, at, y - 10, **look))
        texts.append(words(x, y, one.text, **halo(text_anchor="middle", fill=paint.INK)))
    return "".join(leaders + texts), _BAND_BOTTOM + len(ends) * LINE_PX + 6


def _scale(under: UnderEdge, frame: EdgeFrame, top: float) -> tuple[str, float]:
    """Draw the scale along the edge."""
    y, last = top + 6, frame.right_px
    drawn = [line(frame.left_px, y, last, y, stroke=paint.INK, stroke_width=1)]
    apart = letters_px(f"{under.length_mm:.0f}") + 10
    step = next((s for s in _STEPS_MM if s * frame.px_per_mm >= apart), _STEPS_MM[-1])
    for at in range(0, int(under.length_mm) + 1, step):
        x = frame.x(at)
        drawn.append(line(x, y, x, y + 5, stroke=paint.INK, stroke_width=1))
        drawn.append(words(x, y + 18, f"{at:g}", text_anchor="middle", fill=paint.INK))
    return element("g", "".join(drawn), class_="ufk-scale"), y + 22


def _explained(
    known: Sequence[Known], frame: EdgeFrame, top: float, width_px: float
) -> tuple[str, float]:
    said = "Along the edge: mm from its marked end."
    if any(one.below_mm for one in known):
        said += f" Heights under it drawn {frame.enlarged} times as large as lengths."
    lines = fitted(said, width_px - 4)
    text = paragraph(2, top + LINE_PX, lines, fill=paint.FAINT_INK)
    swatches = [(hatched_swatch, "the floor there was not seen")]
    explained, bottom = key(swatches, top + len(lines) * LINE_PX + 4, width_px)
    return text + explained, bottom
