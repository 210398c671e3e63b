"""Charts, tables and panels: the only room that knows plotly and ipywidgets.

Nothing below this room imports them; they load when this room is first used. A notebook that
imports it learns how to show the parts of an answer.
"""

from kit.show import quick_start as quick_start  # first: it decides what plotly brings along

# isort: split
from IPython.core.getipython import get_ipython

from kit.ink.base_tables import (
    caution_list,
    check_table,
    clearance_table,
    plinth_table,
    stack_table,
    support_table,
)
from kit.ink.buying_tables import cut_table, screw_table, take_off_table, work_table
from kit.ink.detail_tables import detail_page
from kit.ink.table import Page, Table
from kit.practice.invented_class import invented_class
from kit.show.board.board import Board
from kit.show.board.pages import elevations, load_pictures
from kit.show.booking_page import booking_page
from kit.show.chart import Chart
from kit.show.display import answer_page, html_of, register
from kit.show.floor_map import floor_map
from kit.show.framed import framed
from kit.show.hand_over.before_after import before_after_chart
from kit.show.hand_over.changes_panel import ChangesPanel
from kit.show.hand_over.checked_page import checked_page
from kit.show.hand_over.papers_page import papers_page
from kit.show.high_point_table import high_point_page
from kit.show.instrument_forms import ReversalForm, TwoPegForm, TwoWallForm
from kit.show.paste_panel import PastePanel
from kit.show.plan_tables import (
    read_next_table,
    reading_plan_chart,
    reading_plan_page,
    reading_plan_table,
)
from kit.show.practice.gallery import floor_gallery
from kit.show.practice.grades_table import grade_table
from kit.show.practice.marks import log_table, marks_page, worked_page
from kit.show.practice.panel import Practice
from kit.show.practice.trainer_page import trainer_page
from kit.show.practice.trainer_panel import Trainer
from kit.show.standing_tables import standing_table, unit_table
from kit.show.strength_sentences import strength_page, strength_sentences
from kit.show.strength_tables import bearer_table, joist_table, stack_load_table
from kit.show.survey_tables import (
    agreement_table,
    heights_table,
    job_table,
    misfit_table,
    plane_table,
    surface_table,
)
from kit.show.suspect_panel import SuspectPanel
from kit.show.suspect_tables import (
    note_list,
    suspect_page,
    suspect_table,
    unseen_table,
    without_chart,
    without_table,
)
from kit.show.two_bases.client_page import client_page
from kit.show.two_bases.difference_bars import difference_bars
from kit.show.two_bases.elevations import elevation_table
from kit.show.two_bases.elevations import elevations as two_elevations
from kit.show.two_bases.measure_tables import comparison_table, comparison_tables, untold_table
from kit.show.two_bases.panel import TwoBases
from kit.show.two_bases.turning_chart import sweep_table, turning_chart
from kit.show.two_bases.turning_words import turning_sentence, turning_sentences
from kit.show.window import Reach, height_window_table, reach

__all__ = [
    "Board",
    "ChangesPanel",
    "Chart",
    "Page",
    "PastePanel",
    "Practice",
    "Reach",
    "ReversalForm",
    "SuspectPanel",
    "Table",
    "Trainer",
    "TwoBases",
    "TwoPegForm",
    "TwoWallForm",
    "agreement_table",
    "answer_page",
    "bearer_table",
    "before_after_chart",
    "booking_page",
    "caution_list",
    "check_table",
    "checked_page",
    "clearance_table",
    "client_page",
    "comparison_table",
    "comparison_tables",
    "cut_table",
    "detail_page",
    "difference_bars",
    "elevation_table",
    "elevations",
    "floor_gallery",
    "floor_map",
    "framed",
    "grade_table",
    "height_window_table",
    "heights_table",
    "high_point_page",
    "html_of",
    "invented_class",
    "job_table",
    "joist_table",
    "load_pictures",
    "log_table",
    "marks_page",
    "misfit_table",
    "note_list",
    "papers_page",
    "plane_table",
    "plinth_table",
    "reach",
    "read_next_table",
    "reading_plan_chart",
    "reading_plan_page",
    "reading_plan_table",
    "register",
    "screw_table",
    "stack_load_table",
    "stack_table",
    "standing_table",
    "strength_page",
    "strength_sentences",
    "support_table",
    "surface_table",
    "suspect_page",
    "suspect_table",
    "sweep_table",
    "take_off_table",
    "trainer_page",
    "turning_chart",
    "turning_sentence",
    "turning_sentences",
    "two_elevations",
    "unit_table",
    "unseen_table",
    "untold_table",
    "without_chart",
    "without_table",
    "work_table",
    "worked_page",
]

register(get_ipython())
