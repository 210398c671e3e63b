"""Laser scans: from millions of points to the heights of a floor, in bounded memory."""

from kit.scan.found import ScanFloor
from kit.scan.lowest import find_floor
from kit.scan.made import MadeHall, make_hall
from kit.scan.made_files import write_made_scan
from kit.scan.made_rays import points
from kit.scan.reduce import reduce_scan
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, STATES, UNSEEN

__all__ = [
    "COVERED",
    "DOUBTFUL",
    "FLOOR",
    "STATES",
    "UNSEEN",
    "MadeHall",
    "ScanFloor",
    "find_floor",
    "make_hall",
    "points",
    "reduce_scan",
    "write_made_scan",
]
