"""What was measured: tables in, every kind of reading adjusted into heights with a doubt each."""

from kit.readings.adjustment import Heights, adjust
from kit.readings.remarks import GLOBAL_TEST_LEVEL
from kit.readings.survey import Readings, read_readings
from kit.readings.suspect import Suspect
from kit.readings.table import Table

__all__ = [
    "GLOBAL_TEST_LEVEL",
    "Heights",
    "Readings",
    "Suspect",
    "Table",
    "adjust",
    "read_readings",
]
