"""The sentences that go with every base: what the kit cannot know, and what can hurt someone.

What this job calls for comes first, what always holds comes last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pandas as pd

from kit.base.cuts import CutPlan
from kit.base.datum import Datum, ceiling_height_mm
from kit.base.layout import Layout, footprint_loads, massless
from kit.base.runs import Panel, PlacedUnit
from kit.floor import HighPoint
from kit.job import Base, Floor, Job, Unit
from kit.job.ways import unused_keys

#: Said in every output.
#: Of saws and drills.
DUST = (
    "Cutting and drilling make dust, and dust of old boards, adhesives and screeds may be harmful:"
    " extraction, mask and eye protection; prove circuits near the work dead."
)

#: Of every screw that the kit has chosen.
PRE_DRILL = (
    "Pre-drill as deep as the screw is long and no deeper, with a stop on the bit: the"
    " drill point keeps the same limit. Set each screw beside the head of the one below it."
)

NO_APPROVAL = (
    "This is a sum over the readings given; it approves no floor and no structure."
    " Local codes and licensed practice come first."
)

#: A unit at least this tall is fixed to the wall [mm]: 27 in, the scope of ASTM F2057-23, which
#: leaves built-ins out; taken here as the height from which the caution is said.
TALL_MM = 686.0

#: What one person should not lift alone [kg] (common practice, no source).
LIFT_ALONE_KG = 25.0

#: Imposed load on the footprint from which the floor is referred to an engineer [kN/m2].
REFER_LOAD_KN_PER_M2 = 1.5

#: A side may stand so far beyond a bearer's end at a movement joint without a word of it [mm]
#: (common practice, no source).
_BESIDE_JOINT_MM = 1.0

#: Room that a unit needs beyond its diagonal to be tilted up [mm] (common practice, no source).
TILT_ROOM_MM = 10.0


def survey_cautions(
    suspects: Sequence[str],
    agreement: Sequence[str],
    high: HighPoint,
    under: pd.DataFrame,
    along: str = "bearer",
) -> Iterator[str]:
    """Yield what the readings leave open.

    Parameters
    ----------
    suspects, agreement : sequences of str
        Sentences of the adjustment.
    high : HighPoint
        The high point under the base.
    under : DataFrame
        The floor under the base: bearer, own_x_mm, surveyed.
    along : str
        What lies along a row, see `kit.job.ways.Way`.

    Yields
    ------
    str
        One sentence each.
    """
    yield from suspects
    yield from agreement
    if high.next_reading is not None:
        x, y = high.next_reading
        yield (
            f"The place of the high point is only {high.certainty:.0%} certain (the floor may be"
            f" {high.regret_mm:.2f} mm higher elsewhere, on average); the next reading at"
            f" x = {x:.0f}, y = {y:.0f} mm would tell most."
        )
    unknown = under[~under["surveyed"]]
    clears = "the bearer clears it" if along == "bearer" else "it is no higher than beside it"
    for name, of_row in unknown.groupby("bearer", sort=False):
        places = of_row["own_x_mm"]
        yield (
            f"The floor under {along} {name} was not surveyed at x = {places.min():.0f}"
            f" to {places.max():.0f} mm: check by hand that {clears}."
        )


def base_cautions(
    job: Job, layout: Layout, cuts: CutPlan, datum: Datum, along: str = "bearer"
) -> Iterator[str]:
    """Yield what this base calls for.

    Parameters
    ----------
    job : Job
        Ceiling and benchmark.
    layout : Layout
        Units and bearers in plan.
    cuts : CutPlan
        The cutting list.
    datum : Datum
        The chosen level.
    along : str
        What lies along a row, see `kit.job.ways.Way`.

    Yields
    ------
    str
        One sentence each.
    """
    yield from _load_cautions(layout)
    yield from _unit_cautions(job, layout, datum)
    yield from _overhang_cautions(layout, along)
    if not cuts.proven:
        yield f"The cutting list may waste up to {cuts.gap_mm:.0f} mm more than needed."
    if datum.plan.caution:
        yield datum.plan.caution


def unused_cautions(base: Base) -> Iterator[str]:
    """Yield what the job file gives of a base and its way of building does not look at."""
    unused = unused_keys(base)
    if unused:
        yield f"Given in the job file, and not used by this way of building: {', '.join(unused)}."


def standing_cautions(
    floor: Floor, *, screws: bool = True, known_services: bool = False
) -> Iterator[str]:
    """Yield the cautions that hold on every job with such a floor.

    Parameters
    ----------
    floor : Floor
        Its kind and what is known of its services.
    screws : bool
        Whether the base has screws that the kit has chosen.
    known_services : bool
        Whether the job names pipes or cables.

    Yields
    ------
    str
        One sentence or two each; the hold point first where the services are unknown.

    Notes
    -----
    Cable rule: BS 7671, 522.6.201. The rest: common practice, no source.
    """
    yield from _services(floor, known=known_services) if screws else _own_fixings(floor)
    if floor.kind == "boarded":
        yield "Fix loose boards and load the floor before the last reading; it moves under weight."
    if screws:
        yield PRE_DRILL
    yield DUST
    yield NO_APPROVAL


def _own_fixings(floor: Floor) -> Iterator[str]:
    """Say what holds for whatever a fitter fixes to the floor where the base itself does not."""
    unknown = " Nobody has said what runs under this floor." if floor.services == "unknown" else ""
    yield (
        "Hold point: this base puts no screw into the floor; before you fix anything to it by your"
        " own choice, locate pipes, cables, heating and membranes with a detector, the drawings"
        f" and a lifted board.{unknown}"
    )


def _services(floor: Floor, *, known: bool) -> Iterator[str]:
    if floor.services == "unknown":
        yield (
            "Hold point: locate services before any screw. Nobody has said what runs under this"
            " floor; no screw is safe until it has been looked for."
        )
    if known:
        yield (
            "Known services are reckoned from the centre of each packer: set a screw elsewhere in"
            " the packer only after measuring its own distance."
        )
    yield (
        "The kit cannot see pipes, cables, heating or membranes: it knows only what the job"
        " file says. Find them with a detector, the drawings and a lifted board."
    )
    yield (
        "BS 7671 522.6.201: a cable through a joist lies at least 50 mm from the top of the"
        " joist, or is protected. A cable may have been laid otherwise, and pipes follow other"
        " rules: the rule is no leave to screw deeper."
    )


def _load_cautions(layout: Layout) -> Iterator[str]:
    loads = footprint_loads(layout)
    name, worst = max(loads.items(), key=lambda item: item[1])
    above = sum(load > REFER_LOAD_KN_PER_M2 for load in loads.values())
    if above:
        more = "more unit lies" if above == 2 else "more units lie"
        others = f", and {above - 1} {more} above the limit too" if above > 1 else ""
        yield (
            f"Unit {name!r} puts {worst:.2f} kN/m2 on its footprint, above"
            f" {REFER_LOAD_KN_PER_M2:g}{others}: have a structural engineer look at the floor."
        )
    empty = massless(layout.units, several_runs=len(layout.frames) > 1)
    if empty:
        yield (
            f"No mass_kg, or 0, is given for {_listed(empty)}: only contents, if any, are in the"
            " loads, and what carries them is not checked."
        )


def _unit_cautions(job: Job, layout: Layout, datum: Datum) -> Iterator[str]:
    units = [placed.unit for placed in layout.units]
    heavy = [unit.name for unit in units if unit.mass_kg > LIFT_ALONE_KG]
    if heavy:
        yield f"Lift with two, knees bent: {_listed(heavy)} over {LIFT_ALONE_KG:g} kg."
    if job.room.ceiling_mm is not None:
        ceiling = ceiling_height_mm(job, job.room.ceiling_mm)
        for unit in units:
            yield from _tilt_caution(unit, ceiling - TILT_ROOM_MM, datum)


def _tilt_caution(unit: Unit, reach_mm: float, datum: Datum) -> Iterator[str]:
    """Say how a unit can be stood up: on the base, on the floor and then lifted, or not at all."""
    diagonal = (unit.height_mm**2 + unit.depth_mm**2) ** 0.5
    if datum.base_top_mm + diagonal <= reach_mm:
        return
    if datum.high_point_mm + diagonal <= reach_mm:
        how = "stand it up on the floor, then lift it on"
    else:
        how = "nor on the floor beside it; carry it in upright or build it in place"
    yield (
        f"Unit {unit.name!r} cannot be tilted up on the base under the ceiling, its diagonal is"
        f" {diagonal:.0f} mm; {how}."
    )


def _overhang_cautions(layout: Layout, along: str) -> Iterator[str]:
    for row in layout.rows:
        for placed, panel in row.panels:
            beyond = max(row.start_mm - panel.x_mm, panel.x_mm - row.end_mm)
            left = panel.x_mm < row.start_mm
            joint = row.joints[0 if left else 1]
            # By less a side stands on what keeps clear of a joint as it does elsewhere.
            if beyond > (_BESIDE_JOINT_MM if joint else 0):
                which = f"{'left' if left else 'right'} side"
                # At a joint either side of a unit, or a division, may stand there.
                which = _panel_words(placed, panel) if joint else which
                yield (
                    f"The {which} of unit {placed.unit.name!r} stands {beyond:.0f} mm"
                    f" beyond the end of {along} {row.name}"
                    f"{f' at movement joint {joint!r}' if joint else ''}; that end carries it."
                )


def _panel_words(placed: PlacedUnit, panel: Panel) -> str:
    """Return which panel of a unit it is."""
    if panel.kind == "side":
        return "left side" if panel == placed.panels[0] else "right side"
    return f"division at {panel.x_mm - placed.left_mm:g} mm"


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:4])
    return shown if len(names) <= 4 else f"{shown} and {len(names) - 4} more"
