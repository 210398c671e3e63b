"""A beam that only lies on its supports: where it bears, where it lifts off, and by how much.

Either a support carries or there is a gap above it, never both:
r >= 0, gap >= 0, r gap = 0, with r = S gap + (S top - f) and S from `kit.strength.beam.Frame`.
This linear complementarity problem is solved exactly, by pivoting; there is no penalty and no
stiffness of contact to be chosen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kit.job import Refusal, refuse
from kit.strength.beam import Beam, Floats, Frame, Loads
from kit.strength.line import Line

#: Parts of the largest force or stiffness that round-off may leave.
ROUND_OFF = 1e-9

#: Part of the load by which reactions may miss it, and pivots for each support.
_BALANCED, _MOST_PIVOTS = 1e-6, 50


@dataclass(frozen=True)
class Rest:
    """A beam at rest on supports that cannot pull.

    Parameters
    ----------
    line : Line
        The beam under its loads; reactions are never negative.
    gaps_mm : array of shape (supports,)
        Room between each support's top and the beam, never negative [mm].
    """

    line: Line
    gaps_mm: Floats

    @property
    def carries(self) -> tuple[bool, ...]:
        """Which supports carry: the others are idle."""
        reactions = self.line.reactions_n
        least = ROUND_OFF * max(float(reactions.max()), self.line.loads.total_n)
        return tuple(bool(one) for one in reactions > least)


def rest(beam: Beam, loads: Loads, tops_mm: ArrayLike) -> Rest:
    """Lay a beam on its supports.

    Parameters
    ----------
    beam : Beam
    loads : Loads
        Downwards.
    tops_mm : array_like of shape (supports,)
        Heights of the supports' tops [mm].

    Returns
    -------
    Rest
        Where it may lie in more than one way without bending anew (it rocks on one support), it
        lies balanced: turned half way between touching on its left and touching on its right.

    Raises
    ------
    Refusal
        Where the loads would tip it off its supports.
    """
    frame = beam.frame
    tops = frame.heights(tops_mm)
    pressed = frame.condensed(frame.forces(loads))
    return rest_on(frame, loads, pressed, tops)


def rest_on(frame: Frame, loads: Loads, pressed_n: Floats, tops_mm: Floats) -> Rest:
    """Lay a beam on its supports; what its loads come to there is known already.

    Parameters
    ----------
    frame : Frame
        Of the beam.
    loads : Loads
    pressed_n : array of shape (supports,)
        ``frame.condensed(frame.forces(loads))`` [N].
    tops_mm : array of shape (supports,)
        Heights of the supports' tops [mm].

    Returns
    -------
    Rest
        As for `rest`.
    """
    stiffness = frame.stiffness
    needed = stiffness @ tops_mm - pressed_n
    if needed.min() >= -ROUND_OFF * loads.total_n:
        gaps, reactions = np.zeros(len(tops_mm)), np.maximum(needed, 0.0)
    else:
        gaps = _gaps(stiffness, needed)
        gaps = _balanced(frame, gaps, stiffness @ gaps + needed)
        reactions = np.where(gaps > 0, 0.0, np.maximum(stiffness @ gaps + needed, 0.0))
    _refuse_unbalanced(frame, loads, pressed_n, reactions)
    return Rest(Line(frame.beam, loads, reactions, tops_mm + gaps), gaps)


def _refuse_unbalanced(frame: Frame, loads: Loads, pressed_n: Floats, reactions: Floats) -> None:
    """Refuse what round-off has spoilt: reactions balance the loads, force and moment."""
    left = reactions + pressed_n
    arms = np.array(frame.beam.supports_mm) - frame.beam.supports_mm[0]
    off = max(abs(float(left.sum())), abs(float(left @ arms)) / max(float(arms[-1]), 1.0))
    if off > _BALANCED * loads.total_n:
        raise _too_unlike()


def _too_unlike() -> Refusal:
    return refuse(
        "beam on its supports",
        "spans or tops so unlike that round-off hides the answer",
        "a stiffness, spans and heights as timber has them",
    )


def _gaps(stiffness: Floats, needed_n: Floats) -> Floats:
    """Return the gaps z of r = S z + q, r >= 0, z >= 0, r z = 0 [mm]."""
    scale = float(np.abs(stiffness).max())
    if scale == 0.0:
        raise _tips()
    lifted = _lemke(stiffness / scale, needed_n / scale)
    gaps = np.zeros(len(needed_n))
    if lifted.any():
        # The pivots tell which supports are idle; the gaps are then solved afresh.
        inner = stiffness[np.ix_(lifted, lifted)]
        gaps[lifted] = np.linalg.lstsq(inner, -needed_n[lifted], rcond=None)[0]
    return np.asarray(np.maximum(gaps, 0.0))


def _lemke(matrix: Floats, vector: Floats) -> np.ndarray:
    """Return which supports are idle, by Lemke's pivots with the lexicographic rule.

    Notes
    -----
    C. E. Lemke, Bimatrix equilibrium points and mathematical programming, Management Science 11
    (1965) 681-689; for symmetric positive semidefinite matrices it ends at a solution, or on a
    ray where there is none: Cottle, Pang, Stone, The Linear Complementarity Problem (1992),
    theorems 4.4.4 and 4.9.8 (from memory).
    """
    size = len(vector)
    table = np.hstack(
        [np.eye(size), -matrix, -np.ones((size, 1)), vector[:, None]]
    )  # reactions, gaps, the artificial one, right-hand side
    artificial, basis = 2 * size, np.arange(size)
    row, entering = size - 1 - int(np.argmin(vector[::-1])), artificial
    for _ in range(_MOST_PIVOTS * size):
        leaving = int(basis[row])
        _pivot(table, row, entering)
        basis[row] = entering
        if leaving == artificial:
            return np.isin(np.arange(size) + size, basis)
        entering = leaving + size if leaving < size else leaving - size
        row = _leaving_row(table, entering, basis, artificial)
    raise _too_unlike()


def _tips() -> Refusal:
    return refuse(
        "beam on its supports",
        "loads that would tip it off",
        "loads whose middle lies between its outer supports",
    )


def _leaving_row(table: Floats, entering: int, basis: np.ndarray, artificial: int) -> int:
    column = table[:, entering]
    rows = np.flatnonzero(column > ROUND_OFF * max(1.0, float(np.abs(column).max())))
    if not len(rows):
        raise _tips()
    ratios = table[rows, -1] / column[rows]
    nearest = ratios.min()
    tied = rows[ratios <= nearest + ROUND_OFF * max(abs(nearest), 1e-6)]
    if len(tied) == 1:
        return int(tied[0])
    last = [int(one) for one in tied if basis[one] == artificial]
    if last:
        return last[0]
    size = len(basis)
    return int(min(tied, key=lambda one: tuple(table[one, :size] / column[one])))


def _pivot(table: Floats, row: int, column: int) -> None:
    table[row] /= table[row, column]
    factors = table[:, column].copy()
    factors[row] = 0.0
    table -= np.outer(factors, table[row])


def _balanced(frame: Frame, gaps: Floats, reactions_n: Floats) -> Floats:
    """Turn a whole beam that one support carries alone until it hangs as far left as right."""
    least = ROUND_OFF * float(reactions_n.max())
    carrying = np.flatnonzero(reactions_n > least)
    if len(carrying) != 1 or frame.beam.hinges:
        return gaps
    pivot = int(carrying[0])
    arms = np.array(frame.beam.supports_mm) - frame.beam.supports_mm[pivot]
    left, right = arms < 0, arms > 0
    if not left.any() or not right.any():
        return gaps
    up = float((gaps[left] / -arms[left]).min())
    down = float((gaps[right] / arms[right]).min())
    turned = gaps + (up - down) / 2 * arms
    turned[pivot] = 0.0
    return np.asarray(np.maximum(turned, 0.0))
