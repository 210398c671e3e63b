"""How one stack lies on its picture: a true scale, columns for dimensions and for names."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kit.ink.lengths import (
    length,
    length_with_unit,
    measured_size,
    nominal,
    printed_with_unit,
    signed_small,
    small,
)
from kit.ink.svg import letters_px
from kit.show.board.lettering import LINE_PX, fitted
from kit.show.board.stack_facts import StackFacts

#: Height that the drawing may take [px].
TALL_PX = 420.0

#: From this width on names and dimensions stand beside the drawing, else below it [px].
BESIDE_PX = 660.0

#: A CSS pixel is a 96th of an inch: px in a millimetre at full size.
PX_PER_MM = 96 / 25.4

#: Scales that are drawn, the largest that fits is taken: full size is 1.
SCALES = (
    *(5, 4, 3, 2.5, 2, 1.75, 1.5, 1.25, 1),
    *(1 / less for less in (1.25, 1.5, 1.75, 2, 2.5, 3, 4, 5, 7.5, 10, 15, 20, 30, 50)),
)

#: How far is seen beside the packers, and below what matters [mm].
BESIDE_MM, BELOW_MM = 18.0, 8.0

#: How far is seen above the bearer, with panels on it and without [mm].
PANEL_MM, BARE_MM = 20.0, 4.0

#: How much is shown of a solid floor, and of the void below boards, at least [mm].
SOLID_MM, VOID_MM = 25.0, 10.0


@dataclass(frozen=True)
class Part:
    """Something that is named: its height above the floor, where it ends, its name.

    Parameters
    ----------
    height_mm : float
        Above the floor [mm].
    right_mm : float
        Its right edge from the stack's middle [mm].
    name : str
    """

    height_mm: float
    right_mm: float
    name: str


@dataclass(frozen=True)
class StackFrame:
    """One stack on its picture.

    Parameters
    ----------
    facts : StackFacts
    width_px : float
        Width of the picture [px].
    """

    facts: StackFacts
    width_px: float

    # ---- what is seen -----------------------------------------------------------------------

    @property
    def packer_mm(self) -> float:
        """Length of a packer along the bearer [mm]."""
        return self.facts.answer.layout.packer_size_mm[0]

    @property
    def half_mm(self) -> float:
        """How far is seen to either side of the stack's middle [mm]."""
        return self.packer_mm / 2 + BESIDE_MM

    @property
    def top_mm(self) -> float:
        """Upper end of what is seen, above the floor [mm]."""
        return self.facts.base_top_mm + self._above_mm

    @cached_property
    def _above_mm(self) -> float:
        return PANEL_MM if any(True for _ in self.facts.panels()) else BARE_MM

    @cached_property
    def low_mm(self) -> float:
        """Lower end of what is seen, above the floor: a negative number [mm]."""
        facts, floor = self.facts, self.facts.answer.job.floor
        depths = [facts.limit.depth_mm, facts.doubt_mm, *(s.depth_mm for s in facts.near)]
        depths += [s.point_below_floor_mm for s in facts.screws if s.serves]
        own = (floor.board_mm or 0.0) + VOID_MM if floor.kind == "boarded" else SOLID_MM
        return -max(max(depths) + BELOW_MM, own)

    # ---- scale ------------------------------------------------------------------------------

    @property
    def beside(self) -> bool:
        """Whether names and dimensions stand beside the drawing."""
        return self.width_px >= BESIDE_PX

    @cached_property
    def scale(self) -> float:
        """How many times larger than life it is drawn."""
        room = self.width_px - self.left_px - self.right_px
        fits = min(room / (2 * self.half_mm), TALL_PX / (self.top_mm - self.low_mm)) / PX_PER_MM
        return next((scale for scale in SCALES if scale <= fits), SCALES[-1])

    @property
    def px_per_mm(self) -> float:
        """Scale of all lengths."""
        return self.scale * PX_PER_MM

    @property
    def scale_words(self) -> str:
        """The scale as it is said."""
        return f"{self.scale:g} : 1" if self.scale >= 1 else f"1 : {1 / self.scale:g}"

    @cached_property
    def head(self) -> list[str]:
        """What stands above the drawing."""
        joined = "Screws side by side; they stand in the packers' middle."
        return fitted(
            f"Stack {self.facts.name}, cut along its bearer, seen from the room; drawn"
            f" {self.scale_words} both ways. {joined * any(s.serves for s in self.facts.screws)}",
            self.width_px - 4,
        )

    def x(self, from_middle_mm: float) -> float:
        """Return where a place beside the stack's middle lies [px]."""
        return self.left_px + (from_middle_mm + self.half_mm) * self.px_per_mm

    def y(self, above_floor_mm: float) -> float:
        """Return where a height above the floor lies [px]."""
        return len(self.head) * LINE_PX + 12 + (self.top_mm - above_floor_mm) * self.px_per_mm

    # ---- dimensions on the left -------------------------------------------------------------

    @cached_property
    def dimensions(self) -> list[tuple[float, list[str]]]:
        """Height up to which a dimension reaches [mm], its words; from the drawing outwards."""
        facts, units = self.facts, self.facts.answer.job.units
        stack, top = length(facts.height_mm, units), length(facts.base_top_mm, units)
        if not self.beside:
            return [(facts.height_mm, [stack]), (facts.base_top_mm, [top])]
        inner = [
            f"stack {stack}",
            f"wanted {length(facts.target_mm, units)}",
            f"error {signed_small(facts.error_mm, units)}",
        ]
        outer = ["base top", f"{top} above", "floor"]
        return [(facts.height_mm, inner), (facts.base_top_mm, outer)]

    @cached_property
    def dimension_lines(self) -> list[float]:
        """Distance of each dimension's line from the drawing [px]."""
        places, x = [], 8.0
        for _, lines in self.dimensions:
            places.append(x)
            x += 8 + max(map(letters_px, lines)) + 6
        return places

    @cached_property
    def left_px(self) -> float:
        """Room of the dimensions [px]."""
        _, lines = self.dimensions[-1]
        return self.dimension_lines[-1] + 8 + max(map(letters_px, lines)) + 2

    # ---- names on the right -----------------------------------------------------------------

    @cached_property
    def parts(self) -> list[Part]:
        """What is named, from above."""
        parts = [*self._build(), *self._floor()]
        return sorted(parts, key=lambda part: -part.height_mm)

    def _build(self) -> list[Part]:
        facts, units = self.facts, self.facts.answer.job.units
        panels = list(facts.panels())
        parts = [
            Part(
                facts.base_top_mm + PANEL_MM * (len(panels) - number) / (len(panels) + 1),
                min(panel.x_mm + panel.thickness_mm / 2 - facts.stand.x_mm, self.half_mm),
                f"{panel.kind} of {placed.unit.name}",
            )
            for number, (placed, panel) in enumerate(panels)
        ]
        bearer = f"bearer {length_with_unit(facts.bearer_mm, units)}"
        parts.append(Part((facts.height_mm + facts.base_top_mm) / 2, self.half_mm, bearer))
        for number, one in enumerate(facts.laid, 1):
            measured = one.packer.measured_mm
            is_so = "" if measured is None else f", is {measured_size(measured, units)}"
            name = f"packer {number}: {printed_with_unit(one.packer.mm, units)}{is_so}"
            parts.append(Part((one.bottom_mm + one.top_mm) / 2, self.packer_mm / 2, name))
        return parts

    def _floor(self) -> list[Part]:
        facts, half = self.facts, self.half_mm
        units, floor = facts.answer.job.units, facts.answer.job.floor
        doubt = f"floor {length(facts.floor_mm, units)} ± {small(facts.doubt_mm, units)} {units}"
        parts = [Part(0.0, half, doubt), Part(-facts.limit.depth_mm, half, self._limit_name())]
        if floor.kind == "boarded":
            board = floor.board_mm or 0.0
            parts.append(Part(-board / 2, half, f"board {length_with_unit(board, units)}"))
            under = "void below, joists not drawn"
            parts.append(Part((self.low_mm - board) / 2, half, under))
        else:
            parts.append(Part(self.low_mm / 2, half, "solid floor"))
        return parts + [
            Part(-s.depth_mm, half, f"{s.name}, {nominal(s.depth_mm)} mm down") for s in facts.near
        ]

    def _limit_name(self) -> str:
        depth = self.facts.limit.depth_mm
        if not depth:
            return "limit of points: the floor"
        side = "down" if depth > 0 else "above floor"
        return f"limit of points: {nominal(round(abs(depth), 2))} mm {side}"

    @property
    def tags(self) -> list[str]:
        """What stands on the right for each part: its name, or a letter for it."""
        if self.beside:
            return [part.name for part in self.parts]
        return [_letter(number) for number in range(len(self.parts))]

    @cached_property
    def right_px(self) -> float:
        """Room of the names [px]."""
        return max(map(letters_px, self.tags)) + 28


def _letter(number: int) -> str:
    """Return a letter for a number: a to z, then aa, ab."""
    more, last = divmod(number, 26)
    return (_letter(more - 1) if more else "") + "abcdefghijklmnopqrstuvwxyz"[last]
