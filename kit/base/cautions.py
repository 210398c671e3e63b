"""The sentences that go with every base: what the kit cannot know, and what can hurt someone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kit.base.layout import GRAVITY_N_PER_KG, Layout
from kit.job import Base, Job

#: Said in every output.
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


def base_cautions(job: Job, base: Base, layout: Layout) -> Iterator[str]:
    """Yield the cautions that the job itself calls for, most urgent first.

    Parameters
    ----------
    job : Job
        Floor, units and ceiling.
    base : Base
        The design.
    layout : Layout
        Units and bearers in plan.

    Yields
    ------
    str
        One sentence each.
    """
    yield NO_APPROVAL
    yield from _load_cautions(layout)
    yield from _unit_cautions(job, base, layout)
    if job.floor.kind == "boarded":
        yield "Fix loose boards and load the floor before the last reading; it moves under weight."
    yield "Cutting and drilling make dust: extraction and a mask; eye protection at the saw."


def _load_cautions(layout: Layout) -> Iterator[str]:
    for run in layout.frames:
        units = [placed.unit for placed in layout.units if placed.run == run]
        area_m2 = sum(unit.width_mm * unit.depth_mm for unit in units) / 1e6
        mass = sum(unit.mass_kg + unit.contents_kg for unit in units)
        load = mass * GRAVITY_N_PER_KG / 1000 / area_m2
        if load > REFER_LOAD_KN_PER_M2:
            yield (
                f"Run {run} puts {load:.2f} kN/m2 on its footprint, above"
                f" {REFER_LOAD_KN_PER_M2:g}: have a structural engineer look at the floor."
            )
        if mass == 0:
            yield f"Run {run}: no mass and no contents are given, so every load is written as 0."


def _unit_cautions(job: Job, base: Base, layout: Layout) -> Iterator[str]:
    units = [placed.unit for placed in layout.units]
    heavy = [unit.name for unit in units if unit.mass_kg > LIFT_ALONE_KG]
    if heavy:
        yield f"Lift with two, knees bent: {_listed(heavy)} over {LIFT_ALONE_KG:g} kg."
    tall = [unit.name for unit in units if unit.height_mm >= TALL_MM]
    if tall:
        yield f"Fix to the wall against tipping before loading: {_listed(tall)}."
    if job.room.ceiling_mm is not None:
        for unit in units:
            diagonal = (unit.height_mm**2 + unit.depth_mm**2) ** 0.5
            if diagonal + base.height_range_mm[1] > job.room.ceiling_mm - 10:
                yield (
                    f"Unit {unit.name!r} may not tilt up on the base under the ceiling"
                    f" (diagonal {diagonal:.0f} mm): stand it up on the floor, then lift it on."
                )
    yield from _overhang_cautions(layout)


def _overhang_cautions(layout: Layout) -> Iterator[str]:
    for row in layout.rows:
        for placed in row.units:
            for panel in placed.panels:
                beyond = max(row.start_mm - panel.x_mm, panel.x_mm - row.end_mm)
                if beyond > 0:
                    yield (
                        f"A side of unit {placed.unit.name!r} stands {beyond:.0f} mm beyond the"
                        f" end of bearer {row.name}; its load comes down on the end stack."
                    )


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:4])
    return shown if len(names) <= 4 else f"{shown} and {len(names) - 4} more"
