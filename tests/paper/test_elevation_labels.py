"""Letters above and below an elevation."""

from kit.job import Packer
from kit.paper.elevation_labels import labels_along, pile, tallest
from kit.paper.label_places import letters_box, letters_of
from kit.paper.marks import Stroke


def test_piles_from_the_floor_up():
    packers = [Packer(mm=1), Packer(mm=3), Packer(mm=18, measured_mm=17.8)]
    assert pile((2, 2, 1, 0, 0, 2), packers, "mm") == "2×18 + 3 + 2×1 + 18"
    assert pile((0,), packers, "mm") == "1"


def test_piles_of_a_job_in_inches_tell_their_unit():
    packers = [Packer(mm=3.175), Packer(mm=19.05), Packer(mm=6)]
    assert pile((1, 1, 0), packers, "in") == "2×3/4 + 1/8 in"
    assert pile((1, 2), packers, "in") == "3/4 in + 6 mm"


def test_labels_below_hang_from_one_line():
    labels = [[("B1", 3.5, True), ("2×18", 2.5, False)], [("B2", 3.5, True)]]
    marks = labels_along([10.0, 10.5], labels, 50.0, 90.0, up=False)
    boxes = [letters_box(one) for one in letters_of(marks)]
    assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[:n])
    tops = sorted(box.top for box in boxes)
    # A leader of 3.4 mm below the row, to a float's arithmetic.
    assert max(abs(top - 53.4) for top in tops[:2]) < 1e-9
    assert max(box.bottom for box in boxes) <= 53.4 + tallest(labels) + 1e-9
    leaders = [m.places[0] for m in marks if isinstance(m, Stroke)]
    assert leaders == [(10.0, 50.0), (10.5, 50.0)]
