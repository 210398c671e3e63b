"""What a buying list promises, and what it does not, in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kit.base.plinth_ends import ends_sentence, plinth_ends
from kit.buying.lines import Line
from kit.job import Job
from kit.methods import as_expected, method_of
from kit.parts import Answer
from kit.side_by_side.doubt import well_stocked


@dataclass(frozen=True)
class Found:
    """What the drawn floors told; shares as in `kit.buying.listing.BuyingList`.

    Parameters
    ----------
    floors, seed : int
    certainty, reached, plan_suffices, moved, not_built : float
    unscrewed : float
        On which share of all floors some step of a stack finds no screw in stock that serves.
    """

    floors: int
    seed: int
    certainty: float
    reached: float
    plan_suffices: float
    moved: float
    not_built: float
    unscrewed: float


def notes_of(answer: Answer, lines: Sequence[Line], found: Found) -> tuple[str, ...]:
    """Return what must be said along with the figures."""
    return (
        *_promise(lines, found),
        *_level(found),
        *_stock(answer, lines),
        *_spares(answer.job, lines),
        *_screws(found),
        *_boxes(answer.job, lines),
        *_plinth_ends(answer),
        *_prices(lines),
        *_dearer(answer, lines),
        "This list counts things and approves nothing: what carries the base, what was not checked"
        " and all cautions stand on the job sheet.",
    )


def odds(share: float) -> str:
    """Return a share of floors in words.

    Examples
    --------
    >>> odds(0.95), odds(0.99), odds(0.965)
    ('19 floors of 20', '99 floors of 100', '193 floors of 200')
    """
    found = Fraction(share).limit_denominator(1000)
    small = Fraction(share).limit_denominator(20)
    best = small if abs(float(small) - share) < 1e-9 else found
    return f"{best.numerator} floors of {best.denominator}"


def percent(share: float) -> str:
    """Return a share in per cent, told so that little is not none and nearly all is not all."""
    if 0 < share < 0.001:
        return "less than 0.1 %"
    if 0.999 < share < 1:
        return "more than 99.9 %"
    return f"{round(100 * share, 1):g} %"


def _promise(lines: Sequence[Line], found: Found) -> Iterator[str]:
    """Say what the difference of plan and list is."""
    if math.isnan(found.reached):
        yield (
            f"On hardly any of {found.floors} floors that fit the readings (seed {found.seed}) can"
            " the base be built so: the list is no more than the plan takes."
        )
        return
    where = " on which the base can be built" if found.not_built else ""
    yield (
        f"On {odds(found.certainty)} that fit the readings{where} this list suffices; tried on"
        f" floors that it was not made from, it sufficed on {percent(found.reached)}. What the plan"
        " takes for the floor as it is expected suffices on"
        f" {percent(found.plan_suffices)} of them."
        f" {_more(lines)} Found on {found.floors} drawn floors, seed {found.seed}."
    )
    if any(line.item == "packer" for line in lines):
        yield (
            "A floor is counted as served if each thing that its own best stacks take is on the"
            " list; on site other stacks will often do too."
        )


def _more(lines: Sequence[Line]) -> str:
    """Return what the list has beyond the plan."""
    added = [
        f"{line.enough - line.plan} × {named(line)}" for line in lines if line.enough > line.plan
    ]
    return f"Beyond the plan it has {'; '.join(added)}." if added else "It is what the plan takes."


def named(line: Line) -> str:
    """Return a thing with its size.

    What is told by its depth or travel has that in its name, and its length behind it.
    """
    if not math.isfinite(line.size_mm) or line.item.startswith("screw foot"):
        return line.item
    if "mm" in line.item:
        return f"{line.item}, {line.size_mm:g} mm long"
    # All digits of a size in inches: 3/64 in is 1.190625 mm.
    return f"{line.item} of {line.size_mm:.12g} mm"


def _level(found: Found) -> Iterator[str]:
    if found.moved:
        yield (
            "The level stays where it was planned; on"
            f" {percent(found.moved)} of the floors the base cannot be built there and the level is"
            " set anew within the heights asked for."
        )
    if found.not_built:
        yield (
            f"On {percent(found.not_built)} of the floors the base cannot be built so at all,"
            " whatever is bought: read the floor closer before you buy, or allow other heights."
        )


def _stock(answer: Answer, lines: Sequence[Line]) -> Iterator[str]:
    if any(line.in_stock is None for line in lines):
        yield (
            "Only what is counted in the job file is known to be in stock; where nothing was said"
            " of a thing none of it is counted on, and all of it is bought."
        )
    measured = [one for one in answer.job.stock.packers if one.measured_mm is not None]
    sizes = {one.mm for one in measured}
    if any(one.item == "packer" and one.packs and one.size_mm in sizes for one in lines):
        yield (
            "Packers of a new pack may be of another thickness than those that were measured:"
            " measure them before they are laid, and set the stacks anew if they differ."
        )
    if _short_of_stock(answer):
        yield (
            "The plan makes do with what is in stock; with as many packers or feet as wanted it"
            " would take others, and those are what is counted on the drawn floors. The list has"
            " both."
        )


def _short_of_stock(answer: Answer) -> bool:
    """Tell whether counts in stock changed the plan."""
    job, base = well_stocked(answer.job, answer.base)
    if (job.stock, base) == (answer.job.stock, answer.base):
        return False
    method, lie = method_of(base), as_expected(answer.ground)
    datum = method.set_level(job, base, answer.ground, lie)
    bill = method.bill(job, base, answer.ground, lie, datum, answer.screws)
    return [(i.item, i.size_mm, i.count) for i in bill.items if i.count] != [
        (i.item, i.size_mm, i.count) for i in answer.bill.items if i.count
    ]


def _spares(job: Job, lines: Sequence[Line]) -> Iterator[str]:
    kinds = [word for word in ("packer", "screw") if any(line.item == word for line in lines)]
    if not kinds:
        return
    of = " and ".join(f"{kind}s" for kind in kinds)
    if not job.stock.spare_percent:
        yield f"No spare {of}: stock.spare_percent is 0."
        return
    yield (
        f"Spares of {of}: {job.stock.spare_percent:g} %, at least one of each kind (common"
        " practice, no source), then rounded up to whole packs and boxes."
    )


def _screws(found: Found) -> Iterator[str]:
    if found.unscrewed:
        yield (
            f"On {percent(found.unscrewed)} of the floors some step of a stack finds no length"
            " among stock.screws_mm that serves (the table of screws says which would): such screws"
            " are not on the list."
        )


def _prices(lines: Sequence[Line]) -> Iterator[str]:
    unpriced = [line for line in lines if math.isnan(line.cost)]
    if unpriced and len(unpriced) == sum(line.packs > 0 for line in lines):
        yield "No prices are given: what it costs cannot be told."
    elif unpriced:
        yield f"No price is given of {'; '.join(map(named, unpriced))}: not in the sum."


def _boxes(job: Job, lines: Sequence[Line]) -> Iterator[str]:
    """Yield how many screws a box is taken to hold where nobody said."""
    if "screw_box" in job.stock.model_fields_set:
        return
    if any(line.sold_by == "box" and line.packs for line in lines):
        yield f"A box of screws is taken to hold {job.stock.screw_box}: say stock.screw_box."


def _dearer(answer: Answer, lines: Sequence[Line]) -> Iterator[str]:
    """Yield why the list costs more than the material of the plan."""
    cost = math.fsum(line.cost for line in lines if math.isfinite(line.cost))
    planned, money = answer.bill.cost, answer.job.rates.money
    if cost > planned > 0:
        yield (
            f"The list costs more than the material of the plan, {planned:.2f} {money}: packs and"
            " boxes are bought whole, spares are added, and the floor may be other than expected."
        )


def _plinth_ends(answer: Answer) -> Iterator[str]:
    """Yield which boards of the plinth are on no list."""
    for run, what in plinth_ends(answer.job, answer.base, answer.layout).items():
        yield f"Plinth of run {run}: {ends_sentence(what)}."
