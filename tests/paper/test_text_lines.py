"""Text broken into lines and put into the order of the eye."""

from itertools import pairwise

import pytest

from kit.paper.letters import letters_wide_mm
from kit.paper.text_lines import Line, Run, lines_of, longest_word_mm, single_line, widest_mm


def test_a_length_in_inches_is_broken_nowhere():
    # "screws 2" and "1/2 in" on two lines would read as a screw of 2 in.
    assert texts("screws 1 1/4, 2 1/2 in", letters_wide_mm("screws 1 1/4, 2 1", 3.0)) == [
        "screws 1 1/4,",
        "2 1/2 in",
    ]
    assert texts("level 2 in all", letters_wide_mm("level 2 i", 3.0)) == ["level 2", "in all"]
    assert longest_word_mm("at 12 15/16 in", 3.0) == pytest.approx(
        letters_wide_mm("12 15/16 in", 3.0),
        abs=1e-9,  # the same letters
    )


def texts(text, wide_mm, size_mm=3.0, *, bold=False):
    return [line.text for line in lines_of(text, wide_mm, size_mm, bold=bold)]


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("wide_mm", [9.0, 23.5, 61.0])
def test_lines_are_as_full_as_they_can_be(wide_mm, bold):
    words = [f"word{'s' * (n * 7 % 5)}" for n in range(60)]
    lines = texts(" ".join(words), wide_mm, bold=bold)
    assert " ".join(lines).split() == words or wide_mm < 12  # a narrow line breaks words
    assert "".join(lines).replace(" ", "") == "".join(words)
    for line, following in pairwise(lines):
        assert letters_wide_mm(line, 3.0, bold=bold) <= wide_mm + 1e-6
        longer = f"{line} {following.split()[0]}"
        assert letters_wide_mm(longer, 3.0, bold=bold) > wide_mm or wide_mm < 12


def test_a_text_as_wide_as_its_room_is_one_line():
    wide = letters_wide_mm("stack of three packers", 3.7)
    assert texts("stack of three packers", wide, 3.7) == ["stack of three packers"]
    assert texts("stack of three packers", wide - 0.01, 3.7) == ["stack of three", "packers"]


def test_long_words_are_broken_and_begin_their_own_line_only_if_they_must():
    lines = texts("at " + "x" * 50, 20.0)
    assert "".join(lines) == "at " + "x" * 50
    assert all(letters_wide_mm(line, 3.0) <= 20.0 + 1e-6 for line in lines)


def test_marks_and_joined_signs_are_not_torn():
    lines = texts("e\u0301" * 40 + "👷\u200d♀" * 9, 11.0)
    assert len(lines) > 5
    assert all(not line.startswith(("\u0301", "\u200d", "♀")) for line in lines)


def test_own_line_ends_are_kept():
    assert texts("one\n\n two  three\n", 90.0) == ["one", "", " two  three", ""]


def test_room_narrower_than_a_letter_has_one_each():
    assert texts("abc", 0.1) == ["a", "b", "c"]


def test_latin_is_one_run():
    assert single_line("Réglé ½ ≤ 3\nand on").runs == (Run("Réglé ½ ≤ 3 and on"),)
    assert Line("").runs == ()


def test_marks_ask_for_shaping():
    assert single_line("re\u0301gle").runs == (Run("re\u0301gle", False, True),)


def test_order_of_the_eye():
    """The reorderings of Unicode Standard Annex 9, section 3.4, with Hebrew for its capitals.

    "car means CAR." is seen as "car means RAC."; "CAR MEANS car." from the right.
    """
    line = single_line("car means רכב.")
    assert [(run.text, run.from_right) for run in line.runs] == [
        ("car means ", False), ("רכב", True), (".", False),
    ]  # fmt: skip
    line = single_line("רכב פירושו car.")
    assert line.from_right
    assert [(run.text, run.from_right) for run in line.runs] == [
        (".", True), ("car", False), ("רכב פירושו ", True),
    ]  # fmt: skip


def test_numbers_in_hebrew_read_rightwards():
    line = single_line("גובה 12.5 ממ")
    assert [run.text for run in line.runs] == [" ממ", "12.5", "גובה "]
    assert [run.from_right for run in line.runs] == [True, False, True]


def test_each_line_is_turned_by_itself():
    lines = lines_of("אבג דהו זחט", 12.0, 3.0)
    assert [line.text for line in lines] == ["אבג דהו", "זחט"]
    assert all(line.from_right for line in lines)
    assert [run.text for run in lines[0].runs] == ["אבג דהו"]


def test_signs_without_letters_are_runs_of_their_own():
    runs = single_line("אב🛠🪚ג").runs
    assert [run.text for run in runs] == ["ג", "🪚🛠", "אב"]
    assert [run.joined for run in runs] == [True, False, True]
    assert [run.text for run in single_line("a漢b").runs] == ["a", "漢", "b"]


def test_widths():
    assert widest_mm("on the\nfloor", 4.0) == pytest.approx(
        max(letters_wide_mm("on the", 4.0), letters_wide_mm("floor", 4.0)), abs=1e-9
    )
    assert longest_word_mm("on the floor", 4.0) == pytest.approx(
        letters_wide_mm("floor", 4.0), abs=1e-9
    )
    assert longest_word_mm("", 4.0) == 0.0
