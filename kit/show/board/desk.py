"""What lies on the desk of a person who sets out a base: the job as it is being changed.

Every command changes the draft and works the base out again. What cannot be is kept as problems
beside the last good answer; no command is ever refused because of an earlier one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace

from kit.answer import Answer, solve
from kit.base.layout import Layout, set_out
from kit.base.moves import kept_moves
from kit.ink.lengths import length_with_unit
from kit.job import Base, Job, Problem, Refusal
from kit.job.draft import Draft
from kit.job.model import SAME_STACK_MM, Moved
from kit.show.board.first_answer import board_base, first_answer
from kit.show.board.numbers import STEP_MM
from kit.show.window import Reach, reach

#: The box of the place of the support that is looked at.
PLACE = "place"


class Desk:
    """A draft of a job, one base of it, and what is looked at.

    Parameters
    ----------
    given : Job or Answer
        The job to begin with, or an answer of it, whose floor is not looked at again.
    base : str, optional
        Name of the base; the answer's, or the first one of the job that has bearers.

    Raises
    ------
    Refusal
        Where the base has no bearers that could be set out, or the job as given cannot be
        answered: there is nothing good to show then.
    """

    def __init__(self, given: Job | Answer, base: str | None = None) -> None:
        job = given if isinstance(given, Job) else given.job
        if isinstance(given, Answer):
            board_base(job, given.base.name)
        self.answer = first_answer(given, base) if isinstance(given, Job) else given
        self.draft = Draft(job)
        self.name = self.answer.base.name
        self.layout: Layout = self.answer.layout
        self.drawn_job = self.answer.job
        self.problems: tuple[Problem, ...] = ()
        self.errors: dict[str, tuple[str, str]] = {}
        self.notice = ""
        self.wish_mm = self.base.height_range_mm
        self.reach: Reach = reach(self.answer, self.wish_mm)
        self.row = self.layout.rows[0].name
        self.support = ""
        self._changes = 0
        self._gesture, self._moves_before = "", self.base.moved
        self._other_readings = False
        if self.answer.job is not job:
            self._work_out()

    # ---- what is there --------------------------------------------------------------------

    @property
    def job(self) -> Job:
        """The job as it is being changed."""
        return self.draft.job

    @property
    def base(self) -> Base:
        """The base as it is being changed."""
        return self.job.bases[self.place]

    @property
    def place(self) -> int:
        """Place of the base in the job's list."""
        return next(n for n, base in enumerate(self.job.bases) if base.name == self.name)

    @property
    def free(self) -> bool:
        """Whether the kit chooses the height within what is allowed."""
        low, high = self.base.height_range_mm
        return low < high

    @property
    def good(self) -> bool:
        """Whether the answer is of the job as it is now."""
        return not self.problems

    # ---- changes --------------------------------------------------------------------------

    def change(
        self, changes: Mapping[str, object], gesture: str = "", *, box: str = "", text: str = ""
    ) -> None:
        """Change the job and work the base out again.

        Parameters
        ----------
        changes : mapping
            New values by key path, as for `kit.job.save_job`; lengths in mm.
        gesture : str
            Name of the movement that the change belongs to; all of it is one step of undo.
        box, text : str
            The box in which it was typed, and what stands in it, so that a value that may not
            stand in a job file is refused where it was typed.
        """
        self.notice = ""
        self.errors.pop(box, None)
        self._changes += 1
        gesture = gesture or f"change {self._changes}"
        changes = self._with_moves_before(changes, gesture)
        try:
            self.draft.change(changes, gesture)
        except Refusal as refusal:
            self.refuse(refusal, box, text)
            return
        self._work_out()
        if self.problems and self.base.moved:
            self._drop_lost_moves(gesture)

    def _with_moves_before(self, changes: Mapping[str, object], gesture: str) -> dict[str, object]:
        """Give back, while a gesture goes on, the moves that an earlier part of it dropped."""
        path = f"base[{self.place}].moved"
        if gesture != self._gesture or path in changes:
            self._gesture, self._moves_before = gesture, self.base.moved
        elif self._moves_before != self.base.moved:
            return {**changes, path: [_plain(move) for move in self._moves_before]}
        return dict(changes)

    def refuse(self, refusal: Refusal, box: str = "", text: str = "") -> None:
        """Say what may not stand in a box; without a box, in the place for notices."""
        words = "; ".join(f"found {p.found}; allowed: {p.allowed}" for p in refusal.problems)
        if box:
            self.errors[box] = (text, words)
        else:
            self.notice = f"✗ {refusal}"

    def change_base(self, field: str, value: object, gesture: str = "", **typed: str) -> None:
        """Change one figure of the base; parameters are those of `change`."""
        self.change({f"base[{self.place}].{field}": value}, gesture, **typed)

    def set_height(self, mm: float, gesture: str = "", **typed: str) -> None:
        """Fix the height of the base top above the high point [mm]."""
        self.change_base("height_mm", mm, gesture, **typed)

    def allow_heights(self, low_mm: float, high_mm: float, **typed: str) -> None:
        """Let the kit choose the best height within a range [mm]."""
        before, self.wish_mm = self.wish_mm, (low_mm, high_mm)
        self.change_base("height_mm", [low_mm, high_mm], **typed)
        if self.base.height_range_mm != (low_mm, high_mm):
            self.wish_mm = before

    def choose_height(self, *, free: bool) -> None:
        """Let the kit choose the height, or keep the one that it chose last.

        Where the file asks for one height only, it may choose among all that can be made.
        """
        low, high = self.wish_mm
        if free and low == high:
            low, high = (round(mm, 2) for mm in (self.reach.low_mm, self.reach.high_mm))
        if free:
            self.allow_heights(low, high)
        else:
            self.set_height(round(self.answer.datum.base_height_mm, 2))

    def lift_by_settlement(self, *, on: bool) -> None:
        """Let the front lift be what the joists give, or keep what it is now."""
        now = round(self.answer.datum.front_lift_mm, 2)
        self.change_base("front_lift_mm", "settlement" if on else now)

    # ---- supports -------------------------------------------------------------------------

    def move(self, support: str, mm: float, gesture: str = "", **typed: str) -> None:
        """Move a support along its bearer.

        Parameters
        ----------
        support : str
            Its name.
        mm : float
            Where its centre goes along the run [mm].
        gesture, typed : str
            As for `change`.
        """
        if not self.knows(support):
            return
        self.errors.pop(PLACE, None)
        bearer, from_mm, _ = self.place_of(support)
        stack = Moved(bearer=bearer, from_mm=round(from_mm, 2), to_mm=0.0)
        others = [move for move in self.base.moved if not move.is_of_same_stack(stack)]
        moved: list[object] = [_plain(move) for move in others]
        if abs(mm - from_mm) >= SAME_STACK_MM:
            moved.append({"bearer": bearer, "from_mm": round(from_mm, 2), "to_mm": round(mm, 4)})
        self.change_base("moved", moved or None, gesture, **typed)

    def nudge(self, support: str, steps: float, gesture: str = "") -> None:
        """Move a support by so many steps of its own to the right."""
        if self.knows(support):
            at = self.place_of(support)[2]
            self.move(support, at + steps * STEP_MM[self.job.units], gesture)

    def hand_back(self, support: str) -> None:
        """Put a support back where the rules have it."""
        if self.knows(support):
            self.move(support, self.place_of(support)[1])

    def knows(self, support: str) -> bool:
        """Tell whether there is a support of that name in the layout that is shown."""
        return support in set(self.layout.supports["support"])

    def place_of(self, support: str) -> tuple[str, float, float]:
        """Return bearer, place by the rules and place now of a support [mm]."""
        table = self.layout.supports
        one = table.iloc[int((table["support"] == support).argmax())]
        return str(one["bearer"]), float(one["rules_mm"]), float(one["own_x_mm"])

    def _drop_lost_moves(self, gesture: str) -> None:
        """Hand back what was moved by hand and is placed no more by the rules, and say so."""
        try:
            layout, _ = set_out(self.job, self.base)
        except Refusal:
            return
        kept = kept_moves(self.base, layout.rows, layout.stands)
        lost = [move for move in self.base.moved if move not in kept]
        if not lost:
            return
        path = f"base[{self.place}].moved"
        self.draft.change({path: [_plain(move) for move in kept] or None}, gesture)
        places = ", ".join(
            f"{m.bearer} at {length_with_unit(m.from_mm, self.job.units)}" for m in lost
        )
        self.notice = f"Handed back, since the rules place no stack there any more: {places}."
        self._work_out()

    # ---- history and files ----------------------------------------------------------------

    def undo(self) -> None:
        """Take the last change back."""
        self._step(self.draft.undo)

    def redo(self) -> None:
        """Make the change again that was taken back last."""
        self._step(self.draft.redo)

    def reopen(self) -> None:
        """Read the job's file again; what was changed here can be had back by undo."""
        self._other_readings = True
        self._step(self.draft.reopen)

    def _step(self, act: Callable[[], object]) -> None:
        self.notice, self.errors = "", {}
        try:
            act()
        except Refusal as refusal:
            self.refuse(refusal)
            return
        if all(base.name != self.name for base in self.job.bases):
            drawn = [base for base in self.job.bases if base.on_bearers]
            self.name = (drawn or self.job.bases)[0].name
            which = " with bearers" if drawn else ""
            self.notice = f"The base is now {self.name!r}, the first one of the file{which}."
        if self.free:
            self.wish_mm = self.base.height_range_mm
        self._work_out()

    def save(self) -> None:
        """Write the changes into job.toml."""
        if self._write(self.draft.save) and self.draft.can_undo:
            self.notice += " The file as it was is beside it."

    def save_as(self, folder: str) -> None:
        """Write the job, with its tables, into a new folder beside its own."""
        if folder.strip():
            self._write(lambda: self.draft.save_as(folder.strip()))
        else:
            self.notice = "✗ Nothing was saved: write the name of a new folder first."

    def _write(self, act: Callable[[], object]) -> bool:
        changed = self.draft.changed()
        try:
            act()
        except Refusal as refusal:
            self.notice = f"✗ Nothing was saved. {refusal}"
            return False
        what = f"{len(changed)} change{'s' * (len(changed) != 1)}"
        self.notice = (
            f"✓ Saved to {self.job.folder / 'job.toml'}: {what if changed else 'as it is'}."
        )
        if self.problems:
            self.notice += " As it stands it cannot be built: see above."
        return bool(changed)

    # ---- the sums -------------------------------------------------------------------------

    def _work_out(self) -> None:
        try:
            board_base(self.job, self.name)
            before = None if self._other_readings else self.answer
            answer = solve(self.job, self.name, before=before)
            found = self._reach(answer)
        except Refusal as refusal:
            self.problems = refusal.problems
            with suppress(Refusal):
                board_base(self.job, self.name)
                self.layout, self.drawn_job = set_out(self.job, self.base)[0], self.job
        else:
            self.problems, self.answer, self.reach, self.layout = (), answer, found, answer.layout
            self.drawn_job, self._other_readings = self.job, False
        self._look_at_what_is_there()

    def _reach(self, answer: Answer) -> Reach:
        """Return which heights can be made, anew only where more than the height has changed."""
        if _but_for_height(answer) == _but_for_height(self.answer):
            return replace(self.reach, asked_mm=self.base.height_range_mm)
        return reach(answer)

    def _look_at_what_is_there(self) -> None:
        """Turn to the first row, and to no stack, where the one looked at is there no more."""
        if all(row.name != self.row for row in self.answer.layout.rows):
            self.row = self.answer.layout.rows[0].name
        there = self.knows(self.support) and self.support in set(self.answer.supports["support"])
        if not there:
            self.support = ""

    def choose_row(self, row: str) -> None:
        """Look at another row."""
        self.row = row
        self._look_at_what_is_there()

    def choose_support(self, support: str) -> None:
        """Look at one stack, and at its row; at none for an empty name."""
        self.errors.pop(PLACE, None)
        known = self.answer.supports
        at = known[known["support"] == support]
        self.support = support if len(at) else ""
        if len(at):
            self.row = str(at.iloc[0]["bearer"])


def _but_for_height(answer: Answer) -> tuple[object, ...]:
    """Return what decides which heights can be made."""
    rules = answer.base.model_copy(update={"height_mm": 1.0})
    return id(answer.ground), rules, answer.job.stock, answer.job.room, answer.job.units


def _plain(move: Moved) -> dict[str, object]:
    return {"bearer": move.bearer, "from_mm": move.from_mm, "to_mm": move.to_mm}
