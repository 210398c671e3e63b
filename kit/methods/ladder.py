"""A ladder frame: long members under the rows, rungs between, levelled and scribed to the floor."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pandas as pd

from kit.base.bill import Bill, Item, price_of, step
from kit.base.checks import Check, height_check, plinth_checks, set_level_check, span_checks
from kit.base.cuts import CutPlan
from kit.base.datum import Datum, Needs, height_window
from kit.base.footing import MEMBERS, Footing
from kit.base.ladder_cuts import cut_frame
from kit.base.ladder_frame import LadderFrame, lay_frame, own_weights
from kit.base.layout import Layout, lay_out
from kit.base.runs import Floats
from kit.base.scribe import Ways, deepest_bound, shallowest_board
from kit.base.stack_plan import without_stacks
from kit.ground import Underside, look_under
from kit.job import Base, Job, Ladder, LadderBoard, refuse
from kit.methods.apart import no_clearance
from kit.methods.ladder_cut import FrameAsCut, carry_frame, cut_to_floor, n_per_mm
from kit.methods.ladder_doubt import doubt_cautions, doubt_checks, sure_frame
from kit.methods.ladder_words import depth_checks, frame_cautions, part_unknown, rung_checks
from kit.methods.method import (
    Lie,
    Made,
    as_expected,
    bill_of,
    lift_of,
    no_screws,
    no_stacks,
    plinth_of,
    put_together,
    under_lie,
    with_targets,
)
from kit.parts import Answer, Ground, Survey, Traits
from kit.strength.direct import loads_apart
from kit.strength.pieces import Apart
from kit.threads import one_thread


class LadderMethod:
    """A ladder frame."""

    def lay_out(self, job: Job, base: Base) -> Layout:
        """Lay out long members and the crossings at which rungs meet them."""
        thickness = ladder_of(base).thickness_mm
        return lay_out(job, base, Footing(thickness, (thickness, thickness), words=MEMBERS))

    def look_under(
        self, job: Job, survey: Survey, layout: Layout, base: Base, *, before: Answer | None = None
    ) -> Ground:
        """Look at the floor under members and rungs; cut them from stock lengths."""
        # Rungs keep out of areas and off joints that move no crossing.
        if before is not None and (before.job.no_go, before.job.movement_joints) != (
            job.no_go,
            job.movement_joints,
        ):
            before = None
        underside = _underside(frame_of(job, layout, base))
        return look_under(job, survey, layout, base, underside, before=before)

    def set_level(self, job: Job, base: Base, ground: Ground, lie: Lie) -> Datum:
        """Choose the lowest level that leaves enough of every member."""
        ladder, layout, lift = ladder_of(base), ground.layout, lift_of(base, ground)
        known, clear = ground.known, base.minimum_pack_mm
        ways = Ways.under(known, lie.under_mm, lift, clear)
        above = deepest_bound(ways, known, [board.mm for board in ladder.boards])
        lies = str(known["lies"].iloc[ways.highest()])
        needs = Needs(0.0, ladder.least_mm, f"depth left of a {lies}", (above,), lies)
        edge = under_lie(ground, lie).assign(height_mm=lie.under_mm + clear * ways.bridged)
        window = height_window(job, base, edge, lie.high_point_mm, layout, lift, needs)
        low, high = window.low.datum_mm, window.high.datum_mm
        plan = without_stacks(low, len(layout.supports), [(low, high)])
        return Datum(window, plan, lie.high_point_mm, 0.0, lift)

    def bill(
        self, job: Job, base: Base, ground: Ground, lie: Lie, datum: Datum, screws: pd.DataFrame
    ) -> Bill:
        """Count lengths of board, pieces, crossings and metres of edge."""
        del screws  # a frame has none of its own
        ways = Ways.under(ground.known, lie.under_mm, datum.front_lift_mm, base.minimum_pack_mm)
        board = board_for(base, ways.depth_mm(datum.datum_mm))
        lifted = datum.front_lift_mm * ground.known["lift_share"].to_numpy(dtype=float)
        left_mm = datum.datum_mm + lifted - lie.under_mm
        per_mm, bought = price_of(board.price_per_m) / 1000, ground.cuts.bought
        item = board_name(board)
        edge_m = float(ground.cuts.cuts["length_mm"].to_numpy(dtype=float).sum()) / 1000
        pieces, crossings = len(ground.cuts.cuts), len(ground.supports)
        return bill_of(
            (
                Item(item, float(size), int(count), None, per_mm * float(size))
                for size, count in zip(bought["stock_mm"], bought["count"], strict=True)
            ),
            (
                step(job.rates, "mark_support_min", "mark out a crossing", crossings, "support"),
                step(
                    job.rates,
                    "ladder_piece_min",
                    "cut and fix a member or a rung",
                    pieces,
                    "piece",
                ),
                step(job.rates, "scribe_m_min", "scribe and cut an edge", edge_m, "m"),
            ),
            mass_kg=_mass_kg(ground, ladder_of(base), frame_of(job, ground.layout, base), left_mm),
        )

    @one_thread
    def build(self, job: Job, survey: Survey, ground: Ground, base: Base) -> Answer:
        """Choose level and board over a known floor, cut the profile, and check both."""
        lie, ladder, clear = as_expected(ground), ladder_of(base), base.minimum_pack_mm
        datum = self.set_level(job, base, ground, lie)
        ways = Ways.under(ground.known, lie.under_mm, datum.front_lift_mm, clear)
        board = board_for(base, ways.depth_mm(datum.datum_mm)).mm
        cut = cut_to_floor(survey, frame_of(job, ground.layout, base), datum, board, clear)
        supports, plinth = with_targets(ground, datum), plinth_of(job, base, ground, datum)
        sure = sure_frame(ladder, ground.known, ways, datum, board)
        made = Made(
            datum=datum,
            supports=supports,
            stacks=no_stacks(),
            screws=no_screws(),
            clearance=no_clearance(),
            plinth=plinth,
            strength=carry_frame(job, ground, ladder, datum, cut),
            bill=self.bill(job, base, ground, lie, datum, no_screws()),
            traits=_traits(cut.frame, ladder),
            checks=(
                *_checks(job, base, ground, datum, cut, plinth),
                *doubt_checks(ladder, sure, part_unknown(cut.profile)),
            ),
            cautions=(
                *doubt_cautions(ladder, sure),
                *frame_cautions(job.floor, ground.cuts, cut.profile, clear),
            ),
            details={
                "members.csv": cut.frame.table().merge(cut.scribed),
                "profile.csv": cut.profile,
            },
        )
        return put_together(job, survey, ground, base, made)


def _checks(
    job: Job, base: Base, ground: Ground, datum: Datum, cut: FrameAsCut, plinth: pd.DataFrame
) -> Iterator[Check]:
    """Yield the checks of the frame's geometry."""
    ladder, layout, level_mm = ladder_of(base), ground.layout, datum.datum_mm
    floor_mm = as_expected(ground).under_mm
    ways = Ways.under(ground.known, floor_mm, datum.front_lift_mm, base.minimum_pack_mm)
    reach = ways.left_mm(level_mm), ways.depth_mm(level_mm)
    yield height_check(base, datum)
    yield set_level_check("ladder.scribe_within_mm", ladder.scribe_within_mm, base)
    yield from depth_checks(ladder, cut.profile, cut.board_mm, reach)
    yield from span_checks(base, layout)
    yield from rung_checks(base, layout, cut.frame)
    yield from plinth_checks(job, base, layout, plinth)


def ladder_of(base: Base) -> Ladder:
    """Return what the frame is made of.

    Raises
    ------
    TypeError
        Where the base has no ladder: a defect of whoever asks.
    """
    if base.ladder is None:
        raise TypeError("this base has no ladder frame")
    return base.ladder


def frame_of(job: Job, layout: Layout, base: Base) -> LadderFrame:
    """Return the members of the frame in plan."""
    return lay_frame(layout, ladder_of(base).thickness_mm, job.no_go, job.movement_joints)


def board_for(base: Base, depth_mm: float) -> LadderBoard:
    """Return the shallowest board that is at least so deep, the cheapest of equally deep ones.

    Raises
    ------
    Refusal
        Where none is.
    """
    boards = ladder_of(base).boards
    prices = [price_of(board.price_per_m) for board in boards]
    found = shallowest_board([board.mm for board in boards], depth_mm, prices)
    if found is None:
        raise refuse(
            f"job.toml, base {base.name!r}, ladder.boards",
            f"{depth_mm:.1f} mm from base top to the lowest floor",
            f"at most the deepest board, {max(board.mm for board in boards):g} mm",
        )
    return boards[found]


def board_name(board: LadderBoard) -> str:
    """Return what a board is called in a bill: "ladder board, 70 mm deep"."""
    return f"ladder board, {board.mm:g} mm deep"


def _traits(frame: LadderFrame, ladder: Ladder) -> Traits:
    return Traits(
        level_error_mm=ladder.scribe_within_mm,
        fixing_line_mm=math.fsum(one.length_mm for one in frame.long),
        floor_screws=0,
        room_under_mm=0.0,
        adjust_up_mm=0.0,
        adjust_down_mm=0.0,
    )


def _mass_kg(ground: Ground, ladder: Ladder, frame: LadderFrame, left_mm: Floats) -> float:
    """Return what is left of all members [kg], of the mean depth at each one's places.

    A member under which no place is known counts as deep as the others on average.
    """
    codes, names = pd.factorize(ground.known["bearer"])
    mean = np.bincount(codes, left_mm) / np.bincount(codes)
    depths = dict(zip(names.tolist(), mean.tolist(), strict=True))
    other = float(left_mm.mean())
    face_mm2 = math.fsum(one.length_mm * depths.get(one.name, other) for one in frame.members)
    return face_mm2 * ladder.thickness_mm * ladder.density_kg_per_m3 * 1e-9


def _underside(frame: LadderFrame) -> Underside:
    """Return how a frame meets the floor.

    What presses on the joists does not hang on the height of the base: the frame weighs there as
    much as its deepest board uncut.
    """

    def footprint(_layout: Layout) -> pd.DataFrame:
        return frame.footprint()

    def cut(layout: Layout, base: Base, _before: Answer | None) -> CutPlan:
        return cut_frame(layout, frame, ladder_of(base), base.name)

    def apart(layout: Layout, _cuts: CutPlan, base: Base) -> Apart:
        ladder = ladder_of(base)
        deepest = max(board.mm for board in ladder.boards)
        uncut = n_per_mm(ladder, {one.name: deepest for one in frame.members})
        return loads_apart(layout, own_weights(layout, frame, uncut))

    return Underside(footprint, cut, apart)


LADDER = LadderMethod()
