"""What every table of the job file is made of: lengths, names, and how slips are told."""

from __future__ import annotations

import unicodedata
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

#: Nothing in a room that a base is built in is longer than this [mm]: 200 m.
LONGEST_MM = 200_000.0


class Slips(ValueError):  # noqa: N818 - what the person wrote slipped, not the kit
    """Values that are possible one by one and do not go together.

    Parameters
    ----------
    *slips : tuple of (key path, allowed)
        The key to be put right, from the table that is judged, and what it may be.
    """

    def __init__(self, *slips: tuple[tuple[str | int, ...], str]) -> None:
        super().__init__("; ".join(f"{path[-1]}: {allowed}" for path, allowed in slips))
        self.slips = slips


#: Signs that are not seen and that spelling needs: they join letters and emoji, and part letters
#: that would join (Unicode Standard 23.2).
_JOINERS = dict.fromkeys((0x200D, 0x200C))


def _on_one_line(text: str) -> str:
    seen = text.translate(_JOINERS)
    if not seen.strip() or not seen.isprintable():
        raise ValueError("a name stands on one line, and something can be seen of it")
    return text


def _readable(text: str) -> str:
    if any(unicodedata.category(sign) in ("Cc", "Cs") for sign in text.replace("\n", "")):
        raise ValueError("text in lines, without other control characters")
    return text


def no_truth(value: object) -> object:
    """Refuse true for 1, which Python takes for the same."""
    if isinstance(value, bool):
        raise ValueError("a number, not true or false")
    return value


Length = Annotated[float, Field(gt=0, le=LONGEST_MM)]
Clear = Annotated[float, Field(ge=0, le=LONGEST_MM)]
Coordinate = Annotated[float, Field(ge=-LONGEST_MM, le=LONGEST_MM)]
Place = tuple[Coordinate, Coordinate]
Name = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_on_one_line)]
#: What a paper is headed by: a line, however long.
Title = Annotated[str, Field(min_length=1, max_length=20_000), AfterValidator(_on_one_line)]
#: What a person has to say beside the figures, in lines.
Text = Annotated[str, Field(min_length=0, max_length=20_000), AfterValidator(_readable)]
Mass = Annotated[float, Field(ge=0, le=100_000)]
Price = Annotated[float, Field(ge=0)]


class Part(BaseModel):
    """A table of the job file: frozen, no unknown keys, numbers finite and not quoted."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, populate_by_name=True
    )
