"""Large uneven floors on the screen: maps of cells, zones, the walk, a section to draw."""

from kit.ink.table import sentences
from kit.show.large_floor.floor_maps import change_map, edge_map_chart, height_map
from kit.show.large_floor.floor_marks import marks_of
from kit.show.large_floor.frame_table import frame_table
from kit.show.large_floor.grind_page import grind_cautions, grind_map, patch_table
from kit.show.large_floor.network_chart import network_chart
from kit.show.large_floor.progress import Progress
from kit.show.large_floor.section_panel import SectionPanel
from kit.show.large_floor.survey_page import survey_page
from kit.show.large_floor.walk_chart import crate_table, pace_table, walk_chart
from kit.show.large_floor.zones_chart import zones_chart
from kit.show.large_floor.zones_panel import ZonesPanel
from kit.show.large_floor.zones_tables import menu_table, step_table, zone_table

__all__ = [
    "Progress",
    "SectionPanel",
    "ZonesPanel",
    "change_map",
    "crate_table",
    "edge_map_chart",
    "frame_table",
    "grind_cautions",
    "grind_map",
    "height_map",
    "marks_of",
    "menu_table",
    "network_chart",
    "pace_table",
    "patch_table",
    "sentences",
    "step_table",
    "survey_page",
    "walk_chart",
    "zone_table",
    "zones_chart",
]
