"""The shared moves against the floor itself, looked at by other means, and what they refuse."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from kit.job import Refusal
from kit.practice.draws import Draws
from kit.practice.fields import read_values
from kit.practice.floors import LooseBoard, Patch, PracticeFloor, Soft, make_floor
from kit.practice.grades import GRADES
from kit.practice.instruments import GAUGE_MM, TRAVEL_MM, Bag, Level, pack_bag
from kit.practice.moves import Done, Move
from kit.practice.shapes import Bump, Fall, Step
from kit.practice.tools import (
    EDGE,
    GAP,
    LAY,
    PACKER_S,
    READ,
    SET_UP,
    TREAD,
    Tools,
    along,
    laid_ends,
    lay,
    read_at,
    tread_at,
    turned,
)

BAG = Bag((Level("short", 600, -0.6), Level("long", 1800, 1.4)), 2000.0, (1000.0, 1234.5))
FLAT = PracticeFloor(0, GRADES[0], 4000, 2000, ())
FALLS = replace(FLAT, shapes=(Fall(2.0, -3.0),))


def hands(seed: int) -> Tools:
    return Tools(make_floor(seed, GRADES[seed % 3]), pack_bag(Draws(f"bag {seed}")))


def a_line(seed: int, long: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return ends of a line of such a length in the room, in any direction, to 1 mm."""
    for k in range(100):
        draws = Draws(f"line {seed}, {k}")
        x, y = round(draws.between("x", 0, 4200)), round(draws.between("y", 0, 2400))
        turn = draws.between("turn", 0, 2 * np.pi)
        end = (x + long * np.cos(turn), y + long * np.sin(turn))
        if 0 <= end[0] <= 4200 and 0 <= end[1] <= 2400:
            return (float(x), float(y)), (round(float(end[0]), 3), round(float(end[1]), 3))
    raise AssertionError("no line fits")


def edge_by_programme(floor, start, end, under=(0.0, 0.0)):
    """Return height at the first end and slope [mm/mm] of the edge with the lowest middle."""
    long = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    at = np.linspace(0, long, round(long / 5) + 1)
    z = floor.heights_mm(*along(start, end, at, long)).copy()
    z[0] += under[0]
    z[-1] += under[1]
    above = np.column_stack([-np.ones(len(at)), -at / 1000])
    best = linprog([1, long / 2000], A_ub=above, b_ub=-z, bounds=[(None, None)] * 2, method="highs")
    return float(best.x[0]), float(best.x[1]) / 1000


def test_a_level_on_a_plane_shows_its_fall_and_its_own_error():
    tools = Tools(FALLS, BAG)
    across = tools.do((), lay("short", (500, 100), (500, 900)))
    assert across.figures["bubble_mm"] == pytest.approx(-3.6, abs=1e-9)  # -3.0 - 0.6
    aslant = tools.do((), lay("long", (200, 100), (200 + 1440, 100 + 1080)))
    # 4-3-5: 2.0 · 0.8 - 3.0 · 0.6 + 1.4
    assert aslant.figures["bubble_mm"] == pytest.approx(1.2, abs=1e-9)
    assert aslant.vial[0].bubble_mm == aslant.figures["bubble_mm"]
    assert "1.2 mm off towards the other end" in aslant.words


def test_on_a_level_floor_it_touches_from_end_to_end():
    seen = Tools(FLAT, BAG).do((), lay("long", (100, 500), (1900, 500)))
    assert seen.figures == {"bubble_mm": 1.4, "touches_mm": (0, 1800), "rocks": "false"}
    assert seen.under[0].touches_mm == (0, 1800)
    assert seen.on_plan[0].places_mm == ((100, 500), (1900, 500))


def test_packers_under_an_end_lift_it():
    tools = Tools(FLAT, BAG)
    seen = tools.do((), lay("long", (100, 500), (1900, 500), under=(0.0, 5.4)))
    assert seen.figures["bubble_mm"] == pytest.approx(3.0 + 1.4, abs=1e-9)
    assert seen.seconds == 35 + PACKER_S
    assert seen.under[0].packers == ((1800, 5.4),)
    seen = tools.do((), lay("long", (100, 500), (1900, 500), under=(3.6, 0.0)))
    assert seen.figures["bubble_mm"] == pytest.approx(-2.0 + 1.4 - 0.0, abs=1e-9)
    both = tools.do((), lay("long", (100, 500), (1900, 500), under=(3.6, 3.6)))
    assert both.seconds == 35 + 2 * PACKER_S
    typed = {"level": "long", "from": "100 500", "towards": "1900 500", "under_to": "3 2.4"}
    seen = tools.do((), Move("lay", read_values(LAY.fields, typed, "level")))
    assert seen.figures["bubble_mm"] == pytest.approx(4.4, abs=1e-9)


def test_a_packer_lifts_the_edge_off_what_it_lay_on():
    """The hump carries one end of it, the packer the other."""
    tools = Tools(replace(FLAT, shapes=(Bump(1500, 500, 3.0, 400),)), BAG)
    seen = tools.do((), lay("long", (100, 500), (1900, 500), under=(6.0, 0.0)))
    height, slope = edge_by_programme(tools.floor, (100, 500), (1900, 500), (6.0, 0.0))
    assert height == pytest.approx(6.0, abs=1e-6)
    assert seen.figures["bubble_mm"] == pytest.approx(1000 * slope + 1.4, abs=0.1 + 1e-6)
    assert seen.figures["touches_mm"][0] == 0
    assert 1350 <= seen.figures["touches_mm"][1] <= 1550


def test_typed_values_lack_nothing():
    """A form that is read has every key that its move needs, packers as none."""
    values = read_values(LAY.fields, {"level": "short", "from": "1 2", "towards": "3 4"}, "level")
    assert set(values) == set(lay("short", (1, 2), (3, 4)).values)
    assert (values["under_from"], values["under_to"]) == ((), ())
    for form, typed in ((EDGE, {"from": "100 50", "towards": "2500 50"}), (READ, {"at": "5 6"}),
                        (TREAD, {"at": "5 6"}), (SET_UP, {})):  # fmt: skip
        values = read_values(form.fields, typed, form.label)
        done = (Done(Move("set_up"), Tools(FLAT, BAG).do((), Move("set_up"))),)
        assert Tools(FLAT, BAG).do(done, Move(form.kind, values)).seconds > 0


def test_turning_a_level_on_its_marks_finds_its_own_error_on_200_floors():
    compared = 0
    for seed in range(260):
        tools = hands(seed)
        first = lay("long", *a_line(seed, 1800))
        seen = [tools.do((), move) for move in (first, turned(first))]
        bubbles = [float(one.figures["bubble_mm"]) for one in seen]
        if max(map(abs, bubbles)) >= TRAVEL_MM or any(s.figures["rocks"] == "true" for s in seen):
            continue
        compared += 1
        own = tools.bag.level("long").own_error_mm_per_m
        # Two readings to 0.2 mm each: half their sum is right to 0.1 mm/m.
        assert sum(bubbles) / 2 == pytest.approx(own, abs=0.1 + 1e-6)
    assert compared >= 200


def test_a_level_comes_to_lie_on_the_same_contacts_whichever_way_it_is_put_down():
    for seed in range(300):
        tools, (start, end) = hands(seed), a_line(seed, (600, 1800, 2000)[seed % 3])
        under = ((0.0, 0.0), (2.4, 0.0), (1.0, 6.0))[seed // 3 % 3]
        lies, back = tools.lie(start, end, under), tools.lie(end, start, under[::-1])
        assert lies.slope_mm_per_m == pytest.approx(-back.slope_mm_per_m, abs=1e-9)
        assert lies.rocks is back.rocks
        # Round-off of places counted from either end.
        assert lies.left_mm == pytest.approx(2 * lies.middle_mm - back.right_mm, abs=1e-9)
        assert lies.right_mm == pytest.approx(2 * lies.middle_mm - back.left_mm, abs=1e-9)


def test_marks_that_round_off_moved_are_the_same_marks():
    """Ends that a turned level was given differ from the first ones by round-off only."""
    for seed in range(40):
        tools, (start, end) = hands(seed), a_line(seed, 1800)
        moved = [(x + 3e-7, y - 3e-7) for x, y in (start, end)]
        assert tools.lie(*moved, (0.0, 0.0)) == tools.lie(start, end, (0.0, 0.0))


@pytest.mark.parametrize("tilt_deg", [0, 30, 90, 137, 180, 300])
def test_on_a_ridge_right_under_its_middle_it_tips_to_the_same_side_either_way_round(tilt_deg):
    """Its profile is a mirror image of itself; only the room can say which side."""
    floor = replace(FLAT, width_mm=6000.0, depth_mm=6000.0, shapes=(Bump(3000, 3000, 4.0, 30),))
    tools, turn = Tools(floor, BAG), np.radians(tilt_deg)
    arm = np.array([np.cos(turn), np.sin(turn)]) * 900
    start, end = (tuple(np.round(3000 + s * arm, 6).tolist()) for s in (-1, 1))
    lies, back = tools.lie(start, end, (0.0, 0.0)), tools.lie(end, start, (0.0, 0.0))
    assert lies.rocks
    assert back.rocks
    assert lies.slope_mm_per_m == pytest.approx(-back.slope_mm_per_m, abs=1e-9)
    assert abs(lies.slope_mm_per_m) == pytest.approx(4 / 0.9, abs=0.01)
    # It rests on its end of lesser x, of lesser y where x is one.
    first = lies if start < end else back
    assert first.slope_mm_per_m > 0


def test_a_turned_level_lies_on_the_same_marks_and_packers():
    move = lay("long", (100, 50), (3000, 450), under=(2.0, 0.0))
    other = turned(move)
    assert laid_ends(other)[0] == pytest.approx(laid_ends(move)[1], abs=1e-6)
    assert laid_ends(other)[1] == pytest.approx(laid_ends(move)[0], abs=1e-5)
    assert (other.values["under_from"], other.values["under_to"]) == ((), (2.0,))
    again = turned(other)
    assert laid_ends(again)[0] == pytest.approx(laid_ends(move)[0], abs=1e-5)


def test_edge_and_gauge_agree_with_the_floor_itself():
    """Where the edge lies is found by a linear programme, the gap by the heights under it."""
    read = 0
    for seed in range(60):
        tools, (start, end) = hands(seed), a_line(seed, 2000)
        edge = Move("edge", {"from": start, "towards": end})
        done = [Done(edge, tools.do((), edge))]
        height, slope = edge_by_programme(tools.floor, start, end)
        for k in range(4):
            at = 5.0 * Draws(f"gauge {seed}, {k}").whole("at", 0, 400)
            move = Move("gap", {"at": at})
            seen = tools.do(done, move)
            x, y = along(start, end, np.array([at]), 2000.0)
            gap = height + slope * at - float(tools.floor.heights_mm(x, y)[0])
            if done[0].seen.figures["rocks"] == "false":
                read += 1
                # Read to the nearest 0.5 mm; HiGHS keeps rows to 1e-7, places are 0.001 mm off.
                assert seen.figures["gap_mm"] == pytest.approx(gap, abs=GAUGE_MM / 2 + 2e-3)
            done.append(Done(move, seen))
            assert seen.placement is False
            assert seen.under[0].gaps[-1] == (at, seen.figures["gap_mm"])
            assert len(seen.under[0].gaps) == k + 1
    assert read > 180


def test_the_gauge_goes_under_the_edge_that_was_laid_last():
    floor = replace(FLAT, shapes=(Step(2000, 4.0),))
    tools, done = Tools(floor, BAG), []
    for move in (
        Move("edge", {"from": (1200, 50), "towards": (3200, 50)}),
        Move("gap", {"at": 100.0}),
        Move("edge", {"from": (2100, 900), "towards": (300, 900)}),
        Move("gap", {"at": 1500.0}),
    ):
        done.append(Done(move, tools.do(done, move)))
    # First on the upper side, its marked end 4 mm over the lower floor; then from the upper side
    # far down: over the corner at 80 of 2000 mm to the floor at its other end; at 1500 mm it is
    # 4 · 500 / 1920 = 1.04 mm above the floor.
    assert done[1].seen.figures["gap_mm"] == 4.0
    assert done[3].seen.figures["gap_mm"] == 1.0
    assert done[3].seen.under[0].gaps == ((1500.0, 1.0),)


def test_what_sticks_up_between_the_places_looked_at_is_no_gap_below_nought():
    tools = Tools(replace(FLAT, shapes=(Bump(1002.5, 50, 3.0, 2.0),)), BAG)
    laid = Move("edge", {"from": (0.0, 50.0), "towards": (2000.0, 50.0)})
    done = [Done(laid, tools.do((), laid))]
    assert tools.do(done, Move("gap", {"at": 1002.5})).figures["gap_mm"] == 0.0


def test_staff_readings_differ_as_heights_do():
    tools = hands(5)
    places = [(round(Draws(f"p{k}").between("x", 0, 4200)), 100.0 * k) for k in range(20)]
    done = [Done(Move("set_up"), tools.do((), Move("set_up")))]
    for place in places:
        done.append(Done(read_at(place), tools.do(done, read_at(place))))
    readings = np.array([float(one.seen.figures["reading_mm"]) for one in done[1:]])
    heights = np.array([float(tools.floor.heights_mm(*place)) for place in places])
    # A high point reads less; each reading is rounded to 0.5 mm: two of them, 0.5 mm together.
    fall = readings[:, None] - readings[None, :] + heights[:, None] - heights[None, :]
    assert np.abs(fall).max() <= 0.5 + 1e-9
    assert np.ptp(heights) > 3


def test_a_new_set_up_stands_at_another_height():
    tools, done = Tools(FALLS, BAG), []
    for move in (Move("set_up"), read_at((500, 0)), Move("set_up"), read_at((500, 0))):
        done.append(Done(move, tools.do(done, move)))
    assert [done[k].seen.figures for k in (1, 3)] == [
        {"reading_mm": 999.0, "set_up": 1.0},
        {"reading_mm": 1233.5, "set_up": 2.0},
    ]


def test_a_foot_feels_what_gives_and_a_staff_stands_on_what_is_proud():
    floor = replace(
        FLAT, loose=(LooseBoard(Patch(1000, 0, 140, 900), 2.2),), soft=(Soft(3000, 800, 1.6, 500),)
    )
    tools = Tools(floor, BAG)
    loose, soft, firm = (
        tools.do((), tread_at(place)) for place in ((1050, 400), (3000, 800), (100, 100))
    )
    assert [seen.figures["gives_mm"] for seen in (loose, soft, firm)] == [2.0, 1.5, 0.0]
    assert firm.words == "foot at x 100, y 100: it is firm"
    done = (Done(Move("set_up"), tools.do((), Move("set_up"))),)
    assert tools.do(done, read_at((1050, 400))).figures["reading_mm"] == 998.0
    assert tools.do(done, read_at((3000, 800))).figures["reading_mm"] == 1000.0


def stood(times: int) -> list[Done]:
    done: list[Done] = []
    for _ in range(times):
        done.append(Done(Move("set_up"), Tools(FLAT, BAG).do(done, Move("set_up"))))
    return done


EDGE_LAID = Move("edge", {"from": (0.0, 50.0), "towards": (900.0, 50.0)})


@pytest.mark.parametrize(
    ("done", "move", "message"),
    [
        ((), lay("long", (2500, 100), (3000, 100)),
         "place on the floor: found x 4005, y 100 mm, outside the room; "
         "allowed: x 0 to 4000, y 0 to 2000 mm"),
        ((), Move("edge", {"from": (100, 1500), "towards": (100, 1600)}),
         "place on the floor: found x 100, y 2005 mm, outside the room; "
         "allowed: x 0 to 4000, y 0 to 2000 mm"),
        ((), tread_at((100, -1)),
         "place on the floor: found x 100, y -1 mm, outside the room; "
         "allowed: x 0 to 4000, y 0 to 2000 mm"),
        (stood(1), read_at((4000.5, 20)),
         "place on the floor: found x 4000.5, y 20 mm, outside the room; "
         "allowed: x 0 to 4000, y 0 to 2000 mm"),
        ((), lay("short", (700, 100), (700, 100.5)),
         "instrument: found both ends at one place; allowed: two places that differ"),
        (stood(1), Move("gap", {"at": 10.0}),
         "gauge: found no straight edge laid; allowed: lay the straight edge first"),
        ([Done(EDGE_LAID, Tools(FLAT, BAG).do((), EDGE_LAID))], Move("gap", {"at": 2000.5}),
         "gauge: found 2000.5 mm along the edge; allowed: 0 to 2000 mm"),
        ([Done(EDGE_LAID, Tools(FLAT, BAG).do((), EDGE_LAID))], Move("gap", {"at": -5.0}),
         "gauge: found -5 mm along the edge; allowed: 0 to 2000 mm"),
        ((), read_at((100, 100)),
         "staff: found no laser line; allowed: set the laser up first"),
        (stood(2), Move("set_up"), "laser: found 2 set-ups already; allowed: 2 at most"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_refused(done, move, message):
    with pytest.raises(Refusal) as refused:
        Tools(FLAT, BAG).do(done, move)
    assert str(refused.value) == message


def test_a_form_of_the_gauge_asks_for_a_place_from_nought_on():
    with pytest.raises(Refusal, match="place along the edge: found '-3'"):
        read_values(GAP.fields, {"at": "-3"}, "gauge")
