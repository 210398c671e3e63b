"""What is set out along a row."""

from kit.paper.row_places import (
    row_words,
    rows_of,
    set_out_places,
    supports_of,
    zone_places,
    zones_of,
)


def test_supports_ends_and_joints_of_each_row(ways):
    for method, joined in {"packers": True, "ladder": True, "stacks": False, "feet": False}.items():
        answer = ways[method]
        joints = dict(answer.cuts.joints)
        for row in rows_of(answer.layout, "A"):
            places = set_out_places(answer, row)
            of = answer.supports[answer.supports["bearer"] == row.name]
            found = {p.name.removesuffix(" joint"): p.at_mm for p in places}
            for name, at in zip(of["support"], of["own_x_mm"], strict=True):
                assert found[name] == at
            names = [place.name for place in places]
            assert names.count("end") == 2 * joined
            has = f"{joints[row.name]} joint" in names if row.name in joints else True
            assert has
            assert [p.at_mm for p in places] == sorted(p.at_mm for p in places)


def test_stacks_are_the_answers(reading_room):
    packers = reading_room.job.stock.packers
    for row in rows_of(reading_room.layout, "A"):
        for one in supports_of(reading_room, row):
            of = reading_room.stacks[reading_room.stacks["support"] == one.name]
            assert [packers[kind].mm for kind in one.kinds] == of["nominal_mm"].tolist()


def test_words_of_rows(reading_room, inch_room, boot_room):
    row = reading_room.layout.row("F")
    assert row_words(reading_room, row) == (
        "Bearer F, front row: middle 242.5 mm out from the skirting's face"
    )
    # 242.5 mm are 9.5472 in; 9 9/16 is 0.0153 in more (arithmetic).
    assert "9 9/16 in (+0.015)" in row_words(inch_room, inch_room.layout.row("F"))
    assert row_words(boot_room, boot_room.layout.row("B-B")).endswith("out from the wall")


def test_edges_of_a_pour(ways):
    zones = zones_of(ways["compound"], "A")
    assert [p.at_mm for p in zone_places(zones)] == [0.0, 1000.0, 2000.0, 3100.0, 4000.0]
    assert zones_of(ways["feet"], "A") == ()
