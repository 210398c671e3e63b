"""The kinds of mistake with screws."""

from __future__ import annotations

from kit.practice.mistakes import Kind

PAST_THE_BOARD = Kind("past_the_board", "a screw past the board",
    "goes by what holds best, and the point comes through the board", 30)  # fmt: skip
COUNTERSINK_FORGOTTEN = Kind("countersink_forgotten", "forgot that heads are drawn in",
    "reckons the point as if the head stood flush, and every point ends deeper", 20)  # fmt: skip
BOARD_GUESSED = Kind("board_guessed", "took the board's thickness for granted",
    "never lifted a board and reckons with a thickness that boards usually have", 25)  # fmt: skip
SERVICES_UNASKED = Kind("services_unasked", "nobody had looked for services",
    "chooses screws for a floor without asking and detecting what runs under it", 30)  # fmt: skip
INTO_HEATING = Kind("into_heating", "fixed into the heating all the same",
    "was shown that something runs there, and lets a point enter the floor", 30)  # fmt: skip
NO_BITE = Kind("no_bite", "a screw that does not bite",
    "takes a screw whose point hardly reaches into what is to hold it", 20)  # fmt: skip
ONE_LENGTH = Kind("one_length", "one length for all stacks",
    "works a length out at one stack and takes it at all of them", 20)  # fmt: skip
LEFT_OUT = Kind("left_out", "left a screw out",
    "leaves a step without a screw although one in the van serves", 20)  # fmt: skip

KINDS = (
    PAST_THE_BOARD, COUNTERSINK_FORGOTTEN, BOARD_GUESSED, SERVICES_UNASKED, INTO_HEATING, NO_BITE,
    ONE_LENGTH, LEFT_OUT,
)  # fmt: skip
