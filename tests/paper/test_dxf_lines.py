"""Lines of a drawing file."""

from kit.paper.dxf_lines import LINE_BYTES, pieces, short_lines


def test_pieces_join_to_the_text_and_none_is_too_long() -> None:
    text = "aש😀" * 300
    found = list(pieces(text))
    assert "".join(found) == text
    # 7 bytes for three letters: 2100 bytes in all.
    assert len(found) == 9
    assert max(len(one.encode()) for one in found) <= LINE_BYTES


def test_no_piece_ends_within_what_belongs_together() -> None:
    for before in range(244, 251):
        first, second = pieces("x" * before + "{\\\\}U" + "y" * 20)
        assert first == "x" * before or first.endswith(("}", "U", "y"))
        assert first + second == "x" * before + "{\\\\}U" + "y" * 20


def test_backslashes_alone_are_cut_between_pairs() -> None:
    found = list(pieces("a" + "\\\\" * 400))
    assert [len(one) for one in found] == [1, 250, 250, 250, 50]


def test_a_text_in_parts_is_cut_anew_and_other_values_stay() -> None:
    value = "😀" * 250
    lines = ["  0", "MTEXT", "  3", value, "  3", "x" * 250, "  1", "end", "  3", "short", "  0"]
    drawing = "\n".join([*lines, "EOF", ""])
    found = short_lines(drawing).split("\n")
    pairs = list(zip(found[::2], found[1::2], strict=False))
    assert pairs[0] == ("  0", "MTEXT")
    assert pairs[-2:] == [("  3", "short"), ("  0", "EOF")]
    texts = pairs[1:-2]
    assert [code for code, _ in texts] == ["  3"] * (len(texts) - 1) + ["  1"]
    assert "".join(part for _, part in texts) == value + "x" * 250 + "end"
    assert max(len(part.encode()) for _, part in texts) <= LINE_BYTES
    assert found[-1] == ""
