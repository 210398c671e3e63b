"""Two bases on one floor: every measure of both, how sure it is, and where the better one turns."""

from kit.side_by_side.comparison import Comparison, Row, compare
from kit.side_by_side.doubt import Doubt
from kit.side_by_side.measure import Measure
from kit.side_by_side.turning import Sweep, Turning, turning_points
from kit.side_by_side.turning_table import turning_table
from kit.side_by_side.weighing import Weighing, weigh
from kit.side_by_side.words import verdict

__all__ = [
    "Comparison",
    "Doubt",
    "Measure",
    "Row",
    "Sweep",
    "Turning",
    "Weighing",
    "compare",
    "turning_points",
    "turning_table",
    "verdict",
    "weigh",
]
