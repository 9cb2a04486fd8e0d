"""The nearest word to a misspelt one."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Final

from tankwright.units import clip

LONGEST_WORD: Final = 60
MOST_SHOWN: Final = 12


def nearest(word: str, choices: Iterable[str]) -> str:
    """The choice nearest to a word, or "" when none is near.

    >>> nearest("heigth", ("length", "height", "depth")), nearest("xyz", ("height",))
    ('height', '')
    """
    if not word or len(word) > LONGEST_WORD:
        return ""
    by_fold = {_fold(one): one for one in choices}
    close = get_close_matches(_fold(word), list(by_fold), n=1, cutoff=0.6)
    return by_fold[close[0]] if close else ""


def listed(choices: Iterable[str], joined: str = "or") -> str:
    """Choices as a phrase, cut short when there are many.

    >>> listed(("a", "b", "c")), listed(("a",)), listed(())
    ('a, b or c', 'a', 'there is none yet')
    """
    all_of_them = [clip(one) for one in dict.fromkeys(choices)]
    if not all_of_them:
        return "there is none yet"
    if len(all_of_them) > MOST_SHOWN:
        return ", ".join(all_of_them[:MOST_SHOWN]) + f" ... ({len(all_of_them)} in all)"
    if len(all_of_them) == 1:
        return all_of_them[0]
    return ", ".join(all_of_them[:-1]) + f" {joined} {all_of_them[-1]}"


def _fold(word: str) -> str:
    return word.casefold().replace("-", "_").replace(" ", "_")
