"""Nicknames: all that records hold of a person, and the name of a file on any machine."""

from __future__ import annotations

import re
import unicodedata

from kit.job import refuse
from kit.job.wording import clean

LONGEST = 20

#: What a nickname may be, in words. A letter in front keeps spreadsheet programs from taking it
#: for a formula, a number or a date.
ALLOWED = (
    f"a nickname of 1 to {LONGEST} letters, digits, spaces, - and _, a letter first: no full name,"
    " no address"
)

#: Names that a file cannot have on Windows, whatever follows the dot (Microsoft, "Naming Files,
#: Paths, and Namespaces"; the list is from memory).
_RESERVED = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]", re.IGNORECASE)

#: Letters that nobody sees (Unicode, Default_Ignorable_Code_Point, those of category L).
_UNSEEN = "\u115f\u1160\u3164\uffa0"


def read_nickname(text: str, where: str = "nickname") -> str:
    """Return a nickname as records hold it.

    Parameters
    ----------
    text : str
        As it was typed. Spaces around it are left out, several in a row are one.
    where : str
        What messages call the place where it was found.

    Returns
    -------
    str
        In Unicode normal form C.

    Raises
    ------
    Refusal
        If it is empty, too long, holds another character, looks like an address, or is a name
        that some machine gives to no file.

    Examples
    --------
    >>> read_nickname(" Zoë  B-2 ")
    'Zoë B-2'
    """
    name = re.sub(" +", " ", unicodedata.normalize("NFC", text).strip(" "))
    if "@" in name:
        raise refuse(where, f"{_shown(name)}, which looks like an e-mail address", ALLOWED)
    if not name:
        raise refuse(where, "nothing", ALLOWED)
    if len(name) > LONGEST:
        raise refuse(where, f"{_shown(name)}, {len(name)} characters", ALLOWED)
    if not _is_letter(name[0]) or not all(_may_follow(c) for c in name):
        raise refuse(where, _shown(name), ALLOWED)
    if _RESERVED.fullmatch(name):
        raise refuse(where, f"{name!r}, which no file may be called on Windows", ALLOWED)
    return name


def same_person(nickname: str) -> str:
    """Return what two nicknames share that differ in capitals only: they are one person's."""
    return unicodedata.normalize("NFC", nickname).casefold()


def _is_letter(character: str) -> bool:
    return unicodedata.category(character).startswith("L") and character not in _UNSEEN


def _may_follow(character: str) -> bool:
    return _is_letter(character) or character in "0123456789 -_"


def _shown(name: str) -> str:
    return f"'{clean(name)}'"
