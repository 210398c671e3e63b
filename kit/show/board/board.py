"""The setting-out board: what the hand does, answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kit.answer import Answer
from kit.job import Job
from kit.show.board.controls import set_control
from kit.show.board.desk import Desk
from kit.show.board.lists import change_list, set_cell
from kit.show.board.load_picture import CASE_WORDS
from kit.show.board.scene import SHEETS, Scene
from kit.show.board.view import BoardView


class Board:
    """One board over one job: plan, elevation, tables and controls of a base.

    Python holds the truth: every touch changes a draft of the job, which is solved or refused;
    what cannot be is said in words where it is, and the last good answer stays in sight.

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
        self.desk = Desk(given, base)
        self.scene = Scene(self.desk)
        self.widget = BoardView(**self.scene.at_once(), **self.scene.soon())
        self.widget.on_msg(lambda _, content, __: self.answer_hand(content))

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    @property
    def answer(self) -> Answer:
        """The last good answer."""
        return self.desk.answer

    @property
    def job(self) -> Job:
        """The job as it is being changed."""
        return self.desk.job

    def answer_hand(self, said: dict[str, Any]) -> None:
        """Do what the view says that a hand did, and show what follows.

        Parameters
        ----------
        said : dict
            "kind" and what belongs to it, and "number", with which the view waits for an answer.
        """
        answered = {"answered": int(said.get("number", self.widget.answered))}
        try:
            self.do(said)
        except Exception:
            self.desk.notice = "✗ The kit has a defect here; undo, and tell who maintains it."
            raise
        finally:
            try:
                # What the eye follows comes first: the rest is drawn while the browser paints.
                self.widget.show(self.scene.at_once())
                self.widget.show(self.scene.soon())
            finally:
                self.widget.show(answered)

    def do(self, said: dict[str, Any]) -> None:
        """Do what a hand did.

        Parameters
        ----------
        said : dict
            "kind", one of room, set, free, settle, move, nudge, hand_back, choose, row, case,
            sheet, add, remove, shift, undo, redo, reopen, save, save_as, and what belongs to it.
        """
        desk, kind = self.desk, said["kind"]
        gesture = str(said.get("gesture", ""))
        if kind == "room":
            self.scene.have_room(float(said["plan"]), float(said["side"]))
        elif kind == "set":
            if not set_control(desk, str(said["id"]), said):
                set_cell(desk, str(said["id"]), said)
        elif kind == "free":
            desk.choose_height(free=bool(said["on"]))
        elif kind == "settle":
            desk.lift_by_settlement(on=bool(said["on"]))
        elif kind == "move":
            desk.move(str(said["support"]), float(said["mm"]), gesture)
        elif kind == "nudge":
            desk.nudge(str(said["support"]), float(said["steps"]), gesture)
        elif kind == "case":
            self.scene.case = said["name"] if said["name"] in CASE_WORDS else self.scene.case
        elif kind == "sheet":
            self.scene.sheet = said["name"] if said["name"] in SHEETS else SHEETS[0]
        elif kind in ("add", "remove", "shift"):
            change_list(desk, said)
        else:
            self._simple(kind, said)

    def _simple(self, kind: str, said: dict[str, Any]) -> None:
        desk = self.desk
        acts: dict[str, Callable[[], None]] = {
            "hand_back": lambda: desk.hand_back(str(said["support"])),
            "choose": lambda: desk.choose_support(str(said["support"])),
            "row": lambda: desk.choose_row(str(said["row"])),
            "undo": desk.undo,
            "redo": desk.redo,
            "reopen": desk.reopen,
            "save": desk.save,
            "save_as": lambda: desk.save_as(str(said["folder"])),
        }
        acts[kind]()
