"""What comes back: readings on the finished base, how level it is, what would bring it in."""

from kit.as_built.changes import Changes
from kit.as_built.check import Checked, check_base
from kit.as_built.no_change import Missing
from kit.as_built.plan import as_built_plan, as_built_plan_csv
from kit.as_built.record import as_built_texts, record, write_as_built
from kit.as_built.units import UnitStands
from kit.as_built.whole import Whole

__all__ = [
    "Changes",
    "Checked",
    "Missing",
    "UnitStands",
    "Whole",
    "as_built_plan",
    "as_built_plan_csv",
    "as_built_texts",
    "check_base",
    "record",
    "write_as_built",
]
