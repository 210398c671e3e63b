"""The key plan."""

import pytest

from kit.paper.key_plan import key_plan
from kit.paper.label_places import letters_of
from kit.paper.marks import Area
from kit.paper.plan_scene import SUPPORT_GREY

ROOM = (186.0, 258.0)


def middles(drawing):
    areas = [m for m in drawing.marks if isinstance(m, Area) and m.grey == SUPPORT_GREY]
    return [tuple(sum(p[k] for p in m.places) / len(m.places) for k in (0, 1)) for m in areas]


@pytest.mark.parametrize("room", ["boot", "slant"])
def test_supports_lie_as_in_the_room(room, boot_room, made_rooms):
    answer = boot_room if room == "boot" else made_rooms["slant"]
    drawing = key_plan(answer, ROOM)
    at, table = middles(drawing), answer.supports
    assert len(at) == len(table)
    for axis, column in ((0, "x_mm"), (1, "y_mm")):
        want = (table[column] - table[column].iloc[0]) / drawing.scale
        # 0.01 mm on paper is what is asked for; a float's arithmetic is far below.
        assert [p[axis] - at[0][axis] for p in at] == pytest.approx(want.tolist(), abs=0.01)


def test_names_of_runs_units_and_areas(boot_room):
    texts = [one.text for one in letters_of(key_plan(boot_room, ROOM).marks)]
    assert {"A", "B", "x", "y", "locker 1", "corner locker", "high point"} <= set(texts)
    assert any("no supports: floor hatch" in text for text in texts)
    assert key_plan(boot_room, ROOM).words.startswith("Key plan of the room, 1:25")
