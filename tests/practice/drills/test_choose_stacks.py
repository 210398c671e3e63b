"""Choosing stacks from the bag: scripted apprentices, one sound, the others each with one habit."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations_with_replacement

import pytest

from kit.job import Refusal
from kit.practice.attempt import begin
from kit.practice.drills.choose_stacks import ChooseStacks
from kit.practice.grades import GRADES
from kit.practice.moves import Move

DRILL = ChooseStacks()
MOST_PIECES = 7

#: Sums of tenths of a millimetre are exact to far less than this [mm].
ROUND_OFF = 1e-6


def _heights(hands):
    """The height that each support needs, as the sheet has it."""
    table = dict(hands.attempt.task.given.tables)["Heights needed"]
    return dict(zip(table["support"], table["needed_mm"], strict=True))


def _bag(hands):
    table = dict(hands.attempt.task.given.tables)["In the bag"]
    return {float(p): int(n) for p, n in zip(table["printed_mm"], table["in_the_bag"], strict=True)}


def _by_calliper(hands):
    """Put the calliper to one packer of each kind and note what it shows."""
    return {
        each: hands.do(Move("measure", {"packer": f"{each:g}"})).figures["measured_mm"]
        for each in _bag(hands)
    }


def _piles(thick):
    """Every pile of up to seven packers with its height, fewest pieces first."""
    return [
        (sum(thick[each] for each in pile), Counter(pile), pile)
        for count in range(1, MOST_PIECES + 1)
        for pile in combinations_with_replacement(sorted(thick, reverse=True), count)
    ]


def _that_fit(needed, thick, below, above):
    """For each support the piles that come within such limits of its height."""
    piles = _piles(thick)
    return {
        name: [
            (counts, pile)
            for height, counts, pile in piles
            if -below - 1e-6 <= height - mm <= above + 1e-6
        ]
        for name, mm in needed.items()
    }


def _fewest(fitting, bag):
    """Piles for all supports out of one bag: first the fewest for each, then one more, …; none
    where the bag does not suffice."""
    names = list(fitting)
    least = {name: len(fitting[name][0][1]) for name in names}

    def chosen(place, spare, left, dead):
        if place == len(names):
            return []
        state = (place, spare, tuple(left.values()))
        if state in dead:
            return None
        for counts, pile in fitting[names[place]]:
            more = len(pile) - least[names[place]]
            if more > spare:
                break
            if all(left[each] >= n for each, n in counts.items()):
                rest = {each: n - counts.get(each, 0) for each, n in left.items()}
                after = chosen(place + 1, spare - more, rest, dead)
                if after is not None:
                    return [pile, *after]
        dead.add(state)
        return None

    for spare in range(30):
        found = chosen(0, spare, dict(bag), set())
        if found is not None:
            return dict(zip(names, found, strict=True))
    return {}


def _piled(pile):
    """Thickest on the floor, next thickest on top, the others between."""
    order = sorted(pile, reverse=True)
    return (order[0], *order[2:], *order[1:2])


def _laid(piles):
    return {name: _piled(pile) for name, pile in piles.items()}


def sound(hands):
    """Measures every kind, makes all heights with as few as the bag allows, lays them in order."""
    thick = _by_calliper(hands)
    return _laid(_fewest(_that_fit(_heights(hands), thick, 0.5, 0.5), _bag(hands)))


def by_the_print(hands):
    """Reads what is printed on the packers and reckons with that; coarser where it must."""
    thick, needed, bag = {each: each for each in _bag(hands)}, _heights(hands), _bag(hands)
    near = _fewest(_that_fit(needed, thick, 0.5, 0.5), bag)
    return _laid(near or _fewest(_that_fit(needed, thick, 1.0, 1.0), bag))


def each_by_itself(hands):
    """Takes for every support the fewest pieces, the nearest of these, and counts nothing up."""
    thick, needed = _by_calliper(hands), _heights(hands)
    piles = {}
    for name, fitting in _that_fit(needed, thick, 0.5, 0.5).items():
        few = [pile for _, pile in fitting if len(pile) == len(fitting[0][1])]
        piles[name] = min(few, key=lambda pile: abs(sum(thick[p] for p in pile) - needed[name]))
    return _laid(piles)


def like_books(hands):
    """Piles the thickest at the bottom and the thinnest on top, as one piles books."""
    return {name: tuple(sorted(stack, reverse=True)) for name, stack in sound(hands).items()}


def thickest_that_fits(hands):
    """Support by support takes the thickest that still goes in, then the next, from the bag."""
    thick, left, piles = _by_calliper(hands), _bag(hands), {}
    for name, needed in _heights(hands).items():
        pile, rest = [], needed
        while rest > 0.5 + 1e-6:
            fits = [each for each in thick if left[each] and thick[each] <= rest + 0.5 + 1e-6]
            if not fits:
                break
            pile.append(max(fits))
            left[pile[-1]] -= 1
            rest -= thick[pile[-1]]
        piles[name] = pile
    return _laid(piles)


def never_above(hands):
    """Takes what comes next below each height: rather low than high."""
    thick, needed, bag = _by_calliper(hands), _heights(hands), _bag(hands)
    tries = (_fewest(_that_fit(needed, thick, below, 0.0), bag) for below in (0.9, 1.4, 1.9, 2.9))
    return _laid(next(piles for piles in tries if piles))


def wrong_line(hands):
    """Reads the height of the support with the greatest need off the line of the least."""
    thick, needed = _by_calliper(hands), _heights(hands)
    highest, lowest = max(needed, key=needed.get), min(needed, key=needed.get)
    read = {**needed, highest: needed[lowest]}
    return _laid(_fewest(_that_fit(read, thick, 0.5, 0.5), _bag(hands)))


def with_pencil(hands):
    """The fewest for each; where the bag runs out, change what costs least until it suffices."""
    thick, needed, bag = _by_calliper(hands), _heights(hands), _bag(hands)
    fitting = _that_fit(needed, thick, 0.5, 0.5)
    chosen = {name: piles[0][1] for name, piles in fitting.items()}

    def over(piles):
        used = Counter(packer for pile in piles.values() for packer in pile)
        return sum(max(used[each] - bag[each], 0) for each in used)

    while over(chosen):
        short = over(chosen)
        ways = [
            ((len(pile) - len(chosen[name])) / (short - over({**chosen, name: pile})), name, pile)
            for name, piles in fitting.items()
            for _, pile in piles
            if over({**chosen, name: pile}) < short
        ]
        _, name, pile = min(ways)
        chosen[name] = pile
    for name, piles in fitting.items():  # does what is left save a piece somewhere?
        fits = [pile for _, pile in piles if not over({**chosen, name: pile})]
        chosen[name] = min(fits, key=len)
    return _laid(chosen)


def other_thick_one_below(hands):
    """Sound, but of two thick packers the thinner on the floor."""
    return {
        name: (stack[-1], *stack[1:-1], stack[0]) if len(stack) > 1 and stack[-1] > 6 else stack
        for name, stack in sound(hands).items()
    }


def measures_what_may_be_off(hands):
    """Puts the calliper to all but the ones, of which it is known that they are good."""
    thick = {1.0: 1.0}
    for each in _bag(hands):
        if each > 1:
            seen = hands.do(Move("measure", {"packer": f"{each:g}"}))
            thick[each] = seen.figures["measured_mm"]
    return _laid(_fewest(_that_fit(_heights(hands), thick, 0.5, 0.5), _bag(hands)))


def inside_the_other_way(hands):
    """Sound, the thin ones between in another order."""
    return {
        name: (stack[0], *stack[-2:0:-1], *stack[1:][-1:]) for name, stack in sound(hands).items()
    }


def upside_down(hands):
    """Sound heights, each stack from the top down: the thick one last."""
    return {name: stack[::-1] for name, stack in sound(hands).items()}


def low_by_the_print(hands):
    """Measures nothing, and takes what comes next below each height."""
    thick, needed, bag = {each: each for each in _bag(hands)}, _heights(hands), _bag(hands)
    tries = (_fewest(_that_fit(needed, thick, below, 0.0), bag) for below in (0.9, 1.4, 1.9))
    return _laid(next((piles for piles in tries if piles), {}))


def _kinds(marked):
    return [mistake.kind.key for mistake in marked.mistakes]


def _errors(task, answer):
    """Height of each stack by the hidden thicknesses, less what is needed."""
    needed = dict(task.given.tables)["Heights needed"]
    return [
        sum(task.thick_mm[packer] for packer in answer[name]) - mm
        for name, mm in zip(needed["support"], needed["needed_mm"], strict=True)
    ]


def _count(answer):
    return sum(len(stack) for stack in answer.values())


class TestSound:
    def test_full_marks_on_every_floor(self, begun, play):
        marks = [play(attempt, sound).marks for attempt in begun(DRILL)]
        assert marks == [100] * 200

    def test_the_worked_answer_gets_full_marks(self, begun):
        for attempt in begun(DRILL):
            worked = attempt.task.worked
            got = replace(attempt, done=worked.done).answered(worked.answer)
            assert (got.marks, got.mistakes) == (100, ()), attempt.seed

    def test_worked_answer_keeps_heights_bag_and_order(self, begun):
        for attempt in begun(DRILL):
            task, answer = attempt.task, attempt.task.worked.answer
            assert max(abs(error) for error in _errors(task, answer)) <= 0.5 + ROUND_OFF
            used = Counter(packer for stack in answer.values() for packer in stack)
            assert all(used[each] <= task.stock[each] for each in used)
            assert all(stack == _piled(stack) for stack in answer.values())

    def test_fewest_pieces_are_those_of_a_search_of_another_kind(self, begun, play):
        # The script tries, support by support, the fewest, then one more, …; the kit solves an
        # integer programme.
        for attempt in begun(DRILL):
            fewest = {}
            play(attempt, lambda hands, kept=fewest: kept.update(sound(hands)) or kept)
            assert attempt.task.plan.pieces == _count(fewest), attempt.seed
            assert attempt.task.plan.proven

    @pytest.mark.parametrize("way", [with_pencil, other_thick_one_below,
                             measures_what_may_be_off, inside_the_other_way])  # fmt: skip
    def test_no_other_sound_way_is_told_a_mistake(self, begun, play, way):
        for attempt in begun(DRILL)[:60]:
            assert play(attempt, way).mistakes == (), attempt.seed

    def test_each_kind_lies_in_the_bag_to_put_the_calliper_to(self, begun):
        assert all(min(attempt.task.stock.values()) >= 1 for attempt in begun(DRILL))


def _always(task, answer):  # noqa: ARG001 - as every occasion's
    return True


def _bag_runs_out(task, answer):
    used = Counter(packer for stack in answer.values() for packer in stack)
    return any(used[each] > task.stock[each] for each in used)


def _three_unlike_on_one_another(task, answer):  # noqa: ARG001
    return any(stack[-1] != sorted(stack)[-2] for stack in answer.values() if len(stack) > 2)


def _fewer_do(task, answer):
    return _count(answer) > _count(task.worked.answer) + 1  # one more is let pass


def _one_too_low(task, answer):
    return min(_errors(task, answer)) < -0.5 - ROUND_OFF


def _lines_differ(task, answer):
    return max(abs(error) for error in _errors(task, answer)) > 0.5 + ROUND_OFF


@pytest.mark.parametrize(
    ("script", "kind", "occasion"),
    [
        (by_the_print, "printed_thickness", _always),
        (each_by_itself, "bag_overdrawn", _bag_runs_out),
        (like_books, "thin_outside", _three_unlike_on_one_another),
        (thickest_that_fits, "too_many_pieces", _fewer_do),
        (never_above, "all_low", _one_too_low),
        (wrong_line, "out", _lines_differ),
    ],
)
def test_each_habit_is_told_by_its_own_kind(begun, play, script, kind, occasion):
    told = []
    for attempt in begun(DRILL):
        answers = []
        marked = play(attempt, lambda hands, kept=answers: kept.append(script(hands)) or kept[0])
        if occasion(attempt.task, answers[0]):
            told.append(_kinds(marked) == [kind])
    assert len(told) >= 100, f"{len(told)} floors give the occasion"
    assert sum(told) >= 0.95 * len(told), f"{sum(told)} of {len(told)}"


class TestMarking:
    @pytest.fixture
    def attempt(self):
        return begin(DRILL, 3, GRADES[0])

    def test_going_by_the_print_mostly_ends_out_of_limits(self, begun, play):
        # Else the calliper would be a ritual: at least three floors of four punish its lack.
        out = 0
        for attempt in begun(DRILL):
            answers = []
            play(attempt, lambda hands, kept=answers: kept.append(by_the_print(hands)) or kept[0])
            out += max(abs(error) for error in _errors(attempt.task, answers[0])) > 0.5 + ROUND_OFF
        assert out >= 150

    def test_right_by_luck_is_still_by_the_print(self, attempt):
        got = attempt.answered(attempt.task.worked.answer)
        assert _kinds(got) == ["printed_thickness"]

    def test_measured_and_yet_reckoned_with_the_print(self, begun, play):
        def measures_for_show(hands):
            _by_calliper(hands)
            return by_the_print(hands)

        told = [_kinds(play(attempt, measures_for_show)) for attempt in begun(DRILL)[:60]]
        assert ["printed_thickness"] in told
        assert all("out" not in kinds or "printed_thickness" not in kinds for kinds in told)

    def test_a_pile_upside_down_has_a_thin_one_outside(self, begun, play):
        told = [_kinds(play(attempt, upside_down)) for attempt in begun(DRILL)[:60]]
        assert sum(kinds == ["thin_outside"] for kinds in told) >= 57

    def test_low_by_the_print_is_both_and_each_with_its_own_share(self, begun, play):
        both = 0
        for attempt in begun(DRILL)[:60]:
            answers = []
            marked = play(
                attempt, lambda h, kept=answers: kept.append(low_by_the_print(h)) or kept[0]
            )
            if _kinds(marked) != ["printed_thickness", "all_low"]:
                continue
            both += 1
            needed, stacks = attempt.task.supports.needed_mm, answers[0].values()
            thick = attempt.task.thick_mm
            # 5 e, as for one stack of two units; of the low ones, against the mean of all.
            shift = max((sum(thick[p] - p for p in stack) for stack in stacks), key=abs)
            assert abs(marked.mistakes[0].effect.gap_mm) == pytest.approx(5 * abs(shift))
            low = [sum(stack) - mm for stack, mm in zip(stacks, needed, strict=True)]
            gap = 5 * (min(low) - sum(low) / len(low))
            assert marked.mistakes[1].effect.gap_mm == pytest.approx(gap, abs=1e-5)
        assert both >= 45

    def test_two_habits_at_once_are_both_told(self, attempt, play):
        def upside_down(hands):
            return {name: stack[::-1] for name, stack in each_by_itself(hands).items()}

        assert _kinds(play(attempt, upside_down)) == ["bag_overdrawn", "thin_outside"]

    def test_effects_are_those_of_a_rigid_unit(self, begun, play):
        # Two units 800 wide and 2000 high stand on one stack that is e too high: each turns by
        # e/800, so that their tops part by 2·2000·e/800 = 5 e.
        for attempt in begun(DRILL)[:30]:
            answers = []
            marked = play(
                attempt, lambda hands, kept=answers: kept.append(wrong_line(hands)) or kept[0]
            )
            if _kinds(marked) == ["out"]:
                worst = max(_errors(attempt.task, answers[0]), key=abs)
                assert marked.mistakes[0].effect.gap_mm == pytest.approx(5 * worst, abs=1e-5)

    def test_the_bag_is_empty_where_it_is_said_to_be(self, begun, play):
        for attempt in begun(DRILL)[:30]:
            answers = []
            marked = play(
                attempt, lambda hands, kept=answers: kept.append(each_by_itself(hands)) or kept[0]
            )
            left = Counter(attempt.task.stock)
            for name, stack in answers[0].items():
                left.subtract(stack)
                if min(left.values()) < 0:
                    short = max(each for each, count in left.items() if count < 0)
                    assert f"empty at {name}" in marked.mistakes[0].done
                    hangs = attempt.task.thick_mm[short]
                    assert marked.mistakes[0].effect.rock_mm == pytest.approx(hangs)
                    break


class TestShown:
    def test_a_kind_that_was_not_measured_shows_nowhere(self):
        task = begin(DRILL, 11, GRADES[1]).task
        other = replace(task, thick_mm={**task.thick_mm, 18.0: 16.9, 3.0: 3.4})
        assert repr(other.given) == repr(task.given)
        for said in ("10", "6", "1"):
            move = Move("measure", {"packer": said})
            assert other.do((), move) == task.do((), move)
        eighteen = Move("measure", {"packer": "18"})
        assert other.do((), eighteen).figures == {"measured_mm": 16.9}

    def test_the_same_seed_gives_the_same_task(self):
        one, again, next_one = (begin(DRILL, seed, GRADES[2]).task for seed in (5, 5, 6))
        assert (one.supports, one.stock, one.thick_mm) == (
            again.supports,
            again.stock,
            again.thick_mm,
        )
        assert one.supports != next_one.supports

    def test_heights_needed_make_one_level_on_the_floor_as_it_carries(self, begun):
        for attempt in begun(DRILL)[:40]:
            task = attempt.task
            tops = [
                float(task.floor.carried_mm(*place)) + needed
                for place, needed in zip(
                    task.supports.places_mm, task.supports.needed_mm, strict=True
                )
            ]
            # Each height is given to a tenth: two may differ by as much.
            assert max(tops) - min(tops) <= 0.1 + ROUND_OFF


class TestRefusals:
    @pytest.fixture
    def attempt(self):
        return begin(DRILL, 3, GRADES[0])

    def test_a_packer_that_no_bag_holds(self, attempt):
        answer = {**attempt.task.worked.answer, "F2": (17.6, 1.0)}
        with pytest.raises(Refusal, match=r"stack at F2: found a packer of 17\.6 mm; .*18 \| 10"):
            attempt.answered(answer)

    def test_a_support_without_a_stack(self, attempt):
        with pytest.raises(Refusal, match="stack at B1: found no packer; allowed: one packer"):
            attempt.answered({**attempt.task.worked.answer, "B1": ()})

    def test_a_kind_that_there_is_not(self, attempt):
        with pytest.raises(Refusal, match=r"calliper: found a packer that says 7; .*18 \| 10"):
            attempt.after(Move("measure", {"packer": "7"}))
