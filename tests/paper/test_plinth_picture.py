"""The picture of a plinth: lengths to scale, heights enlarged."""

from kit.paper.marks import Letters, Stroke
from kit.paper.plinth_picture import PlinthPicture
from kit.paper.plinth_sheet import profile_of
from kit.parts import Answer


def picture_of(answer: Answer) -> PlinthPicture:
    boards = profile_of(answer, 100.0).runs["A"]
    return PlinthPicture(boards, (0.0, 1000.0, 4000.0), 273.0, answer.job.units)


def test_lengths_to_scale_and_heights_enlarged(reading_room: Answer) -> None:
    picture = picture_of(reading_room)
    assert picture.scale == 20.0  # 4 m on 249 mm of paper
    drawing = picture.drawing()
    lines = [m.places for m in drawing.marks if isinstance(m, Stroke) and m.pen.width_mm == 0.5]
    assert len(lines) == 2  # a board each
    wide = lines[-1][-1][0] - lines[0][0][0]
    assert abs(wide - 4000.0 / 20.0) < 1e-6
    tall = lines[-1][-1][1] - lines[0][0][1]
    line = picture.line["height_mm"]
    assert abs(tall - (line.iloc[-1] - line.iloc[0]) * picture.enlarged) < 1e-6
    assert picture.enlarged == 2.0  # about 12 mm with their doubt on 34 mm of paper
    assert "Lengths 1:20, heights drawn 40 times larger" in picture.caption()


def test_each_board_says_what_is_done_to_it(reading_room: Answer, long_hall: Answer) -> None:
    room = picture_of(reading_room)
    texts = [m.text for m in room.drawing().marks if isinstance(m, Letters)]
    low, high = room.boards[0].least_mm, room.boards[0].greatest_mm
    assert high - low > 2.0  # straight up to here
    assert f"1: scribe, {low:.1f} to {high:.1f} mm" in texts
    long = picture_of(long_hall)
    assert long.boards[-1].piece.to_mm / long.scale <= 249.0
