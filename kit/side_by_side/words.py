"""Which base is the better, in words: never by one hidden figure."""

from __future__ import annotations

from collections.abc import Sequence

from kit.side_by_side.comparison import Comparison, Row
from kit.side_by_side.doubt import Odds

#: So many measures are named; of more, the number is.
NAMED = 4


def verdict(comparison: Comparison) -> str:
    """Say in what each base is the better, and whether one is no worse in anything.

    Parameters
    ----------
    comparison : Comparison

    Returns
    -------
    str
        One to three sentences. What neither could be compared by is told as a number.
    """
    better = {side: [r for r in comparison.rows if r.winner == side] for side in ("a", "b")}
    for side, other in (("a", "b"), ("b", "a")):
        if better[side] and not better[other]:
            wins = f"{comparison.name_of(side)} is no worse in anything"
            return f"{wins}, and better in {listed(better[side])}.{_open(comparison)}"
    if not better["a"]:
        return f"No measure tells the two apart.{_open(comparison)}"
    fewer, more = sorted(("a", "b"), key=lambda side: len(better[side]))
    if len(better[fewer]) <= 2 and len(better[more]) > len(better[fewer]):
        return (
            f"{comparison.name_of(more)} is no worse in all but {listed(better[fewer])};"
            f" it is better in {listed(better[more])}.{_open(comparison)}"
        )
    parts = [f"{comparison.name_of(s)} is better in {listed(better[s])}" for s in ("a", "b")]
    return f"Neither is better in all: {'; '.join(parts)}.{_open(comparison)}"


def listed(rows: Sequence[Row]) -> str:
    """Return the names of measures as a list; of many, the first and how many more."""
    names = [row.a.measure for row in rows]
    shown = names if len(names) <= NAMED + 1 else names[:NAMED]
    more = len(names) - len(shown)
    if more:
        return f"{', '.join(shown)} and {more} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def _open(comparison: Comparison) -> str:
    """Say what is not known of both, where a figure that one way would be better is missing."""
    unknown = [row for row in comparison.rows if not row.known and row.a.better]
    if not unknown:
        return ""
    count = len(unknown)
    return f" In {count} measure{'s' if count > 1 else ''} a figure of one or both is missing."


#: What having less of a measure is called.
_LESS = {
    "things": "fewer things to place",
    "packers": "fewer packers",
    "feet": "fewer screw feet",
    "timber_m": "less timber",
    "bags": "fewer bags of compound",
    "cost": "less money for material",
    "cost_and_labour": "less money, labour included",
    "hours": "less time",
    "days": "fewer days",
}


def odds_sentence(comparison: Comparison, key: str) -> str:
    """Say on how many of the floors that fit the readings one base takes less than the other.

    Parameters
    ----------
    comparison : Comparison
    key : str
        Of a measure of what a base takes.

    Returns
    -------
    str
        Empty where the measure is not drawn, or both always take the same.
    """
    row = comparison.row(key)
    odds = row.odds
    if not odds.drawn or key not in _LESS or not (odds.a_less or odds.b_less):
        return ""
    side, share = ("b", odds.b_less) if odds.b_less > odds.a_less else ("a", odds.a_less)
    sign = 1 if side == "a" else -1
    low, middle, high = sorted(sign * one for one in odds.difference)
    unit, shown = (f" {row.a.unit}", ".3g") if row.a.unit else ("", ".0f")
    return (
        f"{comparison.name_of(side)} takes {_LESS[key]} on {share:.0%} of the {odds.floors} floors"
        f" drawn that fit these readings{_alike(odds)}: {low:{shown}} to {high:{shown}}{unit} less,"
        f" {middle:{shown}} in the middle."
    )


def _alike(odds: Odds) -> str:
    same = 1 - odds.a_less - odds.b_less
    return f" (the same on {same:.0%})" if same > 0.005 else ""


def buildable_sentence(comparison: Comparison) -> str:
    """Say on how many drawn floors each base can be built at all; empty where on all."""
    doubt, (one, other) = comparison.doubt, comparison.names
    shares = [(one, doubt.a.built.mean()), (other, doubt.b.built.mean())]
    said = [f"{name} can be built on {share:.0%}" for name, share in shares if share < 1]
    if not said:
        return ""
    return f"Of the {doubt.floors} floors drawn, {' and '.join(said)}: within the heights allowed."
