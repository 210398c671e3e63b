"""How flat a floor is, known by cells: straight edge, classes, stichmass, F numbers, sections."""

from kit.flatness.along import HasEnds, Line, heights_along
from kit.flatness.by_level import level_grids
from kit.flatness.classes import BS_8204, classes_by_area, worse_of
from kit.flatness.domestic import NHBC_2020, SECOND_UK_WARRANTY, Guidance, domestic_guidance
from kit.flatness.e1155 import e1155_of_floor, numbers_along
from kit.flatness.edge_map import EdgeMap, Placement, straight_edge_map
from kit.flatness.f_numbers import (
    ACI_117,
    FNumber,
    aci_class,
    combine,
    flatness_number,
    levelness_number,
    second_differences_mm,
)
from kit.flatness.from_surface import grid_of_surface, readings_apart_mm, why_too_far
from kit.flatness.grind import grind_and_fill
from kit.flatness.grind_result import GrindFill, Work
from kit.flatness.grind_rules import GrindRules
from kit.flatness.lattice import grid_of_lattice
from kit.flatness.line_layout import lines_for
from kit.flatness.line_rules import LINE_RULES, check_line, readings_needed
from kit.flatness.plan_distance import HasCorner
from kit.flatness.report import FlatnessReport, flatness_report
from kit.flatness.section import Section, chord_gap_mm, section
from kit.flatness.stichmass import TABLE_3, limit_mm, stichmass_mm, stichmass_of_floor
from kit.flatness.volume_zones import PlanZone, Powder, bands, volume_tables, volumes_by_zone
from kit.flatness.volumes import Fall, Side, Volumes, datum_of_balance, volumes
from kit.flatness.volumes_by_level import together, volumes_by_level
from kit.flatness.worst import worst_places

__all__ = [
    "ACI_117",
    "BS_8204",
    "LINE_RULES",
    "NHBC_2020",
    "SECOND_UK_WARRANTY",
    "TABLE_3",
    "EdgeMap",
    "FNumber",
    "Fall",
    "FlatnessReport",
    "GrindFill",
    "GrindRules",
    "Guidance",
    "HasCorner",
    "HasEnds",
    "Line",
    "Placement",
    "PlanZone",
    "Powder",
    "Section",
    "Side",
    "Volumes",
    "Work",
    "aci_class",
    "bands",
    "check_line",
    "chord_gap_mm",
    "classes_by_area",
    "combine",
    "datum_of_balance",
    "domestic_guidance",
    "e1155_of_floor",
    "flatness_number",
    "flatness_report",
    "grid_of_lattice",
    "grid_of_surface",
    "grind_and_fill",
    "heights_along",
    "level_grids",
    "levelness_number",
    "limit_mm",
    "lines_for",
    "numbers_along",
    "readings_apart_mm",
    "readings_needed",
    "second_differences_mm",
    "section",
    "stichmass_mm",
    "stichmass_of_floor",
    "straight_edge_map",
    "together",
    "volume_tables",
    "volumes",
    "volumes_by_level",
    "volumes_by_zone",
    "why_too_far",
    "worse_of",
    "worst_places",
]
