"""From the file on disk to plain TOML values, or to words about why not."""

from __future__ import annotations

import codecs
import re
import tomllib
from pathlib import Path

from kit.job.refusal import Refusal, refuse
from kit.job.wording import clean

JOB_FILE = "job.toml"

#: Nobody types a job file longer than this [bytes]; something else lies there.
LARGEST_BYTES = 5_000_000

#: Levels of tables and lists; the deepest place that has a meaning is at level 6.
DEEPEST = 12

_WIDE_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)

#: What the parser's complaint means to a person: its first words, what was found, what is allowed.
_SYNTAX = (
    ("Expected '=' after", "a line without =", "key = value, or a [table] in square brackets"),
    (
        "Invalid value",
        "a value that cannot be read",
        'a number such as 900 or 3.5, true or false, a [list], or text in quotes such as "3 5/8"',
    ),
    ("Invalid statement", "a line that cannot be read", "key = value, or a [table]"),
    ("Cannot", "the same key or table a second time", "each key and each table once"),
    ("Duplicate inline", "the same key a second time", "each key once"),
    ("Unterminated string", "text without its closing quote", 'a " at each end of a text'),
    ("Illegal character '\\n'", "text without its closing quote", 'a " at each end of a text'),
    ("Found invalid character '\\n'", "text without its closing quote", "a ' at each end of it"),
    ("Invalid initial", "no key where one is expected", "letters, digits, _ and - in a key"),
    ("Escaped character", "a letter's number that has no letter", "the letter itself"),
    ("Invalid hex", "a letter's number that cannot be read", "the letter itself"),
    ("Unclosed array", "a list without its closing bracket", "a ] at the end of the list"),
    ("Unclosed inline", "a table without its closing brace", "a } at the end of the table"),
    (
        "Expected newline or end",
        "more than one value on a line",
        "one value a line, decimals with a point, text and fractions in quotes",
    ),
    ("Expected ']", "a table's name without its closing bracket", "[table] or [[table]]"),
    ("Unescaped", "a backslash inside a text", "a forward slash, or \\\\ for a backslash"),
    ("Invalid date", "a date that does not exist", "no dates"),
    ("Found invalid", "a character that may not stand here", "letters, digits, signs, spaces"),
    ("Illegal character", "a character that may not stand here", "letters, digits, signs, spaces"),
)


def locate(job: str | Path) -> Path:
    """Return the folder of a job.

    Parameters
    ----------
    job : str or Path
        The job's folder, or the job.toml in it.

    Returns
    -------
    Path
        The folder, as an absolute path.

    Raises
    ------
    Refusal
        If there is no such folder.
    """
    path = Path(job)
    try:
        folder = path.parent if path.name == JOB_FILE and not path.is_dir() else path
        there, is_folder = folder.exists(), folder.is_dir()
    except (OSError, ValueError) as error:
        raise _unreadable(_whole(path), error) from error
    if not there:
        raise refuse(_whole(path), "no such folder", f"a job's folder, with {JOB_FILE} in it")
    if not is_folder:
        raise refuse(_whole(path), "a file", f"a job's folder, with {JOB_FILE} in it")
    return folder.absolute()


def read_bytes(folder: Path) -> bytes:
    """Return the bytes of a folder's job.toml.

    Raises
    ------
    Refusal
        If it is missing, is not a file, is too large or may not be read.
    """
    path = folder / JOB_FILE
    try:
        if path.is_dir():
            raise refuse(JOB_FILE, "a folder of that name", "a text file")
        if not path.exists():
            raise refuse(JOB_FILE, f"no such file in {_whole(folder)}", "a job file")
        # A pipe or a device would keep the reader waiting for ever.
        if not path.is_file():
            raise refuse(JOB_FILE, "something that is not a file", "a text file")
        if path.stat().st_size > LARGEST_BYTES:
            raise refuse(JOB_FILE, f"{path.stat().st_size} bytes", f"at most {LARGEST_BYTES} bytes")
        return path.read_bytes()
    except OSError as error:
        raise _unreadable(JOB_FILE, error) from error


def _whole(path: Path) -> str:
    return clean(str(path), longest=4096)


def _unreadable(where: str, error: OSError | ValueError) -> Refusal:
    why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return refuse(where, f"it cannot be read ({clean(why)})", "a file that this user may read")


def decode(raw: bytes) -> str:
    """Return the text of a job file.

    Raises
    ------
    Refusal
        If the bytes are empty, binary or not plain UTF-8.
    """
    plain = "plain text, saved as UTF-8 without a byte order mark"
    if raw.startswith(codecs.BOM_UTF8):
        raise refuse(f"{JOB_FILE}, line 1", "a byte order mark before the first letter", plain)
    if raw.startswith(_WIDE_MARKS):
        raise refuse(f"{JOB_FILE}, line 1", "text saved as UTF-16 or UTF-32", plain)
    if b"\0" in raw:
        line = raw[: raw.index(b"\0")].count(b"\n") + 1
        raise refuse(f"{JOB_FILE}, line {line}", "binary data", plain)
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        found = f"a byte that is not UTF-8 (0x{raw[error.start]:02x})"
        raise refuse(f"{JOB_FILE}, line {line}", found, plain) from error
    if not text.strip():
        raise refuse(JOB_FILE, "an empty file", "a job file that begins with schema = 1")
    return text


def parse(text: str) -> dict[str, object]:
    """Return the tables of a TOML text.

    Parameters
    ----------
    text : str
        The whole file.

    Returns
    -------
    dict
        Keys and values as they stand, in the file's order.

    Raises
    ------
    Refusal
        If the text is not TOML (v1.0.0); names the line.
    """
    try:
        tables: dict[str, object] = tomllib.loads(text)
    except RecursionError as error:
        raise _too_deep() from error
    except ValueError as error:
        raise _syntax(text, str(error)) from error
    level: list[object] = [tables]
    for _ in range(DEEPEST):
        level = [inner for node in level for inner in _within(node)]
    if level:
        raise _too_deep()
    return tables


def _within(node: object) -> list[object]:
    if isinstance(node, dict):
        return list(node.values())
    return list(node) if isinstance(node, list) else []


def _too_deep() -> Refusal:
    found = f"lists or tables nested more than {DEEPEST} deep"
    return refuse(JOB_FILE, found, f"at most {DEEPEST} levels")


def _syntax(text: str, complaint: str) -> Refusal:
    lines = text.split("\n")
    spot = re.search(r"\(at line (\d+), column (\d+)\)", complaint)
    # An unclosed text is noticed at the end of the document, or at the break of its own line.
    number = int(spot[1]) if spot else len(text.rstrip().split("\n"))
    if spot is None and "end of document" not in complaint:
        return refuse(JOB_FILE, "a number that is too long to be one", "numbers of a few digits")
    found, allowed = next(
        ((found, allowed) for start, found, allowed in _SYNTAX if complaint.startswith(start)),
        ("something that is not TOML", "key = value lines under [table] headings"),
    )
    line = clean(lines[min(number, len(lines)) - 1].strip())
    shown = f"{found}: {line}" if line else found
    return refuse(f"{JOB_FILE}, line {number}", shown, allowed)
