"""Correcting a base as built: scripted apprentices, one sound, the others each with one habit."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest

from kit.job import Refusal
from kit.practice.attempt import begin
from kit.practice.drills.as_built import AsBuilt
from kit.practice.grades import GRADES
from kit.practice.moves import Move

DRILL = AsBuilt()
DONE = {"done": "done"}


class Site:
    """What an apprentice has in hand: the readings, the stacks and the bag, kept up to date."""

    def __init__(self, hands):
        given = hands.attempt.task.given
        tables = dict(given.tables)
        base, bag = tables["As it stands"], tables["Left in the bag"]
        self.hands = hands
        self.reads = dict(zip(base["support"], base["reading_mm"], strict=True))
        self.stacks = {
            name: [float(packer) for packer in said.split()]
            for name, said in zip(base["support"], base["stack"], strict=True)
        }
        self.bag = Counter(dict(zip(bag["printed_mm"], bag["in_the_bag"], strict=True)))
        self.sheet_mm = float(given.sentences[1].split(" should read ")[1].split(" mm")[0])

    def change(self, name, stack):
        self.hands.do(Move("change", {"at": name, "stack": _piled(stack)}))
        self.bag.update(self.stacks[name])
        self.bag.subtract(stack)
        self.bag = Counter({each: max(count, 0) for each, count in self.bag.items()})
        self.stacks[name] = list(stack)

    def hold(self, name):
        self.reads[name] = self.hands.do(Move("hold", {"at": name})).figures["reading_mm"]

    def from_bag(self, name, up):
        """A stack so much higher out of its own packers and those in the bag; none if there is."""
        pool = self.bag + Counter(self.stacks[name])
        return _makes(sum(self.stacks[name]) + up, sorted(pool, reverse=True), pool)

    def agreeing(self):
        """The supports that read alike within 1 mm: the most there are."""
        groups = [
            [name for name, reading in self.reads.items() if 0 <= reading - least <= 1.0]
            for least in sorted(self.reads.values())
        ]
        return max(groups, key=len)


def _piled(stack):
    """Thickest on the floor, next thickest on top, the others between."""
    order = sorted(stack, reverse=True)
    return (*order[:1], *order[2:], *order[1:2])


def _makes(height, kinds, pool):
    """Packers that make a height, thick ones first; nothing where they cannot."""
    if height == 0:
        return []
    if not kinds or height < 0:
        return None
    each, *thinner = kinds
    for count in range(min(pool[each], int(height // each)), -1, -1):
        rest = _makes(height - count * each, thinner, pool)
        if rest is not None:
            return [each] * count + rest
    return None


def _as_many_as_wanted(height):
    kinds = [18.0, 10.0, 6.0, 3.0, 2.0, 1.0]
    return _makes(height, kinds, dict.fromkeys(kinds, 9))


def _away(reading, least, most):
    """Whole millimetres by which a reading has to come up to lie between two; 0 if it does."""
    return 0 if least <= reading <= most else round(reading - (least + most) / 2)


def _bring(site, name, least, most, stack_for, reads_again=True):
    """Change a stack until its reading lies between two: reckon, change, hold the staff, again."""
    for _ in range(4):
        up = _away(site.reads[name], least, most)
        if not up:
            return
        site.change(name, stack_for(name, up))
        if not reads_again:
            return
        site.hold(name)


def _worth_opening(site):
    """The supports that do not agree with the most, the highest first, and what they must read."""
    agree = site.agreeing()
    reads = [site.reads[name] for name in agree]
    off = sorted(set(site.reads) - set(agree), key=site.reads.get)
    return off, max(reads) - 1.0, min(reads) + 1.0


def _levelled(site, stack_for, reads_again=True):
    off, least, most = _worth_opening(site)
    for name in off:
        _bring(site, name, least, most, stack_for, reads_again)
    return DONE


def sound(hands):
    """Leaves what agrees, brings the others to it out of the bag, holds the staff again."""
    site = Site(hands)
    return _levelled(site, site.from_bag)


def never_reads_again(hands):
    """Reckons the change, makes it, and goes home."""
    site = Site(hands)
    return _levelled(site, site.from_bag, reads_again=False)


def adds_what_the_sum_says(hands):
    """Goes along the rows, puts on what is missing, fewest pieces, and never looks into the bag."""
    site = Site(hands)

    def stack_for(name, up):
        if up > 0:
            return site.stacks[name] + _as_many_as_wanted(up)
        return _as_many_as_wanted(sum(site.stacks[name]) + up)

    off, least, most = _worth_opening(site)
    for name in sorted(off):
        _bring(site, name, least, most, stack_for)
    return DONE


def every_one_to_the_sheet(hands):
    """Brings every support to the height that the sheet has, to the nearest millimetre."""
    site = Site(hands)

    def stack_for(name, up):
        return site.from_bag(name, up) or _as_many_as_wanted(sum(site.stacks[name]) + up)

    for name in site.reads:
        _bring(site, name, site.sheet_mm - 0.5, site.sheet_mm + 0.5, stack_for)
    return DONE


def up_to_the_highest(hands):
    """Leaves the highest and packs all others up to it: packers go in more easily than out."""
    site = Site(hands)

    def stack_for(name, up):
        return site.from_bag(name, up) or _as_many_as_wanted(sum(site.stacks[name]) + up)

    highest = min(site.reads.values())
    for name in site.reads:
        _bring(site, name, highest, highest + 1.0, stack_for)
    return DONE


def greater_is_higher(hands):
    """Takes the greater reading for the higher place; reads again, and does it once more."""
    site = Site(hands)
    off, least, most = _worth_opening(site)
    first = {name: -_away(site.reads[name], least, most) for name in off}
    for name in off:
        for _ in range(2):
            stack = site.from_bag(name, first[name])
            if stack:
                site.change(name, stack)
                site.hold(name)
    return DONE


def only_the_worst(hands):
    """Puts the one right that is most out and lets the others be."""
    site = Site(hands)
    off, least, most = _worth_opening(site)
    worst = max(off, key=lambda name: abs(site.reads[name] - (least + most) / 2))
    _bring(site, worst, least, most, site.from_bag)
    return DONE


def all_changed_then_read(hands):
    """Changes all that are off, then reads them all, and so on until all are right."""
    site = Site(hands)
    off, least, most = _worth_opening(site)
    while away := {name: up for name in off if (up := _away(site.reads[name], least, most))}:
        for name, up in away.items():
            site.change(name, site.from_bag(name, up))
        for name in away:
            site.hold(name)
    return DONE


def low_ones_first_thin_ones_on_top(hands):
    """From the lowest up; a low one keeps its packers and gets thin ones out of the bag."""
    site = Site(hands)
    off, least, most = _worth_opening(site)

    def stack_for(name, up):
        if up < 0:
            return site.from_bag(name, up)
        twos = min(up // 2, site.bag[2.0])
        return site.stacks[name] + [2.0] * twos + [1.0] * (up - 2 * twos)

    for name in reversed(off):
        _bring(site, name, least, most, stack_for)
    return DONE


def highest_and_never_read(hands):
    """All up to the highest, and none of them read again."""
    site = Site(hands)
    highest = min(site.reads.values())
    for name in site.reads:
        _bring(site, name, highest, highest + 1.0, _out_of(site), reads_again=False)
    return DONE


def sheet_out_of_a_full_shop(hands):
    """All to the sheet, fewest pieces each, as if the bag held as many as wanted."""
    site = Site(hands)

    def stack_for(name, up):
        return _as_many_as_wanted(sum(site.stacks[name]) + up)

    for name in site.reads:
        _bring(site, name, site.sheet_mm - 0.5, site.sheet_mm + 0.5, stack_for)
    return DONE


def only_what_is_off_to_the_sheet(hands):
    """Opens no more than has to be, but brings it to the sheet."""
    site = Site(hands)
    for name in _worth_opening(site)[0]:
        _bring(site, name, site.sheet_mm - 0.5, site.sheet_mm + 0.5, _out_of(site))
    return DONE


def wrong_way_and_gone(hands):
    """High taken for low, and nothing read again."""
    site = Site(hands)
    off, least, most = _worth_opening(site)
    for name in off:
        site.change(name, _out_of(site)(name, -_away(site.reads[name], least, most)))
    return DONE


def _out_of(site):
    """Out of the bag where it can be, else whatever is wanted."""
    return lambda name, up: (
        site.from_bag(name, up) or _as_many_as_wanted(sum(site.stacks[name]) + up)
    )


def _kinds(marked):
    return [mistake.kind.key for mistake in marked.mistakes]


def _played(attempt, play, script):
    """The mark, and the moves that led to it."""
    kept = []

    def keeping(hands):
        answer = script(hands)
        kept.append(hands.attempt)
        return answer

    return play(attempt, keeping), kept[0].done


def _tops(task, done):
    """Height of the bearer at each support, followed change by change from the hidden figures."""
    built = task.built
    tops = dict(zip(built.names, built.bearer_mm, strict=True))
    stands = dict(zip(built.names, built.stacks, strict=True))
    settles = dict(zip(built.names, built.settles_mm, strict=True))
    for one in done:
        if one.move.kind == "change":
            at, stack = one.move.values["at"], one.move.values["stack"]
            tops[at] += sum(stack) - sum(stands[at]) - settles.pop(at, 0.0)
            stands[at] = stack
    return tops


def _spread(heights):
    return max(heights) - min(heights)


#: Readings to half a millimetre that lie within 1 mm stand for heights less than 1.5 mm apart.
WITHIN_MM = 1.5


class TestSound:
    def test_full_marks_on_every_floor(self, begun, play):
        assert [play(attempt, sound).marks for attempt in begun(DRILL)] == [100] * 200

    def test_the_worked_answer_gets_full_marks_and_ends_level(self, begun):
        for attempt in begun(DRILL):
            worked = attempt.task.worked
            got = replace(attempt, done=worked.done).answered(worked.answer)
            assert (got.marks, got.mistakes) == (100, ()), attempt.seed
            assert _spread(_tops(attempt.task, worked.done).values()) < WITHIN_MM
            assert _spread(_tops(attempt.task, ()).values()) > 2 * WITHIN_MM

    def test_worked_answer_opens_the_fewest_stacks_of_all_choices(self, begun):
        # Every choice of supports to be left is tried; the largest that agrees leaves the fewest.
        for attempt in begun(DRILL):
            reads = list(Site(_Looking(attempt)).reads.values())
            fewest = next(
                count
                for count in range(len(reads))
                if any(_spread(left) <= 1.0 for left in combinations(reads, len(reads) - count))
            )
            moves = [one.move for one in attempt.task.worked.done]
            opened = {move.values["at"] for move in moves if move.kind == "change"}
            assert len(opened) == fewest, attempt.seed

    def test_worked_answer_takes_nothing_that_the_bag_has_not(self, begun):
        for attempt in begun(DRILL):
            built = attempt.task.built
            bag = Counter(built.stock)
            stands = dict(zip(built.names, built.stacks, strict=True))
            for one in attempt.task.worked.done:
                if one.move.kind == "change":
                    at, stack = one.move.values["at"], one.move.values["stack"]
                    bag.update(stands[at])
                    bag.subtract(stack)
                    stands[at] = stack
                    assert min(bag.values()) >= 0, attempt.seed


class _Looking:
    """Hands that only look at what is given."""

    def __init__(self, attempt):
        self.attempt = attempt


def _always(done):
    return bool(done)


def _something_fetched(done):
    return sum(one.seen.figures.get("fetched", 0.0) for one in done) > 0


@pytest.mark.parametrize(
    ("script", "kind", "occasion"),
    [
        (never_reads_again, "not_checked_again", _always),
        (adds_what_the_sum_says, "bag_overdrawn", _something_fetched),
        (every_one_to_the_sheet, "chased_all", _always),
        (up_to_the_highest, "to_the_highest", _always),
        (greater_is_higher, "wrong_sign", _always),
        (only_the_worst, "out", _always),
    ],
)
def test_each_habit_is_told_by_its_own_kind(begun, play, script, kind, occasion):
    told = []
    for attempt in begun(DRILL):
        marked, done = _played(attempt, play, script)
        if occasion(done):
            told.append(_kinds(marked) == [kind])
    assert len(told) >= 150, f"{len(told)} floors give the occasion"
    assert sum(told) >= 0.95 * len(told), f"{sum(told)} of {len(told)}"


@pytest.mark.parametrize("script", [all_changed_then_read, low_ones_first_thin_ones_on_top])
def test_other_sound_ways_are_told_no_mistake(begun, play, script):
    assert [_kinds(play(attempt, script)) for attempt in begun(DRILL)[:100]] == [[]] * 100


@pytest.mark.parametrize(
    ("script", "kinds"),
    [
        (highest_and_never_read, ["to_the_highest", "not_checked_again"]),
        (sheet_out_of_a_full_shop, ["chased_all", "bag_overdrawn"]),
        (only_what_is_off_to_the_sheet, ["out"]),
        (wrong_way_and_gone, ["wrong_sign", "not_checked_again"]),
    ],
)
def test_habits_that_are_mixed_are_all_told(begun, play, script, kinds):
    told = [_kinds(play(attempt, script)) for attempt in begun(DRILL)[:100]]
    assert told.count(kinds) >= 95


class TestMarking:
    def test_nothing_done_is_out(self, begun):
        for attempt in begun(DRILL)[:20]:
            assert _kinds(attempt.answered(DONE)) == ["out"]

    def test_a_wrong_turn_that_is_seen_and_mended_is_no_mistake(self, begun, play):
        def mends(hands):
            site = Site(hands)
            off, least, most = _worth_opening(site)
            up = _away(site.reads[off[0]], least, most)
            site.change(off[0], site.from_bag(off[0], -up))
            site.hold(off[0])
            return _levelled(site, site.from_bag)

        told = [_kinds(play(attempt, mends)) for attempt in begun(DRILL)[:40]]
        assert told == [[]] * 40

    def test_reading_the_others_is_not_reading_what_was_changed(self, begun, play):
        def reads_elsewhere(hands):
            site = Site(hands)
            agree = site.agreeing()
            _levelled(site, site.from_bag, reads_again=False)
            site.hold(agree[0])
            return DONE

        told = [_kinds(play(attempt, reads_elsewhere)) for attempt in begun(DRILL)[:20]]
        assert told == [["not_checked_again"]] * 20

    def test_read_between_but_not_after_the_last_change(self, begun, play):
        def stops_short(hands):
            _levelled(site := Site(hands), site.from_bag)
            last = [one.move for one in hands.attempt.done if one.move.kind == "change"][-1]
            hands.do(last)
            return DONE

        assert _kinds(play(begun(DRILL)[4], stops_short)) == ["not_checked_again"]

    def test_effect_of_what_is_out_is_that_of_a_rigid_unit(self, begun, play):
        # Two units 800 wide and 2000 high on one stack that is e too high: each turns by e/800,
        # so that their tops part by 2·2000·e/800 = 5 e. The staff is read to 0.5 mm, and the
        # others, to whose mean it is told, lie within 1 mm: e is known to 1.25 mm.
        for attempt in begun(DRILL)[:40]:
            marked, done = _played(attempt, play, only_the_worst)
            tops = _tops(attempt.task, done)
            middle = sorted(tops.values())[len(tops) // 2]
            worst = tops[marked.mistakes[0].done.split(" reads ")[0].split(": ")[1]]
            assert marked.mistakes[0].effect.gap_mm == pytest.approx(
                5 * (worst - middle), abs=5 * 1.25
            )

    def test_what_had_to_be_fetched_hangs_by_as_much(self, begun, play):
        for attempt in begun(DRILL)[:40]:
            marked, done = _played(attempt, play, adds_what_the_sum_says)
            fetching = [one for one in done if one.seen.figures.get("fetched", 0.0) > 0]
            if fetching:
                said = fetching[0].seen.words.split("the bag had not ")[1].split(": fetched")[0]
                counts = [part.split(" of ") for part in said.split(", ")]
                hangs = sum(float(count) * float(each) for count, each in counts)
                assert marked.mistakes[0].effect.rock_mm == hangs
                assert fetching[0].seen.seconds > 1800


class TestShown:
    def test_what_settles_shows_only_once_the_stack_is_opened_and_read(self, begun):
        task = begun(DRILL)[7].task
        built = task.built
        first, second = built.names[0], built.names[1]
        settles = (built.settles_mm[0] + 2.0, *built.settles_mm[1:])
        other = replace(task, built=replace(built, settles_mm=settles))
        assert repr(other.given) == repr(task.given)

        def shown(task, moves):
            attempt = replace(begun(DRILL)[7], task=task)
            for move in moves:
                attempt = attempt.after(move)
            return [repr(one.seen) for one in attempt.done]

        hold = Move("hold", {"at": first})
        opened = Move("change", {"at": first, "stack": built.stacks[0]})
        elsewhere = Move("change", {"at": second, "stack": built.stacks[1]})
        before = [hold, elsewhere, Move("hold", {"at": second}), hold, opened]
        assert shown(other, before) == shown(task, before)
        one, two = shown(task, [*before, hold])[-1], shown(other, [*before, hold])[-1]
        assert one != two

    def test_the_same_seed_gives_the_same_task(self):
        one, again, next_one = (begin(DRILL, seed, GRADES[2]).task for seed in (5, 5, 6))
        assert one.built == again.built
        assert one.built.stacks != next_one.built.stacks

    def test_bearers_lie_on_floor_and_stacks_as_they_stand(self, begun):
        # Before anything is opened nothing has settled: what is read is floor and packers.
        for attempt in begun(DRILL)[:40]:
            built, floor = attempt.task.built, attempt.task.floor
            for place, stack, top in zip(
                built.places_mm, built.stacks, built.bearer_mm, strict=True
            ):
                lies = float(floor.carried_mm(*place))
                assert top == pytest.approx(lies + sum(stack), abs=0.001)  # kept to a thousandth

    def test_the_bag_is_told_after_each_change(self, begun):
        attempt = begun(DRILL)[9]
        built = attempt.task.built
        stack = (*built.stacks[2], 1.0, 2.0)
        seen = attempt.after(Move("change", {"at": built.names[2], "stack": stack})).done[-1].seen
        left = dict(seen.tables)["Left in the bag"].set_index("printed_mm")["in_the_bag"]
        used = {1.0: 1, 2.0: 1}
        assert left.to_dict() == {
            each: count - used.get(each, 0) for each, count in built.stock.items()
        }


class TestRefusals:
    @pytest.fixture
    def attempt(self):
        return begin(DRILL, 3, GRADES[0])

    def test_a_support_that_there_is_not(self, attempt):
        with pytest.raises(Refusal, match=r"support: found M1; allowed: B1 \| B2"):
            attempt.after(Move("hold", {"at": "M1"}))

    def test_a_packer_that_no_bag_holds(self, attempt):
        with pytest.raises(Refusal, match=r"stack at B2: found a packer of 5 mm; .*18 \| 10"):
            attempt.after(Move("change", {"at": "B2", "stack": (18.0, 5.0)}))

    def test_no_stack_at_all(self, attempt):
        with pytest.raises(Refusal, match="stack at F1: found no packer; allowed: one packer"):
            attempt.after(Move("change", {"at": "F1", "stack": ()}))

    def test_a_bearer_bent_too_far(self, attempt):
        tall = (*attempt.task.built.stacks[1], 18.0, 3.0)
        with pytest.raises(Refusal, match=r"stack at B2: found 21 mm more .* at most 20 mm"):
            attempt.after(Move("change", {"at": "B2", "stack": tall}))
