"""On which row, and at which support of the base, each point lies that was read on it."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from kit.base.layout import Layout
from kit.base.runs import Row
from kit.job import Problem, Refusal
from kit.parts import Answer

#: Bases with a top along their rows that can be read between supports.
CONTINUOUS = ("packers", "ladder", "compound")

#: The foot of a staff covers a support from so far [mm].
AT_SUPPORT_MM = 40.0

#: Names such as ``B4``, ``f12``, ``A-B44``: of a run perhaps, a row, a place.
_LIKE_A_SUPPORT = re.compile(r"(?:\w{1,20}-)?[BFMD]\d{1,6}", re.IGNORECASE)

#: A point may lie so far beside what it was read on [mm]: nobody holds a staff closer.
BESIDE_MM = 5.0


def placed_on_base(points: pd.DataFrame, answer: Answer) -> pd.DataFrame:
    """Return what each point that was read lies on.

    Parameters
    ----------
    points : DataFrame
        point, x_mm, y_mm.
    answer : Answer
        The base as planned.

    Returns
    -------
    DataFrame
        In the order of the points: run, bearer (empty under a unit between rows), own_x_mm,
        own_y_mm, support (at which it was read; empty where at none), lift_share.

    Raises
    ------
    Refusal
        Every point that lies on no bearer or support of the base, every one that is named like a
        support and stands elsewhere, and every one at a support whose name only looks like one.
    """
    rows, problems = [], []
    for name, x, y in zip(points["point"], points["x_mm"], points["y_mm"], strict=True):
        support = _support_at(str(name), float(x), float(y), answer.supports)
        found = _lies_on(float(x), float(y), answer, support)
        problem = _elsewhere(str(name), float(x), float(y), answer.supports)
        if problem is None and found is None:
            problem = _off_base(str(name), float(x), float(y), answer)
        if problem is None and support:
            problem = _no_such(str(name), support, answer)
        if problem is not None:
            problems.append(problem)
        elif found is not None:
            rows.append((*found[:-1], support, found[-1]))
    if problems:
        raise Refusal(*problems)
    columns = ["run", "bearer", "own_x_mm", "own_y_mm", "support", "lift_share"]
    return _one_reading_a_support(pd.DataFrame(rows, columns=columns), points, answer.supports)


def _support_at(name: str, x: float, y: float, supports: pd.DataFrame) -> str:
    """Return the support that was read there: that of its name, else the nearest in reach."""
    away = np.hypot(supports["x_mm"].to_numpy() - x, supports["y_mm"].to_numpy() - y)
    if name in set(supports["support"]):
        return name
    near = int(np.argmin(away))
    return str(supports["support"].iloc[near]) if away[near] <= AT_SUPPORT_MM else ""


def _one_reading_a_support(
    placed: pd.DataFrame, points: pd.DataFrame, supports: pd.DataFrame
) -> pd.DataFrame:
    """Let the point of its name stand for a support, else the nearest to it; not two."""
    at = supports.set_index("support")[["x_mm", "y_mm"]]
    held = placed["support"].to_numpy(dtype=object).copy()
    for support in {name for name in held if name}:
        here = np.flatnonzero(held == support)
        x, y = at.loc[support]
        away = np.hypot(points["x_mm"].to_numpy()[here] - x, points["y_mm"].to_numpy()[here] - y)
        named = (points["point"].to_numpy()[here] == support).astype(float)
        first = here[np.lexsort((away, -named))[0]]
        held[[i for i in here if i != first]] = ""
    return placed.assign(support=held)


def _lies_on(
    x: float, y: float, answer: Answer, support: str
) -> tuple[str, str, float, float, float] | None:
    """Return run, row, own place and share of the lift; None where it lies on nothing."""
    layout, method = answer.layout, answer.base.method
    if support and method not in CONTINUOUS:
        at = answer.supports[answer.supports["support"] == support].iloc[0]
        row = layout.row(str(at["bearer"]))
        return _on_row(layout, row, x, y)
    found = []
    for row in layout.rows:
        own_x, own_y = (float(v) for v in layout.frames[row.run].to_own(x, y))
        beside = abs(own_y - row.y_mm)
        along = row.start_mm - BESIDE_MM <= own_x <= row.end_mm + BESIDE_MM
        if along and beside <= layout.bearer_width_mm / 2 + BESIDE_MM:
            found.append((beside, row))
    if method not in CONTINUOUS:
        return None
    if found:
        return _on_row(layout, min(found, key=lambda one: one[0])[1], x, y)
    return _under_unit(layout, x, y) if method == "compound" else None


def _on_row(layout: Layout, row: Row, x: float, y: float) -> tuple[str, str, float, float, float]:
    own_x, own_y = (float(v) for v in layout.frames[row.run].to_own(x, y))
    return row.run, row.name, own_x, own_y, layout.lift_share(row)


def _under_unit(layout: Layout, x: float, y: float) -> tuple[str, str, float, float, float] | None:
    """Return a place on what is poured, between its rows; it is never lifted."""
    for placed in layout.units:
        own_x, own_y = (float(v) for v in layout.frames[placed.run].to_own(x, y))
        across = -BESIDE_MM <= own_y <= placed.unit.depth_mm + BESIDE_MM
        if across and placed.left_mm - BESIDE_MM <= own_x <= placed.right_mm + BESIDE_MM:
            return placed.run, "", own_x, own_y, 0.0
    return None


def _elsewhere(name: str, x: float, y: float, supports: pd.DataFrame) -> Problem | None:
    """Return what is wrong with a point that has a support's name and stands away from it."""
    own = supports[supports["support"] == name]
    if own.empty:
        return None
    at_x, at_y = float(own["x_mm"].iloc[0]), float(own["y_mm"].iloc[0])
    away = float(np.hypot(at_x - x, at_y - y))
    if away <= AT_SUPPORT_MM:
        return None
    return Problem(
        f"as_built, point {name}",
        f"the place ({x:g}, {y:g}) mm, {away:.0f} mm from support {name}",
        f"within {AT_SUPPORT_MM:g} mm of ({at_x:g}, {at_y:g}) mm, no place at all, or another name",
    )


def _no_such(name: str, support: str, answer: Answer) -> Problem | None:
    """Return what is wrong with a point at a support that has the name of none: ``A-B44``."""
    names = [str(one) for one in answer.supports["support"]]
    if name in names or not _LIKE_A_SUPPORT.fullmatch(name):
        return None
    at = answer.supports[["x_mm", "y_mm"]].to_numpy(dtype=float)
    away = np.hypot(*(at - at[names.index(support)]).T)
    beside = [names[i] for i in np.argsort(away, kind="stable")[1:3]]
    near = f" (next to it: {', '.join(beside)})" if beside else ""
    return Problem(
        f"as_built, point {name}",
        f"a name like a support's that no support of base {answer.base.name!r} has, at the place"
        f" of {support}",
        f"{support}{near}, or a name that looks like no support's",
    )


def _off_base(name: str, x: float, y: float, answer: Answer) -> Problem:
    layout, supports = answer.layout, answer.supports
    away = np.hypot(supports["x_mm"].to_numpy() - x, supports["y_mm"].to_numpy() - y)
    near = int(np.argmin(away))
    if answer.base.method in CONTINUOUS:
        wide = f"within {layout.bearer_width_mm / 2 + BESIDE_MM:g} mm of a row's centre line"
    else:
        wide = f"within {AT_SUPPORT_MM:g} mm of a support"
    return Problem(
        f"as_built, point {name}",
        f"({x:g}, {y:g}) mm, which lies on no bearer or support of base {answer.base.name!r}"
        f" (nearest: support {supports['support'].iloc[near]}, {away[near]:.0f} mm away)",
        f"a place on the base, {wide}",
    )
