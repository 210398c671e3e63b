"""Jobs and bases on level floors, made by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from kit.base.checks import Check
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.layout import Layout, lay_out
from kit.job import Floor, Job, Stock
from kit.strength.bearer_checks import bearer_checks
from kit.strength.bearers import PieceAtRest, lay_bearers
from kit.strength.pieces import Pieces, bearer_pieces

UNIT = {
    "name": "case",
    "width_mm": 900.0,
    "depth_mm": 320.0,
    "height_mm": 1100.0,
    "side_mm": 20.0,
    "mass_kg": 30.0,
    "contents_kg": 60.0,
}


@pytest.fixture
def job_of() -> Callable[..., Job]:
    """Make a job with one run of units; each given unit says how it differs from `UNIT`."""

    def make(*units: Mapping[str, Any], base: Mapping[str, Any] | None = None, **more: Any) -> Job:
        made = tuple(
            {**UNIT, "name": f"case {number}", **unit}
            for number, unit in enumerate(units or ({},), start=1)
        )
        stock = {"packers": ({"mm": 18.0}, {"mm": 3.0}, {"mm": 1.0}), **more.pop("stock", {})}
        return Job.model_validate(
            {
                "schema": 1,
                "title": "boot room",
                "floor": {"kind": "solid"},
                "survey": ({"kind": "heights", "file": "h.csv"},),
                "run": ({"name": "A", "unit": made},),
                "base": ({"name": "b", "height_mm": (40.0, 60.0), **(base or {})},),
                "stock": stock,
                "folder": Path(),
                **more,
            }
        )

    return make


@pytest.fixture
def cut() -> Callable[[Job, Layout], CutPlan]:
    """Cut the bearers of a layout."""

    def make(job: Job, layout: Layout) -> CutPlan:
        lines = [
            BearerLine(
                row.name,
                row.run,
                row.label,
                row.start_mm,
                row.end_mm,
                tuple(stand.x_mm for stand in stands),
                tuple(layout.on_bearer(row.name)["support"]),
                (),
            )
            for row, stands in zip(layout.rows, layout.stands, strict=True)
        ]
        return cut_bearers(lines, job.bases[0].bearer, layout.packer_size_mm[0])

    return make


@pytest.fixture
def laid_out(cut: Callable[[Job, Layout], CutPlan]) -> Callable[[Job], tuple[Layout, CutPlan]]:
    """Lay out a job's first base and cut its bearers."""

    def make(job: Job) -> tuple[Layout, CutPlan]:
        layout = lay_out(job, job.bases[0])
        return layout, cut(job, layout)

    return make


@pytest.fixture
def laid_of(laid_out: Callable[[Job], tuple[Layout, CutPlan]]) -> Callable[..., Any]:
    """Lay a job's bearers on stacks that are level but for the errors given [mm]."""

    def make(job: Job, **errors: float) -> tuple[Pieces, tuple[PieceAtRest, ...]]:
        layout, cuts = laid_out(job)
        pieces = bearer_pieces(layout, cuts.cuts, job.bases[0].bearer)
        names = [name for piece in pieces.pieces for name in piece.supports]
        return pieces, lay_bearers(pieces, dict.fromkeys(names, 0.0) | errors, 1)

    return make


@pytest.fixture
def rows_of() -> Callable[..., dict[tuple[str, str], Check]]:
    """Judge bearers; the rows by check and bearer."""
    stock = Stock(packers=({"mm": 18.0},))

    def make(
        pieces: Pieces,
        laid: Sequence[PieceAtRest],
        floor: Floor = Floor(kind="solid"),  # noqa: B008 - frozen
        stock: Stock = stock,
    ) -> dict[tuple[str, str], Check]:
        rows = list(bearer_checks(pieces, laid, floor, stock, 1))
        return {(row.check, row.subject.split(":")[0]): row for row in rows}

    return make
