"""Which slip of the hand or the eye an error looks like.

Every slip that can happen to a booked value b makes one known error: b misread by 10 mm is 10 mm
off, b booked in metres is 999·b off, b read from another set-up is off by the difference of the
two lines of sight. The slip whose error lies nearest to the estimated one is the likeliest; slips
that could explain almost anything (one figure misread) must lie the nearer for it.

Common practice, no source: which slips there are, and how readily each is believed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from kit.readings.doubt import TWO_SIDED_999

#: An error fits a slip within this many of its standard deviations: two-sided 0.1 %.
FITS_SD = TWO_SIDED_999

#: And within this share of the slip's own error.
FITS_SHARE = 0.25

#: A second slip is named too where its badness is no more than this above the best.
AS_LIKELY = 6.0

#: Units in which a millimetre column is booked by mistake, and one of each in mm.
UNITS = (("metres", 1000.0), ("centimetres", 10.0), ("inches", 25.4))


@dataclass(frozen=True)
class Slip:
    """A slip: its words, the error it makes [mm], and how much it takes to be believed.

    ``doubt`` counts like the square of a misfit in sd: 0 for the slips that happen daily.
    """

    words: str
    error_mm: float
    doubt: float = 0.0


def slips_of(kind: str, booked_mm: float, lines_of_sight: Mapping[str, float]) -> Iterator[Slip]:
    """Yield the slips that can have happened to a booked value.

    Parameters
    ----------
    kind : str
        Of the reading: ``staff``, ``heights``, ``grid``, ``level``, ``straightedge``, ``scan``.
    booked_mm : float
        What is booked, of a spirit level with its sign [mm].
    lines_of_sight : mapping of str to float
        How far the line of sight of each other set-up is above the reading's own [mm].
    """
    if kind == "scan":  # nobody booked it
        return
    for misread in (10, 100, 1000):
        for sign in (1, -1):
            yield Slip(f"misread by {misread} mm", sign * misread)
    if kind == "level":
        yield Slip("the other end was lifted", 2 * booked_mm)
    elif kind in {"heights", "grid"}:
        yield Slip("wrong sign", 2 * booked_mm)
    for setup, higher in lines_of_sight.items():
        yield Slip(f"taken from set-up {setup}", higher)
    for unit, mm in UNITS:
        yield Slip(f"booked in {unit}", booked_mm - mm * booked_mm)
    yield Slip("a figure too many", booked_mm - booked_mm / 10, 3)
    for meant in _two_figures_changed(booked_mm):
        yield Slip(f"two figures changed over ({booked_mm:g} for {meant:g})", booked_mm - meant, 3)
    for figure in (10, 100):
        for times in range(2, 10):
            for sign in (1, -1):
                yield Slip(f"one figure misread, by {times * figure} mm", sign * times * figure, 6)


def _two_figures_changed(booked_mm: float) -> Iterator[float]:
    """Yield the values from which the booked one comes by changing two neighbouring figures."""
    text = f"{booked_mm:.10g}"
    figures = [i for i, character in enumerate(text) if character.isdigit()]
    for one, other in pairwise(figures):
        if text[one] == text[other]:
            continue
        changed = list(text)
        changed[one], changed[other] = changed[other], changed[one]
        yield float("".join(changed))


def likeliest(slips: Iterable[Slip], error_mm: float, sd_mm: float) -> tuple[str, ...]:
    """Return the words of the slip that fits an error best, and of any that fits as well.

    Parameters
    ----------
    slips : iterable of Slip
        What may have happened.
    error_mm, sd_mm : float
        The estimated error of the booked value and its standard deviation [mm].

    Returns
    -------
    tuple of str
        Empty where none fits.
    """
    fitting = []
    for slip in slips:
        misfit = abs(error_mm - slip.error_mm)
        badness = (misfit / sd_mm) ** 2 + slip.doubt
        if misfit <= FITS_SHARE * abs(slip.error_mm) and badness <= FITS_SD**2:
            fitting.append((badness, slip.words))
    fitting.sort()
    near = [words for badness, words in fitting if badness <= fitting[0][0] + AS_LIKELY]
    return tuple(dict.fromkeys(near))[:2]
