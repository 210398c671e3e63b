import os
import random
import signal
import stat
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from kit.job import Refusal
from kit.job import one_writer as lock
from kit.job.one_writer import one_writer
from kit.practice.record import Record
from kit.practice.records_file import file_of, keep, place_for, read_file

forks = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a second process")


def read(path: Path) -> tuple[Record, ...]:
    return read_file(path, path.name).records


def test_attempts_are_added_one_by_one(tmp_path: Path, unnamed: Callable[..., Record]) -> None:
    folder = tmp_path / "marks"
    tries = [unnamed(seed=7), unnamed(seed=8, marks=70), unnamed(seed=7, marks=100, mistakes=())]
    for record in tries:
        assert keep(folder, record).record == read(folder / "ann.csv")[-1]
    found = read(folder / "ann.csv")
    assert [one.tries_before for one in found] == [0, 0, 1]
    assert [replace(one, attempt="", tries_before=0) for one in found] == tries
    assert len({one.attempt for one in found}) == 3
    assert [path.name for path in folder.iterdir()] == ["ann.csv"]
    assert stat.S_IMODE((folder / "ann.csv").stat().st_mode) == 0o644 or os.name != "posix"


def test_a_try_is_counted_on_its_own_floor_only(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    keep(tmp_path, unnamed())
    for other in ({"drill": "booking"}, {"edition": 2}, {"grade": "rough"}, {"seed": 8}):
        keep(tmp_path, unnamed(**other))
    keep(tmp_path, unnamed(nickname="Ann"))
    found = read(tmp_path / "ann.csv")
    assert [one.tries_before for one in found] == [0, 0, 0, 0, 0, 1]
    assert found[-1].nickname == "Ann"  # capitals make no other person and no other file
    keep(tmp_path, unnamed(nickname="bo"))
    assert read(tmp_path / "bo.csv")[0].tries_before == 0


def test_the_same_attempt_kept_again_is_there_once(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    record = unnamed()
    kept, path = keep(tmp_path, record), tmp_path / "ann.csv"
    before = path.read_bytes()
    assert keep(tmp_path, record).record == kept.record
    assert path.read_bytes() == before
    keep(tmp_path, replace(record, marks=84))  # the same chance by mistake, other work
    assert [one.marks for one in read(path)] == [85, 84]


@pytest.mark.parametrize(
    ("as_saved", "coding"),
    [
        (lambda text: text, "utf-8"),
        (lambda text: "\ufeff" + text.replace("\n", "\r\n"), "utf-8"),
        (lambda text: "\ufeff" + text.replace(",", "\t"), "utf-16-le"),
        (lambda text: "\ufeff" + text.replace(",", ";").replace(".0", ",0"), "utf-16-be"),
        (lambda text: text.rstrip("\n"), "utf-8"),
    ],
    ids=["own", "with a mark and CRLF", "tabs, UTF-16", "semicolons", "no last line end"],
)
def test_what_stands_in_a_file_stays_byte_for_byte(
    tmp_path: Path,
    kept_text: str,
    unnamed: Callable[..., Record],
    as_saved: Callable[[str], str],
    coding: str,
) -> None:
    path = tmp_path / "ann.csv"
    old = as_saved(kept_text).encode(coding)
    path.write_bytes(old)
    before = read(path)
    assert len(before) == 2
    record = unnamed(seed=4)
    keep(tmp_path, record)
    new = path.read_bytes()
    assert new[: len(old)] == old
    assert read(path)[:2] == before
    assert read(path)[2] == record.named(1)
    added = new[len(old) :].decode(coding)
    assert added.endswith("\r\n" if b"\r\n" in old else "\n")
    assert added.startswith("\n") == (not old.decode(coding).endswith("\n"))


def test_columns_of_others_are_kept_and_left_empty(
    tmp_path: Path, kept_text: str, unnamed: Callable[..., Record]
) -> None:
    path = tmp_path / "ann.csv"
    rows = [line.split(",") for line in kept_text.splitlines()]
    extra = ("remark", '"slow, but sure"', "")
    text = "".join(
        ",".join([row[3], more, *row[:3], *row[4:]]) + "\n"  # the fourth is the grade
        for row, more in zip(rows, extra, strict=True)
    )
    path.write_text(text, encoding="utf-8")
    keep(tmp_path, unnamed(seed=4, grade="rough"))
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[1].startswith('fair,"slow, but sure",')
    assert lines[3].startswith("rough,,")
    assert [one.grade for one in read(path)] == ["fair", "fair", "rough"]


def cut(text: str) -> bytes:
    """Return a file whose last row broke off in the middle."""
    return text.encode()[:-60]


@pytest.mark.parametrize(
    ("spoil", "rows"),
    [
        (cut, (3,)),
        (lambda text: text.replace(",64,", ",46,").encode(), (2,)),
        (lambda text: text.replace(",64,", ',"64,').encode(), (2,)),  # a quote that never closes
        (lambda text: text.replace("ann", "a\x00n", 1).encode(), (2,)),
        (lambda text: text.encode().replace(b",ann,", b",an\xff,"), (2, 3)),
        (lambda _: b"\0\1\2", ()),
        (lambda _: b"", ()),
        (lambda _: b"\xff,\xfe\n1,2\n", ()),
        (lambda text: text.encode()[:40], ()),  # not even the header is whole
    ],
    ids=["cut", "changed", "quote", "zero", "bytes", "binary", "empty", "no letters", "header"],
)
def test_a_damaged_file_is_left_as_it_was_and_no_mark_is_lost(
    tmp_path: Path,
    kept_text: str,
    unnamed: Callable[..., Record],
    spoil: Callable[[str], bytes],
    rows: tuple[int, ...],
) -> None:
    path = tmp_path / "ann.csv"
    spoilt = spoil(kept_text)
    path.write_bytes(spoilt)
    kept = keep(tmp_path, unnamed(seed=3))
    assert path.read_bytes() == spoilt
    assert kept.place.path == tmp_path.resolve() / "ann 2.csv"
    assert read(kept.place.path) == (kept.record,)
    (damage,) = kept.place.damaged
    assert (damage.name, damage.rows) == ("ann.csv", rows)
    # Seed 3 was tried in row 2: that counts where the row is whole, whatever became of others.
    assert kept.record.tries_before == int(rows == (3,))
    again = keep(tmp_path, unnamed(seed=3))  # goes on there, and opens no third file
    assert read(kept.place.path) == (kept.record, again.record)
    assert again.record.tries_before == kept.record.tries_before + 1
    assert {one.name for one in tmp_path.glob("*.csv")} == {"ann.csv", "ann 2.csv"}


def test_what_is_damaged_is_said_in_words(
    tmp_path: Path, kept_text: str, unnamed: Callable[..., Record]
) -> None:
    (tmp_path / "ann.csv").write_bytes(cut(kept_text))
    (tmp_path / "Ann 2.csv").write_text(kept_text.replace("2031", "2032"))
    (tmp_path / "ann 3.csv").write_bytes(b"")
    kept = keep(tmp_path, unnamed())
    assert kept.place.path.name == "ann 4.csv"
    assert [str(one) for one in kept.place.damaged] == [
        "the file ann.csv is damaged in row 3",
        "the file Ann 2.csv is damaged in row 2 and 1 more",
        "the file ann 3.csv cannot be read (ann 3.csv: found an empty table; allowed: a header row"
        " and one row a record)",
    ]


def test_somebody_elses_file_of_that_name_is_not_gone_on_in(
    tmp_path: Path, kept_text: str, unnamed: Callable[..., Record]
) -> None:
    (tmp_path / "ann.csv").write_bytes(cut(kept_text))
    keep(tmp_path, unnamed(nickname="ann 2"))
    assert keep(tmp_path, unnamed()).place.path.name == "ann 3.csv"
    assert len(read(tmp_path / "ann 2.csv")) == 1


def test_tries_are_counted_over_all_files_of_a_nickname_each_once(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    keep(tmp_path, unnamed())
    keep(tmp_path, unnamed(nickname="anna"))
    copy = tmp_path / "ann (copy).csv"
    copy.write_bytes((tmp_path / "ann.csv").read_bytes())
    assert keep(tmp_path, unnamed()).record.tries_before == 1
    (tmp_path / "ann.csv").unlink()
    assert place_for(tmp_path, "ANN", unnamed().floor).tries == 1
    copy.unlink()
    assert place_for(tmp_path, "ann", unnamed().floor).tries == 0


def test_tries_that_are_known_otherwise_count(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    assert keep(tmp_path, unnamed(), 2).record.tries_before == 2
    kept = keep(tmp_path, unnamed(), 0).record
    assert kept.tries_before == 1  # one is in the file
    assert kept.attempt == kept.name_of_content


def test_looking_for_a_place_makes_nothing(tmp_path: Path, unnamed: Callable[..., Record]) -> None:
    place = place_for(tmp_path / "new", "ann", unnamed().floor)
    assert (place.path, place.tries, place.damaged) == (tmp_path / "new" / "ann.csv", 0, ())
    place_for(tmp_path, "ann", unnamed().floor)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "file").write_text("x")
    with pytest.raises(Refusal, match="a folder that can be written to"):
        place_for(tmp_path / "file", "ann", unnamed().floor)


def test_a_persons_columns_come_first_and_the_kits_own_last(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    keep(tmp_path, unnamed())
    head, row = (tmp_path / "ann.csv").read_text().splitlines()
    assert head.startswith("when,nickname,drill,grade,seed,marks,")
    assert head.endswith(",attempt,token")
    assert row.startswith("2031-05-08T09:30:00Z,ann,sighting,fair,7,85,")


def test_places_that_cannot_be_written_are_refused(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    (tmp_path / "file").write_text("x")
    for folder in (tmp_path / "file", tmp_path / "no" / "such"):
        with pytest.raises(Refusal, match="a folder that can be written to"):
            keep(folder, unnamed())
    (tmp_path / "ann.csv").mkdir()
    kept = keep(tmp_path, unnamed())
    assert kept.place.path.name == "ann 2.csv"
    assert "no ordinary file" in str(kept.place.damaged[0])


def test_a_file_of_other_capitals_is_the_same_persons(tmp_path: Path) -> None:
    (tmp_path / "Zoë.csv").write_text("")
    assert file_of(tmp_path, "zoë") == tmp_path.resolve() / "Zoë.csv"
    assert file_of(tmp_path, "zo") == tmp_path.resolve() / "zo.csv"


@pytest.mark.skipif(os.name != "posix", reason="the lock is POSIX's")
def test_a_writer_that_never_ends_is_told(
    tmp_path: Path, unnamed: Callable[..., Record], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "LONGEST_WAIT_S", 0.05)
    keep(tmp_path, unnamed())
    path = tmp_path / "ann.csv"
    with one_writer(path), pytest.raises(Refusal) as refused:
        keep(tmp_path, unnamed())
    assert str(refused.value) == (
        "ann.csv: found another process that is writing it; allowed: one writer at a time"
    )
    assert len(read(path)) == 1


@forks
def test_a_writer_killed_at_any_moment_leaves_a_whole_file(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    chance = random.Random(22)
    keep(tmp_path, unnamed())
    path = tmp_path / "ann.csv"
    unfinished, kills = 0, 60
    for attempt in range(kills):
        before = read(path)
        done, tell = os.pipe()
        child = os.fork()
        if not child:
            try:
                for seed in range(10_000):
                    keep(tmp_path, unnamed(seed=seed, hints=attempt))
                    os.write(tell, b".")
            finally:
                os._exit(1)
        os.close(tell)
        begun = time.perf_counter()
        told = len(os.read(done, 1))
        took = time.perf_counter() - begun
        if attempt % 2:  # as soon as an unfinished file is seen
            until = begun + 5 * took
            while not _unfinished(tmp_path) and time.perf_counter() < until:
                pass
        else:
            time.sleep(chance.uniform(0, 2 * took))
        os.kill(child, signal.SIGKILL)
        assert os.WIFSIGNALED(os.waitpid(child, 0)[1])
        while more := os.read(done, 65536):
            told += len(more)
        os.close(done)
        after = read(path)  # refuses what is not whole
        assert after[: len(before)] == before
        # What was said to be kept is there, and at most one more that nobody was told of.
        assert told <= len(after) - len(before) <= told + 1
        unfinished += _unfinished(tmp_path)
        keep(tmp_path, unnamed())
        assert not _unfinished(tmp_path)
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:3]))
    # Kills inside a write leave a trace; without any the test would have shown nothing.
    assert unfinished > 3


def _unfinished(folder: Path) -> bool:
    return any("unfinished" in name for name in os.listdir(folder))


@forks
def test_two_processes_at_once_lose_nothing(tmp_path: Path, unnamed: Callable[..., Record]) -> None:
    records = [unnamed(seed=n, marks=n) for n in range(60)]
    children = []
    for half in (records[:30], records[30:]):
        child = os.fork()
        if not child:
            try:
                for record in half:
                    keep(tmp_path, record)
                os._exit(0)
            finally:
                os._exit(1)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
    found = read(tmp_path / "ann.csv")
    assert sorted(one.marks for one in found) == list(range(60))
    assert {path.name for path in tmp_path.iterdir()} == {"ann.csv"}
