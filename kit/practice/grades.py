"""How bad a practice floor is, in three grades."""

from __future__ import annotations

from dataclasses import dataclass

from kit.job import refuse


@dataclass(frozen=True)
class Grade:
    """What a floor of one grade is made of.

    Parameters
    ----------
    name : str
        Word by which it is chosen.
    words : str
        What a fitter would say of such a floor.
    bend_mm : float
        Roughness: standard deviation of the second difference of heights at 300 mm [mm], the q
        of ASTM E1155. The worksheet lines in ``tests/published`` have 1.02, 1.22 and 1.74.
    fall_mm_per_m : tuple of float
        Least and greatest fall [mm/m].
    bump_mm : tuple of float
        Least and greatest height of a hump or depth of a hollow [mm].
    bumps : tuple of int
        Least and greatest number of humps and hollows.
    crown_mm : float
        Greatest crown of the middle over the ends [mm].
    step_mm : tuple of float
        Height of a step where an old wall stood [mm]; 0 to 0 where there is none.
    """

    name: str
    words: str
    bend_mm: float
    fall_mm_per_m: tuple[float, float]
    bump_mm: tuple[float, float]
    bumps: tuple[int, int]
    crown_mm: float
    step_mm: tuple[float, float]


GRADES = (
    Grade("fair", "a newer floor, a little out", 0.7, (0.3, 1.5), (0.8, 1.8), (1, 2), 2.0, (0, 0)),
    Grade("ordinary", "a floor as most are", 1.2, (1.0, 3.0), (1.5, 3.5), (1, 3), 4.0, (0, 0)),
    Grade("rough", "an old floor that has been cut about", 2.0, (2.0, 5.0), (3.0, 6.5), (2, 4),
          8.0, (2.5, 5.0)),
)  # fmt: skip


def grade_named(name: str) -> Grade:
    """Return the grade of a name.

    Raises
    ------
    Refusal
        Where there is none of that name.
    """
    for grade in GRADES:
        if grade.name == name:
            return grade
    raise refuse("grade", repr(name), " | ".join(grade.name for grade in GRADES))
