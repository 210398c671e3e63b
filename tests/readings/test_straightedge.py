"""Gaps below a straight edge: tables, and what they tell of the floor."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from kit.job.refusal import Refusal
from kit.readings import Readings, adjust, read_readings

HEADER = "placement,point,x_mm,y_mm,gap_mm\n"
STAFF = "setup,point,x_mm,y_mm,reading_mm\nS1,A,0,0,1400\nS1,D,1800,0,1394\nS1,F,0,900,1402\n"


@pytest.fixture
def edge(make_job):
    def make(text: str, **more: dict[str, object]):
        return read_readings(make_job(edges={"kind": "straightedge", "text": text}, **more))

    return make


def test_gaps_between_two_known_heights(edge):
    """The edge lies anyhow: its line through A and D is known from their gaps and heights."""
    gaps = HEADER + "E1,A,0,0,2\nE1,B,450,0,5\nE1,C,1350,0,1\nE1,D,1800,0,0\n"
    heights = adjust(edge(gaps, staff={"kind": "staff", "text": STAFF}), "A", 0.0)
    at = heights.points.set_index("point")["height_mm"]
    # Edge: 2 above A at 0, 6 at D (6 above A): 3 and 5 mm at B and C.
    assert at.to_dict() == pytest.approx({"A": 0, "B": -2, "C": 4, "D": 6, "F": -2})
    assert heights.redundancy == 0


def test_doubt_of_a_point_below_the_edge(edge):
    gaps = HEADER + "E1,A,0,0,2\nE1,B,600,0,5\nE1,D,1800,0,0\n"
    heights = adjust(edge(gaps, staff={"kind": "staff", "text": STAFF}), "A", 0.0)
    # h(B) = gap(A)·2/3 + gap(D)/3 - gap(B) + h(D)/3; all sd 0.5, h(D) of two readings.
    expected = 0.5 * np.sqrt(4 / 9 + 1 / 9 + 1 + 2 / 9)
    assert heights.points.set_index("point")["sd_mm"]["B"] == pytest.approx(expected)


def test_the_direction_of_the_edge_and_of_its_list_do_not_matter(mixed):
    made = mixed(11)
    heights = adjust(made.readings, "B3", 0.0)
    tables = list(made.readings.tables)
    one = tables[1]
    turned = one.readings.iloc[::-1].reset_index(drop=True)
    tables[1] = type(one)(one.survey, one.kind, one.datum, turned, one.extra)
    again = adjust(Readings(tuple(tables)), "B3", 0.0)
    ordered = again.points.set_index("point").loc[heights.points["point"]]
    assert ordered["height_mm"].to_numpy() == pytest.approx(heights.points["height_mm"], abs=1e-9)


def test_a_slanting_edge_is_measured_along_itself(edge):
    gaps = HEADER + "E1,A,0,0,2\nE1,B,300,400,4\nE1,C,600,800,1\n"
    rows = edge(gaps).rows
    assert rows["along_m"].tolist() == pytest.approx([-0.5, 0.0, 0.5])


OPEN = "E1,A,0,0,2\nE1,B,450,0,5\nE1,C,1350,0,1\n"
BAD = [
    ("E1,A,0,0,2\nE1,B,450,0,5\n", "edges.csv, row 2, placement E1: found gaps at fewer than three"
     " places (A, B); allowed: gaps at three places or more of each placement: two ends and one"
     " between"),
    ("E1,A,0,0,2\nE1,B,450,0,5\nE1,B,450,0,5.2\n", "edges.csv, row 2, placement E1: found gaps at"
     " fewer than three places (A, B); allowed: gaps at three places or more of each placement: two"
     " ends and one between"),
    ("E1,A,0,0,2\nE1,B,900,240,5\nE1,C,1800,0,1\n", "edges.csv, row 3, placement E1, point B: found"
     " a place 160 mm beside the line of the others; allowed: points of one placement within 50 mm"
     " of one straight line"),
    (OPEN, "edges.csv, row 3, placement E1: found points B, C, of which the straight edge tells no"
     " height: it shows how the floor bends under it, not how it falls; allowed: two points of each"
     " straight edge, well apart, that staff, level or heights read too"),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "message"), BAD, ids=range(len(BAD)))
def test_readings_that_tell_nothing(edge, rows, message):
    staff = STAFF.replace("D,1800", "G,2800")
    with pytest.raises(Refusal) as caught:
        adjust(edge(HEADER + rows, staff={"kind": "staff", "text": staff}), "A", 0.0)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("E1,A,0,0,-2\n", "edges.csv, row 2, gap_mm: found -2 mm; allowed: gaps down to the floor,"
         " 0 or more: a number, from 0 to 500 mm"),
        ("E1,A,0,0,0.002\nE1,B,400,0,0\nE1,C,900,0,0.004\n", "edges.csv, column gap_mm: found gaps"
         " from 0 to 0.004 mm, which look like metres; allowed: gaps in millimetres (metres times"
         " 1000)"),
        (",A,0,0,1\n", "edges.csv, row 2, placement: found an empty cell; allowed: a name of 1 to"
         " 80 characters"),
    ],
    ids=["below", "metres", "nameless"],
)  # fmt: skip
def test_bad_tables(edge, row, message):
    with pytest.raises(Refusal) as caught:
        edge(HEADER + row)
    assert str(caught.value) == message


def test_edges_alone_know_no_fall(edge):
    with pytest.raises(Refusal, match="how the floor bends under it, not how it falls"):
        adjust(edge(HEADER + OPEN), None, 0.0)


def test_edges_that_cross_known_lines_hold_each_other(table):
    """Four edges in a net over two staff rows: every height follows, although none reads two."""
    rng = np.random.default_rng(3)
    xs, ys = np.array([0.0, 800, 1700, 2600]), np.array([0.0, 700, 1500])
    floor = {
        f"{c}{r}": (x, y, rng.normal(0, 3)) for c, x in enumerate(xs) for r, y in enumerate(ys)
    }
    staff = [("S1", n) for n in floor if n[1] in "02"]
    edges = [(f"E{c}", f"{c}{r}") for c in range(4) for r in range(3)]
    frames = []
    for kind, rows in (("staff", staff), ("straightedge", edges)):
        frame = pd.DataFrame(rows, columns=["setup", "point"])
        frame[["x_mm", "y_mm", "h"]] = [floor[n] for n in frame["point"]]
        tilt = frame["setup"].str[1].astype(int) * 0.9 * frame["y_mm"] / 1000
        base = 1400.0 if kind == "staff" else 20 + tilt
        frames.append(
            table(frame.assign(observed_mm=base - frame["h"], sd_mm=0.4), f"{kind}.csv", kind)
        )
    heights = adjust(Readings(tuple(frames)), "00", 0.0).points
    true = np.array([floor[n][2] for n in heights["point"]]) - floor["00"][2]
    assert heights["height_mm"].to_numpy() == pytest.approx(true, abs=1e-9)
