"""The order of the work: zone by zone, crate by crate, stack by stack."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import pandas as pd

from kit.answer import Answer
from kit.job import Rates, Stock, refuse
from kit.work_order.crates import fill_crates
from kit.work_order.stacks_to_build import sizes_count, stacks_to_build
from kit.work_order.walk import Walk, walk_through


@dataclass(frozen=True, eq=False)
class WorkOrder:
    """What is carried where, in which order, and how long it takes.

    Parameters
    ----------
    steps : DataFrame
        One row a stack in the order of the work: ``step`` (from 1), ``zone``, ``support``,
        ``x_mm``, ``y_mm``, ``walk_mm`` (from the stack before, or from the start), ``crate``,
        ``packers``, ``pieces``, ``packing_mm``, ``mass_kg``, ``minutes``.
    crates : DataFrame
        One row a crate: ``crate``, ``zone``, ``from_support``, ``to_support``, ``stacks``,
        ``packers`` (how many of which size: ``"12 x 18, 7 x 6"``), ``mass_kg``.
    packing_lists : DataFrame
        ``zone``, ``size_mm``, ``count``.
    pace : DataFrame
        One row a zone, and all together: ``zone``, ``stacks``, ``packers``, ``packing_mm``,
        ``mass_kg``, ``crates``, ``walk_m``, ``walk_at_most_longer`` (share by which the walk may
        be longer than the shortest), ``minutes``, ``stacks_per_hour``.
    notes : tuple of str
        What must be said along with the figures.
    units : {"mm", "in"}
        What the job is shown in; the tables are in mm.
    """

    steps: pd.DataFrame
    crates: pd.DataFrame
    packing_lists: pd.DataFrame
    pace: pd.DataFrame
    notes: tuple[str, ...]
    units: Literal["mm", "in"] = "mm"

    def tables(self) -> dict[str, pd.DataFrame]:
        """Return all tables by the name of their file."""
        return {
            "walking-order.csv": self.steps,
            "crates.csv": self.crates,
            "packing-lists.csv": self.packing_lists,
            "pace.csv": self.pace,
        }


def order_of_work(zones: Mapping[str, Answer], start_mm: tuple[float, float]) -> WorkOrder:
    """Put the stacks of all zones in the order of the work.

    Parameters
    ----------
    zones : mapping of str to Answer
        The zones in the order in which they are built, each solved; all of one job.
    start_mm : tuple of float
        Where the crates stand, and the first walk begins: the door [mm].

    Returns
    -------
    WorkOrder
        Each zone is walked from where the one before ended, in straight lines; a crate holds what
        one zone takes, in the order of the walk.

    Raises
    ------
    Refusal
        Where there is no zone, a base has no stacks, or one stack weighs more than a crate may.
    """
    if not zones:
        raise refuse("order of work", "no zone", "one or more")
    walked, walks, first_crate = [], {}, 1
    for name, answer in zones.items():
        stacks = stacks_to_build(answer)
        walks[name] = walk_through(stacks["x_mm"], stacks["y_mm"], start_mm)
        ordered = _in_order(stacks.assign(zone=name), walks[name], start_mm)
        limit = answer.job.stock.crate_kg
        held = fill_crates(ordered["support"].tolist(), ordered["mass_kg"].tolist(), limit)
        ordered["crate"] = [first_crate + number - 1 for number in held]
        first_crate += held[-1]
        start_mm = (float(ordered["x_mm"].iloc[-1]), float(ordered["y_mm"].iloc[-1]))
        walked.append(ordered)
    steps = pd.concat(walked, ignore_index=True)
    steps.insert(0, "step", range(1, len(steps) + 1))
    job = next(iter(zones.values())).job
    return WorkOrder(
        steps[_STEPS],
        pd.DataFrame(_crate_rows(steps)),
        pd.DataFrame(_list_rows(steps)),
        _pace(steps, walks, job.rates),
        _notes(job.stock, job.rates),
        job.units,
    )


_STEPS = ["step", "zone", "support", "x_mm", "y_mm", "walk_mm", "crate", "packers", "pieces",
          "packing_mm", "mass_kg", "minutes"]  # fmt: skip


def _in_order(stacks: pd.DataFrame, walk: Walk, start_mm: tuple[float, float]) -> pd.DataFrame:
    ordered = stacks.iloc[walk.order].reset_index(drop=True)
    from_x = ordered["x_mm"].shift(fill_value=start_mm[0])
    from_y = ordered["y_mm"].shift(fill_value=start_mm[1])
    far = ((ordered["x_mm"] - from_x) ** 2 + (ordered["y_mm"] - from_y) ** 2) ** 0.5
    return ordered.assign(walk_mm=far)


def _crate_rows(steps: pd.DataFrame) -> Iterator[dict[str, object]]:
    for crate, held in steps.groupby("crate", sort=True):
        counts = sizes_count(held["packers"])
        yield {
            "crate": crate,
            "zone": held["zone"].iloc[0],
            "from_support": held["support"].iloc[0],
            "to_support": held["support"].iloc[-1],
            "stacks": len(held),
            "packers": ", ".join(
                f"{counts[s]} x {str(s).removesuffix('.0')}" for s in sorted(counts, reverse=True)
            ),
            "mass_kg": float(held["mass_kg"].sum()),
        }


def _list_rows(steps: pd.DataFrame) -> Iterator[dict[str, object]]:
    for zone, held in steps.groupby("zone", sort=False):
        counts = sizes_count(held["packers"])
        for size in sorted(counts, reverse=True):
            yield {"zone": zone, "size_mm": size, "count": counts[size]}


def _pace(steps: pd.DataFrame, walks: Mapping[str, Walk], rates: Rates) -> pd.DataFrame:
    longer = {name: walk.excess for name, walk in walks.items()}
    bound = sum(walk.bound_mm for walk in walks.values())
    total = sum(walk.length_mm for walk in walks.values())
    zones = [
        _pace_of(str(name), held, rates, longer[str(name)])
        for name, held in steps.groupby("zone", sort=False)
    ]
    everything = _pace_of("all", steps, rates, total / bound - 1 if bound > 0 else 0.0)
    return pd.DataFrame([*zones, everything])


def _pace_of(name: str, held: pd.DataFrame, rates: Rates, longer: float) -> dict[str, object]:
    walk_m, crates = float(held["walk_mm"].sum()) / 1000, int(held["crate"].nunique())
    minutes = float(held["minutes"].sum()) + walk_m / rates.walk_m_per_min
    minutes += crates * rates.crate_min
    return {
        "zone": name,
        "stacks": len(held),
        "packers": int(held["pieces"].sum()),
        "packing_mm": float(held["packing_mm"].sum()),
        "mass_kg": float(held["mass_kg"].sum()),
        "crates": crates,
        "walk_m": walk_m,
        "walk_at_most_longer": longer,
        "minutes": minutes,
        "stacks_per_hour": 60 * len(held) / minutes if minutes > 0 else float("inf"),
    }


def _notes(stock: Stock, rates: Rates) -> tuple[str, ...]:
    weight = f"{stock.crate_kg:g} kg a crate, packers at {stock.packer_kg_per_l:g} kg/l"
    pace = f"{rates.walk_m_per_min:g} m a minute, {rates.crate_min:g} min to fetch a crate"
    return (
        f"Reckoned with {weight} (packer_kg_per_l and crate_kg under stock; from memory unless"
        f" given) and walks of {pace} (walk_m_per_min and crate_min under rates).",
        "Walks are straight lines from stack to stack: walls and units in the way are not seen.",
        "Bearers, units and the setting up of the level are not in these minutes.",
        "Lift with two what is heavy, and keep the way clear.",
    )
