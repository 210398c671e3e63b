"""Many jobs at once: each is sent whole, worked out, and comes back as the files of its answer."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from kit.answer import solve
from kit.job import Refusal, read_job, refuse
from kit.many.spread import Tell, spread
from kit.results import result_texts

if TYPE_CHECKING:
    from distributed import Client

JOB_FILE = "job.toml"

#: A job with its tables that is larger than this is not sent about [bytes]: its scan is reduced
#: first, see `kit.many.reduce_many`.
LARGEST_SENT = 200_000_000


@dataclass(frozen=True)
class Room:
    """One job as it travels: everything that its answer depends on.

    Parameters
    ----------
    name : str
        What its answer is called.
    files : mapping of str to bytes
        ``job.toml`` and every table that it names, by their paths in the job's folder.
    base : str or None
        Which base; the first unless given.
    """

    name: str
    files: Mapping[str, bytes] = field(repr=False)
    base: str | None = None


@dataclass(frozen=True)
class RoomAnswer:
    """What came of one job.

    Parameters
    ----------
    name : str
        As the room is called.
    texts : mapping of str to str
        The files of its answer, as ``kit solve`` writes them; none where it was refused.
    problems : tuple of str
        Why it was refused, one line each; none where it was answered.
    """

    name: str
    texts: Mapping[str, str] = field(repr=False)
    problems: tuple[str, ...] = ()

    @property
    def answered(self) -> bool:
        """Whether there is an answer."""
        return not self.problems


def room_of(folder: Path, base: str | None = None, name: str | None = None) -> Room:
    """Return a job as it can be sent.

    Raises
    ------
    Refusal
        Where the job or a table of it cannot be read, or all of it is larger than 200 MB.
    """
    job = read_job(folder)
    names = (JOB_FILE, *job.tables, *(n for n in job.tables_as_built if (folder / n).is_file()))
    size = sum(_size(folder, one) for one in names)
    if size > LARGEST_SENT:
        allowed = f"at most {LARGEST_SENT / 1e6:g} MB; reduce its scan to a grid first"
        raise refuse(str(folder), f"{size / 1e6:.0f} MB of readings", allowed)
    files = {one: (folder / one).read_bytes() for one in dict.fromkeys(names)}
    return Room(name or folder.resolve().name, files, base)


def _size(folder: Path, name: str) -> int:
    try:
        return (folder / name).stat().st_size
    except OSError as error:
        raise refuse(f"{folder}, {name}", str(error.strerror), "a file that can be read") from error


def solve_room(room: Room) -> RoomAnswer:
    """Work out one job in a folder of its own, wherever this runs."""
    with tempfile.TemporaryDirectory(prefix="kit-room-") as home:
        for name, content in room.files.items():
            place = Path(home) / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        try:
            answer = solve(read_job(home), room.base)
            return RoomAnswer(room.name, result_texts(answer))
        except Refusal as refusal:
            said = str(refusal).replace(home, room.name)
            return RoomAnswer(room.name, {}, tuple(said.splitlines()))


def solve_many(
    rooms: Sequence[Room], client: Client | None = None, tell: Tell | None = None
) -> tuple[RoomAnswer, ...]:
    """Work out many jobs, on a cluster or one by one: the same files either way.

    Parameters
    ----------
    rooms : sequence of Room
        From `room_of`; no two of one name.
    client : distributed.Client, optional
        A cluster's; without one they are worked out here, one by one.
    tell : callable, optional
        Told the share that is done, 0 to 1.

    Returns
    -------
    tuple of RoomAnswer
        In the order of the rooms. A job that is refused stops no other one.

    Raises
    ------
    Refusal
        Where two rooms have one name, or a job's workers were lost again and again.
    """
    names = [room.name for room in rooms]
    twice = next((name for index, name in enumerate(names) if name in names[:index]), None)
    if twice is not None:
        raise refuse("rooms", f"{twice!r} a second time", "folders of different names")
    return tuple(spread(solve_room, rooms, client, tell))
