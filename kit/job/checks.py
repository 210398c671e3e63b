"""What must hold between one table and another, and between a job and its folder."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath

from kit.job import keys
from kit.job.keys import KeyPath
from kit.job.model import LONGEST_MM, MAX_SPAN_MM, PACKER_SIZE_MM
from kit.job.normalise import Issue
from kit.job.wording import one_of, show_value

#: Lists of tables whose members are told apart by their names, and the key of that name.
_NAMED = {
    "run": "name",
    "base": "name",
    "no_go": "name",
    "service": "name",
    "doorway": "name",
    "movement_joint": "name",
    "floor_step": "name",
    "excluded": "name",
}

#: Keys of a survey that only some kinds of readings have a use for, and those kinds.
_OF_SOME_KINDS = {
    "points_file": ("heights", "staff", "booking", "level", "straightedge"),
    "datum": ("heights", "grid", "staff", "scan"),
    "own_error_mm_per_m": ("level",),
    # A row of a grid holds many readings: there a cell is emptied instead.
    "leave_out": ("heights", "staff", "booking", "level", "straightedge"),
    "cell_mm": ("scan",),
    "file_unit": ("scan",),
    "frame": ("scan",),
}

Tree = Mapping[str, object]


def check(tree: Tree, folder: Path, inside: Collection[str] = ()) -> list[Issue]:
    """Return what does not fit together, as far as the values can be read.

    Parameters
    ----------
    tree : mapping
        The job's tables in the model's terms.
    folder : Path
        The job's folder.
    inside : collection of str
        Names of tables that are known to lie in the folder: the disk is not asked about them.

    Returns
    -------
    list of Issue
        In no particular order; paths in the model's terms.
    """
    return [
        *_schema(tree),
        *_repeated_names(tree),
        *_lifts_by_settlement(tree),
        *_spans(tree),
        *_keys_of_other_kinds(tree, folder, inside),
        *_tables_outside(tree, folder, inside),
    ]


def _members(tree: Tree, key: str) -> Iterator[tuple[int, Tree]]:
    """Yield the readable tables of a list of tables, with their places in it."""
    listed = tree.get(key)
    for index, member in enumerate(listed if isinstance(listed, tuple) else ()):
        if isinstance(member, Mapping):
            yield index, member


def _schema(tree: Tree) -> Iterator[Issue]:
    """Yield the version that is not a whole number, although it equals one (true, 1.0)."""
    version = tree.get("schema", 1)
    if isinstance(version, bool | float):
        yield Issue(("schema",), show_value(version), "1")


def _repeated_names(tree: Tree) -> Iterator[Issue]:
    for key, label in _NAMED.items():
        yield from _repeated(tree, key, label, ())
    for index, run in _members(tree, "run"):
        yield from _repeated(run, "unit", "name", ("run", index))
    yield from _repeated_tables(tree)


def _repeated_tables(tree: Tree) -> Iterator[Issue]:
    """Yield the surveys whose table an earlier one has: its readings would count twice."""
    seen: set[tuple[str, object]] = set()
    for index, survey in _members(tree, "survey"):
        file, sheet = survey.get("file"), survey.get("sheet")
        if not isinstance(file, str):
            continue
        table = (file, sheet if isinstance(sheet, str) else None)
        if table in seen:
            found = f"{show_value(file)} a second time"
            allowed = "a table that no other survey has; of a workbook, another sheet"
            yield Issue(("survey", index, "file"), found, allowed)
        seen.add(table)


def _repeated(tree: Tree, key: str, label: str, path: KeyPath) -> Iterator[Issue]:
    seen: set[str] = set()
    for index, member in _members(tree, key):
        name = member.get(label, "A" if key == "run" else None)
        if isinstance(name, str) and name in seen:
            found = f"{show_value(name)} a second time"
            yield Issue((*path, key, index, label), found, f"a {label} that no other {key} has")
        if isinstance(name, str):
            seen.add(name)


def _lifts_by_settlement(tree: Tree) -> Iterator[Issue]:
    for index, base in _members(tree, "base"):
        if base.get("front_lift_mm") == "settlement":
            yield from _without_joists(tree, index)


def _without_joists(tree: Tree, index: int) -> Iterator[Issue]:
    """Refuse a lift by settlement where nothing is said of what settles."""
    floor = tree.get("floor")
    if not isinstance(floor, Mapping) or "joists" in floor:
        return
    place, number = ("base", index, "front_lift_mm"), "a number from -50 to 50 mm"
    if floor.get("kind") == "solid":
        yield Issue(place, '"settlement", which joists give, and a solid floor has none', number)
        return
    found = '"settlement", which joists give, and no [floor.joists]'
    yield Issue(place, found, f"{number}, or [floor.joists] in the job")


def _spans(tree: Tree) -> Iterator[Issue]:
    """Yield the bases whose packers would touch: two to a span at least (common practice)."""
    stock = tree.get("stock")
    size = stock.get("packer_size_mm") if isinstance(stock, Mapping) else None
    given = size if isinstance(size, tuple) and size else PACKER_SIZE_MM
    length = _readable(given[0])
    for index, base in _members(tree, "base"):
        span = _readable(base.get("max_span_mm", MAX_SPAN_MM))
        if 0 < span < 2 * length:
            found = f"{span:g} mm, less than two packers of {length:g} mm"
            yield Issue(("base", index, "max_span_mm"), found, f"{2 * length:g} mm or more")


def _readable(value: object) -> float:
    """Return a length [mm]; 0, which no span is compared with, for what is none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return 0.0
    return float(value) if 0 < value <= LONGEST_MM else 0.0


def _keys_of_other_kinds(tree: Tree, folder: Path, inside: Collection[str]) -> Iterator[Issue]:
    """Yield the keys that mean something to other kinds of readings only."""
    as_built = tree.get("as_built")
    for home, path in ((tree, ()), (as_built, ("as_built",))):
        if isinstance(home, Mapping):
            for index, survey in _members(home, "survey"):
                yield from _of_other_kinds(survey, (*path, "survey", index), folder, inside)


def _of_other_kinds(
    survey: Tree, path: KeyPath, folder: Path, inside: Collection[str]
) -> Iterator[Issue]:
    kind = survey.get("kind")
    if kind not in keys.words_of(keys.table_of("survey")["kind"]):
        return
    for key, homes in _OF_SOME_KINDS.items():
        name = survey.get(key)
        # A table outside the folder has its message already.
        outside = key == "points_file" and isinstance(name, str)
        outside = outside and str(name) not in inside and not _stays_inside(str(name), folder)
        if key in survey and kind not in homes and not outside:
            quoted = [f'"{home}"' for home in homes]
            found = f"a key of readings of kind {one_of(quoted)}"
            yield Issue((*path, key), found, f'no {key} with kind "{kind}"')


def _tables_outside(tree: Tree, folder: Path, inside: Collection[str]) -> Iterator[Issue]:
    for index, survey in _members(tree, "survey"):
        for key in ("file", "points_file"):
            name = survey.get(key)
            if not isinstance(name, str) or not name or name in inside:
                continue
            if not _stays_inside(name, folder):
                found = f"{show_value(name)}, which is not a file inside the job's folder"
                allowed = "the name of a table in the job's folder or in a folder below it"
                yield Issue(("survey", index, key), found, allowed)


def _stays_inside(name: str, folder: Path) -> bool:
    """Tell whether a table's path stays in the job's folder, links followed."""
    windows = PureWindowsPath(name)
    # A job travels between machines: what leads out on one of them is refused on all.
    if PurePosixPath(name).is_absolute() or windows.drive or windows.root:
        return False
    if "\\" in name and ".." in windows.parts:
        return False
    try:
        home, table = folder.resolve(), (folder / name).resolve()
    except (OSError, ValueError, RuntimeError):
        return False
    return table != home and table.is_relative_to(home)
