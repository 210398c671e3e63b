"""The fewest changes of packers for a finished base, as a table to work from.

A change is taken to move the top over its own stack, and nothing else: read again afterwards.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from kit.as_built.changes_exact import MOST_STEPS, STAYS, Best, fewest_changes
from kit.as_built.feet_turns import NO_TURNS, Turns
from kit.as_built.no_change import Missing, what_is_missing
from kit.as_built.stack_menu import ChangeTask
from kit.as_built.standing import Standing, height_mm, printed
from kit.base.checks import CLOSED_MM
from kit.base.screws import StackAt, choose_screws
from kit.base.stack_rules import StackRules, to_mm, to_units
from kit.base.stacks import from_the_floor
from kit.job import Stock
from kit.parts import Answer

#: What is counted, and what is not.
RULE = (
    "Fewest stacks opened, then fewest packers taken out and put in, then the least greatest error,"
    " the least sum of errors, the lowest level. A packer that is lifted off and laid back into its"
    " own stack is not counted; a changed stack is laid as ever, the thickest on the floor, the"
    " next on top, the thinnest inside. What comes out of a stack may go into another."
)

COLUMNS = [
    "support", "opened", "off_before_mm", "sd_mm", "stack_from", "stack_before", "stack_after",
    "take_out", "put_in", "raised_mm", "off_after_mm",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class Changes:
    """What to change, so that every support that was read comes within the tolerance.

    Parameters
    ----------
    table : DataFrame
        Each support: support, opened, off_before_mm and off_after_mm (against ``level_mm``,
        positive = high; nan where it was not read), sd_mm (of the first; the same doubt stays),
        stack_from (``table`` where somebody said what stands, else ``plan``), stack_before and
        stack_after (printed sizes from the floor up), take_out, put_in, raised_mm. Empty where
        the base stands on no packers.
    bag : DataFrame
        Each kind in stock: nominal_mm, thickness_mm, left_before, left_after; inf where there are
        as many as wanted.
    screws : DataFrame
        Of each changed stack the screws that it takes now, as of `kit.base.screws.choose_screws`.
    level_mm : float
        The level that the base comes to [mm]; nan where no change was looked for.
    tolerance_mm : float
        How far off a support may be [mm].
    opened, handled : int
        Stacks opened; packers taken out and put in.
    possible : bool
        Whether a change brings all read supports in, or none is needed.
    missing : tuple of Missing
        What keeps it from being possible, and what would do; empty where it is possible.
    proven : bool
        Whether nothing better is possible.
    unproven : str
        The aim on which the steps ran out; empty where all is proven.
    on_packers : bool
        Whether the base stands on packers at all.
    notes : tuple of str
        What was taken for granted.
    turns : Turns
        Of a base on screw feet which to turn; else empty.
    """

    table: pd.DataFrame
    bag: pd.DataFrame
    screws: pd.DataFrame = field(repr=False)
    level_mm: float
    tolerance_mm: float
    opened: int
    handled: int
    possible: bool
    missing: tuple[Missing, ...]
    proven: bool
    unproven: str
    on_packers: bool
    notes: tuple[str, ...]
    turns: Turns = NO_TURNS

    @property
    def level_was_left(self) -> bool:
        """Whether stacks are opened although all tops lie within the tolerance of one level."""
        off = self.table["off_before_mm"].dropna()
        return self.opened > 0 and bool(np.ptp(off) <= 2 * self.tolerance_mm + CLOSED_MM)

    @property
    def doubt_mm(self) -> float:
        """Greatest sd of any support that was read [mm]: it stays in what a change leaves."""
        table = self.table if self.on_packers else self.turns.table
        return float(table["sd_mm"].max())

    @property
    def changed(self) -> pd.DataFrame:
        """Those rows of ``table`` whose stack is opened."""
        return self.table[self.table["opened"].astype(bool)]

    @property
    def to_look_at(self) -> pd.DataFrame:
        """Those rows of ``table`` that are opened and of which nobody said what stands."""
        return self.changed[self.changed["stack_from"] == "plan"]

    @property
    def unread(self) -> tuple[str, ...]:
        """Supports of which nothing is known, and that are left alone."""
        return tuple(self.table["support"][self.table["off_before_mm"].isna()])

    @property
    def greatest_after_mm(self) -> float:
        """Greatest error left, either way [mm]; nan where no support was read."""
        return float(self.table["off_after_mm"].abs().max())


def no_changes(tolerance_mm: float, turns: Turns = NO_TURNS) -> Changes:
    """Return what is said of a base that stands on no packers."""
    none = pd.DataFrame(columns=COLUMNS)
    bag = pd.DataFrame(columns=["nominal_mm", "thickness_mm", "left_before", "left_after"])
    return Changes(
        table=none, bag=bag, screws=pd.DataFrame(), level_mm=math.nan, tolerance_mm=tolerance_mm,
        opened=0, handled=0, possible=False, missing=(), proven=True, unproven="",
        on_packers=False, notes=(), turns=turns,
    )  # fmt: skip


def plan_changes(
    answer: Answer,
    standing: Standing,
    supports: pd.DataFrame,
    tolerance_mm: float,
    *,
    absolute: bool,
    steps: float = MOST_STEPS,
) -> Changes:
    """Find the fewest changes of packers that bring every read support to one level.

    Parameters
    ----------
    answer : Answer
        The base as planned: rules of a stack, window of the height, floor and screws.
    standing : Standing
        The stacks as they stand, and the bag.
    supports : DataFrame
        In the order of ``answer.supports``: support, top_mm (the planned lift taken off; nan
        where it was not read), sd_mm.
    tolerance_mm : float
        How far off a support may be, closed [mm].
    absolute : bool
        Whether tops are in the frame of the job: only then the window of the height holds.
    steps : float
        Work allowed, as `kit.base.effort` counts it.

    Returns
    -------
    Changes
    """
    task, rows = _task(answer, standing, supports, tolerance_mm, absolute=absolute)
    found = fewest_changes(task, steps)
    stacks = dict(standing.stacks)
    after = task.tops
    if isinstance(found, Best):
        level, after = float(to_mm(found.level)), found.tops
        stacks |= _new_stacks(found, task, answer.job.stock)
        missing: tuple[Missing, ...] = ()
    else:
        level, missing = _middle_mm(task), (what_is_missing(task),)
    table = _table(answer, standing, stacks, supports)
    # In whole units, so that what is exactly on the level is told as 0.
    table.loc[rows, "off_before_mm"] = to_mm(task.tops - to_units(level))
    table.loc[rows, "off_after_mm"] = to_mm(after - to_units(level))
    best = isinstance(found, Best)
    return Changes(
        table=table,
        bag=_bag(answer.job.stock, standing, stacks),
        screws=_screws(answer, stacks, table),
        level_mm=level,
        tolerance_mm=tolerance_mm,
        opened=found.opened if isinstance(found, Best) else 0,
        handled=found.handled if isinstance(found, Best) else 0,
        possible=best,
        missing=missing,
        proven=not found.unproven if isinstance(found, Best) else found.proven,
        unproven=found.unproven if isinstance(found, Best) else "",
        on_packers=True,
        notes=standing.notes,
    )


def _task(
    answer: Answer,
    standing: Standing,
    supports: pd.DataFrame,
    tolerance_mm: float,
    *,
    absolute: bool,
) -> tuple[ChangeTask, list[int]]:
    base, packers = answer.base, answer.job.stock.packers
    rows = np.flatnonzero(supports["top_mm"].notna()).tolist()
    names = [str(supports["support"].iloc[row]) for row in rows]
    counts = [Counter(standing.stacks[name]) for name in names]
    window = answer.datum.window
    task = ChangeTask(
        names=tuple(names),
        tops=to_units(supports["top_mm"].to_numpy(dtype=float)[rows]),
        standing=np.array(
            [[count[kind] for kind in range(len(packers))] for count in counts], dtype=np.int64
        ),
        thickness=to_units([packer.thickness_mm for packer in packers]),
        left=np.array([-1 if left is None else left for left in standing.left], dtype=np.int64),
        rules=StackRules(tolerance_mm, base.max_pieces, base.max_stack_mm, base.minimum_pack_mm),
    )
    if not absolute:
        return task, rows
    low, high = (
        int(to_units(bound.datum_mm + answer.datum.bearer_mm))
        for bound in (window.low, window.high)
    )
    return replace(task, low=low, high=high), rows


def _middle_mm(task: ChangeTask) -> float:
    return float(to_mm((int(task.tops.min()) + int(task.tops.max())) // 2))


def _new_stacks(found: Best, task: ChangeTask, stock: Stock) -> dict[str, tuple[int, ...]]:
    """Return the changed stacks from the floor up."""
    thick = [packer.thickness_mm for packer in stock.packers]
    order = sorted(range(len(thick)), key=lambda kind: (-thick[kind], kind))
    stacks = {}
    for name, row in zip(task.names, found.chosen, strict=True):
        if row != STAYS:
            counts = found.stacks[row].tolist()
            listed = tuple(kind for kind in order for _ in range(counts[kind]))
            stacks[name] = from_the_floor(listed)
    return stacks


def _table(
    answer: Answer,
    standing: Standing,
    stacks: dict[str, tuple[int, ...]],
    supports: pd.DataFrame,
) -> pd.DataFrame:
    """Return the changes, with nothing told yet of how far any support is off."""
    stock, rows = answer.job.stock, []
    for name, sd in zip(supports["support"], supports["sd_mm"], strict=True):
        before, after = standing.stacks[str(name)], stacks[str(name)]
        out, put = Counter(before) - Counter(after), Counter(after) - Counter(before)
        as_printed = printed(before, stock), printed(after, stock)
        handled = _sizes(out, stock), _sizes(put, stock)
        raised = height_mm(after, stock) - height_mm(before, stock)
        opened, said = bool(out or put), "table" if name in standing.named else "plan"
        rows.append(
            (str(name), opened, math.nan, float(sd), said, *as_printed, *handled, raised, math.nan)
        )
    return pd.DataFrame(rows, columns=COLUMNS)


def _sizes(packers: Counter[int], stock: Stock) -> str:
    """Return packers as printed sizes, thickest first."""
    kinds = sorted(packers.elements(), key=lambda kind: -stock.packers[kind].mm)
    return printed(kinds, stock)


def _bag(stock: Stock, standing: Standing, stacks: dict[str, tuple[int, ...]]) -> pd.DataFrame:
    before = Counter(kind for stack in standing.stacks.values() for kind in stack)
    after = Counter(kind for stack in stacks.values() for kind in stack)
    rows: list[tuple[float, float, float, float]] = []
    for kind, (packer, left) in enumerate(zip(stock.packers, standing.left, strict=True)):
        count = math.inf if left is None else float(left)
        more = after[kind] - before[kind]
        rows.append((packer.mm, packer.thickness_mm, count, count - more))
    return pd.DataFrame(rows, columns=["nominal_mm", "thickness_mm", "left_before", "left_after"])


def _screws(
    answer: Answer, stacks: dict[str, tuple[int, ...]], table: pd.DataFrame
) -> pd.DataFrame:
    job = answer.job
    opened = set(table["support"][table["opened"]])
    at = [
        StackAt(
            str(name), float(x), float(y),
            tuple(job.stock.packers[kind].thickness_mm for kind in stacks[str(name)]),
        )
        for name, x, y in zip(
            answer.supports["support"], answer.supports["x_mm"], answer.supports["y_mm"],
            strict=True,
        )
        if name in opened
    ]  # fmt: skip
    return choose_screws(job.floor, job.stock, answer.datum.bearer_mm, at, job.services, job.no_go)
