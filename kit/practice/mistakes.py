"""The mistakes that drills tell apart, by kind: what each is, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass

from kit.practice.effects import Effect


@dataclass(frozen=True)
class Kind:
    """A kind of mistake.

    Parameters
    ----------
    key : str
        Its name in records.
    title : str
        Its name on the page.
    what : str
        What somebody does who makes it, in one sentence.
    cost : int
        Marks it takes, once a drill.
    """

    key: str
    title: str
    what: str
    cost: int


@dataclass(frozen=True)
class Mistake:
    """A mistake that was made.

    Parameters
    ----------
    kind : Kind
        Which.
    done : str
        What was done, with its figures.
    effect : Effect
        What it does to the furniture.
    sound : str
        What a sound way would have been.
    """

    kind: Kind
    done: str
    effect: Effect
    sound: str


# Of levels, in several drills.
NEVER_TURNED = Kind("never_turned", "never turned the level round",
    "takes the level's word without turning it end for end", 30)  # fmt: skip
SHORT_LEVEL = Kind("short_level", "short level on a long run",
    "carries a level over a long run with a short level, step by step", 20)  # fmt: skip
ALONG_ONLY = Kind("along_only", "checked along and not across",
    "looks along the wall and never from back to front", 25)  # fmt: skip
ON_A_HUMP = Kind("on_a_hump", "level lay on a hump between its ends",
    "reads a level that touches a hump between the two points, not the points", 25)  # fmt: skip
WRONG_SIGN = Kind("wrong_sign", "high taken for low",
    "does the right thing with the sign the wrong way round", 30)  # fmt: skip

# Of packers, in several drills.
BAG_OVERDRAWN = Kind("bag_overdrawn", "took more packers than the bag holds",
    "goes from stack to stack and never counts what is left in the bag", 25)  # fmt: skip

#: Of a drill whose answer cannot be known without a move; it alone is told then.
GUESSED = Kind("guessed", "answered without a look",
    "gives an answer that nothing was read or done for", 100)  # fmt: skip

#: What is left where the answer is out and none of the others explains it.
OUT = Kind("out", "the answer is out",
    "gives an answer beyond the limit, from sound moves: reading, booking or sums", 30)  # fmt: skip
