"""A run parted into zones: brute force over all partitions and levels, and closed forms."""

from fractions import Fraction
from itertools import combinations, combinations_with_replacement, pairwise, product

import numpy as np
import pytest

from kit.base.stack_rules import UNITS_PER_MM, PackerKind, StackRules
from kit.levels.bay import Bay, StepRule, Way
from kit.levels.packing import Packing
from kit.levels.row_of_bays import best_of, part_row

HALF = UNITS_PER_MM // 2


def way(*floor_halves):
    """Supports on floors given in half millimetres."""
    names = tuple(f"S{number}" for number in range(len(floor_halves)))
    return Way(names, np.array(floor_halves, dtype=np.int64) * HALF)


def closed(words):
    return Way((), np.zeros(0, dtype=np.int64), words)


def packing_of(thicknesses, tolerance=0.5, pieces=3, longest=15.0, thinnest=2.0):
    kinds = tuple(PackerKind(float(each), float(each)) for each in thicknesses)
    return Packing.of(kinds, StackRules(tolerance, pieces, longest, thinnest))


def stacks_by_hand(thicknesses, rules):
    """Every stack as (pieces, height, list), by listing them all [half millimetres]."""
    found = {}
    for count in range(1, rules.max_pieces + 1):
        for chosen in combinations_with_replacement(sorted(thicknesses, reverse=True), count):
            height = 2 * sum(chosen)
            fine = 2 * rules.minimum_pack_mm <= height <= 2 * rules.max_stack_mm
            if fine and (height not in found or found[height][0] == count):
                found[height] = max(found.get(height, (count, ())), (count, chosen))
    return found


def height_by_hand(target, stacks, tolerance_halves):
    """Fewest packers, nearest, then the greatest list; None where nothing is near enough."""
    near = [
        (count, abs(height - target), tuple(-each for each in chosen), height)
        for height, (count, chosen) in stacks.items()
        if abs(height - target) <= tolerance_halves
    ]
    return min(near)[3] if near else None


def brute(bays, thicknesses, rules, steps_halves, most, levels):
    """The best of all partitions and levels of a lattice, for each number of zones."""
    stacks = stacks_by_hand(thicknesses, rules)
    tolerance = int(2 * rules.tolerance_mm)
    heights = {t: height_by_hand(t, stacks, tolerance) for t in range(-200, 300)}
    best = {}
    for zones in range(1, min(most, len(bays)) + 1):
        for cuts in combinations(range(1, len(bays)), zones - 1):
            firsts, lasts = (0, *cuts), (*(c - 1 for c in cuts), len(bays) - 1)
            costs = [
                zone_costs(bays, first, last, heights, levels)
                for first, last in zip(firsts, lasts, strict=True)
            ]
            for chosen in product(*costs):
                pairs = pairwise(chosen)
                if all(steps_halves[0] <= abs(a - b) <= steps_halves[1] for a, b in pairs):
                    total = sum(cost[d] for cost, d in zip(costs, chosen, strict=True))
                    sizes = [b - a + 1 for a, b in zip(firsts, lasts, strict=True)]
                    by_bay = [d for d, size in zip(chosen, sizes, strict=True) for _ in range(size)]
                    best[zones] = min(best.get(zones, (10**9, [])), (total, by_bay))
    return best


def zone_costs(bays, first, last, heights, levels):
    zone, costs = bays[first : last + 1], {}
    offsets = []
    for place, bay in enumerate(zone):
        stands = bay.way(left=place > 0, right=place < len(zone) - 1)
        if stands.why_not:
            return {}
        offsets += [int(each) // HALF for each in stands.offset]
    low = max(bay.low for bay in zone) // HALF
    high = min(max(bay.reach for bay in zone), *(bay.cap for bay in zone)) // HALF
    for level in levels:
        stacks = [heights[level - offset] for offset in offsets]
        if low <= level <= high and None not in stacks:
            costs[level] = sum(stacks)
    return costs


def random_bay(rng, fall):
    def some():
        return way(*(rng.integers(0, 8, rng.integers(1, 3)) + fall))

    ways = [some() if rng.random() > 0.06 else closed("a hatch") for _ in range(4)]
    low = int(rng.integers(0, 8) + fall + 2)
    return Bay(
        "bay",
        tuple(ways),
        low * HALF,
        (low + int(rng.integers(0, 25))) * HALF,
        int(low + rng.integers(8, 60)) * HALF,
    )


def test_equal_to_brute_force_on_thousands_of_rows() -> None:
    rng = np.random.default_rng(7)
    rules = {
        (1, 3, 7): StackRules(0.5, 3, 15.0, 2.0),
        (2, 5): StackRules(0.5, 3, 13.0, 2.0),  # holes: no stack makes 3
        (3, 4): StackRules(1.0, 4, 14.0, 3.0),  # halfway ties between lists
    }
    several = cannot = parted = 0
    for number in range(2000):
        thicknesses = list(rules)[number % 3]
        packing = packing_of(thicknesses, *_figures(rules[thicknesses]))
        bays = [random_bay(rng, int(rng.integers(-14, 14))) for _ in range(rng.integers(1, 5))]
        least = int(rng.integers(2, 9))
        steps = (least, least + int(rng.integers(0, 9)))
        most = int(rng.integers(1, 4))
        found = part_row(bays, packing, StepRule(steps[0] * HALF, steps[1] * HALF), most)
        wanted = brute(bays, thicknesses, rules[thicknesses], steps, most, range(-30, 90))
        assert set(found) == set(wanted), number
        for zones, (total, by_bay) in wanted.items():
            plan = found[zones]
            assert plan.packing == total * HALF
            levels = [
                level // HALF
                for (first, last), level in zip(plan.zones, plan.levels, strict=True)
                for _ in range(last - first + 1)
            ]
            assert levels == by_bay
            several += zones > 1
        if wanted:
            least_of = min(wanted, key=lambda zones: (wanted[zones][0], zones))
            assert best_of(found) == least_of
            parted += least_of > 1
        cannot += not wanted
    # the rows are of all sorts: some cannot be, many are best in one zone, many in several
    assert several > 300
    assert cannot > 150
    assert parted > 130


def _figures(rules):
    return rules.tolerance_mm, rules.max_pieces, rules.max_stack_mm, rules.minimum_pack_mm


def falling(count, fall_mm, supports=3, window=10_000):
    """Bays on a floor that falls evenly from bay to bay and is flat under each."""
    rows = []
    for number in range(count):
        floor = -number * 2 * fall_mm
        ways = (way(*[floor] * supports),) * 4
        rows.append(Bay(f"U{number}", ways, (floor + 6) * HALF, window * HALF, window * HALF))
    return rows


@pytest.mark.parametrize(("count", "zones", "fall"), [(7, 3, 4), (12, 5, 3), (9, 4, 6), (6, 1, 2)])
def test_an_even_fall_is_parted_as_evenly_as_can_be(count, zones, fall) -> None:
    # A zone of m bays with s supports each, c = 3 mm at its highest: s (m c + f m (m - 1) / 2);
    # convex in m, so that n = q k + r bays make r zones of q + 1 and k - r of q.
    packing = packing_of((1, 3, 6, 18), pieces=9, longest=100.0, thinnest=3.0)
    plan = part_row(falling(count, fall), packing, StepRule(HALF, 200 * HALF), zones)[zones]
    q, r = divmod(count, zones)
    sizes = [q] * (zones - r) + [q + 1] * r  # of equal ones the lowest levels on the left
    by_hand = sum(3 * (m * 3 + Fraction(fall * m * (m - 1), 2)) for m in sizes)
    assert plan.packing == by_hand * UNITS_PER_MM
    assert [last - first + 1 for first, last in plan.zones] == sizes
