"""What a practice plan shows, in words."""

from __future__ import annotations

from kit.practice.drill import Given
from kit.practice.floors import PracticeFloor
from kit.practice.moves import Done, Move, OnPlan, Seen
from kit.show.practice.plan_words import floor_sentences, plan_words, thing_words


def test_things_say_what_and_where() -> None:
    line = OnPlan("line", ((300.0, 200.4), (2100.0, 220.0)), "long")
    assert thing_words(line) == "long from x 300, y 200 mm to x 2100, y 220 mm"
    outline = OnPlan("outline", ((0, 10), (90, 50)), "bearer")
    assert thing_words(outline) == "bearer between x 0, y 10 mm and x 90, y 50 mm"
    assert thing_words(OnPlan("place", ((7, 8),))) == "at x 7, y 8 mm"


def test_the_newest_move_comes_first_and_all_are_there() -> None:
    spots = [OnPlan("place", ((100.0 * n, 50.0),), f"r{n}") for n in (1, 2, 3)]
    done = [Done(Move("read"), Seen("seen", 5.0, on_plan=(spot,))) for spot in spots]
    done.insert(1, Done(Move("set_up"), Seen("seen", 5.0)))
    said = plan_words(Given((), (3000, 2000)), done, (spots[0],), (), (3000, 2000))
    assert said == (
        "Plan of a room 3000 mm wide and 2000 mm deep, wall at the top."
        " Newest, move 4: r3 at x 300, y 50 mm."
        " Move 3: r2 at x 200, y 50 mm. Move 1: r1 at x 100, y 50 mm."
        " The truth: r1 at x 100, y 50 mm."
    )


def test_a_floor_says_what_it_hides(made: PracticeFloor) -> None:
    said = " ".join(floor_sentences(made))
    assert "mm/m to the left and into the room; against that its hollows reach -" in said
    assert "Loose board 2.7 mm proud, x 400 to 540 mm." in said
    assert "Gives 1.3 mm underfoot at x 1500, y 1700 mm." in said
    assert "Heating under the boards, x 1900 to 3100 mm." in said
