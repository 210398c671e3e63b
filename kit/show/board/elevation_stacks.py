"""The stacks in an elevation: packer by packer, named below, each one to be chosen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kit.ink import paint
from kit.ink.escape import html_text
from kit.ink.lengths import length, length_with_unit, printed_figures, signed_small
from kit.ink.svg import LETTERS_PX, box, element, halo, letters_px, line, words
from kit.show.board.elevation_floor import DOTTED
from kit.show.board.elevation_frame import Frame, stack_name
from kit.show.board.lettering import LINE_PX
from kit.show.section import Stack

#: Least width of what a finger or pointer finds of a stack [px].
TOUCH_PX = 24.0


@dataclass(frozen=True)
class Looks:
    """What all stacks of a picture share.

    Parameters
    ----------
    frame : Frame
    tones : list of str
        Colour of each kind of packer.
    inks : list of str
        Ink that can be read on each kind of packer.
    sizes : list of str
        Size printed on each kind of packer.
    chosen : str
        Name of the stack that is marked.
    """

    frame: Frame
    tones: list[str]
    inks: list[str]
    sizes: list[str]
    size_unit: str
    chosen: str

    @property
    def packer_px(self) -> float:
        """Width of a packer [px]."""
        return self.frame.answer.layout.packer_size_mm[0] * self.frame.px_per_mm


def looks(frame: Frame, chosen: str) -> Looks:
    """Return what all stacks of a picture share."""
    packers = frame.answer.job.stock.packers
    sizes, unit = printed_figures([packer.mm for packer in packers], frame.answer.job.units)
    tones = paint.packer_tones([packer.thickness_mm for packer in packers])
    return Looks(
        frame=frame,
        tones=tones,
        inks=[paint.ink_on(tone) for tone in tones],
        sizes=list(sizes),
        size_unit=unit,
        chosen=chosen,
    )


def stacks(look: Looks) -> Iterator[str]:
    """Yield each stack as a group that can be chosen; lines below first, letters over them."""
    for stack, lane in zip(look.frame.part.stacks, look.frame.stack_lanes, strict=True):
        yield _group(look, stack, lane)


def stack_said(look: Looks, stack: Stack) -> str:
    """Return a stack in words, as it is read out."""
    units = look.frame.answer.job.units
    pile = " + ".join(look.sizes[slab.kind] for slab in stack.slabs)
    pile += f" {look.size_unit}" if units == "in" and look.size_unit else ""
    moved = "; moved by hand" if stack.support in look.frame.by_hand else ""
    return (
        f"{stack.support}: {length_with_unit(stack.height_mm, units)}, from the floor up {pile};"
        f" error {signed_small(stack.error_mm, units)} {units}{moved}"
    )


def _group(look: Looks, stack: Stack, lane: int) -> str:
    frame, chosen = look.frame, stack.support == look.chosen
    x, half = frame.x(stack.x_mm), look.packer_px / 2
    top, foot = frame.y(stack.floor_mm + stack.height_mm), frame.y(stack.floor_mm)
    base = frame.names_y + 2 * LINE_PX * lane + LETTERS_PX
    said = stack_said(look, stack)
    touch = max(half, TOUCH_PX / 2)
    packers, figures = _packers(look, stack, x)
    inner = [
        element("title", html_text(said)),
        box(x - touch, top, 2 * touch, base + LINE_PX + 3 - top, fill="#fff", fill_opacity=0),
        packers,
        figures,
        line(x, foot, x, base - 10, stroke=paint.INK, stroke_width=0.7, **DOTTED),
    ]
    if chosen:
        inner.append(
            box(x - half - 2, top - 1, 2 * half + 4, foot - top + 3, fill="none",
                stroke=paint.INK, stroke_width=3.4)
        )  # fmt: skip
    return element(
        "g",
        "".join(inner) + _letters(look, stack, x, base),
        class_="ufk-stack",
        data_support=stack.support,
        role="button",
        tabindex="0",
        aria_label=said,
        aria_pressed="true" if chosen else "false",
    )


def _packers(look: Looks, stack: Stack, x: float) -> tuple[str, str]:
    """Return a stack's packers, and the sizes written in those that have room for it."""
    frame, wide = look.frame, look.packer_px
    packers, figures = [], []
    for slab in stack.slabs:
        tall = slab.thickness_mm * frame.px_per_high_mm
        top, tone = frame.y(slab.bottom_mm) - tall, look.tones[slab.kind]
        packers.append(box(x - wide / 2, top, wide, tall, fill=tone))
        size = look.sizes[slab.kind]
        if tall >= LETTERS_PX and wide > letters_px(size):
            # A figure is about 0.7 of its size high.
            figures.append(words(x, top + tall / 2 + 4.2, size, fill=look.inks[slab.kind]))
    rim = element("g", "".join(packers), stroke=paint.INK, stroke_width=0.8)
    return rim, element("g", "".join(figures), text_anchor="middle") if figures else ""


def _letters(look: Looks, stack: Stack, x: float, base: float) -> str:
    """Return name and height of a stack, below it."""
    height = length(stack.height_mm, look.frame.answer.job.units)
    weight = {"font_weight": "bold"}
    if stack.support == look.chosen:
        weight["text_decoration"] = "underline"
    lines = words(x, base, stack_name(look.frame, stack), **weight) + words(
        x, base + LINE_PX, height
    )
    return element("g", lines, **halo(stroke=paint.FLOOR, text_anchor="middle", fill=paint.INK))
