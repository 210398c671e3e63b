from kit.show.board.svg import Picture


def map_layer(answer, frame):
    return ""


def map_key(answer, frame, width):
    return Picture(10, 10, "", "key")
