"""What a person meant by a word that is not known."""

import difflib
from collections.abc import Collection


def nearest(word: str, known: Collection[str]) -> str | None:
    """The known word that resembles a written one most, None when none does."""
    folded = {candidate.casefold(): candidate for candidate in known}
    found = difflib.get_close_matches(word.casefold()[:60], folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None
