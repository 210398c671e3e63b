"""Pictures written as SVG text: numbers short, words escaped, nothing from outside."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kit.ink import paint
from kit.ink.escape import html_text

#: Height of the board's smallest letters [px]; widths of letters follow from it.
LETTERS_PX = 12.0

#: Mean width of a letter as a share of its height, of the sans serif faces in use (measured on
#: the faces that browsers bring along; a wide one is taken, so that words never touch).
LETTER_SHARE = 0.58


@dataclass(frozen=True)
class Picture:
    """A drawing at the size at which it is shown.

    Parameters
    ----------
    width_px, height_px : float
        Size on the screen [CSS px]; letters are drawn at their own size, never scaled.
    inner : str
        What is drawn, as SVG elements.
    words : str
        What is to be seen, for those who do not see it.
    """

    width_px: float
    height_px: float
    inner: str
    words: str

    @property
    def svg(self) -> str:
        """The whole drawing as one element; its words are its accessible name."""
        size = f'width="{short(self.width_px)}" height="{short(self.height_px)}"'
        box = f'viewBox="0 0 {short(self.width_px)} {short(self.height_px)}"'
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="group"'
            f' aria-label="{html_text(self.words)}" font-size="{LETTERS_PX:g}">{self.inner}</svg>'
        )


def short(value: float) -> str:
    """Return a number of pixels to a tenth, without needless zeros."""
    return f"{round(value, 1) + 0.0:g}"


def element(name: str, content: str = "", /, **attributes: object) -> str:
    """Return one element; ``_`` in an attribute's name becomes ``-``, numbers become short.

    Parameters
    ----------
    name : str
        ``"rect"``, ``"g"``.
    content : str
        Elements inside it; plain words must have gone through `words`.
    **attributes : object
        Numbers in px, or texts, which are escaped. ``class_`` stands for ``class``.
    """
    said = "".join(f" {_key(key)}={_quoted(value)}" for key, value in attributes.items())
    return f"<{name}{said}>{content}</{name}>" if content else f"<{name}{said}/>"


def _key(key: str) -> str:
    return key.rstrip("_").replace("_", "-") if key != "viewBox" else key


def _quoted(value: object) -> str:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return f'"{short(float(value)) if number else html_text(str(value))}"'  # type: ignore[arg-type]


def words(x: float, y: float, text: str, **attributes: object) -> str:
    """Return letters with their baseline at a place; the text is escaped."""
    return element("text", html_text(text), x=x, y=y, **attributes) if text else ""


def line(x1: float, y1: float, x2: float, y2: float, **attributes: object) -> str:
    """Return a straight line."""
    return element("line", "", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def box(left: float, top: float, wide: float, tall: float, **attributes: object) -> str:
    """Return a rectangle."""
    size = {"width": max(wide, 0.0), "height": max(tall, 0.0)}
    return element("rect", "", x=left, y=top, **size, **attributes)


def path(points: Iterable[tuple[float, float]], *, closed: bool = False) -> str:
    """Return the ``d`` of a line through points [px]."""
    text = "L".join(f"{short(x)} {short(y)}" for x, y in points)
    return f"M{text}{'Z' if closed else ''}" if text else ""


def halo(**attributes: object) -> dict[str, object]:
    """Return attributes that keep letters readable over lines: a rim of paper around them."""
    return {
        "paint_order": "stroke",
        "stroke": paint.PAPER,
        "stroke_width": 3,
        "stroke_linejoin": "round",
        **attributes,
    }


def letters_px(text: str, size_px: float = LETTERS_PX) -> float:
    """Return about how wide a text will be [px]; rather too wide than too narrow."""
    return len(text) * size_px * LETTER_SHARE
