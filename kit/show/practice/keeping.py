"""Keeping marks: whose, where, and what became of it, in words."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from pathlib import Path

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.marking import Marked
from kit.practice.nickname import read_nickname
from kit.practice.record import LEAST_CHANCE, record_of
from kit.practice.records_file import keep
from kit.show.practice.typed_folder import folder_named

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
        Where the nickname is none, or no folder can be called so.
    """

    def __init__(self, nickname: str = "", folder: str = "") -> None:
        self.nickname = self.folder = ""
        self.notice = _NOT_KEPT
        self.named(nickname, folder)

    def named(self, nickname: str, folder: str) -> None:
        """Take a nickname and a folder; where one of them is none, keep the earlier."""
        name, place = nickname.strip(), folder.strip()
        name = read_nickname(name) if name else ""
        if place:
            folder_named(_FOLDER, place)
        if (name, place) != (self.nickname, self.folder):
            self.nickname, self.folder = name, place
            self.notice = self._words()

    def keep(self, attempt: Attempt, marked: Marked) -> None:
        """Keep a mark, or say why it is not kept; the mark itself stands in any case."""
        if not (self.nickname and self.folder):
            self.notice = _NOT_KEPT
            return
        chance = secrets.token_bytes(LEAST_CHANCE)
        record = record_of(self.nickname, attempt, marked, datetime.now(UTC), chance)
        try:
            kept = keep(folder_named(_FOLDER, self.folder), record)
        except Refusal as refusal:
            self.notice = f"✗ The mark was NOT kept: {refusal}"
            return
        again = f" (try {kept.tries_before + 1} on this floor)" if kept.tries_before else ""
        self.notice = f"{marked.marks} marks of {kept.nickname} kept in {self._whole()}{again}."

    def _words(self) -> str:
        if not (self.nickname and self.folder):
            return _NOT_KEPT
        return f"Marks of {self.nickname} will be kept in {self._whole()}."

    def _whole(self) -> Path:
        """Return the folder from its root: a part of a path does not tell where to look for it."""
        return folder_named(_FOLDER, self.folder).absolute()
