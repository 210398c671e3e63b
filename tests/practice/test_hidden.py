"""What a page may hold of a drill holds nothing that is hidden, for every drill there is."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass

import pandas as pd
import pytest

import kit.practice.drills as room
from kit.job import Refusal
from kit.practice import drill as drills_words
from kit.practice import fields as typed
from kit.practice import moves
from kit.practice.attempt import HINT, Attempt, begin
from kit.practice.draws import Draws
from kit.practice.drills.own_error import OwnError
from kit.practice.fields import Field, Value
from kit.practice.floors import make_floor
from kit.practice.grades import GRADES
from kit.practice.instruments import Level, pack_bag
from kit.practice.moves import Done, Move, MoveForm, Seen

DRILLS = getattr(room, "DRILLS", (OwnError(),))

#: Modules whose dataclasses are made to be shown.
SHOWN = {moves.__name__, typed.__name__, drills_words.__name__}


def hidden(thing: object, path: str) -> Iterator[str]:
    """Yield where something lies that is neither a plain value nor made to be shown."""
    if isinstance(thing, (bool, int, float, str)):
        return
    if isinstance(thing, (tuple, list)):
        for place, part in enumerate(thing):
            yield from hidden(part, f"{path}[{place}]")
    elif isinstance(thing, Mapping):
        for key, part in thing.items():
            yield from hidden(key, f"{path} key")
            yield from hidden(part, f"{path}[{key!r}]")
    elif isinstance(thing, pd.DataFrame):
        yield from hidden(dict(thing.attrs), f"{path}.attrs")
        yield from hidden(thing.columns.tolist(), f"{path}.columns")
        yield from hidden(thing.index.tolist(), f"{path}.index")
        for name in thing.columns:
            yield from hidden(thing[name].tolist(), f"{path}[{name!r}]")
    elif is_dataclass(thing) and not isinstance(thing, type) and type(thing).__module__ in SHOWN:
        named = {field.name for field in fields(thing)}
        yield from (f"{path}.{name}: unnamed" for name in set(vars(thing)) - named)
        for name in named:
            yield from hidden(getattr(thing, name), f"{path}.{name}")
    else:
        yield f"{path}: {type(thing).__module__}.{type(thing).__name__}"


def a_value(field: Field, draws: Draws, room_mm: tuple[float, float]) -> Value:
    """Return something that a person might type."""
    if field.kind == "choice":
        return draws.one_of(field.key, field.choices)
    if field.kind == "place":
        x, y = draws.between(f"{field.key} x", 0.1, 0.9), draws.between(f"{field.key} y", 0.1, 0.9)
        return round(x * room_mm[0]), round(y * room_mm[1])
    if field.kind == "packers":
        return ()
    return round(draws.between(field.key, max(field.least, -1000), min(field.most, 1000)))


def some_moves(attempt: Attempt) -> Iterator[Move]:
    """Yield each kind of move twice over, with values drawn from the fields that it asks."""
    room_mm = attempt.task.given.room_mm
    for turn in range(2):
        for form in attempt.task.forms:
            for k in range(6):
                draws = Draws(f"{attempt.drill.key} {attempt.seed} {turn} {form.kind} {k}")
                values = {field.key: a_value(field, draws, room_mm) for field in form.fields}
                yield Move(form.kind, values)


def played(attempt: Attempt, tried: Iterable[Move]) -> Attempt:
    """Return the attempt after a hint and whatever of these moves is not refused."""
    for move in (Move(HINT), *tried):
        try:
            attempt = attempt.after(move)
        except Refusal:
            continue
    return attempt


@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_nothing_hidden_is_given_asked_or_seen(drill, seed):
    attempt = begin(drill, seed, GRADES[seed])
    task = attempt.task
    assert task.given.sentences
    assert task.asked or task.forms
    for name in ("given", "forms", "asked"):
        assert list(hidden(getattr(task, name), name)) == []
    worked = task.worked
    done = [
        *played(attempt, some_moves(attempt)).done,
        *played(attempt, [one.move for one in worked.done]).done,
    ]
    assert {one.move.kind for one in done} > {HINT} or not task.forms  # a real move was made
    assert list(hidden(done, "done")) == []
    assert (
        list(hidden((worked.answer, worked.done, worked.sentences, worked.tables), "worked")) == []
    )
    assert list(hidden(worked.on_plan, "worked.on_plan")) == []


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_hints_are_the_same_on_every_floor(drill):
    for seed in (0, 5):
        attempt = begin(drill, seed, GRADES[seed % 3])
        for hint in drill.hints:
            attempt = attempt.after(Move(HINT))
            assert attempt.done[-1].seen == Seen(f"hint: {hint}", 0.0, placement=False)


@dataclass(frozen=True)
class Smuggler:
    """A dataclass that is not made to be shown."""

    height_mm: float = 3.0


FLOOR = make_floor(3, GRADES[0])


def tagged() -> pd.DataFrame:
    frame = pd.DataFrame({"x_mm": [1.0]})
    frame.attrs["truth"] = Smuggler()
    return frame


def stuck_on() -> Move:
    move = Move("lay", {"at": (1.0, 2.0)})
    object.__setattr__(move, "task", FLOOR)
    return move


@pytest.mark.parametrize(
    "thing",
    [
        Seen("a", 1.0, figures={"floor": FLOOR}),
        Seen("a", 1.0, figures={"deep": (1.0, (pack_bag(Draws("b")),))}),
        Seen("a", 1.0, tables=(("t", pd.DataFrame({"who": [1, Level("long", 1800.0, 0.7)]})),)),
        Seen("a", 1.0, tables=(("t", tagged()),)),
        Done(Move("lay", {"later": lambda: 3.0}), Seen("a", 1.0)),
        MoveForm("lay", "lay", fields=(Smuggler(),)),
        stuck_on(),
        {FLOOR.seed: begin(OwnError(), 0, GRADES[0]).task},
        Seen,
        Smuggler(),
        FLOOR.heights_mm,
    ],
    ids=range(11),
)
def test_the_search_finds_what_is_smuggled(thing):
    assert len(list(hidden(thing, "it"))) == 1


def test_the_search_lets_pass_what_is_plain():
    frame = pd.DataFrame({"x_mm": [1.0, 2.5], "name": ["A", "B"], "ok": [True, False]})
    seen = Seen(
        "a", 1.0, figures={"bubble_mm": 0.2, "touches_mm": (0.0, 5.0)}, tables=(("t", frame),)
    )
    assert list(hidden(Done(Move("lay"), seen), "it")) == []
