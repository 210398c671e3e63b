"""Tables of the floor: job, readings, heights, suspects, plane, surface, high point."""

from __future__ import annotations

import math

from kit.answer import Survey
from kit.floor import Plane, Surface
from kit.ink.lengths import (
    NOTHING,
    Units,
    length,
    length_with_unit,
    number,
    plan_length,
    signed_small,
    small,
)
from kit.ink.table import Head, Table, figures, records
from kit.job import Job
from kit.readings import GLOBAL_TEST_LEVEL, Heights
from kit.readings.doubt import TWO_SIDED_999

#: From this size of a studentised residual on a reading is a suspect (Baarda, 0.1 %).
_SUSPECT = TWO_SIDED_999


def job_table(job: Job) -> Table:
    """Return what the job says about itself.

    Parameters
    ----------
    job : Job
        From `kit.read_job`.
    """
    floor = job.floor
    board = length_with_unit(floor.board_mm, job.units) if floor.board_mm is not None else ""
    units = [unit for run in job.runs for unit in run.units]
    values = {
        "job": job.title,
        "floor": f"{floor.kind}{', boards ' + board if board else ''}",
        "services under it": floor.services.replace("_", " "),
        "readings": ", ".join(f"{s.file} ({s.kind}, sd {s.sd_mm:g} mm)" for s in job.surveys),
        "heights above": floor.benchmark or "the highest reading",
        "runs": ", ".join(f"{r.name}: {len(r.units)} units" for r in job.runs),
        "units": ", ".join(unit.name for unit in units),
        "bases": ", ".join(base.name for base in job.bases),
    }
    return figures("The job", values)


def heights_table(job: Job, survey: Survey) -> Table:
    """Return the adjusted points: place, height, doubt and what is beside the plane.

    Parameters
    ----------
    job : Job
        What lengths are shown in.
    survey : Survey
        Heights and plane; ``answer.survey``.
    """
    units = job.units
    heads = (
        Head("point"),
        Head("x", units),
        Head("y", units),
        Head("height", units),
        Head("doubt, 1 sd", units),
        Head("residual, + hump", units),
    )
    rows = tuple(
        (
            str(one["point"]),
            plan_length(one["x_mm"], units),
            plan_length(one["y_mm"], units),
            length(one["height_mm"], units),
            small(one["sd_mm"], units),
            signed_small(residual, units),
        )
        for one, residual in zip(
            records(survey.heights.points), survey.plane.residual_mm, strict=True
        )
    )
    return Table("Heights of the floor", heads, rows, _first_note(survey.heights))


def points_table(heights: Heights, units: Units = "mm") -> Table:
    """Return the adjusted points alone."""
    heads = (
        Head("point"),
        Head("x", units),
        Head("y", units),
        Head("height", units),
        Head("doubt, 1 sd", units),
    )
    rows = tuple(
        (
            str(one["point"]),
            plan_length(one["x_mm"], units),
            plan_length(one["y_mm"], units),
            length(one["height_mm"], units),
            small(one["sd_mm"], units),
        )
        for one in records(heights.points)
    )
    return Table("Heights of the floor", heads, rows, _first_note(heights))


def _first_note(heights: Heights) -> str:
    """Return the note on what heights count from; the others stand in a list of their own."""
    return heights.notes[0] if heights.notes else ""


def agreement_table(heights: Heights) -> Table:
    """Return how well the readings agree with each other.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    """
    if not heights.redundancy:
        said = "nothing: no reading is checked by another, so a slip stays unseen"
        return figures("How well the readings agree", {"checked": said})
    sigma, p = heights.sigma0, heights.global_test_p
    verdict = (
        "they agree with what was said of them"
        if p >= GLOBAL_TEST_LEVEL
        else "they disagree: look again"
    )
    return figures(
        "How well the readings agree",
        {
            "readings that check others": f"{heights.redundancy}",
            "actual scatter over stated scatter": f"{number(sigma, 2)} (1 is as stated)",
            "chance of such a scatter if all is well": f"{_chance(p)}: {verdict}",
        },
    )


def _chance(p: float) -> str:
    return number(p, 3) if p >= 0.0005 else "under 0.001"


def misfit_table(heights: Heights, units: Units = "mm", most: int = 8) -> Table:
    """Return the readings that fit the others worst.

    Parameters
    ----------
    heights : Heights
        From the adjustment.
    units : {"mm", "in"}
        What lengths are shown in.
    most : int
        Rows at most.
    """
    table = heights.residuals
    checked = table[table["studentised"].abs().notna()]
    worst = checked.reindex(checked["studentised"].abs().sort_values(ascending=False).index)
    heads = (
        Head("table"),
        Head("row", "no."),
        Head("point"),
        Head("adjusted − read", units),
        Head("in its own sd's", "×"),
        Head("suspect"),
    )
    shown = worst.head(most)
    rows = tuple(
        (
            str(one["survey"]),
            f"{one['row']}",
            str(one["point"]),
            signed_small(float(one["residual_mm"]), units),
            number(float(one["studentised"]), 2),
            "✗ suspect" if bool(one["suspect"]) else "✓ no",
        )
        for one in records(shown)
    )
    bad = frozenset(n for n, yes in enumerate(shown["suspect"]) if bool(yes))
    note = f"Beyond {_SUSPECT} of its own standard deviations a reading is suspect (0.1 %)."
    return Table("Readings that fit the others worst", heads, rows, note, bad)


def plane_table(plane: Plane, robust: Plane | None = None, units: Units = "mm") -> Table:
    """Return the floor's even fall and what is left beside it.

    Parameters
    ----------
    plane : Plane
        The ordinary fit.
    robust : Plane, optional
        The fit that does not follow gross errors, shown beside it.
    units : {"mm", "in"}
        What lengths are shown in; falls stay in mm/m.
    """
    fits = [plane] if robust is None else [plane, robust]
    heads = (
        Head("figure"),
        *(Head(name, right=True) for name in ("plane", "robust plane")[: len(fits)]),
    )
    lines = {
        "rise along the wall [mm/m]": [
            f"{number(p.rise_x_mm_per_m, 2)} ± {number(p.rise_x_sd_mm_per_m, 2)}" for p in fits
        ],
        "rise out from the wall [mm/m]": [
            f"{number(p.rise_y_mm_per_m, 2)} ± {number(p.rise_y_sd_mm_per_m, 2)}" for p in fits
        ],
        "steepest fall [mm/m]": [number(p.fall_mm_per_m, 2) for p in fits],
        "falls towards": [_direction(p.fall_towards_deg) for p in fits],
        f"typical residual, rms [{units}]": [small(p.rms_mm, units) for p in fits],
        f"highest hump [{units}]": [signed_small(p.highest.residual_mm, units) for p in fits],
        f"deepest hollow [{units}]": [signed_small(p.lowest.residual_mm, units) for p in fits],
        "share of the unevenness that is plain fall": [number(p.r2, 2) for p in fits],
    }
    rows = tuple((name, *values) for name, values in lines.items())
    note = " ".join((*plane.notes, "± is one standard deviation."))
    return Table("The floor as a plane", heads, rows, note)


def _direction(degrees: float) -> str:
    if not math.isfinite(degrees):
        return NOTHING
    words = (
        "right",
        "right and out into the room",
        "out into the room",
        "left and out into the room",
        "left",
        "left and towards the wall",
        "the wall",
        "right and towards the wall",
    )
    return f"{degrees:.0f}°: {words[round(degrees / 45) % 8]}"


def surface_table(surface: Surface, units: Units = "mm") -> Table:
    """Return what the floor between the readings was drawn from.

    Parameters
    ----------
    surface : Surface
        The floor between the readings.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    spacing = plan_length(surface.median_spacing_mm, units)
    spread = small(math.sqrt(surface.variance_mm2), units)
    alike = plan_length(surface.length_mm, units)
    reach = "taken as a plane" if surface.length_mm == 0 else f"{alike} {units}"
    values = {
        "readings": f"{len(surface.x_mm)}",
        "typical distance of neighbours": f"{spacing} {units}",
        "unevenness beside the fall, 1 sd": f"{spread} {units}",
        "places nearer than this go up and down together": reach,
    }
    return figures("The floor between the readings", values, " ".join(surface.notes))
