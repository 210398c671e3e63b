"""Keeping marks: whose, where, and what became of it, in words."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from pathlib import Path

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.marking import Marked
from kit.practice.nickname import read_nickname
from kit.practice.record import LEAST_CHANCE, floor_of, record_of
from kit.practice.records_file import Place, keep, place_for
from kit.show.practice.typed_folder import check_writable, folder_named

#: The box of the folder, as messages call it.
_FOLDER = "folder for records"

_NOT_KEPT = "Marks are not kept: give a nickname and a folder if you want them kept."


class Keeping:
    """Whose marks are kept in which folder, if any.

    Parameters
    ----------
    nickname, folder : str
        As given in code; empty for none.

    Raises
    ------
    Refusal
        Where the nickname is none, or no folder of that name can be written to.
    """

    def __init__(self, nickname: str = "", folder: str = "") -> None:
        self.nickname = self.folder = ""
        self.notice = _NOT_KEPT
        self.named(nickname, folder)

    def named(self, nickname: str, folder: str) -> bool:
        """Take a nickname and a folder; tell whether they are others than before.

        Raises
        ------
        Refusal
            Where one of them is none, or the folder cannot be written to: the earlier ones stay.
        """
        name, place = nickname.strip(), folder.strip()
        name = read_nickname(name) if name else ""
        if place:
            check_writable(_FOLDER, folder_named(_FOLDER, place))
        if (name, place) == (self.nickname, self.folder):
            return False
        self.nickname, self.folder = name, place
        self.notice = self._words()
        return True

    def begun(self, attempt: Attempt, shown_before: int = 0) -> None:
        """Say what a mark on a floor would count for, and where it would be kept.

        Parameters
        ----------
        attempt : Attempt
            That was begun.
        shown_before : int
            How often its answer was shown on this page.
        """
        self.notice = self._words()
        if not (self.nickname and self.folder):
            return
        try:
            place = place_for(self._whole(), self.nickname, floor_of(attempt))
        except Refusal as refusal:
            self.notice = f"✗ No mark can be kept: {refusal}"
            return
        said = [_again(place.tries, shown_before), self._words()]
        if place.damaged:
            said = [said[0], self._beside(place, "marks will be")]
        self.notice = " ".join(part for part in said if part)

    def keep(self, attempt: Attempt, marked: Marked, shown_before: int = 0) -> None:
        """Keep a mark, or say why it is not kept; the mark itself stands in any case.

        Parameters
        ----------
        attempt, marked : Attempt, Marked
            What was tried, and its mark.
        shown_before : int
            How often the answer of its floor was shown on this page before: so many tries came
            before this one, whether they were kept or not.
        """
        if not (self.nickname and self.folder):
            self.notice = _NOT_KEPT
            return
        chance = secrets.token_bytes(LEAST_CHANCE)
        record = record_of(self.nickname, attempt, marked, datetime.now(UTC), chance)
        try:
            kept = keep(self._whole(), record, shown_before)
        except Refusal as refusal:
            self.notice = f"✗ The mark was NOT kept: {refusal}"
            return
        tries = kept.record.tries_before
        again = f" (try {tries + 1} on this floor; only a first try counts)" if tries else ""
        if kept.place.damaged:
            self.notice = f"{self._beside(kept.place, 'this mark is')} {marked.marks} marks{again}."
            return
        self.notice = f"{marked.marks} marks of {self.nickname} kept in {self._whole()}{again}."

    def _beside(self, place: Place, what: str) -> str:
        """Say which files are damaged, and where marks go instead."""
        why = "; ".join(str(one) for one in place.damaged)
        where = f"{place.path.name} in {self._whole()}"
        return f"⚠ {why[0].upper()}{why[1:]}; {what} kept in {where}; ask your trainer."

    def _words(self) -> str:
        if not (self.nickname and self.folder):
            return _NOT_KEPT
        return f"Marks of {self.nickname} will be kept in {self._whole()}."

    def _whole(self) -> Path:
        """Return the folder from its root: a part of a path does not tell where to look for it."""
        return folder_named(_FOLDER, self.folder).absolute()


def _again(tries: int, shown_before: int) -> str:
    """Say that a floor is no new one, if it is none."""
    number = max(tries, shown_before) + 1
    if number == 1:
        return ""
    what = "You have answered this floor before"
    if shown_before > tries:
        what = "The answer to this floor has been shown on this page before"
    return f"{what}: this is try {number}, and only a first try counts. Take another floor."
