"""Forms in which a person checks an instrument: numbers in, verdict and picture out."""

from __future__ import annotations

from collections.abc import Sequence

from kit.job import refuse
from kit.readings.instruments import (
    ReversalTest,
    TwoPegTest,
    TwoWallTest,
    reversal_test,
    sights_beyond,
    two_peg_test,
    two_wall_test,
)
from kit.show.instrument_form import Field, InstrumentForm, use_fields
from kit.show.instrument_pictures import reversal_picture, two_peg_picture, two_wall_picture
from kit.show.instrument_tables import (
    WALL_MARKS,
    Figure,
    reversal_figures,
    two_peg_figures,
    two_wall_figures,
)

#: Lines on which a spirit level may be turned in the form.
MOST_LINES = 4


class TwoPegForm(InstrumentForm[TwoPegTest]):
    """The two-peg test of a level's line of sight, with an invented example."""

    title = "Two-peg test of a level"
    how = (
        "Read staffs on pegs A and B from midway, then from a stand in line with both, beyond B"
        " (minus: that far short of B)."
    )
    fields = (
        Field("a1", "staff A, midway", "mm", 1391.0),
        Field("b1", "staff B, midway", "mm", 1504.0),
        Field("a2", "staff A, second stand", "mm", 1486.0),
        Field("b2", "staff B, second stand", "mm", 1595.0),
        Field("apart_m", "distance of the pegs", "m", 30.0),
        Field("beyond_m", "second stand beyond B", "m", 3.0, 0.5),
        *use_fields(0.5, 0.2),
    )

    def check(self) -> TwoPegTest:
        """Return the two-peg test of what stands in the boxes."""
        sights = sights_beyond(*self.pair("apart_m", "beyond_m"))
        return two_peg_test(self.pair("a1", "b1"), self.pair("a2", "b2"), sights, **self.limits())

    def true_readings(self, found: TwoPegTest) -> list[Figure]:
        """Return the true readings of the second stand, and the pegs' difference."""
        return two_peg_figures(found)

    def drawn(self, found: TwoPegTest) -> str:
        """Return the two stands."""
        return two_peg_picture(*self.pair("apart_m", "beyond_m"), found.error_mm_per_m)


class ReversalForm(InstrumentForm[ReversalTest]):
    """A spirit level turned end for end on one or several lines, with an invented example."""

    title = "Turning a spirit level end for end"
    how = (
        "On each line, from one point to another, pack one end until the bubble is centred; turn"
        " the level end for end and pack again. Packers count + under the end at 'from', - under"
        " the end at 'to', both ways round."
    )
    fields = (
        Field("lines", f"lines read, 1 to {MOST_LINES}", "no.", 3.0),
        *(
            Field(f"{way}{line}", f"line {line}, {words}", "mm", mm, 0.1)
            for line, pair in enumerate(((4.1, 3.6), (-1.3, -1.9), (0.6, 0.2), (2.4, 1.9)), start=1)
            for way, words, mm in zip("dr", ("as booked", "turned"), pair, strict=True)
        ),
        Field("length_mm", "length of the level", "mm", 1200.0, 50.0),
        *use_fields(0.1, 1.0, "packer height"),
    )

    def show(self) -> None:
        """Show as many lines as are read, and answer them."""
        for line in range(1, MOST_LINES + 1):
            for way in "dr":
                shown = line <= self.value("lines")
                self.boxes[f"{way}{line}"].layout.display = "" if shown else "none"
        super().show()

    def lines(self) -> range:
        """Return the numbers of the lines that are read."""
        count = self.value("lines")
        if count not in range(1, MOST_LINES + 1):
            raise refuse("lines read", f"{count:g}", f"a whole number, 1 to {MOST_LINES}")
        return range(1, int(count) + 1)

    def packers(self, way: str) -> Sequence[float]:
        """Return the packers of one way round [mm]."""
        return [self.value(f"{way}{line}") for line in self.lines()]

    def check(self) -> ReversalTest:
        """Return the test of what stands in the boxes."""
        return reversal_test(
            self.packers("d"), self.packers("r"), self.value("length_mm"), **self.limits()
        )

    def true_readings(self, found: ReversalTest) -> list[Figure]:
        """Return the true difference of height of each line."""
        return reversal_figures(found)

    def drawn(self, found: ReversalTest) -> str:
        """Return the first line, both ways round."""
        return reversal_picture(*self.pair("d1", "r1"), found.error_mm_per_m)


class TwoWallForm(InstrumentForm[TwoWallTest]):
    """A laser line on two walls, with an invented example."""

    title = "Laser line on two walls"
    how = (
        "From near wall A mark the line on both walls, turning the same beam round; again from"
        " near wall B. Measure on each wall how high both marks stand above anything fixed."
    )
    fields = (
        *(
            Field(key, f"mark {name}", "mm", mm, 0.5)
            for key, name, mm in zip(
                ("a1", "b1", "a2", "b2"), WALL_MARKS, (1012.0, 1020.5, 1037.0, 1043.0), strict=True
            )
        ),
        Field("apart_m", "distance of the walls", "m", 6.4, 0.1),
        Field("near_a_m", "laser from wall A", "m", 0.5, 0.1),
        Field("near_b_m", "laser from wall B", "m", 0.7, 0.1),
        *use_fields(0.3, 0.5, "mark"),
    )

    def check(self) -> TwoWallTest:
        """Return the test of what stands in the boxes."""
        return two_wall_test(
            self.pair("a1", "b1"),
            self.pair("a2", "b2"),
            self.value("apart_m"),
            self.pair("near_a_m", "near_b_m"),
            **self.limits(),
        )

    def true_readings(self, found: TwoWallTest) -> list[Figure]:
        """Return where the marks would stand without the error."""
        return two_wall_figures(found)

    def drawn(self, found: TwoWallTest) -> str:
        """Return the laser near either wall."""
        near = self.pair("near_a_m", "near_b_m")
        return two_wall_picture(self.value("apart_m"), near, found.error_mm_per_m)
