"""Things that are bought, told apart by name and size."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from kit.base.bill import Item

#: A thing that is bought, by name and size.
Key = tuple[str, str]


def key_of(item: Item) -> Key:
    """Return what tells a thing from others: its name and size; what has no size has one key."""
    return item.item, "" if math.isnan(item.size_mm) else repr(float(item.size_mm))


def counted(items: Iterable[Item]) -> Counter[Key]:
    """Return how many there are of each thing; kinds printed alike are one thing."""
    counts: Counter[Key] = Counter()
    for item in items:
        counts[key_of(item)] += item.count
    return counts
