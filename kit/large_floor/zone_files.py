"""A base in level zones, and the order in which they are built, as files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from kit.answer import survey_floor
from kit.job import Job
from kit.large_floor.columns import texts_with_columns
from kit.levels import Asked, Zones, part_into_zones
from kit.parts import Answer, Survey
from kit.results import result_texts
from kit.work_order import WorkOrder, order_of_work

Tell = Callable[[float], None]
#: Makes the papers of an answer, by their names; says what is being made, and how far: done, of.
PaperMaker = Callable[[Answer, Callable[[str, int, int], None]], Mapping[str, str | bytes]]


@dataclass(frozen=True, eq=False)
class ZonesDone:
    """Zones, and the order of the work.

    Parameters
    ----------
    zones : Zones
        From `kit.levels.part_into_zones`.
    order : WorkOrder
        From `kit.work_order.order_of_work`, zone by zone as they are numbered.
    start_mm : tuple of float
        Where the first walk begins [mm].
    """

    zones: Zones
    order: WorkOrder
    start_mm: tuple[float, float]


def zones_of_job(
    job: Job,
    base: str | None = None,
    zones: Asked = None,
    *,
    survey: Survey | None = None,
    start_mm: tuple[float, float] | None = None,
    tell: Tell | None = None,
) -> ZonesDone:
    """Part a base into level zones and put its stacks in the order of the work.

    Parameters
    ----------
    job : Job
        The job.
    base : str, optional
        Which base; the first unless given.
    zones : int or mapping of str to int, optional
        So many in each run, or in each run that is named; as many as take the least packing in any
        other.
    survey : Survey, optional
        Its floor, where it is known already.
    start_mm : tuple of float, optional
        Where the crates stand [mm]; the middle of the first doorway unless given, or the first
        run's left end where there is none.
    tell : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    Refusal
        As of `kit.levels.part_into_zones` and `kit.work_order.order_of_work`.
    """
    floor = survey_floor(job) if survey is None else survey
    parted = part_into_zones(job, floor, base, zones, tell)
    start = start_of(job) if start_mm is None else start_mm
    order = order_of_work({zone.name: zone.answer for zone in parted.zones}, start)
    return ZonesDone(parted, order, start)


def start_of(job: Job) -> tuple[float, float]:
    """Return where the crates come in: the middle of the first doorway, or the first run's end."""
    if not job.doorways:
        return job.runs[0].origin_mm
    (ax, ay), (bx, by) = job.doorways[0].from_mm, job.doorways[0].to_mm
    return (ax + bx) / 2, (ay + by) / 2


def zone_texts(done: ZonesDone) -> dict[str, str]:
    """Return all files by name: tables of zones and work, each zone's answer in its own folder."""
    texts = texts_with_columns({**done.zones.tables(), **done.order.tables()})
    for zone in done.zones.zones:
        texts |= {f"{zone.name}/{name}": text for name, text in result_texts(zone.answer).items()}
    return texts


def zone_papers(
    done: ZonesDone, maker: PaperMaker, tell: Tell | None = None
) -> dict[str, str | bytes]:
    """Return the papers of every zone, each in the zone's own folder.

    Parameters
    ----------
    done : ZonesDone
        From `zones_of_job`.
    maker : callable
        Makes the papers of one answer.
    tell : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    Refusal
        Where the papers of a zone cannot be made.
    """
    zones = done.zones.zones
    made: dict[str, str | bytes] = {}
    for number, zone in enumerate(zones):
        papers = maker(zone.answer, _part(tell, number, len(zones)))
        made |= {f"{zone.name}/{name}": content for name, content in papers.items()}
    return made


def _part(tell: Tell | None, number: int, count: int) -> Callable[[str, int, int], None]:
    """Return what tells how far the papers of one zone are; a zone is told once it is done.

    Within a zone the floors of the buying list and the files are each counted from nothing, so
    that their shares would not rise.
    """

    def told(what: str, done: int, of: int) -> None:
        if tell is not None and what == "done" and done == of:
            tell((number + 1) / count)

    return told
