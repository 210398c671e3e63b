from __future__ import annotations
from dataclasses import dataclass
import numpy as np


@dataclass(frozen=True)
class PlanFrame:
    left_mm: float
    top_mm: float
    px_per_mm: float
    width_px: float
    height_px: float

    def to_px(self, x, y):
        return ((x - self.left_mm) * self.px_per_mm, (y - self.top_mm) * self.px_per_mm)


def frame_of(job, layout, width_px):
    xs, ys = [], []
    for p in layout.units:
        x, y = layout.frames[p.run].to_site(
            [p.left_mm, p.right_mm, p.left_mm, p.right_mm], [0, 0, p.unit.depth_mm, p.unit.depth_mm]
        )
        xs += list(x)
        ys += list(y)
    l, r, t, b = min(xs) - 250, max(xs) + 250, min(ys) - 250, max(ys) + 250
    s = max(width_px / (r - l), 0.09)
    return PlanFrame(l, t, s, (r - l) * s, (b - t) * s)
