"""What a comparison comes to, in sentences: which is better in what, and how sure that is."""

from __future__ import annotations

from kit.show.table import Page, sentences
from kit.side_by_side import Comparison, verdict
from kit.side_by_side.words import buildable_sentence, odds_sentence

#: Measures of what a base takes that are told with their odds.
TOLD = ("things", "cost", "cost_and_labour", "hours", "days")


def comparison_sentences(comparison: Comparison) -> Page:
    """Say in what each base is the better, on how many floors, and whether both can be built.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.

    Returns
    -------
    Page
        Nothing is said of a measure that neither base has, or of which both always take the same.
    """
    has = {row.key for row in comparison.rows}
    told = [
        verdict(comparison),
        *(odds_sentence(comparison, key) for key in TOLD if key in has),
        buildable_sentence(comparison),
    ]
    title = f"{comparison.names[0]} beside {comparison.names[1]}"
    return sentences([one for one in told if one], title)
