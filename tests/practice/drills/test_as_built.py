"""Correcting a base as built: scripted apprentices, one sound, the others each with one habit."""

from __future__ import annotations

from collections import Counter

from kit.practice.moves import Move

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
