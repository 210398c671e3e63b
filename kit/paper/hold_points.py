"""Where the work stops until somebody has looked and signed, in the trade's order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kit.answer import Answer
from kit.base.built_off import expected_off
from kit.base.drying import drying_days
from kit.ink.inch_words import in_units
from kit.ink.lengths import length_with_unit, plan_length, small
from kit.ink.words import on_bearers, on_packers
from kit.job import Job
from kit.job.ways import way_of
from kit.paper.document import Heading, Part, Signatures
from kit.paper.high_place import where_words

#: Checks that name supports which carry nothing as they stand.
_IDLE = ("bearer lifting off a stack", "stack idle under a stiff unit")

_DECISIONS = ("fail", "refer")


@dataclass(frozen=True)
class HoldPoint:
    """A place in the work that nobody passes without a signature.

    Parameters
    ----------
    name : str
        What it is.
    when : str
        Before what.
    true : str
        What must be true.
    """

    name: str
    when: str
    true: str

    @property
    def line(self) -> str:
        """The hold point in one line."""
        return f"{self.name} ({self.when}): {self.true}"


def hold_parts(answer: Answer) -> Iterator[Part]:
    """Yield the hold points of a job with places to sign.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    yield Heading("Hold points: stop until it is signed (a signature approves no floor)")
    points = hold_points(answer)
    yield Signatures(tuple(f"{place}. {point.line}" for place, point in enumerate(points, start=1)))


def hold_points(answer: Answer) -> tuple[HoldPoint, ...]:
    """Return the hold points of a job in the order of the work.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of HoldPoint
        Those of every base, and those that this job needs.
    """
    return (
        *_readings(answer),
        *_floor_unread(answer),
        *_referred(answer),
        _datum(answer),
        services_point(answer),
        *_poured(answer),
        _accepted(answer),
        HoldPoint(
            "Units fixed",
            "before anything is put into them",
            "every unit is fixed to the wall at its top and to its neighbours.",
        ),
    )


def _readings(answer: Answer) -> Iterator[HoldPoint]:
    """Yield what has to be read again before anything rests on it."""
    high, found = answer.high_point, []
    suspects = len(answer.heights.suspects)
    if suspects:
        count = "the reading" if suspects == 1 else f"the {suspects} readings"
        found.append(
            f"☐ hold {count} in doubt (see cautions) again, or leave out what is wrong and solve"
            " anew"
        )
    if high.next_reading is not None:
        where = where_words(answer, *high.next_reading)
        found.append(
            f"☐ read the floor {where}, and lay a straight edge from there to the high point, which"
            f" is only {high.certainty:.0%} certain; sign when nothing higher is found, else enter"
            " what you read and solve anew"
        )
    if found:
        yield HoldPoint("Readings settled", "before the datum is agreed", f"{'; '.join(found)}.")


def _floor_unread(answer: Answer) -> Iterator[HoldPoint]:
    """Yield where nobody read the floor under a row."""
    unread, units = answer.under[~answer.under["surveyed"]], answer.job.units
    along = way_of(answer.base).along
    clears = "the bearer clears it" if along == "bearer" else "it is no higher than beside it"
    said = [
        f"{along} {name}, {plan_length(of['own_x_mm'].min(), units)} to"
        f" {plan_length(of['own_x_mm'].max(), units)} {units} along the run"
        for name, of in unread.groupby("bearer", sort=False)
    ]
    if said:
        yield HoldPoint(
            "Floor that nobody read",
            "before the datum is agreed",
            f"checked by hand that {clears}: {'; '.join(said)}.",
        )


def _datum(answer: Answer) -> HoldPoint:
    units = answer.job.units
    top = length_with_unit(answer.datum.base_height_mm, units)
    fits = [] if answer.base.plinth is None else ["plinth"]
    fits += ["doors", "skirting", "what the tops must meet"]
    return HoldPoint(
        "Datum agreed",
        "before the first support is set",
        f"a base top {top} above the high point suits {', '.join(fits)}; the level is marked on"
        " the wall and the instrument checked.",
    )


def services_point(answer: Answer) -> HoldPoint:
    """Return the hold point before any screw: what may run under the floor, as far as known.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    floor, units = answer.job.floor, answer.job.units
    known = {
        "unknown": "Nobody has said what runs under this floor.",
        "no_fixings": "Nothing may enter this floor: no screw, no plug, no drill.",
        "checked": "The job says that the floor was looked into; make sure of it at each place.",
    }[floor.services]
    clear = (
        f" Found clear to {floor.clear_below_mm:g} mm." if floor.clear_below_mm is not None else ""
    )
    named = ", ".join(
        f"{one.name} at a depth of {one.depth_mm:g} mm" for one in answer.job.services
    )
    marked = f" Known: {named}." if named else ""
    said = (
        "pipes, cables, heating, membranes found (detector, drawings, lifted board) and marked."
        f" {known}{clear}{marked}"
    )
    return HoldPoint("Services located", "before any screw or drill", in_units(said, units))


def _poured(answer: Answer) -> Iterator[HoldPoint]:
    compound = answer.base.compound
    if answer.base.method != "compound" or compound is None:
        return
    yield HoldPoint(
        "Floor ready for the pour",
        "before mixing",
        "clean, sound and primed as the compound's maker says; edges and every gap sealed; level"
        " pins set; nothing below it that must be reached again.",
    )
    deepest = float(answer.details["zones.csv"]["greatest_mm"].max())
    yield HoldPoint(
        "Compound dry",
        "before anything stands on it",
        f"{drying_days(compound, deepest):g} days, counted where it is deepest, and tested dry.",
    )


def _accepted(answer: Answer) -> HoldPoint:
    units, within = answer.job.units, accepted_mm(answer)
    said = [
        f"every support read again and within {small(within, units)} {units} of one level"
        f"{_still_off(answer, within)}",
        *_frame(answer),
        *_screws(answer),
    ]
    checks = answer.checks
    if (checks["check"].isin(_IDLE) & checks["verdict"].isin(_DECISIONS)).any():
        said.append("idle stacks shimmed to bear (see cautions)")
    return HoldPoint("Base accepted", "before a unit stands on it", f"{'; '.join(said)}.")


def accepted_mm(answer: Answer) -> float:
    """Return how far off one level a support of the finished base may be [mm].

    Parameters
    ----------
    answer : Answer
        From `kit.solve`. What its job says of the base as built counts, if it is of this base;
        else the tolerance that it was planned by, or what its supports can be set to.
    """
    job, base = answer.job, answer.base
    built = job.as_built
    if built is not None and built.tolerance_mm is not None and base.name == built_name(job):
        return built.tolerance_mm
    return max(answer.worst_error_mm, base.tolerance_mm)


def built_name(job: Job) -> str:
    """Return which base of a job is the one that was built."""
    named = job.as_built.base if job.as_built is not None else None
    return named or job.bases[0].name


def _still_off(answer: Answer, within_mm: float) -> str:
    """Return how many stacks will be further off, built exactly as listed.

    Empty where that is hardly any, and where every support is set by hand until it is level.
    """
    if not on_packers(answer):
        return ""
    supports, units = answer.supports, answer.job.units
    doubts = supports["floor_sd_mm"]
    count = round(expected_off(answer.datum.plan.error_mm, doubts, within_mm))
    if not count:
        return ""
    return (
        f" (built exactly as listed, about {count} of {len(supports)} will still be off by more,"
        f" for the floor is known to {small(float(doubts.median()), units)} {units}, 1 sd: expect"
        " to change those by the thinnest packers)"
    )


def _frame(answer: Answer) -> Iterator[str]:
    if answer.base.method == "ladder":
        backed = ", joints backed" if answer.cuts.joints else ""
        yield f"frame scribed and held in place{backed}"
    elif on_bearers(answer.ground) and answer.cuts.joints:
        yield "joints of the bearers over their stacks"


def _screws(answer: Answer) -> Iterator[str]:
    if len(answer.screws) and answer.screws["length_mm"].isna().any():
        yield "decided how each step that no screw serves is held"
    elif len(answer.screws):
        yield "all screws driven to the lengths of this sheet"


def _referred(answer: Answer) -> Iterator[HoldPoint]:
    count = int(answer.checks["verdict"].isin(_DECISIONS).sum())
    if count:
        what = "1 check fails or refers" if count == 1 else f"{count} checks fail or refer"
        yield HoldPoint(
            "Open checks decided",
            "before the datum is agreed",
            f"{what}; for each somebody who may has decided what is done (see Checks).",
        )
