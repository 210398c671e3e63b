"""The worst of many ratios, with the place where it is, as one check."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kit.base.checks import CLOSED_MM, Check


@dataclass(frozen=True)
class Worst:
    """The worst of several ratios, and where it is."""

    ratio: float
    where: str


def worst_of(ratios: Iterable[Worst]) -> Worst:
    """Return the largest ratio; 0 where there is none."""
    return max(ratios, key=lambda one: one.ratio, default=Worst(0.0, "nothing on it"))


def ratio_check(check: str, bearer: str, worst: Worst, source: str) -> Check:
    """Judge a ratio: up to 1 it is ok, above it is referred."""
    verdict = "ok" if worst.ratio <= 1 + CLOSED_MM else "refer"
    return Check(check, f"{bearer}: {worst.where}", worst.ratio, 1.0, "of design", verdict, source)
