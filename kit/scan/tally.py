"""Counts and sums by key, added to piece by piece: a table with open addressing.

Each key has an endless list of places in the table, by hashing (multiplicative hashing and open
addressing: Knuth, The Art of Computer Programming 3, section 6.4, from memory); it stands in the
first of them that was free. All keys of a piece look at their first place at once, those that
meet a stranger there at their second, and so on.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]

_FREE = -1
#: Sixteen neighbouring keys share a block of the table, as the machine fetches memory in blocks.
_BLOCK_BITS = 4
#: The fuller a table, the longer places are searched for; a large one is let become fuller.
_FULLEST, _FULLEST_LARGE = 0.35, 0.7
_LARGE_BITS = 24
_LEAST_BITS = 16
#: Numbers that are added at once: what is made of them stays in a machine's cache.
_AT_ONCE = 1 << 15


class Tally:
    """Counts and sums of many numbers under few keys.

    Parameters
    ----------
    most : int
        `full` tells when there are more keys than that.
    value_bits : int
        No number that is summed has more bits.

    Notes
    -----
    What is told does not depend on how the numbers came in pieces, nor on their order. Memory: 16
    bytes a place, up to 5.7 places a key in a table below 256 MB and up to 2.9 beyond, and half
    as much again while the table grows.
    """

    def __init__(self, most: int, value_bits: int) -> None:
        self._most = most
        # Count and sum stand in one number, the count in its upper bits: as many as keep both
        # from overflowing in so many additions. After that the table is put by.
        count_bits = (63 - value_bits) // 2
        self._sum_bits = count_bits + value_bits
        self._room = self._most_added = (1 << count_bits) - 1
        self._put_by: tuple[Whole, Whole, Whole] | None = None
        self._make(_LEAST_BITS)

    def _make(self, bits: int) -> None:
        """Begin a table: keys in even places, what is held under each behind it."""
        self._bits = bits
        self._table = np.zeros(2 << bits, dtype=np.int64)
        self._table[::2] = _FREE
        self._used_at_most = 0

    @property
    def full(self) -> bool:
        """Whether there are more keys than asked for."""
        return self._used_at_most > self._most and self._count_used() > self._most

    def add(self, keys: Whole, values: Whole) -> None:
        """Count numbers under their keys.

        Parameters
        ----------
        keys : (n,) array of int
            None negative.
        values : (n,) array of int
            What is summed; none negative.
        """
        for i in range(0, len(keys), _AT_ONCE):
            some = keys[i : i + _AT_ONCE]
            if len(some) > self._room:
                self._put_by = self.told()
                self._make(self._bits)
                self._room = self._most_added
            self._room -= len(some)
            self._make_room(len(some))
            held = values[i : i + _AT_ONCE] + (1 << self._sum_bits)
            np.add.at(self._table, self._places(some) + 1, held)

    def told(self) -> tuple[Whole, Whole, Whole]:
        """Return all keys in ascending order, their counts and their sums."""
        used = 2 * np.flatnonzero(self._table[::2] != _FREE)
        keys = self._table[used]
        order = np.argsort(keys)
        held = self._table[used[order] + 1]
        told = keys[order], held >> self._sum_bits, held & ((1 << self._sum_bits) - 1)
        return told if self._put_by is None else _merged(self._put_by, told)

    def _count_used(self) -> int:
        self._used_at_most = int(np.count_nonzero(self._table[::2] != _FREE))
        return self._used_at_most

    def _make_room(self, more: int) -> None:
        share = _FULLEST if self._bits < _LARGE_BITS else _FULLEST_LARGE
        most = share * (1 << self._bits)
        if self._used_at_most + more > most and self._count_used() + more > most:
            used = 2 * np.flatnonzero(self._table[::2] != _FREE)
            keys, held = self._table[used], self._table[used + 1]
            self._make(self._bits + 1)
            for i in range(0, len(keys), _AT_ONCE):
                places = self._places(keys[i : i + _AT_ONCE])
                self._table[places + 1] = held[i : i + _AT_ONCE]

    def _places(self, keys: Whole) -> Whole:
        """Return where keys stand in the table, putting in those that are new."""
        places = self._place(keys, 0)
        astray = np.flatnonzero(np.take(self._table, places) != keys)
        again = 0
        while len(astray):
            here, wanted = places[astray], keys[astray]
            free = self._table[here] == _FREE
            # Where several want the same free place the last one has it.
            self._table[here[free]] = wanted[free]
            self._used_at_most += int(np.count_nonzero(free))
            left = self._table[here] != wanted
            astray, wanted = astray[left], wanted[left]
            again += 1
            places[astray] = self._place(wanted, again)
        return places

    def _place(self, keys: Whole, again: int) -> Whole:
        # Block 0 would stay at 0 whatever it is multiplied by.
        mixed = ((keys >> _BLOCK_BITS) + 1).view(np.uint64) * np.uint64(_multiplier(again))
        block = (mixed >> np.uint64(64 - self._bits + _BLOCK_BITS)).view(np.int64)
        # Floors fill the same few of sixteen slabs everywhere: each block is turned otherwise.
        turn = (mixed >> np.uint64(16)).view(np.int64)
        slot = (block << _BLOCK_BITS) | ((keys ^ turn) & ((1 << _BLOCK_BITS) - 1))
        return slot << 1


def _merged(
    one: tuple[Whole, Whole, Whole], two: tuple[Whole, Whole, Whole]
) -> tuple[Whole, Whole, Whole]:
    """Return the keys of both in ascending order, counts and sums added up."""
    keys, place = np.unique(np.concatenate([one[0], two[0]]), return_inverse=True)
    added = [np.zeros(len(keys), dtype=np.int64) for _ in range(2)]
    for into, first, second in zip(added, one[1:], two[1:], strict=True):
        np.add.at(into, place, np.concatenate([first, second]))
    return keys, added[0], added[1]


def _multiplier(again: int) -> int:
    """Return an odd 64-bit number for each search: SplitMix64 (Steele and others, 2014)."""
    mask = (1 << 64) - 1
    z = ((again + 1) * 0x9E3779B97F4A7C15) & mask
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & mask
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & mask
    return (z ^ (z >> 31)) | 1
