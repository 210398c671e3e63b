"""Standard scales, their words and their bars."""

import pytest

from kit.job import Refusal
from kit.paper.marks import Area, Letters
from kit.paper.scales import largest_scale, scale_bar, scale_words, scales_of, upright_bar


@pytest.mark.parametrize(
    ("real", "paper", "units", "scale"),
    [
        ((4000.0, 480.0), (273.0, 171.0), "mm", 20.0),
        ((4000.0, 480.0), (199.0, 171.0), "mm", 25.0),
        ((4000.0, 5000.0), (273.0, 171.0), "mm", 50.0),  # the taller side decides
        ((430.0, 350.0), (186.0, 258.0), "mm", 5.0),
        ((10 * 304.8, 300.0), (186.0, 258.0), "in", 24.0),  # 10 ft at 1/2 in is 5 in
        ((10 * 304.8, 300.0), (260.0, 258.0), "in", 12.0),  # 10 ft at 1 in is 10 in
    ],
)
def test_the_largest_that_fits(real, paper, units, scale):
    assert largest_scale(real, paper, units) == scale
    larger = [one for one in scales_of(units) if one < scale]
    assert all(any(r / one > p for r, p in zip(real, paper, strict=True)) for one in larger)


def test_what_fits_at_no_scale_is_refused():
    with pytest.raises(Refusal, match=r"900000 by 10 mm.*1:1000"):
        largest_scale((900_000.0, 10.0), (186.0, 258.0), "mm")


def test_words_of_an_architects_scale():
    # Inches on paper for a foot, times the ratio, are a foot (arithmetic).
    for scale in scales_of("in"):
        words = scale_words(scale, "in")
        inches = sum(
            float(a) / float(b or 1)
            for a, _, b in (part.partition("/") for part in words.split(" in")[0].split())
        )
        assert inches * scale == 12.0
        assert words.endswith(f"(1:{scale:g})")
    assert scale_words(1.0, "in") == "full size (1:1)"
    assert scale_words(0.2, "mm") == "5:1"


def test_bar_is_as_long_as_its_figures_say():
    marks = scale_bar(20.0, "mm", (7.0, 11.0), 80.0)
    boxes = [mark for mark in marks if isinstance(mark, Area)]
    figures = [mark for mark in marks if isinstance(mark, Letters)]
    assert [one.text for one in figures] == ["0", "500", "1000", "1500 mm"]
    # On paper a place is a float's arithmetic off.
    assert [one.at[0] for one in figures] == pytest.approx([7.0, 32.0, 57.0, 82.0], abs=1e-9)
    assert boxes[-1].places[1][0] - boxes[0].places[0][0] == pytest.approx(75.0, abs=1e-9)


def test_bar_in_feet():
    figures = [m for m in scale_bar(24.0, "in", (0.0, 9.0), 60.0) if isinstance(m, Letters)]
    assert figures[-1].text == "4 ft"
    # 4 ft at 1/2 in = 1 ft are 2 in on paper.
    assert figures[-1].at[0] == pytest.approx(50.8, abs=1e-9)


def test_upright_bar_in_inches_has_fractions():
    marks = upright_bar(1.0, "in", (8.0, 90.0), 40.0)
    figures = [mark.text for mark in marks if isinstance(mark, Letters)]
    assert figures == ["0", "1/4", "1/2", "3/4", "1", "1 1/4", "in"]
    assert upright_bar(1.0, "in", (8.0, 90.0), 4.0) == ()
