"""The high point under the base, its rivals, and where to read next."""

from __future__ import annotations

from kit.answer import Ground
from kit.floor import HighPoint
from kit.ink.lengths import Units, length, plan_length, small
from kit.ink.table import Head, Page, Table, page, records, sentences
from kit.ink.words import certainty_words, high_point_sentence, next_reading_sentence


def high_point_page(ground: Ground | HighPoint, units: Units = "mm") -> Page:
    """Return the high point, how sure it is, its rivals and where to read next.

    Parameters
    ----------
    ground : Ground or HighPoint
        What holds the high point.
    units : {"mm", "in"}
        What lengths are shown in.
    """
    high = ground if isinstance(ground, HighPoint) else ground.high_point
    said = [high_point_sentence(high, units), next_reading_sentence(high, units)]
    heads = (
        Head("place"),
        Head("x", units),
        Head("y", units),
        Head("height", units),
        Head("doubt, 1 sd", units),
        Head("highest of all in", "of draws"),
    )
    rows = [
        (
            "high point",
            plan_length(high.x_mm, units),
            plan_length(high.y_mm, units),
            length(high.height_mm, units),
            small(high.sd_mm, units),
            f"{high.certainty:.0%}",
        )
    ]
    for place, one in enumerate(records(high.rivals), start=1):
        rows.append(
            (
                f"rival {place}",
                plan_length(one["x_mm"], units),
                plan_length(one["y_mm"], units),
                length(one["height_mm"], units),
                small(one["sd_mm"], units),
                f"{one['share']:.0%}",
            )
        )
    table = Table("High point and its rivals", heads, tuple(rows), certainty_note(high))
    return page(sentences(said), table)


def certainty_note(high: HighPoint) -> str:
    """Return how the shares are to be read."""
    return (
        "Of 4,000 floors that fit the readings, the share in which this place is the highest"
        f" under the base. {certainty_words(high.certainty).capitalize()}."
    )
