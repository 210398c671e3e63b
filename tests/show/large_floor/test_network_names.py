"""Names beside their places: led to them where they must stand away."""

import numpy as np

from kit.show.large_floor.floor_marks import FloorMarks
from kit.show.large_floor.network import Network
from kit.show.large_floor.network_names import NAME_LETTERS, names_of


def net_of(**setups):
    return Network({}, setups, dict.fromkeys(setups, 1), {}, (), 0, ())


def names(net):
    return names_of(net, np.array([(0.0, 0.0), (12000.0, 8000.0)]), FloorMarks())


def test_a_name_alone_stands_at_its_place():
    (note,) = names(net_of(S1=(5000.0, 3000.0)))
    assert (note["x"], note["y"], note["text"]) == (5000.0, 3000.0, "<b>S1</b>")
    assert note["showarrow"] is False
    # Beside the square: 12 px of it and 12 px of letters leave nothing nearer.
    assert 8 <= np.hypot(note["xshift"], note["yshift"]) <= 30


def test_of_set_ups_at_one_place_the_further_names_are_led_to_it():
    crowd = {f"set-up {n}": (5000.0, 3000.0) for n in range(1, 12)}
    notes = names(net_of(**crowd))
    assert {note["showarrow"] for note in notes} == {True, False}
    led = next(note for note in notes if note["showarrow"])
    assert np.hypot(led["ax"], led["ay"]) > 15


def test_long_and_odd_names_are_cut_and_shown_as_typed():
    (note,) = names(net_of(**{"$<i>$ by the north door": (5000.0, 3000.0)}))
    assert "<i>" not in note["text"]
    assert "$" not in note["text"]
    assert note["text"].endswith("…</b>")
    plain = note["text"].replace("&#36;", "$").replace("&lt;", "<").replace("&gt;", ">")
    assert len(plain) - len("<b></b>") <= NAME_LETTERS
