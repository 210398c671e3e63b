"""The bearers as beams: what each piece lies on, and what presses on it.

Pieces that butt over a stack are beams of their own, each with its end on it; spliced ones are
one beam with a hinge there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from kit.base.layout import GRAVITY_N_PER_KG, Layout
from kit.base.panel_loads import PanelLoad, panel_loads
from kit.base.runs import Row
from kit.job import Bearer
from kit.strength.beam import Beam, Floats, Loads
from kit.strength.section import Rectangle
from kit.strength.timber import TimberClass, timber_class

#: Places along a bearer nearer than this are one place [mm].
_SAME_MM = 1e-6


@dataclass(frozen=True)
class Piece:
    """One length of bearer, as a beam on its stacks.

    Parameters
    ----------
    bearer : str
        Name of the bearer.
    number : int
        Of the piece, from the left, from 1; of the first one where several are spliced.
    supports : tuple of str
        Names of the stacks that it lies on, from left to right.
    beam : Beam
        Places along the run [mm].
    own : Loads
        The timber's own weight.
    units, stored, people : Loads
        Of the units' own mass; of contents that are stored; of people.
    panels : tuple of (place, thickness, permanent, stored, people)
        Each side and division that stands on it: its own place, or the bearer's end where it
        stands beyond that; how much of its thickness is over the bearer; loads [mm, mm, N, N, N].
    """

    bearer: str
    number: int
    supports: tuple[str, ...]
    beam: Beam
    own: Loads
    units: Loads
    stored: Loads
    people: Loads
    panels: tuple[tuple[float, float, float, float, float], ...]

    @property
    def name(self) -> str:
        """How it is called in words."""
        return f"{self.bearer}, piece {self.number}"

    @cached_property
    def pressed_n(self) -> dict[str, Floats]:
        """What each group of loads comes to at the stacks, all else let go [N]."""
        frame = self.beam.frame
        groups = {
            "own": self.own,
            "units": self.units,
            "stored": self.stored,
            "people": self.people,
        }
        return {name: frame.condensed(frame.forces(loads)) for name, loads in groups.items()}


@dataclass(frozen=True)
class Alone:
    """A bearer that lies on a single stack, which carries all of it.

    Parameters
    ----------
    bearer, support : str
        Names of both.
    own_n, units_n, stored_n, people_n : float
        The timber, the units on it, what is stored in them, people [N].
    """

    bearer: str
    support: str
    own_n: float
    units_n: float
    stored_n: float
    people_n: float


@dataclass(frozen=True)
class Pieces:
    """All bearers of a base as beams.

    Parameters
    ----------
    pieces : tuple of Piece
        Bearer by bearer, from left to right.
    section : Rectangle
        Width and thickness of the bearers.
    timber : TimberClass
        What they are made of.
    packer_size_mm : tuple of float
        Of a packer, along the bearer and across it [mm].
    alone : tuple of Alone
        Bearers so short that a single stack carries them: nothing of theirs bends.
    """

    pieces: tuple[Piece, ...]
    section: Rectangle
    timber: TimberClass
    packer_size_mm: tuple[float, float]
    alone: tuple[Alone, ...] = ()


@dataclass(frozen=True)
class Apart:
    """Units that stand on their supports with no bearer between: nothing bends.

    Parameters
    ----------
    alone : tuple of Alone
        What each support carries, row by row.
    """

    alone: tuple[Alone, ...]

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Pieces of bearer: none."""
        return ()


def bearer_pieces(layout: Layout, cuts: pd.DataFrame, bearer: Bearer) -> Pieces:
    """Turn a layout and its cutting list into beams.

    Parameters
    ----------
    layout : Layout
        Bearers, stacks and units in plan.
    cuts : DataFrame
        bearer, piece, from_x_mm, to_x_mm.
    bearer : Bearer
        Section, strength class, spliced or not.

    Returns
    -------
    Pieces

    Notes
    -----
    A load that stands over a packer goes straight down into its stack; only loads beside the
    packers bend the bearer (common practice, no source).
    """
    section = Rectangle(bearer.width_mm, bearer.thickness_mm)
    timber = timber_class(bearer.strength_class)
    each = timber.rho_mean * 1e-9 * GRAVITY_N_PER_KG * section.area_mm2
    stiff = timber.e0_mean * section.second_moment_mm4
    short = [row for row in layout.rows if len(layout.on_bearer(row.name)) == 1]
    made = [
        piece
        for row in layout.rows
        if row not in short
        for piece in _of_row(layout, row, _ends(cuts, row.name), bearer, (stiff, each))
    ]
    alone = tuple(_alone(layout, row, each) for row in short)
    return Pieces(tuple(made), section, timber, layout.packer_size_mm, alone)


def _alone(layout: Layout, row: Row, each: float) -> Alone:
    loads = panel_loads(layout, row)
    return Alone(
        row.name,
        str(layout.on_bearer(row.name)["support"].iloc[0]),
        each * row.length_mm,
        math.fsum(load.own_n for load in loads),
        math.fsum(load.stored_n for load in loads),
        math.fsum(load.people_n for load in loads),
    )


def _ends(cuts: pd.DataFrame, bearer: str) -> list[tuple[float, float]]:
    of_bearer = cuts[cuts["bearer"] == bearer]
    pairs = zip(of_bearer["from_x_mm"], of_bearer["to_x_mm"], strict=True)
    return sorted((float(start), float(end)) for start, end in pairs)


def _of_row(
    layout: Layout,
    row: Row,
    ends: Sequence[tuple[float, float]],
    bearer: Bearer,
    timber: tuple[float, float],
) -> Iterator[Piece]:
    """Yield the pieces of one bearer; of its timber EI [N mm2] and weight [N/mm]."""
    stiff, each = timber
    on_row = layout.on_bearer(row.name)
    stacks = list(zip(on_row["own_x_mm"].astype(float), on_row["support"], strict=True))
    loads = panel_loads(layout, row)
    joints = [end for _, end in ends[:-1]]
    spans = [(ends[0][0], ends[-1][1])] if bearer.splice else list(ends)
    for number, (start, end) in enumerate(spans, start=1):
        inside = [one for one in stacks if start - _SAME_MM <= one[0] <= end + _SAME_MM]
        places = tuple(place for place, _ in inside)
        hinged = tuple(
            index
            for index, place in enumerate(places)
            if bearer.splice and any(abs(place - joint) < _SAME_MM for joint in joints)
        )
        beam = Beam(
            places,
            min(start, places[0]),
            max(end, places[-1]),
            ei_n_mm2=stiff,
            hinges=hinged,
        )
        cut = (
            -math.inf if number == 1 else start,
            math.inf if number == len(spans) else end,
        )
        panels = tuple(_panels(loads, cut, beam))
        half = layout.packer_size_mm[0] / 2
        yield Piece(
            bearer=row.name,
            number=number,
            supports=tuple(name for _, name in inside),
            beam=beam,
            own=Loads(patches=((beam.start_mm, beam.end_mm, each),)),
            units=_over_packers(panels, 2, beam, half),
            stored=_over_packers(panels, 3, beam, half),
            people=_over_packers(panels, 4, beam, half),
            panels=panels,
        )


def _panels(
    loads: Sequence[PanelLoad], cut: tuple[float, float], beam: Beam
) -> Iterator[tuple[float, float, float, float, float]]:
    """Yield what of each panel stands on a piece; one over a joint stands on both its pieces."""
    for load in loads:
        half = load.thickness_mm / 2
        left, right = max(load.x_mm - half, cut[0]), min(load.x_mm + half, cut[1])
        share = (right - left) / load.thickness_mm
        if share > _SAME_MM:
            # A side beyond the bearer's end presses on that end, as far as it overlaps it at all.
            place = min(max((left + right) / 2, beam.start_mm), beam.end_mm)
            over = min(right, beam.end_mm) - max(left, beam.start_mm)
            yield (
                place,
                max(over, 0.0),
                share * load.own_n,
                share * load.stored_n,
                share * load.people_n,
            )


def _over_packers(
    panels: Sequence[tuple[float, ...]], column: int, beam: Beam, half_packer_mm: float
) -> Loads:
    points = []
    for panel in panels:
        if panel[column]:
            stack = min(beam.supports_mm, key=lambda place: abs(place - panel[0]))
            over = abs(stack - panel[0]) <= half_packer_mm + _SAME_MM
            points.append((stack if over else panel[0], panel[column]))
    return Loads(points=tuple(points))
