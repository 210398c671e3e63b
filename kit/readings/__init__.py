"""What was measured: tables in, every kind of reading adjusted into heights with a doubt each."""

from kit.readings.adjustment import adjust
from kit.readings.allowance import CONSTRUCTION, ORDINARY, ROUGH, Allowance
from kit.readings.booking import reduce_booking, staff_readings
from kit.readings.booking_lines import BookingLine
from kit.readings.booking_sheet import BookingSheet
from kit.readings.booking_table import pasted_booking
from kit.readings.doubt import GLOBAL_TEST_LEVEL
from kit.readings.factors import SharedDoubt
from kit.readings.heights import Heights
from kit.readings.instruments import (
    OwnErrorFound,
    ReversalTest,
    TwoPegTest,
    TwoWallTest,
    Use,
    Verdict,
    reversal_test,
    sights_beyond,
    two_peg_test,
    two_wall_test,
)
from kit.readings.known_places import KnownPlaces
from kit.readings.leave_out import WithoutReadings
from kit.readings.pasted import pasted_csv, read_pasted
from kit.readings.read_tables import read_readings, read_tables
from kit.readings.survey import Readings
from kit.readings.suspect import Suspect
from kit.readings.table import Table

__all__ = [
    "CONSTRUCTION",
    "GLOBAL_TEST_LEVEL",
    "ORDINARY",
    "ROUGH",
    "Allowance",
    "BookingLine",
    "BookingSheet",
    "Heights",
    "KnownPlaces",
    "OwnErrorFound",
    "Readings",
    "ReversalTest",
    "SharedDoubt",
    "Suspect",
    "Table",
    "TwoPegTest",
    "TwoWallTest",
    "Use",
    "Verdict",
    "WithoutReadings",
    "adjust",
    "pasted_booking",
    "pasted_csv",
    "read_pasted",
    "read_readings",
    "read_tables",
    "reduce_booking",
    "reversal_test",
    "sights_beyond",
    "staff_readings",
    "two_peg_test",
    "two_wall_test",
]
