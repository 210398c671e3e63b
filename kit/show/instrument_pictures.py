"""Small pictures of how an instrument is checked; what leans is drawn much too steep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kit.ink import paint
from kit.ink.escape import html_text

#: Size of a picture of two stands, one below the other; it shrinks with its column [px].
WIDE, HIGH = 400, 245

#: How far a leaning line rises or falls across the picture [px].
LEAN = 22.0

_LEFT, _RIGHT = 46.0, 354.0


def two_peg_picture(apart_m: float, beyond_m: float, error_mm_per_m: float) -> str:
    """Return the two stands of the two-peg test.

    Parameters
    ----------
    apart_m, beyond_m : float
        Distance of the pegs, and of the second stand beyond the second peg [m].
    error_mm_per_m : float
        Its sign says which way the sights lean.
    """
    scale = (_RIGHT - _LEFT) / max(apart_m + max(beyond_m, 0.0), 1e-9)
    pegs = (_LEFT, _LEFT + apart_m * scale)
    second = _LEFT + (apart_m + beyond_m) * scale
    stands = (((pegs[0] + pegs[1]) / 2, 20.0), (second, 135.0))
    lean = _lean(error_mm_per_m) / (_RIGHT - _LEFT)
    parts = []
    for number, (stand, top) in enumerate(stands, start=1):
        parts += [*_ground(top + 84), *_staffs(pegs, top), *_tripod(stand, top + 42, top + 84)]
        for peg in pegs:
            parts += _sight(stand, peg, top + 42, lean)
        parts.append(_text(2, top + 8, f"{number}"))
    words = (
        f"Two pegs {apart_m:g} m apart. First the level stands midway, then {abs(beyond_m):g} m"
        f" {'beyond' if beyond_m >= 0 else 'short of'} the second peg; the line of sight"
        f" {_leaning(error_mm_per_m)}."
    )
    return _svg(parts, words)


def reversal_picture(direct_mm: float, reversed_mm: float, error_mm_per_m: float) -> str:
    """Return a spirit level on one line, as booked and turned end for end.

    Parameters
    ----------
    direct_mm, reversed_mm : float
        Packers: positive under the end at ``from`` [mm].
    error_mm_per_m : float
        The level's own error.
    """
    parts: list[str] = []
    scale = 30 / max(abs(direct_mm), abs(reversed_mm), 1e-9)
    higher = scale * (direct_mm + reversed_mm) / 2
    stands = (("as booked", direct_mm, 20.0), ("turned end for end", reversed_mm, 140.0))
    for words, packer, top in stands:
        parts += _level(
            (top + 80 + min(higher, 0), top + 80 - max(higher, 0)), scale * packer, top < 100
        )
        parts += [_text(_LEFT, top + 98, "from"), _text(_RIGHT, top + 98, "to", "end")]
        parts.append(_text(2, top - 4, f"{words}: {packer:+g} mm"))
    said = (
        f"A spirit level on one line: as booked {direct_mm:+g} mm of packers centre the bubble,"
        f" turned end for end {reversed_mm:+g} mm; positive under the end at from. Its own error"
        f" is {error_mm_per_m:+.2f} mm a metre. A dot marks the same end of the level."
    )
    return _svg(parts, said)


def two_wall_picture(apart_m: float, near_m: tuple[float, float], error_mm_per_m: float) -> str:
    """Return a laser near either of two walls, and where it marks them.

    Parameters
    ----------
    apart_m : float
        Distance of the walls [m].
    near_m : (2,) tuple
        Distance of the laser from the near wall in both set-ups [m].
    error_mm_per_m : float
        Its sign says which way the beam leans.
    """
    scale = (_RIGHT - _LEFT) / apart_m
    stands = ((_LEFT + near_m[0] * scale, 20.0), (_RIGHT - near_m[1] * scale, 135.0))
    lean = _lean(error_mm_per_m) / (_RIGHT - _LEFT)
    parts = []
    for number, (stand, top) in enumerate(stands, start=1):
        parts += [*_ground(top + 84), *_walls(top), *_tripod(stand, top + 42, top + 84)]
        for wall, name in ((_LEFT, f"a{number}"), (_RIGHT, f"b{number}")):
            parts += _sight(stand, wall, top + 42, lean)
            mark = top + 42 - abs(wall - stand) * lean
            beside = wall - 24 if wall == _LEFT else wall + 10
            parts.append(_text(beside, mark + 4, name))
    words = (
        f"Two walls A and B {apart_m:g} m apart. The laser marks both from {near_m[0]:g} m in"
        f" front of wall A, then from {near_m[1]:g} m in front of wall B; the beam"
        f" {_leaning(error_mm_per_m)}."
    )
    return _svg(parts, words)


def _lean(error_mm_per_m: float) -> float:
    """Return how far a line leans across the picture: what counts is which way."""
    return LEAN * ((error_mm_per_m > 1e-9) - (error_mm_per_m < -1e-9))


def _leaning(error_mm_per_m: float) -> str:
    lean = _lean(error_mm_per_m)
    return "is level" if lean == 0 else "rises" if lean > 0 else "falls"


def _svg(parts: Sequence[str], words: str) -> str:
    label = html_text(words)
    return (
        f'<svg class="ufk-picture" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{label}"'
        f' style="display:block;width:100%;max-width:{WIDE}px;background:{paint.PAPER};'
        f'font:12px system-ui,sans-serif">{"".join(parts)}</svg>'
        f'<p style="margin:.2em 0;max-width:{WIDE}px;line-height:1.3;white-space:normal">'
        f"{label} What leans is drawn much too steep.</p>"
    )


def _line(x1: float, y1: float, x2: float, y2: float, colour: str = paint.INK, **more: str) -> str:
    extra = "".join(f' {name.replace("_", "-")}="{value}"' for name, value in more.items())
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}"{extra}/>'
    )


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{paint.INK}">'
        f"{html_text(words)}</text>"
    )


def _ground(y: float) -> Iterator[str]:
    yield _line(20, y, WIDE - 20, y, paint.FLOOR_LINE, stroke_width="3")


def _staffs(pegs: Sequence[float], top: float) -> Iterator[str]:
    for name, x in zip("AB", pegs, strict=True):
        yield _line(x, top + 4, x, top + 84, paint.FAINT_INK, stroke_width="5")
        yield _text(x - 4, top + 100, name)


def _walls(top: float) -> Iterator[str]:
    for name, x in (("A", _LEFT), ("B", _RIGHT)):
        yield _line(x, top, x, top + 84, paint.FAINT_INK, stroke_width="5")
        yield _text(x - 4, top + 100, name)


def _tripod(x: float, y: float, ground: float) -> Iterator[str]:
    for foot in (-9.0, 9.0):
        yield _line(x, y, x + foot, ground, stroke_width="1.5")
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{paint.INK}"/>'


def _sight(stand: float, to: float, y: float, lean: float) -> Iterator[str]:
    """Draw a level line, dashed, and the line of sight as it leans."""
    yield _line(stand, y, to, y, paint.FAINT_INK, stroke_dasharray="3 4")
    yield _line(stand, y, to, y - abs(to - stand) * lean, paint.MARK, stroke_width="2")


def _level(ground: tuple[float, float], packer_px: float, booked: bool) -> Iterator[str]:
    """Draw a level on packers over the ground at either end; positive ones lie under ``from``."""
    left, right = _LEFT + 14, _RIGHT - 14
    ends = (ground[0] - max(packer_px, 0.0), ground[1] - max(-packer_px, 0.0))
    yield _line(left, ground[0], right, ground[1], paint.FLOOR_LINE, stroke_width="3")
    for x, floor, top in ((left, ground[0], ends[0]), (right - 24, ground[1], ends[1])):
        yield (
            f'<rect x="{x:.1f}" y="{top:.1f}" width="24" height="{floor - top:.1f}"'
            f' fill="{paint.TIMBER}" stroke="{paint.TIMBER_LINE}"/>'
        )
    low, high = ends
    corners = ((left, low), (right, high), (right, high - 22), (left, low - 22))
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)
    yield f'<polygon points="{points}" fill="{paint.UNIT}" stroke="{paint.INK}"/>'
    middle = (low + high) / 2 - 11
    yield (
        f'<rect x="{WIDE / 2 - 16}" y="{middle - 5:.1f}" width="32" height="10" rx="5"'
        f' fill="{paint.PAPER}" stroke="{paint.INK}"/>'
    )
    yield f'<circle cx="{WIDE / 2}" cy="{middle:.1f}" r="4" fill="{paint.FAINT_INK}"/>'
    dot = (left + 12, low - 11) if booked else (right - 12, high - 11)
    yield f'<circle cx="{dot[0]:.1f}" cy="{dot[1]:.1f}" r="4" fill="{paint.INK}"/>'
