"""Scan files of each kind, written by libraries that the kit does not read with where there are."""

import os
import struct
import sys
from pathlib import Path

import laspy
import numpy as np
import plyfile
import pytest

from kit.job import Refusal
from kit.scan.cloud import open_cloud

#: Unequal places of a boot room [m], exact in single precision too.
PLACES = np.array(
    [[0.5, 0.25, 0.0078125], [2.75, 0.125, -0.015625], [1.5, 1.875, 0.03125], [3.25, 2.5, 0.0]]
)


def read(path, unit=None, at_once=3):
    pieces = list(open_cloud(path, path.name, unit).pieces(at_once))
    assert max(len(piece[0]) for piece in pieces) <= at_once
    return np.concatenate([np.column_stack(piece) for piece in pieces])


def refused(path, unit=None):
    with pytest.raises(Refusal) as caught:
        read(path, unit)
    (problem,) = caught.value.problems
    assert problem.where.startswith(path.name)
    return problem


def written(tmp_path, name, text):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def las(path, places=PLACES, step=1e-4, offset=(0.0, 0.0, 0.0), vlr=None, fmt=3):
    header = laspy.LasHeader(point_format=fmt, version="1.4" if fmt > 5 else "1.2")
    header.scales, header.offsets = [step] * 3, offset
    if vlr is not None:
        header.vlrs.append(vlr)
    data = laspy.LasData(header)
    data.x, data.y, data.z = np.transpose(places)
    data.write(path)
    return path


def ply(path, text=False, order="<", places=PLACES, number="f4", before=()):
    names = ("red", "z", "x", "y")
    vertex = np.zeros(len(places), dtype=[(n, "u1" if n == "red" else number) for n in names])
    vertex["x"], vertex["y"], vertex["z"] = np.transpose(places)
    faces = np.array([([0, 1, 2],), ([1, 2, 3],)], dtype=[("vertex_indices", "i4", (3,))])
    last = plyfile.PlyElement.describe(faces, "face")
    elements = [*before, plyfile.PlyElement.describe(vertex, "vertex"), last]
    plyfile.PlyData(elements, text=text, byte_order=order).write(path)
    return path


@pytest.mark.parametrize(
    "text",
    [
        "x,y,z\n0.5,0.25,0.0078125\n2.75,0.125,-0.015625\n1.5,1.875,0.03125\n3.25,2.5,0\n",
        "\ufeffz [mm];colour;y [mm];x [mm]\n7,8125;red;250;500\n-15,625;;125;2750\n"
        "31,25;red;1875;1500\n0;blue;2500;3250\n",
        "\nX_m\tY_mm\tZ_cm\r\n0.5\t250\t0.78125\r\n2.75\t125\t-1.5625\r\n1.5\t1875\t3.125\r\n"
        "3.25\t2500\t0\r\n",
        "//x, y, z,\n0.5,0.25,0.0078125,\n2.75,0.125,-0.015625,\n1.5,1.875,0.03125,\n3.25,2.5,0,\n",
    ],
)
def test_text_tables(tmp_path, text):
    found = read(written(tmp_path, "boot-room.csv", text))
    # Decimals times 1000 may round in the last bit.
    assert found == pytest.approx(PLACES * 1000, rel=1e-14)


def test_bare_titles_count_in_the_unit_of_the_job(tmp_path):
    path = written(tmp_path, "boot-room.csv", "x,y,z\n10,20,0.5\n30,50,0.25\n")
    assert read(path, "in").tolist() == [[254.0, 508.0, 12.7], [762.0, 1270.0, 6.35]]


def test_missing_numbers_come_as_nan(tmp_path):
    path = written(tmp_path, "boot-room.csv", "x,y,z\n1,2,3\n4,,5\n6,7,inf\n8\n")
    found = read(path)
    holes = np.argwhere(~np.isfinite(found)).tolist()
    assert (len(found), holes) == (4, [[1, 1], [2, 2], [3, 1], [3, 2]])


@pytest.mark.parametrize(
    ("text", "where", "found"),
    [
        ("x,y,height\n1,2,3\n", "row 1", "no column z"),
        ("x,x_mm,y,z\n1,2,3,4\n", "row 1", "2 columns x"),
        ("x_yd,y,z\n1,2,3\n", "row 1", "'x_yd'"),
        ("1.0,2.0,3.0\n1,2,3\n", "row 1", "no column x"),
        ("x,y,z\n", "", "no point"),
        ("\n\n", "", "an empty table"),
        ("x,y,z\n1,2,3\n4,5,oak\n", "row 3", "'oak' for z"),
        ("x,y,z\n1,2,3\n4,5,6\n7,8,9\n7,8,9\n1,5,2,5,3,5\n", "row 6", "6 cells under 3 columns"),
        ("x;y;z\n1,5;2,5;3\n1.234,5;2;3\n", "row 3", "'1.234,5' for x"),
        (b"x,y,z\n\x00\x01", "", "a binary file"),
        ("x,y,z\n1,2,3\n".encode("utf-16"), "", "UTF-16"),
        ('x,y,z\n1,2,3\n1,2,"3\n', "", "cannot be read"),
        ("", "", "an empty file"),
    ],
)
def test_bad_text_tables(tmp_path, text, where, found):
    problem = refused(written(tmp_path, "boot-room.csv", text))
    assert problem.where == ", ".join(filter(None, ["boot-room.csv", where]))
    assert found in problem.found


def test_two_units_are_refused(tmp_path):
    problem = refused(written(tmp_path, "boot-room.csv", "x_mm,y_mm,z_mm\n1,2,3\n"), "m")
    assert "'x_mm', and file_unit 'm'" in problem.found


@pytest.mark.parametrize("kind", [{"text": True}, {"order": "<"}, {"order": ">"}, {"number": "f8"}])
def test_ply_as_an_independent_library_writes_it(tmp_path, kind):
    assert read(ply(tmp_path / "hall.ply", **kind)).tolist() == (PLACES * 1000).tolist()


@pytest.mark.parametrize("text", [True, False])
def test_ply_with_lists_before_the_vertices(tmp_path, text):
    lists = np.empty(2, dtype=[("who", "O"), ("n", "i2")])
    lists[0], lists[1] = (np.array([1, 2, 3], "i4"), 7), (np.array([4], "i4"), 8)
    first = plyfile.PlyElement.describe(lists, "group", len_types={"who": "u1"})
    path = ply(tmp_path / "hall.ply", text, before=[first])
    assert read(path, "mm").tolist() == PLACES.tolist()


@pytest.mark.parametrize(("text", "left", "found"), [(True, 22, 2), (False, 22, 1), (False, 51, 3)])
def test_ply_cut_off(tmp_path, text, left, found):
    whole = ply(tmp_path / "whole.ply", text).read_bytes()
    begins = whole.index(b"end_header") + 11
    problem = refused(written(tmp_path, "cut.ply", whole[: begins + left]))
    assert problem.found == f"{found} points where the header says 4"


def test_ply_text_cut_off_in_its_last_row(tmp_path):
    head = "ply\nformat ascii 1.0\nelement vertex 2\n"
    head += "".join(f"property float {axis}\n" for axis in "xyz")
    path = written(tmp_path, "cut.ply", f"{head}end_header\n1 2 3\n4 5")
    assert refused(path).found == "1 points where the header says 2"


@pytest.mark.parametrize(
    ("header", "found"),
    [
        ("format ascii 1.0\nelement face 2\nproperty list uchar int v\n", "no element 'vertex'"),
        ("format ascii 1.0\nelement vertex 2\nproperty float x\n", "the properties x"),
        ("format ascii 1.0\nelement vertex two\n", "element vertex two"),
        ("format middle_endian 1.0\nelement vertex 1\n", "'middle_endian'"),
        ("format ascii 1.0\nelement vertex 1\nproperty complex x\n", "complex x"),
        (
            "format ascii 1.0\nelement vertex 0\nproperty float x\nproperty float y\n"
            "property float z\n",
            "no point",
        ),
    ],
)
def test_bad_ply_headers(tmp_path, header, found):
    path = written(tmp_path, "hall.ply", f"ply\n{header}end_header\n1 2 3\n")
    assert found in refused(path).found


def test_ply_header_without_end(tmp_path):
    path = written(tmp_path, "hall.ply", "ply\nformat ascii 1.0\nelement vertex 1\n")
    assert refused(path).found == "a header without an end"


@pytest.mark.parametrize(("name", "fmt"), [("h.las", 3), ("h.laz", 3), ("h.laz", 7), ("h.las", 6)])
def test_las_and_laz_give_what_laspy_reads(tmp_path, name, fmt):
    path = las(tmp_path / name, fmt=fmt, offset=(1.0, -2.0, 0.5))
    peer = laspy.read(path)
    assert read(path).tolist() == (np.column_stack([peer.x, peer.y, peer.z]) * 1000).tolist()
    # Half a step of 0.1 mm.
    assert read(path) == pytest.approx(PLACES * 1000, abs=0.0501)
    assert open_cloud(path, name, None).points == 4


def test_las_in_feet_by_its_own_coordinate_system(tmp_path):
    text = (
        'PROJCS["hall",GEOGCS["g",DATUM["d",SPHEROID["s",6378137,298.2]],PRIMEM["p",0],'
        'UNIT["degree",0.0174532925]],PROJECTION["Transverse_Mercator"],'
        'UNIT["US survey foot",0.3048006096]]'
    )
    record = laspy.vlrs.known.WktCoordinateSystemVlr(text)
    path = las(tmp_path / "hall.las", fmt=6, vlr=record)
    # Half a step of 0.0001 ft.
    assert read(path) == pytest.approx(PLACES * 304.8006096, abs=0.016)
    assert read(path, "mm") == pytest.approx(PLACES, abs=6e-5)


@pytest.mark.parametrize("name", ["h.las", "h.laz"])
@pytest.mark.parametrize("share", [0.0003, 0.01, 0.1, 0.5, 0.9, 0.999])
def test_las_and_laz_cut_off(tmp_path, name, share):
    places = np.random.default_rng(3).uniform(0, 3, (60_000, 3))
    raw = las(tmp_path / f"whole-{name}", places).read_bytes()
    assert refused(written(tmp_path, name, raw[: int(len(raw) * share)])).allowed


@pytest.mark.parametrize(("name", "fmt", "place"), [("h.las", 3, 100), ("h.laz", 7, 100),
                                                    ("h.las", 6, 243)])  # fmt: skip
def test_las_with_more_records_than_there_is_room_for(tmp_path, name, fmt, place):
    # LAS 1.4 R15, 2.4: how many records lie before the points, at byte 100, and after, at 243.
    raw = bytearray(las(tmp_path / f"whole-{name}", fmt=fmt).read_bytes())
    raw[place : place + 4] = (3_000_000_000).to_bytes(4, "little")
    problem = refused(written(tmp_path, name, bytes(raw)))
    assert "a header that says 3,000,000,00" in problem.found
    assert problem.allowed == "a whole LAS or LAZ file"


def test_las_with_fewer_points_than_it_says(tmp_path):
    raw = bytearray(las(tmp_path / "whole.las").read_bytes())
    # Number of point records of LAS 1.2: byte 107 (LAS specification 1.2, public header block).
    raw[107:111] = struct.pack("<I", 9)
    problem = refused(written(tmp_path, "hall.las", bytes(raw)))
    assert problem.found == "4 points where the header says 9"


def test_laz_with_flipped_bytes_is_read_or_refused(tmp_path):
    raw = las(tmp_path / "whole.laz", np.random.default_rng(4).uniform(0, 3, (500, 3))).read_bytes()
    generator = np.random.default_rng(5)
    told = 0
    for _ in range(60):
        spoilt = bytearray(raw)
        spoilt[generator.integers(94, len(raw))] ^= int(generator.integers(1, 256))
        try:
            read(written(tmp_path, "hall.laz", bytes(spoilt)), at_once=1000)
        except Refusal:
            told += 1
    assert told > 0


def test_other_kinds_and_wrong_beginnings(tmp_path):
    assert "ends in '.obj'" in refused(written(tmp_path, "hall.obj", "v 1 2 3")).found
    assert "begins with b'abcd'" in refused(written(tmp_path, "hall.laz", "abcdefgh")).found
    assert "no" in refused(tmp_path / "hall.ply").found.lower()
    (tmp_path / "folder.csv").mkdir()
    assert refused(tmp_path / "folder.csv").found == "a folder"


def e57(path, scans):
    pye57 = pytest.importorskip("pye57")
    with pye57.E57(str(path), mode="w") as file:
        for places, rotation, translation in scans:
            data = dict(
                zip(("cartesianX", "cartesianY", "cartesianZ"), places.T.copy(), strict=True)
            )
            file.write_scan_raw(data, rotation=rotation, translation=translation)
    return path


def test_e57_scans_each_in_their_own_pose(tmp_path):
    half = np.sqrt(0.5)
    # A quarter turn about z takes (x, y) to (-y, x).
    scans = [
        (PLACES, np.array([1.0, 0, 0, 0]), np.array([0.0, 0, 0])),
        (PLACES[:3], np.array([half, 0, 0, half]), np.array([4.0, 1.0, 0.25])),
    ]
    path = e57(tmp_path / "hall.e57", scans)
    turned = np.column_stack([4 - PLACES[:3, 1], 1 + PLACES[:3, 0], PLACES[:3, 2] + 0.25])
    # The sums of a rotation matrix round at some 1e-16 of metres.
    assert read(path) == pytest.approx(np.vstack([PLACES, turned]) * 1000, abs=1e-9)
    assert open_cloud(path, "hall.e57").points == 7


def test_e57_cut_off(tmp_path):
    raw = e57(tmp_path / "whole.e57", [(PLACES, None, None)]).read_bytes()
    assert refused(written(tmp_path, "hall.e57", raw[: len(raw) // 2])).allowed


def test_e57_without_its_library(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pye57", None)
    problem = refused(written(tmp_path, "hall.e57", b"ASTM-E57" + bytes(100)))
    assert 'extra "e57"' in problem.allowed


def test_progress_ends_at_one(tmp_path):
    for path in (las(tmp_path / "h.laz"), ply(tmp_path / "h.ply")):
        told = []
        list(open_cloud(Path(path), "h").pieces(2, told.append))
        assert told == [0.5, 1.0]


def test_a_pipe_is_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "hall.csv")
    assert refused(tmp_path / "hall.csv").found == "a pipe or device, and no file"
