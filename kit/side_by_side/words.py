"""Which base is the better, in words: never by one hidden figure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from kit.side_by_side.comparison import NO_DIFFERENCE, Comparison, Row
from kit.side_by_side.doubt import Odds
from kit.side_by_side.measure import KEYS, ROUND_OFF

#: So many measures are named; of more, the number is.
NAMED = 4

#: Measures of what a base takes that are told with their odds.
TOLD = ("things", "cost", "cost_and_labour", "hours", "days")

#: What having less of a measure is called.
_LESS = {
    "things": "fewer pieces to place",
    "packers": "fewer packers",
    "feet": "fewer screw feet",
    "timber_m": "less timber",
    "bags": "fewer bags of compound",
    "cost": "less money for material",
    "cost_and_labour": "less money, labour included",
    "hours": "less working time",
    "days": "fewer days until the units can stand",
}

#: Gives what a measure is called.
Naming = Callable[[Row], str]


def measure_of(row: Row) -> str:
    """Return what a measure is called in the trade's words."""
    return row.a.measure


def sentences_of(comparison: Comparison) -> list[str]:
    """Return the verdict, how sure what is taken is, and whether both can be built everywhere."""
    has = {row.key for row in comparison.rows}
    told = (odds_sentence(comparison, key) for key in TOLD if key in has)
    every = (verdict(comparison), *told, buildable_sentence(comparison), *short_of(comparison))
    return [one for one in every if one]


def short_of(comparison: Comparison) -> Iterator[str]:
    """Say of which base the packers in stock are short, and which figures reckon with more."""
    doubt = comparison.doubt
    for side, answer, drawn in (("a", comparison.a, doubt.a), ("b", comparison.b, doubt.b)):
        if drawn.packers != answer.pieces:
            yield (
                f"{comparison.name_of(side)}: what lies in stock is short for its best stacks. The"
                f" table has the {answer.pieces} packers that it takes so; shares of floors and"
                f" turning points are told with as many packers as wanted, {drawn.packers} here."
            )


def verdict(
    comparison: Comparison, rows: Iterable[Row] | None = None, naming: Naming = measure_of
) -> str:
    """Say in what each base is the better, and whether one is no worse in anything.

    Parameters
    ----------
    comparison : Comparison
    rows : iterable of Row, optional
        Of its measures those that count; all unless given.
    naming : callable
        Gives what a measure is called.

    Returns
    -------
    str
        One to three sentences. What could not be compared is told as a number, and then nothing
        is claimed of it.
    """
    counted = tuple(comparison.rows if rows is None else rows)
    better = {side: [r for r in counted if r.winner == side] for side in ("a", "b")}
    unknown = [row for row in counted if _is_open(comparison, row)]
    rest = _rest(unknown)
    anything = "anything that could be compared" if unknown else "anything"
    for side, other in (("a", "b"), ("b", "a")):
        if better[side] and not better[other]:
            wins = f"{comparison.name_of(side)} is no worse in {anything}"
            return f"{wins}, and better in {listed(better[side], naming)}.{rest}"
    if not better["a"]:
        return f"No measure tells the two apart.{rest}"
    fewer, more = sorted(("a", "b"), key=lambda side: len(better[side]))
    if len(better[fewer]) <= 2 and len(better[more]) > len(better[fewer]):
        but = f"{anything} but" if unknown else "all but"
        return (
            f"{comparison.name_of(more)} is no worse in {but} {listed(better[fewer], naming)};"
            f" it is better in {listed(better[more], naming)}.{rest}"
        )
    parts = [
        f"{comparison.name_of(side)} is better in {listed(better[side], naming)}"
        for side in ("a", "b")
    ]
    return f"Neither is better in all: {'; '.join(parts)}.{rest}"


def listed(rows: Sequence[Row], naming: Naming = measure_of) -> str:
    """Return the names of measures as a list; of many, the first and how many more.

    Names that have a comma in them stand between semicolons.
    """
    names = [naming(row) for row in rows]
    shown = names if len(names) <= NAMED + 1 else names[:NAMED]
    more = len(names) - len(shown)
    comma = "; " if any("," in name for name in shown) else ", "
    if more:
        return f"{comma.join(shown)} and {more} more"
    return shown[0] if len(shown) == 1 else f"{comma.join(shown[:-1])} and {shown[-1]}"


def _is_open(comparison: Comparison, row: Row) -> bool:
    """Tell whether one base might be the better by a measure, and nobody can say.

    A check that only one of them calls for leaves nothing open.
    """
    wanted = row.key in KEYS and bool(row.a.better or row.b.better)
    return wanted and comparison.better(row) == ""


def _rest(unknown: Sequence[Row]) -> str:
    if not unknown:
        return ""
    if len(unknown) == 1:
        return " By 1 more measure they cannot be compared."
    return f" By {len(unknown)} more measures they cannot be compared."


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
    if not odds.floors or key not in _LESS or not (odds.a_less or odds.b_less):
        return ""
    if odds.a_less == odds.b_less:
        return f"Each takes {_LESS[key]} on {odds.a_less:.0%} of {_floors(odds)}."
    side, share = ("b", odds.b_less) if odds.b_less > odds.a_less else ("a", odds.a_less)
    sign = 1 if side == "a" else -1
    low, middle, high = sorted(sign * one for one in odds.difference)
    unit, shown = (f" {row.a.unit}", ".3g") if row.a.unit else ("", ".0f")
    if high - low <= ROUND_OFF:
        span = f"{low:{shown}}{unit} less on each"
    elif low >= 0:
        span = f"{low:{shown}} to {high:{shown}}{unit} less, {middle:{shown}} in the middle"
    else:
        span = (
            f"from {-low:{shown}} more to {high:{shown}}{unit} less, {middle:{shown}} in the middle"
        )
    counts = "" if row.winner else f"; that counts as {NO_DIFFERENCE}"
    return (
        f"{comparison.name_of(side)}: {_LESS[key]} on {share:.0%} of {_floors(odds)}"
        f"{_alike(odds)}, {span}{counts}."
    )


def _floors(odds: Odds) -> str:
    if odds.floors == odds.of:
        return f"the {odds.of} floors drawn that fit these readings"
    return (
        f"the {odds.floors} floors on which both can be built, of {odds.of} drawn that fit these"
        " readings"
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
