"""What else has to be said of a thing at the counter besides its name and size."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kit.base.bill import Item
from kit.job import Base, Job
from kit.strength.foot_checks import foot_name


def detail_of(job: Job, base: Base, item: Item) -> str:
    """Return section, grade, plate … of a thing; empty where the job says no more of it.

    Parameters
    ----------
    job, base : Job, Base
        What was asked.
    item : Item
        Of the base's bill, or a plinth board.
    """
    told = _DETAILS.get(item.item.split()[0])
    return told(job, base, item) if told else ""


def _packer(job: Job, _base: Base, _item: Item) -> str:
    along, across = job.stock.packer_size_mm
    return f"{along:g} × {across:g} mm"


def _screw(job: Job, base: Base, item: Item) -> str:
    if item.item != "screw":
        return _foot(base, item)
    diameter = job.stock.screw_diameter_mm
    return "" if diameter is None else f"{diameter:g} mm thick"


def _foot(base: Base, item: Item) -> str:
    foot = next(one for one in base.feet if item.item.endswith(foot_name(one)))
    bears = "" if foot.bears_n is None else f", bears {foot.bears_n:g} N"
    return f"plate {foot.plate_mm:g} mm{bears}"


def _bearer(_job: Job, base: Base, _item: Item) -> str:
    bearer = base.bearer
    return f"{bearer.width_mm:g} × {bearer.thickness_mm:g} mm, {bearer.strength_class}"


def _ladder(_job: Job, base: Base, _item: Item) -> str:
    return f"{base.ladder.thickness_mm:g} mm thick" if base.ladder else ""


def _plinth(_job: Job, base: Base, _item: Item) -> str:
    return f"{base.plinth.thickness_mm:g} mm thick" if base.plinth else ""


def _compound(_job: Job, base: Base, _item: Item) -> str:
    return f"{base.compound.bag_kg:g} kg" if base.compound else ""


_DETAILS: Mapping[str, Callable[[Job, Base, Item], str]] = MappingProxyType(
    {
        "packer": _packer,
        "screw": _screw,
        "bearer": _bearer,
        "ladder": _ladder,
        "plinth": _plinth,
        "compound": _compound,
    }
)
