"""What a comparison comes to, in sentences: which is better in what, and how sure that is."""

from __future__ import annotations

from kit.ink.table import Page, sentences
from kit.side_by_side import Comparison
from kit.side_by_side.words import sentences_of


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
    title = f"{comparison.names[0]} beside {comparison.names[1]}"
    return sentences(sentences_of(comparison), title)
