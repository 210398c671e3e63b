"""Zones, steps and menu in the fitter's words, figure by figure."""

import dataclasses

from kit.show.large_floor.zones_tables import menu_table, reason, step_table, zone_table


def by_head(table, row):
    return dict(zip([head.text for head in table.heads], table.rows[row], strict=True))


def test_zones_hold_what_their_answers_say(zones):
    table = zone_table(zones)
    second = by_head(table, 1)
    its = zones.zone("AZ2")
    assert (second["zone"], second["from unit"], second["to unit"]) == ("AZ2", "stall 4", "stall 7")
    assert second["begins at"] == "2100"
    assert second["base top"] == f"{its.base_top_mm:.1f}"
    assert second["stacks"] == str(len(its.answer.supports))
    assert second["packers"] == str(its.answer.pieces)
    assert second["packing"] == f"{its.packing_mm / 1000:.1f}"
    assert second["highest stack"] == f"{its.stacks_mm.max():.1f}"
    assert second["movement joints"] == "none"
    assert by_head(table, 0)["movement joints"].startswith("J1 at 1300 mm")
    assert f"{zones.pieces} packers" in table.note


def test_only_long_texts_are_given_room(zones):
    wide = {head.text for head in zone_table(zones).heads if head.wide}
    assert wide == {"movement joints"}


def test_steps_have_their_height_and_their_ramp(zones):
    (row,) = [by_head(step_table(zones), 0)]
    assert row["step"] == f"{zones.steps[0].step_mm:.1f}"
    assert row["along the run at"] == "2050"
    assert (row["ramp needs length"], row["there is room for length"]) == (
        "2500",
        "1600",
    )  # 150 mm at 60 mm/m
    assert row["ramp fits"] == "no"


def test_without_a_ramp_asked_for_none_is_told(zones):
    plain = dataclasses.replace(
        zones, steps=tuple(dataclasses.replace(step, ramps=()) for step in zones.steps)
    )
    assert [head.text for head in step_table(plain).heads][-1] == "step"


def test_the_menu_says_what_is_taken_and_why_not(zones):
    table = menu_table(zones)
    rows = [by_head(table, number) for number in range(len(table.rows))]
    assert [(row["run"], row["zones"]) for row in rows if row["taken"]] == [("A", "2"), ("B", "1")]
    one, two = rows[0], rows[1]
    assert one["packing"] == one["packers"] == "–"
    assert one["why it cannot be"].startswith("base.max_stack_mm: support")
    assert "job.toml" not in one["why it cannot be"]
    assert two["steps, from the left"] == f"{zones.steps[0].step_mm:.1f}"
    assert two["why it cannot be"] == "–"
    assert rows[-1]["why it cannot be"] == "the run has 2 units only"


def test_runs_that_meet_are_told(zones):
    assert "meet" not in menu_table(zones).note
    met = dataclasses.replace(zones, meets=(("A", "B"),))
    assert "Runs A and B meet" in menu_table(met).note


def test_reasons_begin_as_sentences():
    class Fake:
        why_not = "at the least, support F would need a stack of 104.2 mm"

    assert reason(Fake()) == "At the least, support F would need a stack of 104.2 mm"


def test_inches(zones):
    inch = dataclasses.replace(zones, job=zones.job.model_copy(update={"units": "in"}))
    table = zone_table(inch)
    assert by_head(table, 0)["base top"] == "1 3/16"  # 29.865 mm
    assert {head.unit for head in table.heads} == {"", "in", "m"}
    # By hand: 1300 / 25.4 = 51.18, the nearest sixteenth is 3; 1600 / 25.4 = 62.99, a whole 63.
    assert by_head(table, 0)["movement joints"].startswith("J1 at 1300 mm (51 3/16 in) from")
    assert "room for 1600 mm (63 in) only" in by_head(step_table(inch), 0)["ramp"]
    assert "110 mm (4 5/16 in)" in by_head(menu_table(inch), 0)["why it cannot be"]
