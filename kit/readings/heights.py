"""Adjusted heights, and everything that the readings say of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import pandas as pd

from kit.job.refusal import refuse
from kit.readings.doubt import GLOBAL_TEST_LEVEL
from kit.readings.equations import Floats
from kit.readings.factors import SharedDoubt, shared_doubt
from kit.readings.further import Further
from kit.readings.least_squares import Solution
from kit.readings.leave_out import WithoutReadings, compare
from kit.readings.loops import loops
from kit.readings.suspect import Suspect
from kit.readings.weak_ties import WeakTies


@dataclass(frozen=True, eq=False)
class Heights:
    """Adjusted heights, how far each is to be trusted, and what the readings say of each other.

    Parameters
    ----------
    points : DataFrame
        ``point, x_mm, y_mm, height_mm, sd_mm``, in order of first reading.
    residuals : DataFrame
        One line a reading: ``survey, row`` (line of the file, header = 1), ``point, residual_mm``
        (adjusted - observed), ``redundancy`` (0 to 1), ``studentised`` (nan where nothing checks
        the reading), ``suspect``, then ``observed_mm, sd_mm, setup, start`` (the other end of a
        spirit level) and ``detectable_mm`` (the least error that the others would show 4 times in
        5; infinite where nothing checks the reading).
    sigma0 : float
        sqrt(v' P v / redundancy); nan if the redundancy is 0.
    redundancy : int
        Readings more than needed.
    global_test_p : float
        Probability of a v' P v this large or larger if every reading has its stated sd (upper
        tail of chi-square); nan if the redundancy is 0.
    suspects : tuple of str
        A sentence for each gross error that the residuals point to.
    notes : tuple of str
        Sentences on datum, shifted tables, checks and misclosures.
    cautions : tuple of str
        Those of the notes that a person must act on; the suspects come on top.
    understood : tuple of str
        A line for each table on how it was read; empty for readings that come from no file.
    odd : tuple of str
        Those of the cautions that say which reading the floor around it makes look odd.
    findings : tuple of Suspect
        The same suspects, with the rows they may be in.
    further : Further
        What a further reading would check.
    weak_ties : WeakTies
        What parts of the survey hang on one point.
    """

    points: pd.DataFrame
    residuals: pd.DataFrame
    sigma0: float
    redundancy: int
    global_test_p: float
    suspects: tuple[str, ...]
    notes: tuple[str, ...]
    solution: Solution = field(repr=False)
    sd_factor: float = 1.0
    cautions: tuple[str, ...] = ()
    understood: tuple[str, ...] = ()
    odd: tuple[str, ...] = ()
    findings: tuple[Suspect, ...] = ()
    further: Further = field(repr=False, kw_only=True)
    weak_ties: WeakTies = field(repr=False, kw_only=True)

    @cached_property
    def _covariance(self) -> Floats:
        full = self.solution.height_covariance() * self.sd_factor**2
        full.setflags(write=False)
        return full

    def covariance(self) -> Floats:
        """Return the covariance matrix of the heights [mm²], (n, n), points in order.

        Computed when first asked for, and kept; 8·n² bytes.
        """
        return self._covariance

    @cached_property
    def loops(self) -> pd.DataFrame:
        """Rounds that the readings close, short ones, every independent one once, worst first.

        ``round, misclosure_mm, expected_within_mm, beyond, readings``: see `kit.readings.loops`.
        """
        return loops(self.further.rows, self.solution)

    @cached_property
    def ties(self) -> pd.DataFrame:
        """Parts of the survey that hang on one point, those that nothing checks first.

        ``part, setups, points, tie, checked, sd_mm, read, sd_then_mm``: see `WeakTies.table`.
        """
        table, factor = self.weak_ties.table(), self.sd_factor
        sds = {name: table[name] * factor for name in ("sd_mm", "sd_then_mm")}
        return table.assign(**sds)

    @cached_property
    def _shared_doubt(self) -> SharedDoubt:
        own, factors = shared_doubt(self.solution)
        return SharedDoubt(own * self.sd_factor**2, factors * self.sd_factor)

    def shared_doubt(self) -> SharedDoubt:
        """Return the covariance as diag(diagonal) + factors @ factors.T, for thousands of heights.

        Computed when first asked for, and kept; 8·n·k bytes, k the number of set-ups. See
        `kit.readings.factors.shared_doubt` for what it is in a free network.

        Raises
        ------
        Refusal
            Where more than 4,000 unknowns hang heights together.
        """
        return self._shared_doubt

    def without(self, rows: Sequence[int]) -> WithoutReadings:
        """Return what the heights would be without some of the readings.

        Parameters
        ----------
        rows : sequence of int
            Places in ``residuals``, for example a choice of one of the ``findings``.

        Raises
        ------
        Refusal
            If nothing else determines what these readings do.
        """
        return compare(self.points, self.solution, rows, scaled=self.sd_factor != 1.0)

    def with_odd(self, odd: Iterable[str]) -> Heights:
        """Return the same heights with what the floor says of them among notes and cautions."""
        said = tuple(odd)
        notes, cautions = (*self.notes, *said), (*self.cautions, *said)
        return replace(self, notes=notes, cautions=cautions, odd=said)

    def scaled_if_rejected(self) -> Heights:
        """Return the same heights, every sd times sigma0 where the readings ask for it.

        Where the global test does not reject the stated sd, they stay, and a note says so.
        """
        if self.global_test_p < GLOBAL_TEST_LEVEL:
            return self.scaled()
        note = "The readings agree with their stated sd: no sd is multiplied by sigma0."
        return replace(self, notes=(*self.notes, note))

    def scaled(self) -> Heights:
        """Return the same heights with every sd times sigma0.

        For a person who trusts the readings' scatter more than the sd stated for them.

        Raises
        ------
        Refusal
            Where the global test does not reject the stated sd, or nothing can be tested.
        """
        if not self.global_test_p < GLOBAL_TEST_LEVEL or self.sd_factor != 1.0:
            raise refuse(
                "scaling by sigma0",
                f"sigma0 {self.sigma0:.2f}, p {self.global_test_p:.2g}, factor {self.sd_factor:g}",
                f"once, where the global test rejects (p below {GLOBAL_TEST_LEVEL})",
            )
        points = self.points.assign(sd_mm=self.points["sd_mm"] * self.sigma0)
        note = f"Every sd is multiplied by sigma0 = {self.sigma0:.2f}, as asked."
        return replace(self, points=points, sd_factor=self.sigma0, notes=(*self.notes, note))
