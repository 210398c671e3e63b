"""What is said of a base on screw feet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kit.base.checks import CLOSED_MM, Check
from kit.base.feet_kinds import Kinds
from kit.job import Base
from kit.strength.foot_checks import LOAD, LOAD_IDLE, TRAVEL_LEFT_MM, FootAt, foot_name

CAUTIONS = (
    "Feet hold a unit up, not in place: pushed, it tips or walks. Fix every unit to the wall, and"
    " unit to unit, before it is loaded.",
    "Turn a foot only with the load off it: never stand or lift a loaded unit by its feet beyond"
    " what their maker allows.",
    "Set every foot to bear, by feel, after levelling: of more than three under a stiff unit some"
    " carry nothing while their neighbours carry their share as well.",
    "On a heated or a finished floor put the spreading pads under the plates that the makers of"
    " feet and floor ask for.",
)


def unpriced(kinds: Kinds) -> tuple[int, ...]:
    """Return the kinds for want of whose prices those of the other kinds in use do not count."""
    return kinds.unpriced if len(kinds.unpriced) < len(kinds.by_price) else ()


def prices_left_out(base: Base, kinds: Kinds) -> Iterator[str]:
    """Say that prices do not count, where a kind that would serve has none."""
    names = ", ".join(foot_name(base.feet[kind]) for kind in unpriced(kinds))
    if names:
        yield (
            f"Feet are chosen without regard to prices, the fewest kinds first: no price is given"
            f" of {names}, which would serve too."
        )


def overload(checks: Sequence[Check]) -> Iterator[str]:
    """Say which feet are loaded beyond their maker's figure, and what to do."""
    words = {
        LOAD: ("though all of them bear", "Take stronger feet, or more of them."),
        LOAD_IDLE: ("where others are idle", "Set every foot to bear, or take stronger feet."),
    }
    for name, (when, instead) in words.items():
        over = [check for check in checks if check.check == name and check.verdict == "refer"]
        if over:
            said = "; ".join(f"{one.subject}, {one.value:.0f} of {one.limit:.0f} N" for one in over)
            yield f"Feet loaded beyond their maker's figure {when}: {said}. {instead}"


def short_of_travel(feet: Sequence[FootAt]) -> Iterator[str]:
    """Say which foot may not reach, where the floor lies otherwise than expected."""
    least = min(feet, key=lambda foot: foot.left_mm)
    short = sum(foot.left_mm < TRAVEL_LEFT_MM - CLOSED_MM for foot in feet)
    if short:
        yield (
            f"{short} of {len(feet)} feet have less than {TRAVEL_LEFT_MM:g} mm of travel left,"
            f" {least.support} only {least.left_mm:.2f} mm: where the floor lies otherwise than"
            " expected it may not reach. Have the next kind at hand, or allow other heights."
        )
