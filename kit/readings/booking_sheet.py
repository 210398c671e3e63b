"""A reduced booking sheet, and what a person must know about it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from kit.readings.allowance import Closure
from kit.readings.booking_slips import ROUNDING_MM, Arithmetic, slip_words, written_arithmetic

#: Why heights here are not everywhere those of the least-squares adjustment.
DISTRIBUTION = (
    "The misclosure is shared equally by the set-ups. At change points this is the least-squares"
    " answer where all set-ups are equally good; of unequal ones (sights of unequal length, other"
    " sd) least squares gives the worse more of it. An intermediate sight takes the whole share of"
    " its set-up here, and half of it by least squares."
)


@dataclass(frozen=True, eq=False)
class BookingSheet:
    """A reduced booking sheet.

    Parameters
    ----------
    name : str
        What the sheet is called.
    lines : DataFrame
        Line by line: ``row``, ``point``, ``setup`` (from which the height is read),
        ``backsight_mm``, ``intermediate_mm``, ``foresight_mm``, ``rise_mm``, ``fall_mm`` (one of
        them nan; both on the first line), ``collimation_mm`` (of the set-up that the line's
        backsight begins, else of the one it is read from), ``height_mm`` (by height of
        collimation), ``by_rise_and_fall_mm``, ``correction_mm``, ``adjusted_mm``, ``sd_mm`` (of
        ``adjusted_mm``, the known heights taken as exact).
    written : DataFrame
        ``rise_mm, fall_mm, collimation_mm, height_mm`` as they stand on the sheet, line by line.
    slips : DataFrame
        What stands on the sheet and is not what the readings give; see `written_slips`.
    closure : Closure
        Misclosure, allowance and verdict.
    """

    name: str
    lines: pd.DataFrame
    written: pd.DataFrame
    slips: pd.DataFrame
    closure: Closure

    @property
    def distributed(self) -> bool:
        """Whether a misclosure was distributed; if not, ``adjusted_mm`` is ``height_mm``."""
        return self.closure.within

    @property
    def methods_agree(self) -> bool:
        """Whether height of collimation and rise and fall give the same heights."""
        apart = (self.lines["height_mm"] - self.lines["by_rise_and_fall_mm"]).abs()
        return bool((apart <= ROUNDING_MM).all())

    @property
    def arithmetic(self) -> Arithmetic:
        """The three-way check of what the kit reduced."""
        lines = self.lines
        sums = lines[["backsight_mm", "foresight_mm", "rise_mm", "fall_mm"]].sum()
        ends = lines["height_mm"].iloc[[0, -1]]
        return Arithmetic(*sums.tolist(), *ends.tolist())

    @property
    def written_arithmetic(self) -> Arithmetic:
        """The three-way check of what stands on the sheet."""
        return written_arithmetic(self.lines, self.written)

    @property
    def has_written(self) -> bool:
        """Whether the person worked anything out on the sheet."""
        return bool(self.written.notna().any(axis=None))

    @property
    def words(self) -> tuple[str, ...]:
        """What a person must know about the sheet, one sentence each."""
        arithmetic = self.arithmetic
        agree = self.methods_agree and arithmetic.ok
        said = [
            f"Arithmetic check of the readings: {arithmetic.words}: {_ok(agree)}; height of"
            f" collimation and rise and fall {'agree' if agree else 'disagree'} on every line.",
            *self._written_words(),
            self.closure.verdict,
            *self._closure_words(),
        ]
        if self.lines["intermediate_mm"].notna().any():
            said.append(
                "An intermediate sight is checked by nothing: a slip in it moves its point alone."
            )
        return tuple(said)

    def _written_words(self) -> list[str]:
        if not self.has_written:
            return []
        check = self.written_arithmetic
        said = [f"Arithmetic check of what stands on the sheet: {check.words}: {_ok(check.ok)}."]
        if not len(self.slips):
            return [*said, "Everything written on the sheet is what the readings give."]
        columns = [str(column) for column in self.slips.columns]
        rows = self.slips.itertuples(index=False, name=None)
        return [*said, *(slip_words(dict(zip(columns, row, strict=True))) for row in rows)]

    def _closure_words(self) -> list[str]:
        closure = self.closure
        if not closure.checked:
            return []
        likely = abs(closure.misclosure_mm) <= closure.expected_mm
        said = (
            f"With readings good to {closure.sd_mm:g} mm (1 sd), 19 in 20 such lines miss by"
            f" {closure.expected_mm:.1f} mm at most: this one {'is' if likely else 'is not'}"
            " among them."
        )
        if not likely:
            said += " Either the readings are less good than said, or a slip is in them."
        return [said, DISTRIBUTION] if self.distributed else [said]


def _ok(ok: bool) -> str:
    return "✓ ok" if ok else "✗ not ok"
