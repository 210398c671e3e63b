"""The practice page: what the hand does, answered; marks kept where a person asks for it."""

from __future__ import annotations

from typing import Any

from kit.job import Refusal
from kit.practice.drills import DRILLS
from kit.show.practice import page
from kit.show.practice.desk import PracticeDesk
from kit.show.practice.keeping import Keeping
from kit.show.practice.view import PracticeView

#: What is said where Python fails: nobody sees what is raised there.
_DEFECT = "The kit has a defect here; begin again or another floor, and tell who maintains it."


class Practice:
    """A page on which an apprentice practises.

    Python holds the truth, the hidden floor among it; the browser gets what was given, seen and
    marked. Where a nickname and a folder are given, each mark is kept there in a plain file.

    Parameters
    ----------
    drill : str
        Key of the drill to begin with.
    seed : int
        Of the floor to begin with.
    grade : str
        fair | ordinary | rough.
    nickname, records : str
        Who practises, and the folder for records; both may be typed on the page.

    Raises
    ------
    Refusal
        Where drill, seed or grade is none, the nickname is none, or the folder for records cannot
        be written to.
    """

    def __init__(
        self,
        drill: str = "own_error",
        seed: int = 7,
        grade: str = "ordinary",
        *,
        nickname: str = "",
        records: str = "",
    ) -> None:
        self.desk = PracticeDesk(DRILLS, drill, seed, grade)
        self.keeping = Keeping(nickname, records)
        self.keeping.begun(self.desk.attempt)
        self._wide_px = self._whole_px = page.WIDTH_PX
        self._problems: tuple[str, ...] = ()
        self.widget = PracticeView(**self._state())
        self.widget.on_msg(lambda _, content, __: self.answer_hand(content))

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    def answer_hand(self, said: dict[str, Any]) -> None:
        """Do what the view says that a hand did, and show what follows.

        Parameters
        ----------
        said : dict
            "kind", one of room, who, begin, another, move, turn, hint, answer, and what belongs to
            it; "task", the id of the task that it is about; "number", with which the view waits
            for an answer.
        """
        answered = {"answered": int(said.get("number", self.widget.answered))}
        self._problems = ()
        try:
            self.do(said)
        except Refusal as refusal:
            self._problems = tuple(str(problem) for problem in refusal.problems)
        except Exception:
            self._problems = (_DEFECT,)
            raise
        finally:
            try:
                self.widget.show(self._state())
            finally:
                self.widget.show(answered)

    def do(self, said: dict[str, Any]) -> None:
        """Do what a hand did; see `answer_hand`."""
        desk, kind = self.desk, said["kind"]
        if kind == "room":
            self._wide_px = max(float(said["wide"]), page.LEAST_PX)
            self._whole_px = max(float(said["whole"]), page.LEAST_PX)
        elif kind == "who":
            if self._named(said) and not desk.marked:
                self.keeping.begun(desk.attempt, desk.shown_before)
        elif kind in ("begin", "another"):
            self._begin(said)
        else:
            desk.check_shown(int(said["task"]))
            self._on_floor(said)

    def _on_floor(self, said: dict[str, Any]) -> None:
        desk, kind = self.desk, said["kind"]
        if kind == "move":
            desk.move(str(said["form"]), said["typed"])
        elif kind == "turn":
            desk.turn(str(said["form"]))
        elif kind == "hint":
            desk.hint()
        elif kind != "answer":
            raise ValueError(f"the view said {kind!r}")
        elif desk.answer(said["typed"]):
            self.keeping.keep(desk.attempt, desk.marked[0], desk.shown_before)

    def _named(self, said: dict[str, Any]) -> bool:
        return self.keeping.named(str(said["nickname"]), str(said["folder"]))

    def _begin(self, said: dict[str, Any]) -> None:
        self._named(said)
        drill, grade = str(said["drill"]), str(said["grade"])
        if said["kind"] == "another":
            self.desk.another(drill, grade)
        else:
            self.desk.begin(drill, str(said["seed"]), grade)
        self.keeping.begun(self.desk.attempt, self.desk.shown_before)

    def _state(self) -> dict[str, Any]:
        desk, wide = self.desk, self._wide_px
        return {
            "setup": {
                **page.choices(desk),
                "nickname": self.keeping.nickname,
                "folder": self.keeping.folder,
                "notice": self.keeping.notice,
                "problems": list(self._problems),
            },
            "task": page.task_state(desk),
            "plan": page.plan_state(desk, wide),
            "last": page.last_state(desk, wide),
            "log": page.log_state(desk),
            "said": page.said_state(desk),
            "marks": page.marks_state(desk, self._whole_px),
        }
