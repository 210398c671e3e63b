import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from kit.job import Job, Refusal, read_job
from kit.job.read import read_text


def test_a_job_is_read_whole_and_in_millimetres(job_folder: Path) -> None:
    job = read_job(job_folder)
    assert job.title == "Boot room, east wall"
    assert job.folder == job_folder
    assert job.floor.joists is not None
    assert job.floor.joists.bearing_mm == (0.0, 3600.0)
    assert [unit.width_mm for unit in job.runs[0].units] == [1100.0, 600.075]  # 23 5/8 in
    assert job.runs[0].units[0].divisions_mm == (350.0, 720.0)
    assert job.bases[0].height_range_mm == (55.0, 75.0)
    assert [packer.mm for packer in job.stock.packers] == [1.0, 3.0, 6.0, 19.05]
    assert job.stock.packers[2].count == 40
    assert job.services[0].to_mm == (4000.0, 300.0)


def test_the_path_may_be_the_file_itself(job_folder: Path) -> None:
    assert read_job(job_folder / "job.toml") == read_job(str(job_folder))


def test_the_folder_is_absolute(job_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(job_folder)
    assert read_job(".").folder == job_folder


def read(text: str, folder: Path = Path("/nowhere")) -> Job:
    return read_text(text, folder)


@pytest.mark.parametrize(
    ("stands", "mm", "inches"),
    [
        ("width_mm = 1100", "width_mm = 927.1", 'width_in = "36 1/2"'),
        (
            "divisions_mm = [350, 720]",
            "divisions_mm = [349.25, 714.375]",
            'divisions_in = ["13-3/4", 28.125]',
        ),
        ("{mm = 3}", "{mm = 3.175}", '{in = "1/8"}'),
        ("count = 40}", "measured_mm = 6.35}", "measured_in = 0.25}"),
        ("origin_mm = [0, 0]", "origin_mm = [-50.8, 0]", 'origin_in = ["-2", 0]'),
        ("height_mm = [55, 75]", "height_mm = [53.975, 76.2]", 'height_in = ["2 1/8", 3]'),
        ("{ width_mm = 45,", "{ width_mm = 44.45,", '{ width_in = "1 3/4 in",'),
        ("first_mm = 150", "first_mm = 152.4", "first_in = 6.0"),
        ("screws_mm = [30, 40]", "screws_mm = [31.75, 38.1]", 'screws_in = ["1 1/4", "1 1/2"]'),
    ],
)
def test_inches_say_the_same_job(boot_room: str, stands: str, mm: str, inches: str) -> None:
    assert stands in boot_room
    job = read(boot_room.replace(stands, inches, 1))
    assert job == read(boot_room.replace(stands, mm, 1))
    assert job != read(boot_room)


def test_units_change_what_is_shown_and_no_length(boot_room: str) -> None:
    shown = read(boot_room.replace('units = "mm"', 'units = "in"'))
    assert shown.units == "in"
    assert shown.runs == read(boot_room).runs


def test_one_height_fixes_the_base(boot_room: str) -> None:
    job = read(boot_room.replace("height_mm = [55, 75]", 'height_in = "2 1/2"'))
    assert job.bases[0].height_range_mm == (63.5, 63.5)


def test_a_front_lift_in_inches(boot_room: str) -> None:
    job = read(boot_room.replace("[[base]]", '[[base]]\nfront_lift_in = "1/8"'))
    assert job.bases[0].front_lift_mm == 3.175


def test_a_span_of_exactly_two_packers_is_allowed(boot_room: str) -> None:
    job = read(boot_room.replace("[[base]]", "[[base]]\nmax_span_mm = 150"))
    assert job.bases[0].max_span_mm == 150.0


def test_two_runs_without_names_are_told_apart_by_their_places(boot_room: str) -> None:
    text = boot_room.replace('name = "A"\n', "")
    unit = '[[run]]\n[[run.unit]]\nname = "u"\nwidth_mm = 500\ndepth_mm = 300\nheight_mm = 700\n'
    with pytest.raises(Refusal) as refused:
        read(text.replace("[stock]", f"{unit}[stock]"))
    assert str(refused.value) == (
        'job.toml, run 2, name: found "A" a second time; allowed: a name that no other run has'
    )


def test_units_of_different_runs_may_share_a_name(boot_room: str) -> None:
    unit = '[[run.unit]]\nname = "boot bench"\nwidth_mm = 500\ndepth_mm = 300\nheight_mm = 700\n'
    job = read(boot_room.replace("[stock]", f'[[run]]\nname = "B"\n{unit}[stock]'))
    assert [run.units[0].name for run in job.runs] == ["boot bench", "boot bench"]


class TestTables:
    def test_a_table_in_a_folder_below(self, job_folder: Path, boot_room: str) -> None:
        text = boot_room.replace("heights.csv", "tables/../tables/heights.csv")
        assert read(text, job_folder).surveys[0].file == "tables/../tables/heights.csv"

    @pytest.mark.skipif(os.name != "posix", reason="links need rights elsewhere")
    def test_a_link_that_leaves_the_folder(self, tmp_path: Path, boot_room: str) -> None:
        folder = tmp_path / "job"
        folder.mkdir()
        (tmp_path / "heights.csv").write_text("point,x_mm,y_mm,height_mm\n")
        (folder / "heights.csv").symlink_to(tmp_path / "heights.csv")
        with pytest.raises(Refusal, match="not a file inside the job's folder"):
            read(boot_room, folder)

    @pytest.mark.skipif(os.name != "posix", reason="links need rights elsewhere")
    def test_a_linked_folder_that_leaves_the_folder(self, tmp_path: Path, boot_room: str) -> None:
        folder = tmp_path / "job"
        folder.mkdir()
        (folder / "tables").symlink_to(tmp_path)
        with pytest.raises(Refusal, match="not a file inside the job's folder"):
            read(boot_room.replace("heights.csv", "tables/heights.csv"), folder)

    @pytest.mark.skipif(os.name != "posix", reason="links need rights elsewhere")
    def test_a_link_that_goes_in_circles(self, job_folder: Path, boot_room: str) -> None:
        (job_folder / "heights.csv").symlink_to("heights.csv")
        with pytest.raises(Refusal):
            read(boot_room.replace("heights.csv", "heights.csv/../../x.csv"), job_folder)

    @pytest.mark.skipif(os.name != "posix", reason="links need rights elsewhere")
    def test_a_job_folder_reached_through_a_link(self, tmp_path: Path, boot_room: str) -> None:
        (tmp_path / "real").mkdir()
        (tmp_path / "real" / "job.toml").write_text(boot_room)
        (tmp_path / "linked").symlink_to(tmp_path / "real")
        assert read_job(tmp_path / "linked").folder == tmp_path / "linked"

    @pytest.mark.parametrize(
        "name",
        [
            "/etc/heights.csv",
            "..",
            "a/../..",
            "./.",
            "C:/x.csv",
            "c:x.csv",
            r"\\host\x.csv",
            r"\x.csv",
            r"..\x.csv",
            r"a\..\..\x.csv",
        ],
    )
    def test_ways_out(self, job_folder: Path, boot_room: str, name: str) -> None:
        with pytest.raises(Refusal, match="not a file inside the job's folder"):
            read(boot_room.replace('"heights.csv"', f"'{name}'"), job_folder)


def test_importing_the_room_stays_light() -> None:
    heavy = "{'numpy', 'pandas', 'scipy', 'plotly'}"
    code = f"import sys, kit.job; sys.exit(bool({heavy} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_the_fingerprint_is_that_of_the_bytes(job_folder: Path, boot_room: str) -> None:
    # As sha256sum gives it, from the standard library's own implementation.
    assert read_job(job_folder).fingerprint == hashlib.sha256(boot_room.encode()).hexdigest()
    first = read_job(job_folder)
    (job_folder / "job.toml").write_text(boot_room + "# a note\n")
    assert read_job(job_folder).fingerprint != first.fingerprint
    assert read_text(boot_room, job_folder).fingerprint == ""


def test_the_fingerprint_is_no_key_of_the_file(job_folder: Path, boot_room: str) -> None:
    with pytest.raises(Refusal, match="fingerprint: found a key that is not known here"):
        read_text(f'fingerprint = "x"\n{boot_room}', job_folder)
