"""What an apprentice can do, and what is seen of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from kit.practice.fields import Field, Value, Values

#: A place in plan, x and y [mm].
Place = tuple[float, float]


@dataclass(frozen=True)
class Move:
    """One move: what it is and what it needs.

    Parameters
    ----------
    kind : str
        ``"lay"``, ``"read"``, … : one of the drill's move forms.
    values : mapping
        What was typed for it, key of field to value.
    """

    kind: str
    values: Values = field(default_factory=dict)


@dataclass(frozen=True)
class MoveForm:
    """How a move is asked for on the page.

    Parameters
    ----------
    kind : str
        Of the moves that it makes.
    label : str
        Words on its button.
    fields : tuple of Field
        What it needs.
    drag : tuple of str
        Keys of the place fields that a drag on the plan fills, from its start to its end; one key
        for what a press on the plan fills; none where it has no place.
    turn : str
        Words on a second button that does it with both ends exchanged; empty for none.
    """

    kind: str
    label: str
    fields: tuple[Field, ...] = ()
    drag: tuple[str, ...] = ()
    turn: str = ""


@dataclass(frozen=True)
class Vial:
    """A bubble to be drawn.

    Parameters
    ----------
    bubble_mm : float
        Where it is seen, positive towards the end without a mark [mm].
    marked_left : bool
        The marked end is drawn at the left.
    """

    bubble_mm: float
    marked_left: bool = True


@dataclass(frozen=True)
class OnPlan:
    """Something to be drawn in plan.

    Parameters
    ----------
    kind : str
        line (two places: an instrument) | place (one) | outline (rectangle by two corners).
    places_mm : tuple of Place
        Where.
    label : str
        A short word or figure beside it.
    """

    kind: str
    places_mm: tuple[Place, ...]
    label: str = ""


@dataclass(frozen=True)
class UnderEdge:
    """An edge seen from the side.

    Parameters
    ----------
    length_mm : float
        Of the edge [mm].
    touches_mm : tuple of float
        Where it is seen to touch, from its marked end [mm].
    packers : tuple of (float, float)
        Place along it and thickness of what was slipped under [mm].
    gaps : tuple of (float, float)
        Place along it and gap read there [mm].
    """

    length_mm: float
    touches_mm: tuple[float, ...] = ()
    packers: tuple[tuple[float, float], ...] = ()
    gaps: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Seen:
    """What a move shows; all that a page may ever hold of it.

    Parameters
    ----------
    words : str
        A sentence with what is seen.
    seconds : float
        What the move took [s].
    placement : bool
        An instrument, a staff or a packer was put down; placements are counted.
    figures : mapping
        What can be read off, key to value, as read.
    vial, under, on_plan : tuple
        What to draw: none or more of each.
    tables : tuple of (str, DataFrame)
        Headings and figures, where a move shows a table; columns end in their unit.
    """

    words: str
    seconds: float
    placement: bool = True
    figures: Mapping[str, Value] = field(default_factory=dict)
    vial: tuple[Vial, ...] = ()
    under: tuple[UnderEdge, ...] = ()
    on_plan: tuple[OnPlan, ...] = ()
    tables: tuple[tuple[str, pd.DataFrame], ...] = ()


@dataclass(frozen=True)
class Done:
    """A move and what was seen of it."""

    move: Move
    seen: Seen
