"""The floor line under a plinth: how high the plinth is, piece by piece, and what is cut off."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Literal

import numpy as np
import pandas as pd

from kit.base.checks import CLOSED_MM
from kit.base.layout import Layout
from kit.base.plinth import PLINTH_STEP_MM, plinth_steps_mm, plinth_y_mm
from kit.base.plinth_boards import Piece, cut_plinth
from kit.base.runs import Floats
from kit.floor import Surface
from kit.job import Base, Plinth, refuse

#: Columns of the profile, as it is written to a file.
COLUMNS = [
    "run", "along_mm", "x_mm", "y_mm", "floor_mm", "floor_sd_mm", "height_mm", "board", "cut_mm",
    "joint",
]  # fmt: skip

#: A board whose floor line keeps within this is left straight (common practice, no source) [mm].
STRAIGHT_WITHIN_MM = 2.0

#: The line is looked at this many times between two places of the summary: every 20 mm.
_FINER = 5

#: Pitches that can be asked for [mm]: finer ones tell nothing of a floor, wider ones miss its
#: humps (common practice, no source).
PITCHES_MM = (10.0, 1000.0)

#: How a board is brought to the floor; "open" where part of the floor under it is not known.
Manner = Literal["straight", "scribe", "open"]


@dataclass(frozen=True, eq=False)
class PlinthBoard:
    """One board of a plinth, over the floor that it stands on.

    Parameters
    ----------
    name : str
        Counted from the left along its run; with several runs the run's letter in front: "A-2".
    run : str
        Its run.
    piece : Piece
        Its ends along the run and the length that it is cut from.
    board_mm : float
        Width that the plinth of its run is made of [mm]; nan where none is wide enough or nothing
        was surveyed.
    line : DataFrame
        `COLUMNS` along it, every 20 mm or closer, its ends included.
    """

    name: str
    run: str
    piece: Piece
    board_mm: float
    line: pd.DataFrame

    @cached_property
    def least_mm(self) -> float:
        """Where it is narrowest, of what was surveyed [mm]; nan where nothing was."""
        return float(self.line["height_mm"].min())

    @cached_property
    def greatest_mm(self) -> float:
        """Where it is widest, of what was surveyed [mm]; nan where nothing was."""
        return float(self.line["height_mm"].max())

    @cached_property
    def manner(self) -> Manner:
        """How it is brought to the floor."""
        return _manner(self.line["height_mm"].to_numpy(dtype=float))

    @property
    def rip_mm(self) -> float:
        """Width to which it may be ripped before its lower edge is cut [mm].

        Its greatest height, or, left straight, its least one: no place asks for more.
        """
        return self.least_mm if self.manner == "straight" else self.greatest_mm

    @property
    def deepest_cut_mm(self) -> float:
        """What is cut off a board so ripped where the floor is highest [mm]."""
        return self.rip_mm - self.least_mm

    @property
    def gap_mm(self) -> float:
        """Gap that is left under it at most [mm]: 0 where it is scribed."""
        return self.greatest_mm - self.least_mm if self.manner == "straight" else 0.0

    @cached_property
    def open_mm(self) -> tuple[tuple[float, float], ...]:
        """Stretches along the run that were not surveyed: from, to [mm]."""
        return tuple(_open_stretches(self.line))


@dataclass(frozen=True, eq=False)
class PlinthProfile:
    """The plinth of a base.

    Parameters
    ----------
    boards : tuple of PlinthBoard
        Run by run, from left to right.
    table : DataFrame
        `COLUMNS`: every board at the chosen pitch, at sides of units and at its ends; a joint
        stands twice, once for each board that ends there, and names both: "1|2".
    base_top_mm, finish_mm : float
        Top of the base, and the floor finish still to come in front of it [mm].
    """

    boards: tuple[PlinthBoard, ...]
    table: pd.DataFrame
    base_top_mm: float
    finish_mm: float

    @cached_property
    def runs(self) -> dict[str, tuple[PlinthBoard, ...]]:
        """The boards of each run."""
        return {run: tuple(of) for run, of in groupby(self.boards, key=lambda one: one.run)}

    def summary(self) -> pd.DataFrame:
        """Return what `kit.base.plinth.plinth_lines` tells, from every place of the line.

        Returns
        -------
        DataFrame
            run, least_mm, greatest_mm, board_mm, of what was surveyed.
        """
        rows = [
            (
                run,
                min(_told(board.least_mm for board in of)),
                max(_told(board.greatest_mm for board in of)),
                of[0].board_mm,
            )
            for run, of in self.runs.items()
        ]
        return pd.DataFrame(rows, columns=["run", "least_mm", "greatest_mm", "board_mm"])


def plinth_profile(
    base: Base,
    layout: Layout,
    surface: Surface,
    base_top_mm: float,
    finish_mm: float,
    pitch_mm: float = PLINTH_STEP_MM,
) -> PlinthProfile:
    """Find the floor line under each run's plinth, the boards that cover it and their cuts.

    Parameters
    ----------
    base : Base
        With a plinth.
    layout : Layout
        Its units in their runs.
    surface : Surface
        The floor.
    base_top_mm : float
        Top of the base at the back row, as for `kit.base.plinth.plinth_lines` [mm].
    finish_mm : float
        Floor finish still to come in front of the base [mm].
    pitch_mm : float
        Distance of the places in the table [mm].

    Returns
    -------
    PlinthProfile

    Raises
    ------
    Refusal
        Where the base has no plinth, the pitch is none, or the boards are too short.

    Notes
    -----
    Eq. (1): height = base top - floor - finish. Of a board of width W, Eq. (2): cut = W - height
    along the line, or, Eq. (3): W - least height all along a board that is left straight. So its
    upper edge meets the base top, and nowhere is more cut than the line asks for.
    """
    plinth = _plinth_of(base)
    low, high = PITCHES_MM
    if not low <= pitch_mm <= high:
        raise refuse("pitch_mm", f"{pitch_mm:g} mm", f"{low:g} to {high:g} mm")
    boards: list[PlinthBoard] = []
    told: list[pd.DataFrame] = []
    for run in layout.frames:
        asked = _Run(base, plinth, layout, run, pitch_mm)
        line = asked.line(surface, base_top_mm - finish_mm)
        for board in asked.boards(line):
            boards.append(board)
            told.append(_told_of(board.line, asked.told_mm))
    return PlinthProfile(tuple(boards), pd.concat(told, ignore_index=True), base_top_mm, finish_mm)


def _plinth_of(base: Base) -> Plinth:
    if base.plinth is None:
        raise refuse(f"job.toml, base {base.name!r}, plinth", "none", "a plinth")
    return base.plinth


@dataclass(frozen=True, eq=False)
class _Run:
    """The plinth of one run, before the floor is looked at."""

    base: Base
    plinth: Plinth
    layout: Layout
    run: str
    pitch_mm: float

    @cached_property
    def sides_mm(self) -> tuple[float, ...]:
        """Sides of its units along the run [mm], ascending."""
        units = [placed for placed in self.layout.units if placed.run == self.run]
        return tuple(sorted({x for one in units for x in (one.left_mm, one.right_mm)}))

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        where = f"job.toml, base {self.base.name!r}, plinth.stock_mm, run {self.run}"
        return cut_plinth(self.sides_mm[-1], self.sides_mm, self.plinth.stock_mm, where)

    @cached_property
    def told_mm(self) -> Floats:
        """Places of the table along the run [mm]."""
        ends = [piece.to_mm for piece in self.pieces]
        return np.array([*_by_pitch(self.sides_mm[-1], self.pitch_mm), *self.sides_mm, *ends])

    def line(self, surface: Surface, top_mm: float) -> pd.DataFrame:
        """Return the floor line from end to end; board, cut_mm and joint are not yet known."""
        length = self.sides_mm[-1]
        steps = (len(plinth_steps_mm(length)) - 1) * _FINER
        own = _each_once([*np.linspace(0.0, length, steps + 1), *self.told_mm])
        frame, y = self.layout.frames[self.run], plinth_y_mm(self.base, self.layout, self.run)
        x, site_y = frame.to_site(own, np.full_like(own, y))
        found = surface.predict(x, site_y)
        known = surface.surveyed(x, site_y)
        floor = np.where(known, found.height_mm, math.nan)
        return pd.DataFrame(
            {
                "run": self.run,
                "along_mm": own,
                "x_mm": x,
                "y_mm": site_y,
                "floor_mm": floor,
                "floor_sd_mm": np.where(known, found.sd_mm, math.nan),
                "height_mm": top_mm - floor,  # Eq. (1)
            }
        )

    def boards(self, line: pd.DataFrame) -> Iterator[PlinthBoard]:
        """Yield its boards, each over its part of the line."""
        greatest = float(line["height_mm"].max())
        widths = sorted(self.plinth.board_mm)
        width = next((mm for mm in widths if mm >= greatest), math.nan)
        before = f"{self.run}-" * (len(self.layout.frames) > 1)
        names = [f"{before}{number}" for number in range(1, len(self.pieces) + 1)]
        for at, (name, piece) in enumerate(zip(names, self.pieces, strict=True)):
            along = line["along_mm"]
            part = line[(along >= piece.from_mm - _SAME_MM) & (along <= piece.to_mm + _SAME_MM)]
            joint = [""] * len(part)
            if at > 0:
                joint[0] = f"{names[at - 1]}|{name}"
            if at < len(names) - 1:
                joint[-1] = f"{name}|{names[at + 1]}"
            cut = _cut_mm(part["height_mm"].to_numpy(dtype=float), width)
            whole = part.assign(board=name, cut_mm=cut, joint=joint)[COLUMNS]
            yield PlinthBoard(name, self.run, piece, width, whole.reset_index(drop=True))


#: Places nearer to each other than this are one [mm]: no saw and no tape tells them apart.
_SAME_MM = 1e-6


def _by_pitch(length_mm: float, pitch_mm: float) -> Floats:
    """Return whole pitches from the left end, and the right end [mm]."""
    return np.append(np.arange(0.0, length_mm, pitch_mm), length_mm)


def _each_once(places_mm: Sequence[float]) -> Floats:
    found = np.sort(np.asarray(places_mm, dtype=float))
    return np.asarray(found[np.diff(found, prepend=-math.inf) > _SAME_MM], dtype=float)


def _told_of(line: pd.DataFrame, places_mm: Floats) -> pd.DataFrame:
    """Return the rows of a line at these places."""
    off = np.abs(line["along_mm"].to_numpy(dtype=float)[:, None] - places_mm[None, :])
    found: pd.DataFrame = line[off.min(axis=1) <= _SAME_MM]
    return found


def _manner(height_mm: Floats) -> Manner:
    known = height_mm[np.isfinite(height_mm)]
    if len(known) and np.ptp(known) > STRAIGHT_WITHIN_MM + CLOSED_MM:
        return "scribe"
    return "straight" if len(known) == len(height_mm) else "open"


def _cut_mm(height_mm: Floats, board_mm: float) -> Floats:
    """Return what is taken off the lower edge of a board [mm]."""
    if _manner(height_mm) == "straight":
        return np.full_like(height_mm, board_mm - height_mm.min())  # Eq. (3)
    return board_mm - height_mm  # Eq. (2)


def _told(values: Iterable[float]) -> list[float]:
    """Return those that are known; one nan where none is."""
    return [value for value in values if math.isfinite(value)] or [math.nan]


def _open_stretches(line: pd.DataFrame) -> Iterator[tuple[float, float]]:
    along = line["along_mm"].to_numpy(dtype=float)
    known = np.isfinite(line["height_mm"].to_numpy(dtype=float))
    for is_known, at in groupby(range(len(along)), key=lambda index: bool(known[index])):
        places = list(at)
        if not is_known:  # open up to the next place that is known
            first, last = max(places[0] - 1, 0), min(places[-1] + 1, len(along) - 1)
            yield float(along[first]), float(along[last])
