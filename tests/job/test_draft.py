import re
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job import Draft, Job, Refusal, differences, read_job, save_job
from kit.job.draft import LONGEST_HISTORY
from kit.job.tables import tables_of


@pytest.fixture
def draft(job_folder: Path) -> Draft:
    return Draft(read_job(job_folder))


def back(draft: Draft) -> float:
    return draft.job.bases[0].back_mm


def test_changes_are_taken_back_and_done_again(draft: Draft) -> None:
    draft.change({"base[0].back_mm": 60})
    draft.change({"base[0].back_mm": 70, "floor.reserve_mm": 3})
    assert (draft.can_undo, draft.can_redo, draft.dirty) == (True, False, True)
    assert draft.undo_words == (
        'floor.reserve_mm from 2 to 3; base "oak bearers", back_mm from 60 to 70'
    )
    assert [d.path for d in draft.changed()] == ["floor.reserve_mm", "base[0].back_mm"]
    assert draft.undo()
    assert (back(draft), draft.job.floor.reserve_mm) == (60, 2)
    assert draft.undo()
    assert not draft.undo()
    assert draft.job == draft.opened
    assert (draft.undo_words, draft.dirty, draft.changed()) == ("", False, ())
    assert draft.redo_words == 'base "oak bearers", back_mm from 45 to 60'
    assert draft.redo()
    assert draft.redo()
    assert not draft.redo()
    assert back(draft) == 70


def test_a_change_after_taking_back_begins_anew(draft: Draft) -> None:
    draft.change({"base[0].back_mm": 60})
    draft.undo()
    draft.change({"base[0].back_mm": 45})
    # Nothing changed: what was taken back can still be done again.
    assert draft.can_redo
    draft.change({"base[0].back_mm": 61})
    assert not draft.can_redo


def test_a_gesture_is_one_step(draft: Draft) -> None:
    draft.change({"base[0].front_mm": 50})
    for mm in (46, 52, 58.5):
        draft.change({"base[0].back_mm": mm}, "drag back")
    assert draft.undo_words == 'base "oak bearers", back_mm from 45 to 58.5'
    draft.undo()
    assert back(draft) == 45
    draft.change({"base[0].back_mm": 47}, "drag back")
    draft.undo()
    assert draft.undo_words == 'base "oak bearers", front_mm from 55 to 50'


def test_gestures_end_where_something_else_is_done(draft: Draft) -> None:
    draft.change({"base[0].back_mm": 46}, "drag back")
    draft.change({"base[0].front_mm": 50}, "drag front")
    draft.change({"base[0].back_mm": 48}, "drag back")
    draft.save()
    draft.change({"base[0].back_mm": 49}, "drag back")
    steps = [back(draft)]
    while draft.undo():
        steps.append(back(draft))
    assert steps == [49, 48, 46, 46, 45]


def test_a_gesture_back_to_its_beginning_leaves_no_step(draft: Draft) -> None:
    draft.change({"base[0].front_mm": 50})
    for mm in (46, 52, 45):
        draft.change({"base[0].back_mm": mm}, "drag back")
    assert draft.undo_words == 'base "oak bearers", front_mm from 55 to 50'
    draft.change({"base[0].back_mm": 51}, "drag back")
    draft.undo()
    assert (back(draft), draft.job.bases[0].front_mm) == (45, 50)


def test_a_refused_change_leaves_everything_as_it_was(draft: Draft) -> None:
    draft.change({"base[0].back_mm": 60}, "drag back")
    draft.change({"base[0].front_mm": 60})
    draft.undo()
    was = draft.job
    with pytest.raises(Refusal, match="tolerance_mm: found 11"):
        draft.change({"base[0].back_mm": 62, "base[0].tolerance_mm": 11}, "drag back")
    assert draft.job is was
    assert (draft.can_undo, draft.can_redo) == (True, True)
    draft.change({"base[0].back_mm": 60})
    assert draft.can_redo


def test_words_of_a_large_step(draft: Draft) -> None:
    keys = ("back_mm", "front_mm", "max_span_mm", "end_inset_mm", "max_pieces")
    draft.change({f"base[0].{key}": 12 for key in keys[:2]} | {"base[0].max_pieces": 7})
    draft.change({"base[0].max_span_mm": 580, "title": "x", "floor.reserve_mm": 1, "units": "in"})
    assert draft.undo_words.count(";") == 3
    assert draft.undo_words.endswith("; and 1 more")


def test_the_history_is_as_long_as_it_says(draft: Draft) -> None:
    for step in range(LONGEST_HISTORY + 7):
        draft.change({"base[0].back_mm": 46 + step})
    steps = 0
    while draft.undo():
        steps += 1
    assert (steps, back(draft)) == (LONGEST_HISTORY, 52)


def test_saving_and_going_on(draft: Draft, job_folder: Path) -> None:
    first = draft.opened.fingerprint
    draft.change({"base[0].back_mm": 60})
    draft.save()
    assert not draft.dirty
    assert read_job(job_folder) == draft.job == draft.opened
    assert draft.opened.fingerprint != first
    draft.undo()
    assert [d.words for d in draft.changed()] == ['base "oak bearers", back_mm from 60 to 45']
    draft.save()
    assert read_job(job_folder) == draft.job
    draft.redo()
    assert back(draft) == 60
    assert draft.dirty


def test_a_file_that_something_else_changed_is_not_written_over(
    draft: Draft, job_folder: Path
) -> None:
    draft.change({"base[0].back_mm": 60})
    save_job(job_folder, {"floor.reserve_mm": 4})
    theirs = (job_folder / "job.toml").read_bytes()
    was = draft.job
    with pytest.raises(Refusal, match="that something else has changed since it was opened here"):
        draft.save()
    assert (job_folder / "job.toml").read_bytes() == theirs
    assert draft.job is was
    draft.reopen()
    assert (back(draft), draft.job.floor.reserve_mm, draft.dirty) == (45, 4, False)
    draft.undo()
    # What was given up is back, and may now be written over theirs on purpose.
    assert (back(draft), draft.job.floor.reserve_mm) == (60, 2)
    draft.save()
    assert (read_job(job_folder).bases[0].back_mm, read_job(job_folder).floor.reserve_mm) == (60, 2)


def test_opening_again_what_is_the_same_is_no_step(draft: Draft, job_folder: Path) -> None:
    text = (job_folder / "job.toml").read_text()
    (job_folder / "job.toml").write_text(text + "# a note\n")
    draft.reopen()
    assert not draft.can_undo
    draft.change({"base[0].back_mm": 60})
    draft.save()
    assert (job_folder / "job.toml").read_text().endswith("# a note\n")


def test_saving_as_another_job(draft: Draft, job_folder: Path) -> None:
    (job_folder / "heights.csv").write_text("point,x_mm,y_mm,height_mm\n")
    before = (job_folder / "job.toml").read_bytes()
    draft.change({"base[0].back_mm": 60})
    draft.save_as(f"{job_folder.name}-2")
    other = job_folder.with_name(f"{job_folder.name}-2")
    assert draft.job.folder == draft.opened.folder == other
    assert not draft.dirty
    assert (job_folder / "job.toml").read_bytes() == before
    draft.undo()
    assert (back(draft), draft.job.folder) == (45, other)
    draft.save()
    assert read_job(other) == draft.job


@pytest.fixture(scope="module")
def commented(boot_room: str) -> str:
    """Return the boot room with a comment on every line, beside it or above it."""

    def lines() -> Iterator[str]:
        for number, line in enumerate(boot_room.splitlines()):
            if line.lstrip().startswith("[["):
                yield f"  # above {number}"
            yield f"{line}   # beside {number}" if line.strip() else line

    return "\n".join(lines()) + "\n"


def reordered(job: Job, order: list[int]) -> list[dict[str, object]]:
    units = [tables_of(unit) for unit in job.runs[0].units]
    return [units[place] for place in order if place < len(units)]


amounts = st.integers(1, 640).map(lambda n: n / 8)
steps = st.one_of(
    st.tuples(st.just("base[0].back_mm"), amounts),
    st.tuples(st.just("base[0].bearer.width_mm"), amounts),
    st.tuples(st.just("base[0].height_mm"), st.tuples(amounts, st.just(80)).map(list)),
    st.tuples(st.just("run[0].unit[1].width_mm"), amounts.map(lambda mm: mm + 400)),
    st.tuples(st.just("stock.packers[2].count"), st.integers(0, 50)),
    st.tuples(st.just("stock.packers[3].mm"), amounts),
    st.tuples(st.just("room.ceiling_mm"), st.one_of(st.none(), amounts)),
    st.tuples(st.just("floor.reserve_mm"), st.integers(-1, 30)),
    st.tuples(st.just("new unit"), st.sampled_from(["hat shelf", "stool", "boot bench"])),
    st.tuples(st.just("order"), st.permutations(range(4))),
    st.tuples(st.sampled_from(["undo", "redo", "save", "reopen"]), st.none()),
)


def take(draft: Draft, step: str, value: object, gesture: str) -> None:
    match step:
        case "undo" | "redo" | "save" | "reopen":
            getattr(draft, step)()
        case "new unit":
            unit = {"name": value, "width_mm": 450, "depth_mm": 400, "height_mm": 800}
            draft.change({f"run[0].unit[{len(draft.job.runs[0].units)}]": unit}, gesture)
        case "order":
            assert isinstance(value, list)
            draft.change({"run[0].unit": reordered(draft.job, value)}, gesture)
        case _:
            draft.change({step: value}, gesture)


@given(st.lists(st.tuples(steps, st.sampled_from(["", "", "drag"])), max_size=12))
@settings(deadline=None, derandomize=True, max_examples=40)
def test_whatever_is_done_can_be_taken_back_and_saved(
    commented: str, done: list[tuple[tuple[str, object], str]]
) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "job.toml").write_text(commented)
        opened = read_job(folder)
        draft = Draft(opened)
        for (step, value), gesture in done:
            was = draft.job
            try:
                take(draft, step, value, gesture)
            except Refusal:
                assert draft.job is was
        draft.save()
        assert read_job(folder) == draft.job == draft.opened
        text = (folder / "job.toml").read_text()
        # A unit that was added has no comments; a key that was taken away takes its own.
        kept = sorted(re.findall("# .*", commented))
        assert sorted(re.findall("# .*", text)) == kept
        last = draft.job
        count = 0
        while draft.undo():
            count += 1
        assert differences(draft.job, opened) == ()
        for _ in range(count):
            draft.redo()
        assert draft.job == last
