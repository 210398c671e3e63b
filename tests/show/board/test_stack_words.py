"""A stack in sentences: what carries what, and why."""

from __future__ import annotations

from typing import Any

import pytest

import kit
from kit.answer import Answer
from kit.job import Refusal
from kit.job.model import Moved, Service
from kit.show.board.stack_facts import Screw
from kit.show.board.stack_words import screw_words, stack_words


def said(answer: Answer, support: str) -> str:
    """Return all sentences about a stack."""
    return "\n".join(stack_words(answer, support))


def row_of(answer: Answer, support: str) -> Any:
    """Return a support's row."""
    return answer.supports.set_index("support").loc[support]


def test_two_sides_stand_on_one_stack(reading_room: Answer) -> None:
    first = stack_words(reading_room, "B3")[0]
    assert first == "B3 stands under the side of low bookcase 1 and the side of low bookcase 2."


def test_ends_joints_and_divisions(reading_room: Answer) -> None:
    assert "B1 stands under the side of low bookcase 1." in said(reading_room, "B1")
    assert "B1 carries an end of bearer B." in said(reading_room, "B1")
    assert "end of bearer" not in said(reading_room, "B2")
    (joint,) = (name for bearer, name in reading_room.cuts.joints if bearer == "F")
    assert "A joint of bearer F lies on it." in said(reading_room, joint)
    assert "joint" not in said(reading_room, "F2")
    assert "under the division of atlas case" in said(reading_room, "D2")


def test_spans_and_areas(demos: dict[str, Answer]) -> None:
    assert "so that no span is longer than 600.0 mm" in said(demos["market-counter"], "F4")
    assert "so that no span" not in said(demos["market-counter"], "F1")
    across = said(demos["boot-room"], "A-B3")
    assert "A-B3 shares with the stack across a no-go area" in across
    assert "of locker 2 and locker 3." in across


def test_load_floor_height(reading_room: Answer) -> None:
    one, words = row_of(reading_room, "F6"), said(reading_room, "F6")
    assert f"{one['load_N']:.0f} N, as of {one['load_N'] / 9.81:.0f} kg" in words
    assert f"The floor here: {one['floor_mm']:.1f} mm ± {2 * one['floor_sd_mm']:.2f} mm" in words
    assert "counted from the highest reading" in words
    of = reading_room.stacks[reading_room.stacks["support"] == "F6"]
    assert f"Stack {of['thickness_mm'].sum():.1f} mm, wanted {one['target_mm']:.1f} mm" in words
    pile = " + ".join("18 (is 17.8)" if mm == 18 else f"{mm:g}" for mm in of["nominal_mm"])
    assert f"From the floor up [mm]: {pile}." in words


def test_high_and_low_are_said(reading_room: Answer) -> None:
    for name in reading_room.supports["support"]:
        of = reading_room.stacks[reading_room.stacks["support"] == name]
        error = of["thickness_mm"].sum() - row_of(reading_room, name)["target_mm"]
        assert (f"error {error:+.2f} mm ({'high' if error > 0 else 'low'})") in said(
            reading_room, name
        )


def test_a_stack_without_load_says_so(reading_room: Answer) -> None:
    assert row_of(reading_room, "D1")["load_N"] == 0
    assert "Its load: 0 N; by the lever rule" in said(reading_room, "D1")


def test_screws_and_their_limit(reading_room: Answer, demos: dict[str, Answer]) -> None:
    words = stack_words(reading_room, "B1")
    assert words[-4].startswith("Limit here: a screw's point at most 19 mm below the floor")
    # two packers of 17.8 mm: 30 + 1 - 17.8 = 13.2, 50 + 1 - 35.6 = 15.4, 70 + 1 - 55.6 = 15.4
    assert words[-3:] == (
        "Base screw 30 mm, point 5.8 mm short of the limit.",
        "Pack screw 50 mm, point 3.6 mm short of the limit.",
        "Bearer screw 70 mm, point 3.6 mm short of the limit.",
    )
    boots = said(demos["boot-room"], "B-F2")
    assert "no screw's point below the floor's surface (no fixings in this floor)" in boots
    assert "Base screw: none drawn, no fixings in this floor; bonded instead." in boots


def test_a_remark_about_a_screw_is_kept() -> None:
    reason = (
        "longest in stock from 31 to 40 mm (found clear to (say) 60 mm less 2 mm in reserve);"
        " its point ends in the thin packers: glue those beneath it"
    )
    screw = Screw("bearer", 40.0, 52.0, 51.0, -11.0, 58.0, reason)
    assert screw_words(screw, "mm") == (
        "Bearer screw 40 mm, point 69.0 mm short of the limit; its point ends in the thin packers:"
        " glue those beneath it."
    )
    plain = Screw("bearer", 40.0, 52.0, 51.0, -11.0, 58.0, reason.partition(";")[0])
    assert screw_words(plain, "mm") == "Bearer screw 40 mm, point 69.0 mm short of the limit."


def test_a_limit_above_the_floor(reading_room: Answer) -> None:
    cable = Service(name="bell wire", from_mm=(490.0, 0.0), to_mm=(490.0, 90.0), depth_mm=0.5)
    job = reading_room.job.model_copy(update={"services": (cable,)})
    words = said(kit.solve(job, before=reading_room), "B2")
    assert "Limit here: a screw's point at least 1.5 mm above the floor" in words  # 0.5 - 2
    assert "Known near it: bell wire, 0.5 mm down." in words


def test_moved_by_hand(reading_room: Answer) -> None:
    base = reading_room.base.model_copy(
        update={"moved": (Moved(bearer="F", from_mm=500.0, to_mm=487.5),)}
    )
    job = reading_room.job.model_copy(update={"bases": (base,)})
    words = said(kit.solve(job, before=reading_room), "F2")
    assert "Moved by hand: the rules put it at 500.0 mm" in words
    assert "it stands at 487.5 mm" in words
    assert "F2 stands under the division of low bookcase 1." in words
    assert "by hand" not in said(reading_room, "F2")


def test_an_unknown_stack_is_refused(reading_room: Answer) -> None:
    with pytest.raises(Refusal, match="'Q1'"):
        stack_words(reading_room, "Q1")


def test_what_it_carries_before_it_is_screwed_down(demos: dict[str, Answer]) -> None:
    answer = demos["boot-room"]
    loads = {one.support: one for one in answer.strength.stacks}
    said = " ".join(stack_words(answer, "A-B3"))
    assert f"it carries {loads['A-B3'].full_n:.0f} N with the units full" in said
    assert "idle" not in said
    idle = next(name for name, one in loads.items() if one.idle)
    gap = loads[idle].gap_mm
    assert f"It is idle: shim {gap:.2f} mm" in " ".join(stack_words(answer, idle))
