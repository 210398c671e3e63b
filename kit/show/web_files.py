"""The parts of a widget's view, as files of the packages, joined into one module."""

from __future__ import annotations

from functools import cache
from importlib import resources


@cache
def web_file(package: str, name: str) -> str:
    """Return the text of a file in the folder ``web`` of a package."""
    return resources.files(package).joinpath("web", name).read_text(encoding="utf-8")


def joined(*parts: tuple[str, str]) -> str:
    """Return files of packages as one module: a notebook loads a widget as a single file.

    Parameters
    ----------
    *parts : tuple of (str, str)
        Package and name of each file, in the order in which they depend on each other.
    """
    return "\n".join(web_file(package, name) for package, name in parts)
