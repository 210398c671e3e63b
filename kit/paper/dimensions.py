"""Running dimensions: a line along a row, a tick at each place, the figure from one end beside it.

The names and figures are turned to read upwards and pushed apart where places lie close; a short
leader joins each to its tick. All figures of a row count from one end, as one sets out with a tape
that is hooked once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.ink.lengths import Units, run_length, told_rounding
from kit.paper.label_places import ABOVE, BELOW
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THIN, Disc, Letters, Mark, Pen, Stroke

#: Letters of what is set out by: names and figures read at arm's length; roundings in the hand.
FIGURE_MM, BESIDE_MM = 3.5, 2.5

#: Distance of neighbouring turned labels: their height and a little air.
PITCH_MM = FIGURE_MM * (ABOVE + BELOW) + 0.15

#: From a dimension line to its labels: half a tick, and a leader that can lean.
LEAD_MM = 3.6

#: A label further than this from its tick is no longer found by eye (common practice, no source).
FURTHEST_MM = 14.0

_TICK_MM, _GAP_MM = 1.2, 1.2
_EXTENSION = Pen(0.1, 0.45)


@dataclass(frozen=True)
class Tick:
    """One place of a running dimension.

    Parameters
    ----------
    at_mm : float
        Along the paper [mm].
    name : str
        What is there.
    figure : str
        How far it is from the end that all figures count from.
    beside : str
        By how much the figure is rounded; empty where that needs no word.
    """

    at_mm: float
    name: str
    figure: str
    beside: str = ""

    @property
    def parts(self) -> tuple[tuple[str, float, bool], ...]:
        """Its texts as they follow each other: text, size, whether bold; empty ones left out."""
        return tuple(
            part
            for part in (
                (self.name, FIGURE_MM, True),
                (self.figure, FIGURE_MM, False),
                (self.beside, BESIDE_MM, False),
            )
            if part[0]
        )

    @property
    def long_mm(self) -> float:
        """How long its texts are together [mm]."""
        wide = sum(letters_wide_mm(text, size, bold=bold) for text, size, bold in self.parts)
        return wide + _GAP_MM * (len(self.parts) - 1)


def figure_of(mm: float, units: Units) -> tuple[str, str]:
    """Return a place along a run as it is set out, and its rounding in brackets."""
    off = told_rounding(mm, units)
    return run_length(mm, units), f"({off})" if off else ""


def labels_tall_mm(ticks: Sequence[Tick]) -> float:
    """Return how far a dimension line's leaders and labels reach to one side [mm]."""
    return LEAD_MM + max((tick.long_mm for tick in ticks), default=0.0)


def spread(
    wanted_mm: Sequence[float], pitch_mm: float, low_mm: float, high_mm: float
) -> list[float]:
    """Push places apart to a pitch, moving them as little as can be.

    Parameters
    ----------
    wanted_mm : sequence of float
        Ascending [mm].
    pitch_mm : float
        Least distance of neighbours [mm].
    low_mm, high_mm : float
        Between which they lie [mm].

    Returns
    -------
    list of float
        Least squares by pooling neighbours that are too close; empty where there is no room.

    Notes
    -----
    Pool adjacent violators: Ayer and others, Annals of Mathematical Statistics 26 (1955) 641-647
    (from memory), on the places less n times the pitch.

    Examples
    --------
    >>> spread([10.0, 11.0, 30.0], 4.0, 0.0, 40.0)
    [8.5, 12.5, 30.0]
    """
    room = high_mm - low_mm - pitch_mm * (len(wanted_mm) - 1)
    if room < 0:
        return []
    pools: list[tuple[float, int]] = []
    for n, wanted in enumerate(wanted_mm):
        mean, count = wanted - n * pitch_mm, 1
        while pools and pools[-1][0] > mean:
            before, of = pools.pop()
            mean, count = (before * of + mean * count) / (of + count), of + count
        pools.append((mean, count))
    # Least squares between limits are those without them, cut off at the limits.
    flat = [min(max(mean, low_mm), low_mm + room) for mean, count in pools for _ in range(count)]
    return [place + n * pitch_mm for n, place in enumerate(flat)]


@dataclass(frozen=True)
class Running:
    """A running dimension on paper.

    Parameters
    ----------
    ticks : tuple of Tick
        From left to right.
    low_mm, high_mm : float
        Between which its labels may lie along the paper [mm].
    from_mm : float
        Where its line begins: at the end that it counts from, or where the drawing is cut [mm].
    begins : bool
        Whether that is the end that it counts from.
    """

    ticks: tuple[Tick, ...]
    low_mm: float
    high_mm: float
    from_mm: float
    begins: bool = True

    @property
    def places_mm(self) -> list[float]:
        """Where its labels stand along the paper [mm]; empty where they find no room."""
        half = PITCH_MM / 2
        wanted = [tick.at_mm for tick in self.ticks]
        return spread(wanted, PITCH_MM, self.low_mm + half, self.high_mm - half)

    @property
    def reads(self) -> bool:
        """Whether every label finds room near its tick."""
        places = self.places_mm
        return len(places) == len(self.ticks) and all(
            abs(place - tick.at_mm) <= FURTHEST_MM
            for place, tick in zip(places, self.ticks, strict=True)
        )

    def marks(self, y_mm: float, *, up: bool, reach_mm: Sequence[float] = ()) -> Iterator[Mark]:
        """Draw it.

        Parameters
        ----------
        y_mm : float
            Where its line lies [mm of paper].
        up : bool
            Whether the labels stand above the line; else below.
        reach_mm : sequence of float
            How far from each tick a fine line leads over to what is dimensioned, as a place down
            the paper [mm]; empty where none does.
        """
        side = -1.0 if up else 1.0
        for tick, reach in zip(self.ticks, reach_mm, strict=False):
            yield Stroke(((tick.at_mm, y_mm), (tick.at_mm, reach)), _EXTENSION)
        yield from self._line(y_mm)
        for tick, place in zip(self.ticks, self.places_mm, strict=True):
            yield Stroke(((tick.at_mm, y_mm - _TICK_MM), (tick.at_mm, y_mm + _TICK_MM)), LINE)
            ends = (tick.at_mm, y_mm + side * _TICK_MM), (place, y_mm + side * (LEAD_MM - 0.4))
            yield Stroke(ends, THIN)
            foot = y_mm - LEAD_MM if up else y_mm + LEAD_MM + tick.long_mm
            yield from turned(tick.parts, place, foot)

    def _line(self, y_mm: float) -> Iterator[Mark]:
        end = max((tick.at_mm for tick in self.ticks), default=self.from_mm)
        yield Stroke(((self.from_mm, y_mm), (max(end, self.from_mm + 0.5), y_mm)), LINE)
        if self.begins:
            yield Disc((self.from_mm, y_mm), 0.9, 1.0, LINE)
            return
        tip = (self.from_mm, y_mm)
        back = [(self.from_mm + 2.0, y_mm - 0.8), (self.from_mm + 2.0, y_mm + 0.8)]
        yield Stroke((back[0], tip, back[1]), LINE)


def turned(
    parts: Sequence[tuple[str, float, bool]], middle_mm: float, foot_mm: float
) -> Iterator[Letters]:
    """Yield texts that follow each other upwards.

    Parameters
    ----------
    parts : sequence of (str, float, bool)
        Text, size [mm], whether bold.
    middle_mm, foot_mm : float
        Middle of their column, and where the first one begins [mm of paper].
    """
    y = foot_mm
    for text, size, bold in parts:
        x = middle_mm + (ABOVE - BELOW) / 2 * size
        yield Letters((x, y), text, size, "start", 90.0, bold, halo=True)
        y -= letters_wide_mm(text, size, bold=bold) + _GAP_MM
