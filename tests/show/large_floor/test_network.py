"""The net of a survey of four set-ups, worked out by hand."""

import pytest

from kit.show.large_floor.network import network, nodes_of


@pytest.fixture(scope="module")
def net(four_setups):
    return network(four_setups[1])


def test_set_ups_stand_at_the_mean_of_what_they_read(net):
    assert net.setups["S1"] == pytest.approx((1500.0, 1625.0))
    assert net.setups["S4"] == pytest.approx((10500.0, 3850.0))
    assert net.reads == {"S1": 4, "S2": 5, "S-3": 3, "S4": 2}
    assert net.points["A-7"] == (12000.0, 5200.0)


def test_what_they_share_is_counted(net):
    assert net.shared == {("S1", "S2"): 3, ("S2", "S-3"): 2, ("S-3", "S4"): 1}


def test_what_hangs_on_one_point(net):
    assert [(one.point, one.pairs) for one in net.weak] == [("A-4", (("S4", "S-3"),))]


def test_the_round_with_the_slip_is_beyond(net):
    (one,) = net.beyond
    assert one.number == 1
    assert set(one.nodes) == {"S2", "S-3", "A-5", "A-6"}
    assert one.misclosure_mm == pytest.approx(4.0, abs=1e-6)  # only the slip is in the readings
    # Four readings of 0.5 mm, 19 in 20: 1.96 * 0.5 * sqrt(4)
    assert one.expected_mm == pytest.approx(1.96, abs=1e-3)
    middle = [sum(net.place(node)[axis] for node in one.nodes[1:]) / 4 for axis in (0, 1)]
    assert net.middle(one) == pytest.approx(tuple(middle))


@pytest.mark.parametrize(
    ("words", "known", "nodes"),
    [
        ("S1-G1-S2-G2-S1", {"S1", "S2", "G1", "G2"}, ["S1", "G1", "S2", "G2", "S1"]),
        ("S-3-A-6-S2", {"S-3", "A-6", "S2", "6"}, ["S-3", "A-6", "S2"]),
        ("A-B-C", {"A", "B-C", "A-B"}, ["A", "B-C"]),
        ("A-B", {"A"}, []),
    ],
)
def test_rounds_are_read_name_by_name(words, known, nodes):
    assert nodes_of(words.split("-"), known) == nodes
