"""Scans in a job: what is read, once, and what is refused by file and key."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kit.job import Refusal
from kit.readings import adjust, read_readings
from kit.readings import scan_file as module
from kit.readings import scan_table as cells

#: How far the made floor reaches [mm].
FAR = (2600.0, 1900.0)


def floor(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0.004 * x - 0.002 * y


def cloud(seed: int = 0, shift: float = 0.0) -> bytes:
    """Return some 20 points a cell of a sloping floor, as a binary PLY file in metres."""
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(0, FAR[0], 10_000), rng.uniform(0, FAR[1], 10_000)
    z = floor(x, y) + shift + rng.normal(0, 0.8, len(x))
    head = "ply\nformat binary_little_endian 1.0\nelement vertex 10000\n"
    head += "".join(f"property double {axis}\n" for axis in "xyz") + "end_header\n"
    return head.encode() + (np.column_stack([x, y, z]) / 1000).astype("<f8").tobytes()


def scan(seed: int = 0, name: str = "hall", **keys: object) -> dict[str, object]:
    """Return a survey of such a scan: its keys, and the content of its file."""
    return {"kind": "scan", "file": f"{name}.ply", "text": cloud(seed), **keys}


def staff() -> str:
    places = [(420, 380), (2110, 530), (1260, 1490), (3400, 900)]
    rows = [
        f"S1,K{i},{x},{y},{1500 - float(floor(np.array(x), np.array(y))):.2f}"
        for i, (x, y) in enumerate(places)
    ]
    return "setup,point,x_mm,y_mm,reading_mm\n" + "\n".join(rows) + "\n"


def test_a_scan_and_a_staff_in_one_job(make_job: Callable[..., Any]) -> None:
    moved = scan(text=cloud(shift=33.0), sd_mm=0.5)
    job = make_job(hall=moved, few={"kind": "staff", "text": staff(), "sd_mm": 0.3})
    told: list[float] = []
    readings = read_readings(job, told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    words = readings.tables[0].understood
    assert words.startswith("hall.ply (scan): 10,000 points in ")
    assert "cells of floor of 100 mm" in words
    assert "3 points of other tables lie in it" in words
    heights = adjust(readings, None, 0.0)
    points = heights.points
    assert set(points["point"]) >= {"K0", "K1", "K2", "K3", "x1050 y950"}
    left = points["height_mm"] - floor(points["x_mm"], points["y_mm"])
    # 0.8 mm over the root of some 20 points, and the set-up's own tie: tenths of a millimetre.
    assert (left - left.median()).abs().max() < 1.2
    at = heights.points.set_index("point")["height_mm"]
    # K3 lies off the scan: the staff alone reads it, to 0.3 mm.
    assert at["K3"] - at["K1"] == pytest.approx(0.004 * 1290 - 0.002 * 370, abs=0.3)


def test_a_scan_alone_says_that_nothing_checks_it(make_job: Callable[..., Any]) -> None:
    heights = adjust(
        read_readings(make_job(hall=scan())),
        None,
        0.0,
    )
    assert any(note.startswith("Nothing checks the scan") for note in heights.cautions)
    assert not any("checked by no other" in note for note in heights.notes)
    assert max(len(note) for note in heights.notes) < 400


def test_a_file_is_reduced_once(
    make_job: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    job = make_job(hall=scan(1))
    calls: list[str] = []
    reduce = module.scan.reduce_scan

    def counted(*args: Any, **keys: Any) -> Any:
        calls.append(args[1])
        return reduce(*args, **keys)

    monkeypatch.setattr(module.scan, "reduce_scan", counted)
    one, other = read_readings(job), read_readings(job)
    assert calls == ["hall.ply"]
    assert one.tables[0].readings.equals(other.tables[0].readings)
    (job.folder / "hall.ply").write_bytes(cloud(2, shift=4.0))
    read_readings(job)
    assert calls == ["hall.ply", "hall.ply"]


def test_two_scans_of_one_datum_are_one(make_job: Callable[..., Any]) -> None:
    keys = {"kind": "scan", "datum": "joined"}
    job = make_job(
        one={**keys, "file": "one.ply", "text": cloud(3)},
        two={**keys, "file": "two.ply", "text": cloud(4)},
    )
    heights = adjust(read_readings(job), None, 0.0)
    # Every cell that both show is read twice, and nothing else is sought beside the cells.
    both = heights.residuals["point"].duplicated().sum()
    assert heights.redundancy == both > 300


def test_the_scan_is_turned_into_the_plan(make_job: Callable[..., Any]) -> None:
    frame = {"origin_mm": (3000.0, 500.0), "x_towards_deg": 90.0}
    job = make_job(hall=scan(frame=frame, cell_mm=200.0))
    table = read_readings(job).tables[0].readings
    # Its x runs along the plan's y, its y along the plan's -x.
    assert (table["x_mm"].min(), table["x_mm"].max()) == pytest.approx((1100, 3000), abs=200)
    assert (table["y_mm"].min(), table["y_mm"].max()) == pytest.approx((500, 3100), abs=200)
    height = floor(table["y_mm"] - 500, 3000 - table["x_mm"])
    assert (table["observed_mm"] - height).abs().max() < 1.0


REFUSED = [
    ({}, b"", r"^hall\.ply: found an empty file; allowed: a scan"),
    ({"cell_mm": 4.0}, None, r'survey "hall\.ply", cell_mm: found 4 mm; allowed: from 10 to 2000'),
    ({"sd_mm": 0.0001}, None, r'survey "hall\.ply", sd_mm: found 0\.0001 mm; allowed: 0\.001'),
    ({"sheet": "floor"}, None, r"sheet: found 'floor'; allowed: no sheet: a scan is no workbook"),
    ({"file_unit": "in"}, None, r"hall\.ply: found .*; allowed: .*file_unit"),
    ({}, b"a,b\n1,2\n", r"hall\.ply"),
]


@pytest.mark.parametrize(("keys", "content", "said"), REFUSED)
def test_what_is_no_scan_is_refused(
    make_job: Callable[..., Any], keys: dict[str, object], content: bytes | None, said: str
) -> None:
    job = make_job(
        hall={
            "file": "hall.ply",
            "kind": "scan",
            "text": cloud() if content is None else content,
            **keys,
        }
    )
    with pytest.raises(Refusal, match=said):
        read_readings(job)


def test_a_missing_scan_is_named_with_its_key(make_job: Callable[..., Any]) -> None:
    job = make_job(hall=scan(text=b"x"))
    (job.folder / "hall.ply").unlink()
    with pytest.raises(Refusal, match=r"file: found 'hall\.ply', which is not there"):
        read_readings(job)


def test_a_faulty_table_is_told_before_a_scan_is_read(
    make_job: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = staff().replace("K1,2110", "K1,wide")
    job = make_job(
        hall=scan(5),
        few={"kind": "staff", "text": wrong},
    )
    monkeypatch.setattr(module.scan, "reduce_scan", lambda *_a, **_k: pytest.fail("it was read"))
    with pytest.raises(Refusal, match=r"few\.csv, row 3"):
        read_readings(job)


def test_all_scans_together_have_a_limit(
    make_job: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = {"kind": "scan", "datum": "joined"}
    job = make_job(
        one={**keys, "file": "one.ply", "text": cloud(6)},
        two={**keys, "file": "two.ply", "text": cloud(7)},
    )
    for place in (module, cells):
        monkeypatch.setattr(place, "MOST_CELLS", 700)
    with pytest.raises(Refusal, match=r"one\.ply, two\.ply: found \d+ cells.*cell_mm = 1[0-9]0 w"):
        read_readings(job)


def test_of_two_scans_each_tells_its_half(make_job: Callable[..., Any], tmp_path: Path) -> None:
    keys = {"kind": "scan", "datum": "joined"}
    job = make_job(
        one={**keys, "file": "one.ply", "text": cloud(8)},
        two={**keys, "file": "two.ply", "text": cloud(9)},
    )
    told: list[float] = []
    read_readings(job, told.append)
    assert told == sorted(told)
    assert 0.5 in told
    assert job.folder == tmp_path


@pytest.mark.parametrize("fixed", ["K1", None])
def test_a_scan_that_nothing_ties_says_why(make_job: Callable[..., Any], fixed: str | None) -> None:
    away = scan(11, frame={"origin_mm": (40_000.0, 0.0)})
    job = make_job(hall=away, few={"kind": "staff", "text": staff()})
    readings = read_readings(job)
    with pytest.raises(Refusal) as caught:
        adjust(readings, fixed, 0.0)
    (problem,) = caught.value.problems
    # Without a benchmark the scan is the larger part, and the staff's points are the loose one.
    assert problem.where.startswith("few.csv" if fixed is None else "hall.ply")
    assert problem.found.endswith(
        "(hall.ply: none of the 4 points of other tables lies on floor that it shows)"
    )
    assert "scanned floor" in problem.allowed
    assert "same name" not in problem.allowed
