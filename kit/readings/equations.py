"""The one linear model behind every kind of reading.

A reading is a sum of unknowns, each times a known number, plus its error [1]:

* staff: reading = H(set-up) - h(point)
* heights and grid: height = h(point) + offset(survey)
* level: difference = h(to) - h(from) + own error·span, minus where the level is turned
* straight edge: gap = height(placement) + slope(placement)·along - h(point)
* difference: h(to) - h(from)

Each kind is one small function that returns a `Block` of such rows. A further kind is a further
function: `assemble` gathers whatever unknowns the rows name. What it must also say is how an
unknown moves when all heights are lifted together (`LIFT`): by this the network knows which rows
tie points to each other and which tie them to the benchmark.

References
----------
.. [1] Mikhail, E. M. and Ackermann, F., Observations and Least Squares, 1976, indirect
   observations (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy import sparse

Floats = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Whole = npt.NDArray[np.int64]
Matrix = sparse.csr_array[Any, Any]

#: How much an unknown of each kind grows when every height is lifted by 1 mm.
LIFT: Mapping[str, float] = MappingProxyType(
    {
        "height": 1.0,
        "set-up": 1.0,
        "offset": -1.0,
        "own error": 0.0,
        "placement": 1.0,
        "slope": 0.0,
    }
)


@dataclass(frozen=True, eq=False)
class Term:
    """One unknown in each of n rows.

    Parameters
    ----------
    kind : str
        A key of `LIFT`.
    names : (n,) array of str
        Which unknown of that kind.
    coefficient : float or (n,) array
        What it is multiplied by.
    """

    kind: str
    names: npt.NDArray[np.object_]
    coefficient: float | Floats


@dataclass(frozen=True, eq=False)
class Block:
    """Rows of one kind: what was observed, its standard deviation [mm], and what it is made of."""

    observed_mm: Floats
    sd_mm: Floats
    terms: tuple[Term, ...]


@dataclass(frozen=True, eq=False)
class Model:
    """All rows over all unknowns.

    Parameters
    ----------
    design : (rows, unknowns) sparse array
        What each unknown is multiplied by in each row.
    observed_mm, sd_mm : (rows,) arrays
        Readings and their standard deviations [mm].
    kinds, names : (unknowns,) arrays of str
        What each unknown is.
    """

    design: Matrix
    observed_mm: Floats
    sd_mm: Floats
    kinds: npt.NDArray[np.object_]
    names: npt.NDArray[np.object_]

    @property
    def lift(self) -> Floats:
        """How much each unknown grows when every height is lifted by 1 mm."""
        return np.array([LIFT[kind] for kind in self.kinds], dtype=float)

    def columns(self, kind: str) -> Whole:
        """Return the numbers of the unknowns of one kind."""
        return np.flatnonzero(self.kinds == kind)


def staff_rows(rows: pd.DataFrame) -> Block:
    """Return reading = H(set-up) - h(point) for staff readings, rows of ``Readings.rows``."""
    station = Term("set-up", _names(rows, "station"), 1.0)
    return Block(*_observed(rows), (station, Term("height", _names(rows, "point"), -1.0)))


def height_rows(rows: pd.DataFrame, own_datum: bool) -> Block:
    """Return height = h(point) + offset(station) for heights, rows of ``Readings.rows``.

    Parameters
    ----------
    rows : DataFrame
        Readings of one table of heights or of one grid.
    own_datum : bool
        Whether the table has an unknown offset; if not, its heights are above the benchmark.
    """
    height = Term("height", _names(rows, "point"), 1.0)
    offset = (Term("offset", _names(rows, "station"), 1.0),) if own_datum else ()
    return Block(*_observed(rows), (height, *offset))


def level_rows(rows: pd.DataFrame, own_error_mm_per_m: float) -> Block:
    """Return difference = h(to) - h(from) ± e·span for a spirit level, rows of ``Readings.rows``.

    Parameters
    ----------
    rows : DataFrame
        Readings of one table: ``observed_mm`` is the height of ``point`` above ``start``,
        ``turned`` is 1, or -1 where the level was turned end for end.
    own_error_mm_per_m : float
        The level's own error e [mm/m]; nan where it is one of the unknowns.

    Notes
    -----
    A level turned end for end shows the same error with the other sign, so that half the
    difference of the two readings is the error (common practice, no source).
    """
    leaning = (rows["turned"] * rows["span_m"]).to_numpy(dtype=float)
    observed, sd = _observed(rows)
    block = difference_rows(rows["start"].tolist(), rows["point"].tolist(), observed, sd)
    if np.isfinite(own_error_mm_per_m):
        return replace(block, observed_mm=observed - own_error_mm_per_m * leaning)
    return replace(block, terms=(*block.terms, Term("own error", _names(rows, "survey"), leaning)))


def edge_rows(rows: pd.DataFrame) -> Block:
    """Return gap = a + b·along - h(point) for a straight edge, rows of ``Readings.rows``.

    Each placement has its own height a [mm] at its middle and its own slope b [mm/m].
    """
    placement = _names(rows, "station")
    along = rows["along_m"].to_numpy(dtype=float)
    terms = (
        Term("placement", placement, 1.0),
        Term("slope", placement, along),
        Term("height", _names(rows, "point"), -1.0),
    )
    return Block(*_observed(rows), terms)


def difference_rows(
    start: Sequence[str], end: Sequence[str], difference_mm: npt.ArrayLike, sd_mm: npt.ArrayLike
) -> Block:
    """Return difference = h(end) - h(start) for each observed difference of height.

    Parameters
    ----------
    start, end : (n,) sequences of str
        Names of the points.
    difference_mm, sd_mm : (n,) array_like
        Observed difference and its standard deviation [mm].
    """
    first = Term("height", np.array(list(start), dtype=object), -1.0)
    last = Term("height", np.array(list(end), dtype=object), 1.0)
    observed = np.asarray(difference_mm, dtype=float)
    return Block(observed, np.broadcast_to(np.asarray(sd_mm, float), observed.shape), (first, last))


def _names(rows: pd.DataFrame, column: str) -> npt.NDArray[np.object_]:
    return rows[column].to_numpy(dtype=object)


def _observed(rows: pd.DataFrame) -> tuple[Floats, Floats]:
    return rows["observed_mm"].to_numpy(dtype=float), rows["sd_mm"].to_numpy(dtype=float)


def assemble(blocks: Sequence[Block], points: Sequence[str] = ()) -> Model:
    """Return the model of all blocks.

    Parameters
    ----------
    blocks : sequence of Block
        Rows of any kinds, in the order in which residuals are wanted.
    points : sequence of str
        Points whose heights stand first among the unknowns, in this order; others follow as
        they come.
    """
    rows, keys, values = [], [("height", point) for point in points], []
    start, seeded = 0, len(points)
    for block in blocks:
        count = len(block.observed_mm)
        for term in block.terms:
            rows.append(np.arange(start, start + count))
            keys += [(term.kind, name) for name in term.names]
            values.append(np.broadcast_to(np.asarray(term.coefficient, float), (count,)))
        start += count
    numbers: dict[tuple[str, str], int] = {}
    columns = [numbers.setdefault(key, len(numbers)) for key in keys][seeded:]
    shape = (start, len(numbers))
    at = (np.concatenate(rows), np.array(columns, dtype=np.int64))
    design = sparse.csr_array(sparse.coo_array((np.concatenate(values), at), shape=shape))
    return Model(
        design,
        np.concatenate([block.observed_mm for block in blocks]),
        np.concatenate([block.sd_mm for block in blocks]),
        np.array([kind for kind, _ in numbers], dtype=object),
        np.array([name for _, name in numbers], dtype=object),
    )
