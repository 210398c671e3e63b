"""The drill with the high point: scripted apprentices first, then what it is checked by."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Protocol

from kit.practice.attempt import Attempt
from kit.practice.drills.high_point import HighPoint
from kit.practice.fields import Values
from kit.practice.moves import Move, Place, Seen
from kit.practice.tools import lay, read_at, tread_at

DRILL = HighPoint()


class Hands(Protocol):
    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]

# --- scripted apprentices: they know what is given and what they see --------------------------


def bearers(hands: Hands) -> list[tuple[float, float, float]]:
    """Left end, right end and middle line of the back and the front bearer."""
    found = []
    for outline in hands.attempt.task.given.on_plan:
        (left, back), (right, front) = outline.places_mm
        found.append((left, right, (back + front) / 2))
    return found


def every(hands: Hands, step: float, rows: Iterable[int] = (0, 1)) -> list[Place]:
    """Places along bearers, a step apart, and the far end."""
    places = []
    for row in rows:
        left, right, y = bearers(hands)[row]
        x = left
        while x < right:
            places.append((x, y))
            x += step
        places.append((right, y))
    return places


@dataclass
class Book:
    """Staff readings by place, put right by what goes down under a foot."""

    hands: Hands
    read_mm: dict[Place, float] = field(default_factory=dict)
    trodden: set[Place] = field(default_factory=set)

    def staff(self, places: Iterable[Place]) -> None:
        for place in places:
            read = self.hands.do(read_at(place)).figures["reading_mm"]
            self.read_mm[place] = float(read)  # type: ignore[arg-type]

    def least(self) -> Place:
        return min(self.read_mm, key=lambda place: self.read_mm[place])

    def pressed(self) -> Place:
        """The least reading that a foot has been on."""
        while (best := self.least()) not in self.trodden:
            gives = self.hands.do(tread_at(best)).figures["gives_mm"]
            self.read_mm[best] += float(gives)  # type: ignore[arg-type]
            self.trodden.add(best)
        return best

    def crests(self, within: float) -> list[Place]:
        """Places nearly as high as the best, higher than what was read on both sides."""
        most = self.read_mm[self.least()] + within
        return [p for p in self.read_mm if self.read_mm[p] <= most and self._crest(p)]

    def _crest(self, place: Place) -> bool:
        row = sorted(p for p in self.read_mm if p[1] == place[1])
        at, here = row.index(place), self.read_mm[place]
        left, right = row[:at][-1:], row[at + 1 :][:1]
        return all(self.read_mm[p] >= here for p in left) and all(
            self.read_mm[p] > here for p in right
        )


def closer(book: Book, inside: Callable[[Place], bool], decide: Callable[[], Place]) -> Place:
    """Read beside what stands over its neighbours and is nearly the highest; then decide."""
    for aside, within in ((130.0, 2.0), (65.0, 0.0)):
        decide()
        for x, y in book.crests(within):
            book.staff(beside for beside in ((x - aside, y), (x + aside, y)) if inside(beside))
    return decide()


def on_bearers(hands: Hands) -> Callable[[Place], bool]:
    left, right, _ = bearers(hands)[0]
    return lambda place: left <= place[0] <= right


def surveyed(hands: Hands, step: float, rows: Iterable[int] = (0, 1)) -> Book:
    hands.do(Move("set_up"))
    book = Book(hands)
    book.staff(every(hands, step, rows))
    return book


def sound(hands: Hands) -> Values:
    """Staff along both bearers, closer where it is high, a foot on it."""
    book = surveyed(hands, 300.0)
    return {"place": closer(book, on_bearers(hands), book.pressed)}


def reads_too_far_apart(hands: Hands) -> Values:
    """Both ends and the middle of each bearer; a foot on the highest."""
    hands.do(Move("set_up"))
    book = Book(hands)
    book.staff((x, y) for a, b, y in bearers(hands) for x in (a, (a + b) / 2, b))
    return {"place": book.pressed()}


def reads_the_back_only(hands: Hands) -> Values:
    book = surveyed(hands, 300.0, (0,))
    return {"place": closer(book, on_bearers(hands), book.pressed)}


def reads_the_room(hands: Hands) -> Values:
    """The whole floor in a net, then closer where the room is highest."""
    hands.do(Move("set_up"))
    wide, deep = hands.attempt.task.given.room_mm
    book = Book(hands)
    net = [(400.0 * i, 100.0 + 400.0 * j) for j in range(6) for i in range(11)]
    book.staff((min(x, wide), min(y, deep)) for x, y in net)
    return {"place": closer(book, lambda place: 0 <= place[0] <= wide, book.pressed)}


def never_treads(hands: Hands) -> Values:
    """Closely, with the staff alone."""
    book = surveyed(hands, 200.0)
    return {"place": closer(book, on_bearers(hands), book.least)}


def trusts_the_level(hands: Hands) -> Values:
    """No laser: the short level end over end along both bearers, and across at the left end.

    Always the same end first; the bubble's rise is added up from step to step.
    """
    book = Book(hands)
    (left, right, back), (_, _, front) = bearers(hands)
    across = rise(hands.do(lay("short", (left, back), (left, back + 600.0))))
    for y, start in ((back, 0.0), (front, across * (front - back) / 1000)):
        x, height = left, start
        book.read_mm[x, y] = -height
        while x + 600.0 <= right:
            height += rise(hands.do(lay("short", (x, y), (x + 600.0, y)))) * 0.6
            x += 600.0
            book.read_mm[x, y] = -height
    return {"place": book.pressed()}


def rise(seen: Seen) -> float:
    """What the bubble says the floor rises, mm/m."""
    return float(seen.figures["bubble_mm"])  # type: ignore[arg-type]


def takes_high_for_low(hands: Hands) -> Values:
    """The greatest reading is the highest floor, he thinks; a foot on it, too."""
    book = surveyed(hands, 300.0)
    best = max(book.read_mm, key=lambda place: book.read_mm[place])
    hands.do(tread_at(best))
    return {"place": best}


def writes_it_down_wrong(hands: Hands) -> Values:
    """Finds it, and writes another place of the same bearer."""
    x, y = sound(hands)["place"]  # type: ignore[misc]
    _, right, _ = bearers(hands)[0]
    return {"place": (x + 700.0 if x + 700.0 <= right else x - 700.0, y)}
