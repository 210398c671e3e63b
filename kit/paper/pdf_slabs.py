"""What a page is filled with: slabs of paper below each other, and how they fall on pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from kit.paper.pdf_press import Press

#: Draws a slab whose top lies so far down the page [mm].
Draw = Callable[[Press, float], None]


@dataclass(frozen=True)
class Slab:
    """A piece of a page that is never torn.

    Parameters
    ----------
    tall_mm : float
        How much of the page it takes [mm].
    draw : Draw
        Draws it.
    before_mm : float
        Left free above it, except at the top of a page [mm].
    keep : bool
        Whether it must not stand last on a page.
    again : tuple of Slab
        Repeated above it where it comes first on a page: the head of its table.
    fresh : bool
        Whether it begins a page.
    """

    tall_mm: float
    draw: Draw
    before_mm: float = 0.0
    keep: bool = False
    again: tuple[Slab, ...] = ()
    fresh: bool = False


@dataclass
class _Pages:
    """Pages being filled."""

    room_mm: float
    pages: list[list[tuple[float, Slab]]] = field(default_factory=lambda: [[]])
    used_mm: float = 0.0

    def turn(self) -> None:
        self.pages.append([])
        self.used_mm = 0.0

    def _lay(self, slab: Slab) -> None:
        self.pages[-1].append((self.used_mm, slab))
        self.used_mm += slab.tall_mm

    def put(self, slab: Slab) -> None:
        if not self.pages[-1]:
            for head in slab.again:
                self._lay(head)
        else:
            self.used_mm += slab.before_mm
        self._lay(slab)

    def fits(self, tall_mm: float) -> bool:
        return self.used_mm + tall_mm <= self.room_mm + 1e-6

    def put_group(self, group: list[Slab]) -> None:
        """Put slabs that belong together on one page, if any page can hold them."""
        first = group[0]
        tall = sum(slab.before_mm + slab.tall_mm for slab in group)
        if self.pages[-1] and (first.fresh or not self.fits(tall)):
            self.turn()
        for slab in group:
            if self.pages[-1] and not self.fits(slab.before_mm + slab.tall_mm):
                self.turn()
            self.put(slab)


def _groups(slabs: list[Slab]) -> Iterator[list[Slab]]:
    """Yield slabs with those that each of them must stand together with."""
    group: list[Slab] = []
    for slab in slabs:
        if slab.fresh and group:
            yield group
            group = []
        group.append(slab)
        if not slab.keep:
            yield group
            group = []
    if group:
        yield group


def laid(slabs: list[Slab], room_mm: float) -> list[list[tuple[float, Slab]]]:
    """Return slabs on pages.

    Parameters
    ----------
    slabs : list of Slab
        From top to bottom; none taller than a page together with what it repeats.
    room_mm : float
        Height of a page between its margins [mm].

    Returns
    -------
    list of list of (float, Slab)
        For each page its slabs, and how far the top of each lies below the page's upper margin
        [mm]. One page at least.
    """
    filled = _Pages(room_mm)
    for group in _groups(slabs):
        filled.put_group(group)
    return filled.pages
