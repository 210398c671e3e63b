"""A job in a person's hands: changed, taken back, done again, saved."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from kit.job.amend import amend
from kit.job.differ import Difference, differences
from kit.job.model import Job
from kit.job.read import read_job
from kit.job.save import save_differences
from kit.job.save_as import save_job_as

#: Steps that can be taken back; the oldest are forgotten first.
LONGEST_HISTORY = 500

#: Differences that the words for a step tell one by one.
_TOLD = 3


@dataclass(frozen=True)
class _Step:
    """What one change made of the job."""

    before: Job
    after: Job

    @property
    def words(self) -> str:
        """What it changed."""
        told = [difference.words for difference in differences(self.before, self.after)]
        more = len(told) - _TOLD
        return "; ".join([*told[:_TOLD], *([f"and {more} more"] if more > 0 else [])])


class Draft:
    """A job that is being changed, with its history.

    Parameters
    ----------
    job : Job
        As it was read from its folder.

    Attributes
    ----------
    job : Job
        As it is now.
    opened : Job
        As its file has it: as it was read, or saved last.
    """

    def __init__(self, job: Job) -> None:
        self.job = self.opened = job
        self._past: deque[_Step] = deque(maxlen=LONGEST_HISTORY)
        self._future: list[_Step] = []
        self._gesture = ""

    def change(self, changes: Mapping[str, object], gesture: str = "") -> None:
        """Change the job.

        Parameters
        ----------
        changes : mapping
            New values by key path, as `kit.job.amend.amend` takes them.
        gesture : str
            What the person is doing, for example ``"drag B3"``. A change with the gesture of the
            one before is one step with it; nothing else may have been done in between.

        Raises
        ------
        Refusal
            If the job would not be one with the changes in it. Everything is then as it was.
        """
        now = amend(self.job, changes)
        if now == self.job:
            return
        before = self.job
        if gesture and gesture == self._gesture:
            before = self._stamped(self._past.pop().before)
        self.job, self._gesture = now, gesture
        self._future.clear()
        if now == before:
            # Dragged back to where it was: no step is left, and the next change begins one.
            self._gesture = ""
        else:
            self._past.append(_Step(before, now))

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        """Whether there is a step that was taken back and can be done again."""
        return bool(self._future)

    @property
    def undo_words(self) -> str:
        """What the step changed that `undo` takes back; empty where there is none."""
        return self._past[-1].words if self._past else ""

    @property
    def redo_words(self) -> str:
        """What the step changes that `redo` does again; empty where there is none."""
        return self._future[-1].words if self._future else ""

    def undo(self) -> bool:
        """Take the last step back; tell whether there was one."""
        self._gesture = ""
        if not self._past:
            return False
        step = self._past.pop()
        self._future.append(step)
        self.job = self._stamped(step.before)
        return True

    def redo(self) -> bool:
        """Do the step again that was taken back last; tell whether there was one."""
        self._gesture = ""
        if not self._future:
            return False
        step = self._future.pop()
        self._past.append(step)
        self.job = self._stamped(step.after)
        return True

    def changed(self) -> tuple[Difference, ...]:
        """Return what differs from the file as it was opened or saved last."""
        return differences(self.opened, self.job)

    @property
    def dirty(self) -> bool:
        """Whether anything differs from the file as it was opened or saved last."""
        return self.job != self.opened

    def save(self) -> None:
        """Write what differs into the job's file.

        Raises
        ------
        Refusal
            As `kit.job.save.save_differences`, above all if something else has changed the file.
            Nothing is written then, and the draft stays as it was.
        """
        self._stand_in(save_differences(self.opened, self.job))

    def save_as(self, folder: str | Path) -> None:
        """Write the job into a new folder; from then on the draft is of that one.

        Parameters
        ----------
        folder : str or Path
            As `kit.job.save_as.save_job_as` takes it. The history stays.

        Raises
        ------
        Refusal
            As `kit.job.save_as.save_job_as`. The draft stays as it was.
        """
        self._stand_in(save_job_as(self.job, folder))

    def _stand_in(self, saved: Job) -> None:
        self.job = self.opened = saved
        self._gesture = ""

    def reopen(self) -> None:
        """Read the file again; what was changed here is given up by a step that can be undone.

        Raises
        ------
        Refusal
            As `kit.job.read.read_job`. The draft stays as it was.
        """
        given_up = self.job
        self._stand_in(read_job(self.opened.folder))
        if self._stamped(given_up) != self.job:
            self._past.append(_Step(given_up, self.job))
            self._future.clear()

    def _stamped(self, job: Job) -> Job:
        """Return a job of the history as one of the folder and the file that there are now."""
        home = {"folder": self.opened.folder, "fingerprint": self.opened.fingerprint}
        same = all(getattr(job, key) == value for key, value in home.items())
        return job if same else job.model_copy(update=home)
