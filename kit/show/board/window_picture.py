from kit.show.board.svg import Picture


def window_picture(found, now_mm, units, width_px, *, pieces_now):
    return Picture(10, 10, "", "window")
