"""Choosing stacks from the bag: scripted apprentices, one sound, the others each with one habit."""

from __future__ import annotations

from collections import Counter
from itertools import combinations_with_replacement

from kit.practice.moves import Move

MOST_PIECES = 7


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
