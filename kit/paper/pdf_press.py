"""The press: lines, areas and letters put on pages of a PDF, each at its place in millimetres.

Loads fpdf2; imported only when something is printed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from fpdf import FPDF
from fpdf.fonts import TTFFont
from fpdf.prefs import ViewerPreferences

from kit.paper.letters import FACES, letters_wide_mm
from kit.paper.marks import LINE, Pen, Place
from kit.paper.text_lines import Line, Run

#: Points to a millimetre.
_POINTS = 72.0 / 25.4

#: Drawn for a sign that the faces have no letter for: a white rectangle, narrower than the width
#: that `letters_wide_mm` gives such a sign.
_BOX = 0x25AF

#: Drawn for a soft hyphen where no line ends: nothing.
_NOTHING = 0x200B

#: Baseline of a cell's letters below its top, as a share of their size, where the cell is as tall
#: as they are (fpdf2, `FPDF._render_styled_text_line`).
_CELL_BASELINE = 0.8


class Press(FPDF):
    """Pages of one size, written by places.

    Parameters
    ----------
    page_mm : (float, float)
        Width and height of a page [mm].
    title : str
        Of the file.
    lacking : iterable of str
        Signs to be printed as boxes; they can be copied out of the file all the same.
    """

    def __init__(self, page_mm: tuple[float, float], title: str, lacking: Iterable[str]) -> None:
        super().__init__(orientation="portrait", unit="mm", format=page_mm)
        self.set_auto_page_break(False)
        self.set_margin(0.0)
        self.c_margin = 0.0
        self.set_title(title)
        self.set_lang("en-GB")
        # Drawings are measured on paper: what prints is asked not to fit pages to its own margins.
        self.viewer_preferences = ViewerPreferences(print_scaling="None")
        # One job makes one file, whenever it is printed; fpdf2 asks for a date.
        self.set_creation_date(datetime(2000, 1, 1, tzinfo=UTC))
        self.alias_nb_pages("")
        for bold, path in FACES.items():
            self.add_font("kit", "B" if bold else "", path)
        self._box_for(lacking)

    def _box_for(self, lacking: Iterable[str]) -> None:
        """Have the faces draw a box for signs that they lack: fpdf2 would leave these out."""
        drawn = {ord(letter): _BOX for letter in lacking} | {0xAD: _NOTHING}
        for font in self.fonts.values():
            if not isinstance(font, TTFFont):
                continue
            for code, by in drawn.items():
                font.cmap[code] = font.cmap[by]
                font.glyph_ids[code] = font.glyph_ids[by]
                font.cw[code] = font.cw[by]

    def new_page(self) -> None:
        """Begin a page; lines on it end where they end."""
        self.add_page()
        self._out("0 J")

    def letters(self, text: str, at: Place, size_mm: float, *, bold: bool = False) -> None:
        """Put harmless letters read from the left on a page, beginning at a place."""
        self.set_font("kit", "B" if bold else "", size_mm * _POINTS)
        self.text(at[0], at[1], text)

    def line_wide_mm(self, line: Line, size_mm: float, *, bold: bool = False) -> float:
        """Return how wide a line is as it is drawn [mm]."""
        return sum(self._run_wide(run, size_mm, bold) for run in line.runs)

    def _run_wide(self, run: Run, size_mm: float, bold: bool) -> float:
        if not run.joined:
            return letters_wide_mm(run.text, size_mm, bold=bold)
        self.set_font("kit", "B" if bold else "", size_mm * _POINTS)
        self.set_text_shaping(True, direction="rtl" if run.from_right else "ltr")
        wide = float(self.get_string_width(run.text))
        self.set_text_shaping(False)
        return wide

    def put_line(
        self, line: Line, at: Place, size_mm: float, *, bold: bool = False, share: float = 0.0
    ) -> None:
        """Put a line on a page.

        Parameters
        ----------
        line : Line
            What it says.
        at : Place
            Of its baseline [mm].
        size_mm : float
            Size of its letters [mm].
        bold : bool
            In the bold face.
        share : float
            Which part of its width lies left of the place: 0 begins there, 1 ends there.
        """
        left = at[0]
        if share:
            left -= share * self.line_wide_mm(line, size_mm, bold=bold)
        for run in line.runs:
            if run.joined:
                self._joined(run, (left, at[1]), size_mm, bold)
            else:
                self.letters(run.text, (left, at[1]), size_mm, bold=bold)
            left += self._run_wide(run, size_mm, bold)

    def _joined(self, run: Run, at: Place, size_mm: float, bold: bool) -> None:
        self.set_font("kit", "B" if bold else "", size_mm * _POINTS)
        self.set_text_shaping(True, direction="rtl" if run.from_right else "ltr")
        self.set_xy(at[0], at[1] - _CELL_BASELINE * size_mm)
        self.cell(h=size_mm, text=run.text)
        self.set_text_shaping(False)

    def use_pen(self, pen: Pen) -> None:
        """Draw the lines that follow with a pen."""
        self.set_line_width(pen.width_mm)
        self.set_draw_color(round(pen.grey * 255))
        dashes = " ".join(f"{length * _POINTS:.3f}" for length in pen.dash_mm)
        self._out(f"[{dashes}] 0 d")

    def stroke(self, places: tuple[Place, ...], pen: Pen = LINE) -> None:
        """Draw a line through places."""
        self.use_pen(pen)
        self.polyline(places)

    def area(self, places: tuple[Place, ...], grey: float, pen: Pen) -> None:
        """Fill a closed area, and draw its edge where its pen has a width."""
        self.use_pen(pen)
        self.set_fill_color(round(grey * 255))
        self.polygon(places, style="DF" if pen.width_mm > 0 else "F")

    def disc(self, middle: Place, radius_mm: float, grey: float, pen: Pen) -> None:
        """Fill a circle, and draw its edge where its pen has a width."""
        self.use_pen(pen)
        self.set_fill_color(round(grey * 255))
        self.circle(*middle, radius_mm, style="DF" if pen.width_mm > 0 else "F")
