"""What differs between two versions of a job, key by key, and in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from kit.job import keys
from kit.job.keys import KeyPath
from kit.job.match import Matching, Table, match
from kit.job.model import Job
from kit.job.tables import every_key_of
from kit.job.units import MM_PER_INCH, fraction_of_inches
from kit.job.wording import place, show_value, singular_of, value_at

Kind = Literal["changed", "renamed", "added", "removed", "moved"]

#: A fraction of an inch is shown where it is this near to the length [mm], decimals elsewhere.
_NEAR_FRACTION_MM = 0.001

#: What a member without a name is called, by the keys that tell it apart; the first that fits.
_CALLED = {
    "bearer from_mm": "move of the stack of bearer {bearer} at {from_mm} {units}",
    "mm measured_mm": "packer of {mm} {units}",
    "mm price_per_m": "board of {mm} {units}",
    "low_mm high_mm": "foot of {low_mm} to {high_mm} {units}",
    "to_mm days": "drying up to {to_mm} {units}",
}

#: What `place` begins with.
_FILE = "job"


@dataclass(frozen=True)
class Difference:
    """One key, or one member of a list, that two versions of a job do not have in common.

    Parameters
    ----------
    path : str
        The key path in the new job, ``base[0].back_mm``; of a removed member, in the old one.
    old, new : object
        What the two versions hold, as a file would [mm]; None where one holds nothing. Of a
        moved member its places in the two lists, from 0.
    kind : {"changed", "renamed", "added", "removed", "moved"}
        What happened.
    where, before, after : str
        The same for people, lengths in the new job's units: ``base "low", back_mm``, ``45``,
        ``60``.
    """

    path: str
    old: object
    new: object
    kind: Kind
    where: str
    before: str
    after: str

    @property
    def words(self) -> str:
        """One phrase that says it."""
        if self.kind == "changed":
            return f"{self.where} from {self.before} to {self.after}"
        if self.kind == "renamed":
            return f"{self.where} renamed {self.after}"
        if self.kind == "moved":
            return f"{self.where} moved {self.after}"
        what = self.after if self.kind == "added" else self.before
        return f"{self.where} {self.kind}" + (f" ({what})" if what else "")


@dataclass
class Comparison:
    """What a walk through two versions finds: differences, and how to make the one the other.

    Parameters
    ----------
    differences : list of Difference
        In the order of the job's keys.
    lists : list of (key path, Matching)
        Lists of tables with members added, removed or moved, outer ones first; a path names its
        parents by their new places.
    values : list of key path
        Keys, and lists of tables that come or go as a whole, whose value is to be written.
    """

    units: Literal["mm", "in"]
    old: Table
    new: Table
    differences: list[Difference] = field(default_factory=list)
    lists: list[tuple[KeyPath, Matching]] = field(default_factory=list)
    values: list[KeyPath] = field(default_factory=list)


def differences(old: Job, new: Job) -> tuple[Difference, ...]:
    """Return every key that differs between two versions of a job.

    Parameters
    ----------
    old, new : Job
        Neither folder nor fingerprint is compared.

    Returns
    -------
    tuple of Difference
        In the order of the job's keys. Members of lists of tables are matched by name (packers by
        size, surveys by table, moves by bearer and place), so that one that is renamed, added,
        removed or moved is said to be; lists of numbers are compared whole.
    """
    return tuple(compare(old, new).differences)


def compare(old: Job, new: Job) -> Comparison:
    """Return `differences`, with what is needed to write them into a file."""
    found = Comparison(new.units, every_key_of(old), every_key_of(new))
    _tables(found, (), ())
    return found


def _tables(found: Comparison, was: KeyPath, now: KeyPath) -> None:
    before, after = _table(found.old, was), _table(found.new, now)
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        if isinstance(old, Mapping) and isinstance(new, Mapping):
            _tables(found, (*was, key), (*now, key))
        elif _holds_tables(old) or _holds_tables(new):
            _members(found, (*was, key), (*now, key))
        else:
            found.values.append((*now, key))
            _value(found, (*was, key), (*now, key), old, new)


def _table(tables: Table, path: KeyPath) -> Table:
    value = value_at(tables, path)
    return value if isinstance(value, Mapping) else {}


def _holds_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def _value(found: Comparison, was: KeyPath, now: KeyPath, old: object, new: object) -> None:
    key, kind, where = str(now[-1]), _kind(now, old, new), _where(found, found.new, now)
    if kind == "renamed":
        where = _where(found, found.old, was[:-1])
    before, after = _shown(key, old, found.units), _shown(key, new, found.units)
    found.differences.append(Difference(address_of(now), old, new, kind, where, before, after))


def _kind(path: KeyPath, old: object, new: object) -> Kind:
    if isinstance(new, Mapping):
        return "added"
    if isinstance(old, Mapping):
        return "removed"
    inside = len(path) > 1 and isinstance(path[-2], int)
    return "renamed" if inside and path[-1] == "name" else "changed"


def _members(found: Comparison, was: KeyPath, now: KeyPath) -> None:
    old, new = _listed(found.old, was), _listed(found.new, now)
    matching = match(old, new)
    if not old or not new:
        found.values.append(now)
    elif matching.rearranges:
        found.lists.append((now, matching))
    for index in matching.removed:
        _whole(found, "removed", (*was, index), old[index], None)
    for index, origin in enumerate(matching.came_from):
        if origin < 0:
            _whole(found, "added", (*now, index), None, new[index])
        elif index in matching.moved:
            _moved(found, (*now, index), origin, len(new))
        if origin >= 0:
            _tables(found, (*was, origin), (*now, index))


def _listed(tables: Table, path: KeyPath) -> list[Table]:
    value = value_at(tables, path)
    return value if isinstance(value, list) else []


def _whole(
    found: Comparison, kind: Kind, path: KeyPath, old: Table | None, new: Table | None
) -> None:
    """Note a member that came or went; one without a name is told by what it holds."""
    where = _where(found, found.old if new is None else found.new, path)
    held = [
        "" if table is None or "name" in table else _shown("", _told(table), found.units)
        for table in (old, new)
    ]
    found.differences.append(Difference(address_of(path), old, new, kind, where, *held))


def _told(member: Table) -> Table:
    """Return what a member without a name holds, but for what it is called by."""
    called = _CALLED.get(_caller(member), "")
    return {key: value for key, value in member.items() if f"{{{key}}}" not in called}


def _moved(found: Comparison, path: KeyPath, origin: int, count: int) -> None:
    *parents, index = path
    last = int(index) + 1 == count
    following = (*parents, int(index) + 1)
    after = "to the end" if last else f"before {_name(found, following)}"
    where = _where(found, found.new, path)
    said = Difference(address_of(path), origin, index, "moved", where, f"place {origin + 1}", after)
    found.differences.append(said)


def _name(found: Comparison, path: KeyPath) -> str:
    return _where(found, found.new, path).rpartition(", ")[2]


def _where(found: Comparison, tables: Table, path: KeyPath) -> str:
    """Return a place in words, with the key in the unit that the job shows."""
    words = place(tables, path, _FILE).removeprefix(f"{_FILE}, ")
    for depth in range(1, len(path)):
        member = value_at(tables, path[: depth + 1])
        step = path[depth]
        if isinstance(step, int) and isinstance(member, Mapping):
            numbered = f"{singular_of(str(path[depth - 1]))} {step + 1}"
            words = words.replace(numbered, _called(member, found.units) or numbered, 1)
    key = str(path[-1])
    if found.units == "in" and keys.is_length_key(key):
        return f"{words.removesuffix(key)}{keys.inch_key(key)}"
    return words


def _called(member: Table, units: Literal["mm", "in"]) -> str:
    """Return what a member without a name is called: its number alone says little."""
    told = {key: _shown(key, value, units) for key, value in member.items()}
    told["bearer"] = str(member.get("bearer"))
    return _CALLED.get(_caller(member), "").format(**told, units=units)


def _caller(member: Table) -> str:
    """Return the keys by which a member without a name is called; none where it has one."""
    return next((each for each in _CALLED if set(each.split()) <= set(member)), "")


def _shown(key: str, value: object, units: Literal["mm", "in"]) -> str:
    """Return a value for people, lengths in the job's units."""
    if value is None:
        return "nothing"
    if isinstance(value, Mapping):
        held = [(k, item) for k, item in value.items() if item not in (None, [])]
        return ", ".join(
            f"{keys.inch_key(k) if units == 'in' and keys.is_length_key(k) else k} = "
            f"{_shown(k, item, units)}"
            for k, item in held
        )
    if isinstance(value, list):
        each = [_shown(key, item, units) for item in value]
        braced = [f"{{{text}}}" if isinstance(value[0], Mapping) else text for text in each]
        return "[" + ", ".join(braced) + "]"
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return (
        _length(float(str(value)), units)
        if number and keys.is_length_key(key)
        else (show_value(value))
    )


def _length(mm: float, units: Literal["mm", "in"]) -> str:
    if units == "mm":
        return f"{round(mm, 3):.10g}"
    inches = mm / MM_PER_INCH
    near = fraction_of_inches(inches, 64)
    whole = round(inches * 64) / 64 * MM_PER_INCH
    return near if abs(whole - mm) <= _NEAR_FRACTION_MM else f"{inches:.3f}"


def address_of(path: KeyPath) -> str:
    """Return a key path as `kit.job.save_job` takes it."""
    steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return "".join(steps).removeprefix(".")
