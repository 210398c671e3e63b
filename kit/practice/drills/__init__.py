"""One module for each drill; `DRILLS` lists them in the order of the work on site."""

from kit.practice.drill import Drill
from kit.practice.drills.as_built import AsBuilt
from kit.practice.drills.bad_reading import BadReading
from kit.practice.drills.book_run import BookRun
from kit.practice.drills.choose_stacks import ChooseStacks
from kit.practice.drills.few_readings import FewReadings
from kit.practice.drills.front_lift import FrontLift
from kit.practice.drills.high_point import HighPoint
from kit.practice.drills.own_error import OwnError
from kit.practice.drills.screws import Screws
from kit.practice.drills.two_bearers import TwoBearers
from kit.practice.drills.weigh_bases import WeighBases

DRILLS: tuple[Drill, ...] = (
    HighPoint(),
    OwnError(),
    BookRun(),
    BadReading(),
    FewReadings(),
    ChooseStacks(),
    TwoBearers(),
    Screws(),
    FrontLift(),
    WeighBases(),
    AsBuilt(),
)
