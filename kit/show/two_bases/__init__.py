"""Two bases on one floor in pictures, in tables, and on a page for the client."""

from kit.show.two_bases.client_page import client_page
from kit.show.two_bases.difference_bars import difference_bars, difference_picture
from kit.show.two_bases.elevations import elevation_picture, elevation_table, elevations
from kit.show.two_bases.measure_tables import comparison_table, comparison_tables, untold_table
from kit.show.two_bases.turning_chart import sweep_table, turning_chart, turning_picture
from kit.show.two_bases.turning_words import turning_sentence, turning_sentences

__all__ = [
    "client_page",
    "comparison_table",
    "comparison_tables",
    "difference_bars",
    "difference_picture",
    "elevation_picture",
    "elevation_table",
    "elevations",
    "sweep_table",
    "turning_chart",
    "turning_picture",
    "turning_sentence",
    "turning_sentences",
    "untold_table",
]
