"""The board's controls: what each shows, and what typing in it does."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.ink.lengths import Units, small
from kit.job import Refusal
from kit.job.units import MM_PER_INCH
from kit.show.board.desk import PLACE, Desk
from kit.show.board.numbers import STEP_MM, parse_length, show_box
from kit.strength.joists import JoistWork, NoJoists

#: The boxes of the range from which the kit may choose the height.
LOW, HIGH = "height_low", "height_high"

#: What the job file says where the front lift is left to the joists.
SETTLEMENT = "settlement"


@dataclass(frozen=True)
class Control:
    """One figure of the base that a slider and a box move.

    Parameters
    ----------
    field : str
        Its key in the job file.
    label : str
        What stands over it.
    step_mm : float
        A step of the slider and of an arrow key in the box [mm].
    ends_mm : tuple of float
        Between which values the slider goes [mm]; the box takes others too.
    """

    field: str
    label: str
    step_mm: float
    ends_mm: tuple[float, float]

    def step(self, units: Units) -> float:
        """Return its step in the job's units, as millimetres."""
        if units == "mm":
            return self.step_mm
        return MM_PER_INCH / (64 if self.step_mm < 0.5 else 32 if self.step_mm < 1 else 16)


HEIGHT = Control("height_mm", "Base height: top of the base above the high point", 0.5, (0, 0))
CONTROLS = (
    Control("back_mm", "back set-back: units' back to back bearer", 1.0, (0, 200)),
    Control("front_mm", "front set-back: units' front to front bearer", 1.0, (0, 200)),
    Control("max_span_mm", "longest span between stacks", 10.0, (150, 1200)),
    Control("tolerance_mm", "tolerance: largest error of a stack", 0.1, (0, 3)),
    Control("front_lift_mm", "front lift: front row set high by", 0.5, (-5, 10)),
)
_NAMES = {
    "height_mm": "base height",
    "back_mm": "back set-back",
    "front_mm": "front set-back",
    "max_span_mm": "longest span",
    "tolerance_mm": "tolerance",
    "front_lift_mm": "front lift",
}


def controls_state(desk: Desk) -> dict[str, object]:
    """Return what the controls show."""
    low, high = desk.wish_mm
    units = desk.job.units
    errors = [desk.errors[box][1] for box in (LOW, HIGH) if box in desk.errors]
    return {
        "list": [_shown(desk, one) for one in (HEIGHT, *CONTROLS)],
        "choice": {
            "free": desk.free,
            "low": show_box(low, units),
            "high": show_box(high, units),
            "unit": units,
            "error": "; ".join(errors),
        },
        "settle": _settle(desk),
    }


def _shown(desk: Desk, one: Control) -> dict[str, object]:
    units, now = desk.job.units, value_of(desk, one.field)
    return {
        "id": one.field,
        "label": one.label,
        "name": _NAMES[one.field],
        "unit": units,
        "text": show_box(now, units),
        "error": desk.errors.get(one.field, ("", ""))[1],
        "slider": _slider(desk, one, now),
    }


def value_of(desk: Desk, field: str) -> float:
    """Return what a figure of the base is now [mm]; of a free height the one that was chosen."""
    if field == "height_mm":
        low, high = desk.base.height_range_mm
        return low if low == high else desk.answer.datum.base_height_mm
    given = getattr(desk.base, field)
    return desk.answer.datum.front_lift_mm if given == SETTLEMENT else float(given)


def _settle(desk: Desk) -> dict[str, object]:
    """Return whether the front lift is what the joists give, and what that is."""
    joists = desk.answer.strength.joists
    on = desk.base.front_lift_mm == SETTLEMENT
    return {
        "on": on,
        "able": on or joists.settled,
        "words": f"leave the front lift to the joists: {_drop(joists, desk.job.units)}",
    }


def _drop(joists: JoistWork | NoJoists, units: Units) -> str:
    """Say what the joists give, units full; run by run where there are several."""
    if isinstance(joists, NoJoists) or not joists.settled:
        return "what they give is not known"
    drops = {one.run: one.front_drop_mm for one in joists.settlements}
    if len(drops) > 1:
        each = (
            f"{run} {small(abs(drop), units)} {units}{' less' if drop < 0 else ''}"
            for run, drop in drops.items()
        )
        return f"the front row settles more than the back row: {', '.join(each)}"
    (drop,) = drops.values()
    further, other = ("front", "back") if drop >= 0 else ("back", "front")
    return f"the {further} row settles {small(abs(drop), units)} {units} more than the {other} row"


def _now(desk: Desk, field: str) -> float:
    """Return what a box holds now, exactly, which it shows rounded [mm]."""
    if field == PLACE:
        return desk.place_of(desk.support)[2] if desk.knows(desk.support) else math.nan
    if field in (LOW, HIGH):
        return desk.wish_mm[field == HIGH]
    return value_of(desk, field)


def _slider(desk: Desk, one: Control, now: float) -> dict[str, float]:
    step = one.step(desk.job.units)
    low, high = one.ends_mm
    if one is HEIGHT:
        low, high = desk.reach.low_mm, desk.reach.high_mm
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    last = max(last, first + 1)
    # A value between two steps would come back from the browser as if a person had moved it.
    at = min(max(round(now / step), first), last)
    first_mm, last_mm, at_mm = (round(n * step, 4) for n in (first, last, at))
    return {"min": first_mm, "max": last_mm, "step": round(step, 6), "value": at_mm}


def set_control(desk: Desk, field: str, said: dict[str, object]) -> bool:
    """Do what was done to a control; tell whether it is one.

    Parameters
    ----------
    desk : Desk
    field : str
        The control's id.
    said : dict
        "text" as typed, "mm" from the slider, or "steps" from an arrow key, which count from
        what is held and not from what is shown; and "gesture".
    """
    one = next((one for one in (HEIGHT, *CONTROLS) if one.field == field), None)
    if one is None and field not in (LOW, HIGH, PLACE):
        return False
    text, gesture, units = str(said.get("text", "")), str(said.get("gesture", "")), desk.job.units
    now = _now(desk, field)
    try:
        if "mm" in said:
            mm = float(str(said["mm"]))
        elif "steps" in said:
            step = STEP_MM[units] if field == PLACE else (one or HEIGHT).step(units)
            mm = round(now + float(str(said["steps"])) * step, 6)
        else:
            mm = now if text == show_box(now, units) else parse_length(text, units)
    except Refusal as refusal:
        desk.refuse(refusal, field, text)
        return True
    if field == PLACE:
        desk.move(desk.support, mm, gesture, box=PLACE, text=text)
    elif one is None:
        low, high = desk.wish_mm
        ends = (mm, high) if field == LOW else (low, mm)
        desk.allow_heights(*ends, box=field, text=text)
    else:
        desk.change_base(field, mm, gesture, box=field, text=text)
    return True
