"""Colours and patterns: each tells its meaning by lightness, shape or words as well."""

from __future__ import annotations

from collections.abc import Sequence

INK = "#1d2730"
FAINT_INK = "#5d6872"
PAPER = "#ffffff"
GRID = "#e3e6e8"
FLOOR = "#e4ded4"
FLOOR_LINE = "#57483a"
DOUBT = "rgba(87, 72, 58, 0.28)"
TIMBER = "#d9b382"
TIMBER_LINE = "#6b4a23"
UNIT = "#f4f6f7"
UNIT_LINE = "#7d8890"
PANEL = "#aeb7bd"
NO_GO = "#8a1f2d"
SERVICE = "#7a1f6b"
JOINT = "#0b5d3b"
ACCENT = "#0f5c8c"
IDLE = "#8f2f08"  # also in board.css
MARK = "#c2410c"

#: From the deepest hollow to the highest hump: lightness rises all the way, blue to yellow, so
#: that it reads in grey and for colour-blind eyes; the darkest end still carries black letters.
HOLLOW_TO_HUMP = (
    (0.0, "#6f8db5"),
    (0.25, "#94a8bd"),
    (0.5, "#c0c6c2"),
    (0.75, "#e3dcac"),
    (1.0, "#fff6b8"),
)

#: Tones of packers from the thinnest (dark) to the thickest (light).
_THIN = (24, 63, 84)
_THICK = (250, 226, 160)


def lightness(colour: str) -> float:
    """Return the lightness L* (0 black, 100 white) of a colour such as ``"#c0c6c2"``.

    Notes
    -----
    CIE 1976 L* of the relative luminance of IEC 61966-2-1 sRGB (constants from memory).
    """
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return float(116 * luminance ** (1 / 3) - 16 if luminance > 0.008856 else 903.3 * luminance)


def packer_tones(thicknesses_mm: Sequence[float]) -> list[str]:
    """Return a colour for each packer: the thinner, the darker."""
    order = sorted(set(thicknesses_mm))
    steps = max(len(order) - 1, 1)
    tones = {}
    for place, thickness in enumerate(order):
        share = place / steps
        mixed = (round(a + (b - a) * share) for a, b in zip(_THIN, _THICK, strict=True))
        tones[thickness] = "#" + "".join(f"{part:02x}" for part in mixed)
    return [tones[thickness] for thickness in thicknesses_mm]


def ink_on(colour: str) -> str:
    """Return the ink that can be read on a colour."""
    return INK if lightness(colour) > 55 else PAPER
