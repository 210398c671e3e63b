"""One planted slip a case in networks of mixed kinds: named rightly, or said not to be told.

What can be told is worked out here by itself, with dense matrices and without noise: the slip
must stand out of the noise, and must explain the residuals better than any other reading.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from kit.readings import Readings, adjust

#: Two-sided 0.1 % of the normal distribution; and what is added to it for 99 cases in 100.
LIMIT, SURE = 3.29, 2.33

#: Slip, kind of reading, seed of the network, row of the table.
CASES = [
    ("sign", "level", 1, 0),
    ("sign", "level", 21, 5),
    ("sign", "heights", 3, 2),
    ("sign", "heights", 4, 4),
    ("+10", "staff", 5, 7),
    ("+10", "straightedge", 6, 5),
    ("+10", "straightedge", 7, 0),
    ("-10", "level", 8, 3),
    ("-10", "heights", 9, 1),
    ("-10", "staff", 10, 10),
    ("+100", "staff", 11, 0),
    ("+100", "heights", 12, 4),
    ("-100", "straightedge", 13, 11),
    ("-100", "level", 14, 9),
    ("swap", "staff", 15, 3),
    ("swap", "staff", 16, 13),
    ("swap", "straightedge", 17, 4),
    ("set-up", "staff", 18, 2),
    ("set-up", "staff", 19, 9),
    ("set-up", "staff", 20, 14),
]


@dataclass(frozen=True)
class Planted:
    readings: Readings
    rows: tuple[int, ...]
    error_mm: np.ndarray
    words: str


def plant(made, slip: str, kind: str, row: int) -> Planted:
    """Put one slip into a network: which rows it spoils, by how much, what it is called."""
    readings = made.readings
    number = next(i for i, t in enumerate(readings.tables) if t.kind == kind)
    start = sum(len(t.readings) for t in readings.tables[:number])
    booked = readings.tables[number].readings["observed_mm"].to_numpy().copy()
    old, spoilt, words = booked.copy(), [row], f"misread by {slip[1:]} mm"
    if slip == "sign":
        booked[row] *= -1
        words = "the other end was lifted" if kind == "level" else "wrong sign"
    elif slip == "swap":
        setups = readings.tables[number].readings["setup"].to_numpy()
        beside = np.flatnonzero(setups == setups[row])
        other = int(beside[np.argmax(abs(booked[beside] - booked[row]))])
        booked[[row, other]] = booked[[other, row]]
        spoilt, words = sorted([row, other]), "the two points are swapped"
    elif slip == "set-up":
        setups = readings.tables[number].readings["setup"].to_numpy()
        own = setups[row]
        taken = "S2" if own == "S1" else "S1"
        # Read from the other set-up: its line of sight, the same point, its own error of reading.
        booked[row] += lines_of_sight(made)[taken] - lines_of_sight(made)[own]
        words = f"taken from set-up {taken}"
    else:
        booked[row] += float(slip)
    table = readings.tables[number]
    spoilt_table = replace(table, readings=table.readings.assign(observed_mm=booked))
    tables = [spoilt_table if i == number else t for i, t in enumerate(readings.tables)]
    error = np.zeros(len(readings.rows))
    error[start : start + len(booked)] = booked - old
    return Planted(Readings(tuple(tables)), tuple(start + r for r in spoilt), error, words)


def lines_of_sight(made) -> dict[str, float]:
    rows = made.readings.tables[0].readings
    height = rows["observed_mm"] + rows["point"].map(made.height_mm)
    return height.groupby(rows["setup"]).mean().to_dict()


def dense_misfit(readings: Readings) -> np.ndarray:
    """M = P - P A (A'PA)^+ A'P: v'Pv = l'Ml, written down here by itself."""
    rows = readings.rows
    names: dict[tuple[str, str], int] = {}
    entries = []
    for i, row in enumerate(rows.to_dict("records")):
        kind = row["kind"]
        terms = {
            "staff": [("line", row["station"], 1), ("h", row["point"], -1)],
            "heights": [("line", row["station"], 1), ("h", row["point"], 1)],
            "level": [("h", row["point"], 1), ("h", row["start"], -1),
                      ("own", row["survey"], row["turned"] * row["span_m"])],
            "straightedge": [("line", row["station"], 1), ("h", row["point"], -1),
                             ("slope", row["station"], row["x_mm"] / 1000)],
        }[kind]  # fmt: skip
        entries += [(i, names.setdefault((k, n), len(names)), f) for k, n, f in terms]
    design = np.zeros((len(rows), len(names)))
    for i, column, factor in entries:
        design[i, column] += factor
    weight = np.diag(rows["sd_mm"].to_numpy() ** -2.0)
    normal = design.T @ weight @ design
    return weight - weight @ design @ np.linalg.pinv(normal, rcond=1e-11) @ design.T @ weight


def can_be_named(planted: Planted) -> bool:
    """Tell by theory whether a slip stands out, and stands out alone.

    With error c, reading i alone takes (Mc)_i²/M_ii off v'Pv and the truth takes c'Mc. Truth and
    rival differ by D, which noise scatters by 2·sqrt(D): D must exceed 3.29² 99 times in 100.
    """
    m, c = dense_misfit(planted.readings), planted.error_mm
    checked = np.diag(m) > 1e-6 * np.diag(m).max()
    taken = np.where(checked, (m @ c) ** 2 / np.where(checked, np.diag(m), 1.0), 0.0)
    whole = float(c @ m @ c)
    rivals = np.delete(taken, planted.rows if len(planted.rows) == 1 else [])
    lead = whole - float(rivals.max())
    # Of one reading and another the stronger test of w without the rival is used.
    single = (LIMIT + SURE) ** 2
    enough = single if len(planted.rows) == 1 else (SURE + np.hypot(SURE, LIMIT)) ** 2
    return whole >= (LIMIT + SURE) ** 2 and lead >= enough


@pytest.mark.parametrize(("slip", "kind", "seed", "row"), CASES)
def test_a_planted_slip_is_named_where_theory_says_it_can_be(mixed, slip, kind, seed, row):
    planted = plant(mixed(seed), slip, kind, row)
    heights = adjust(planted.readings, None, 0.0)
    if can_be_named(planted):
        (finding,) = heights.findings
        assert finding.choices == (planted.rows,)
        assert planted.words in finding.slips
        return
    rows = planted.readings.rows.iloc[list(planted.rows)]
    if not heights.findings:
        # Nothing checks it: said so, with its point.
        unchecked = next(n for n in heights.notes if "checked by no other" in n)
        assert all(point in unchecked for point in rows["point"])
        assert heights.residuals["detectable_mm"].iloc[list(planted.rows)].min() == np.inf
        return
    finding = heights.findings[0]
    assert planted.rows in finding.choices
    if not finding.decided:
        assert "the other readings do not tell which" in finding.sentence


def test_the_cases_hold_both_sorts(mixed):
    told = [can_be_named(plant(mixed(seed), slip, kind, row)) for slip, kind, seed, row in CASES]
    assert len(CASES) == 20
    assert sum(told) == 14
