"""Many jobs at once: the files are those of one by one, whatever is lost on the way."""

import os
import shutil
import signal
import threading
import time
from pathlib import Path

import pytest

import kit
from kit.job import Refusal
from kit.many import cluster, room_of, solve_many, spread
from kit.results import result_texts

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def rooms(tmp_path_factory):
    broken = tmp_path_factory.mktemp("jobs") / "broken"
    shutil.copytree(DATA / "boot-room", broken)
    table = (broken / "grid.csv").read_text()
    (broken / "grid.csv").write_text(table.replace(table.splitlines()[2].split(",")[1], "high", 1))
    return (
        room_of(DATA / "reading-room", "screw feet"),
        room_of(DATA / "boot-room"),
        room_of(broken, name="broken"),
        room_of(DATA / "reading-room", name="again"),
    )


@pytest.fixture(scope="module")
def alone(rooms):
    return solve_many(rooms)


def test_one_by_one_gives_the_files_of_solve(alone):
    expected = result_texts(kit.solve(kit.read_job(DATA / "boot-room")))
    assert [one.name for one in alone] == ["reading-room", "boot-room", "broken", "again"]
    assert alone[1].texts == expected
    assert '"base": "screw feet"' in alone[0].texts["summary.json"]


def test_a_job_that_is_refused_stops_no_other_one(alone):
    assert [one.answered for one in alone] == [True, True, False, True]
    assert any("grid.csv" in line and "high" in line for line in alone[2].problems)
    assert not alone[2].texts


def test_a_cluster_gives_the_same_bytes(rooms, alone, two):
    told = []
    spread_out = solve_many(rooms, two, told.append)
    assert [one.texts for one in spread_out] == [one.texts for one in alone]
    assert [one.problems for one in spread_out] == [one.problems for one in alone]
    assert told == [0.25, 0.5, 0.75, 1.0]


def test_a_lost_worker_costs_only_time(two, tmp_path):
    def slow(task):  # within the test: a cluster's workers cannot import test files
        number, folder = task
        (Path(folder) / f"{number}-{os.getpid()}").touch()
        time.sleep(0.3)
        return number * number

    tasks = [(number, str(tmp_path)) for number in range(8)]
    lost = []

    def kill_the_first():
        while not lost:
            begun = sorted(tmp_path.iterdir())
            if begun:
                lost.append(int(begun[0].name.split("-")[1]))
                os.kill(lost[0], signal.SIGKILL)
            time.sleep(0.01)

    hand = threading.Thread(target=kill_the_first)
    hand.start()
    found = spread(slow, tasks, two)
    hand.join()
    assert found == [number * number for number in range(8)]
    begun = [name.name.split("-") for name in tmp_path.iterdir()]
    of_lost = {number for number, process in begun if int(process) == lost[0]}
    elsewhere = {number for number, process in begun if int(process) != lost[0]}
    # What the lost worker had begun and not finished was begun again on another one.
    assert of_lost & elsewhere


def test_two_rooms_of_one_name_are_refused():
    one = room_of(DATA / "boot-room")
    with pytest.raises(Refusal, match="'boot-room' a second time"):
        solve_many((one, one))


def test_no_scheduler_there():
    with pytest.raises(Refusal, match="does not answer"), cluster("tcp://127.0.0.1:9"):
        pass


def test_a_scheduler_that_is_lost_meanwhile_is_told():
    distributed = pytest.importorskip("distributed")

    def slow(task):  # within the test: a cluster's workers cannot import test files
        import time

        time.sleep(4)
        return task

    local = distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, dashboard_address=":0"
    )
    with cluster(local.scheduler_address) as client:
        threading.Timer(1.0, local.close).start()
        with pytest.raises(Refusal, match="cluster: found a scheduler that was lost meanwhile"):
            spread(slow, [1, 2, 3], client)


@pytest.mark.parametrize("address", ["tls://127.0.0.1:9", "ucx://1", "inproc://x", "nonsense"])
def test_an_address_that_dask_is_not_set_up_for_is_refused(address):
    with pytest.raises(Refusal, match="--scheduler: found"), cluster(address):
        pass


@pytest.mark.parametrize("workers", [-1, 257, 10**9])
def test_processes_that_cannot_be_are_refused_before_any_is_started(workers):
    with pytest.raises(Refusal, match="--workers: found"), cluster(workers=workers):
        pass


def test_without_a_cluster_there_is_no_client():
    with cluster() as client:
        assert client is None
