"""Names people give: none that looks like another of its sort, none too long for a label, none with hidden signs."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection
from typing import TYPE_CHECKING, Final, Literal

from tankwright.units import clip
from tankwright.workspace.keeping import wrong_value
from tankwright.workspace.naming import WrongError, free_label
from tankwright.workspace.outcomes import trouble

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

TAKEN: Final = "LOG-08"
LONGEST: Final = 60
"""Signs of a name; a label on a tank holds no more. Our choice, no source."""

Sort = Literal["place", "line", "stock"]
_TURNING: Final = frozenset(
    "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff\u200b"
)
"""Signs that show nothing, or turn round how the rest of a line is read."""


def seen_alike(name: str) -> str:
    """What two names have in common that a hurried eye takes for one: capitals, widths and gaps do not count.

    >>> seen_alike("Amber  1") == seen_alike("\uff21mber 1 ") == "amber 1"
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def new_name(book: Logbook, sort: Sort, typed: str, *, of: Collection[str] = ()) -> str:
    """A name that can be given to something of that sort, or to those whose ids are `of`. Raises WrongError."""
    name = typed.strip()
    if len(name) > LONGEST:
        raise WrongError(
            wrong_value(f"name of a {sort}", "is too long", found=clip(name), wanted=f"{LONGEST} signs")
        )
    if any(sign in _TURNING or unicodedata.category(sign) in {"Cc", "Cs"} for sign in name):
        raise WrongError(wrong_value(
            f"name of a {sort}", "has a sign in it that cannot be seen", found=ascii(name)[:60],
            wanted="letters, digits and other signs that can be seen",
        ))  # fmt: skip
    alike = seen_alike(name)
    for label in _others(book, sort, of):
        if seen_alike(label) == alike:
            raise WrongError(trouble(
                TAKEN, f'{sort} "{clip(name)}"', f'would be taken for "{clip(label)}", which is there',
                found=clip(name), wanted="another name",
            ))  # fmt: skip
    return name


def stock_name(book: Logbook, typed: str, otherwise: str, *, of: Collection[str] = ()) -> str:
    """What a stock is called: as it is typed, or the next free name after `otherwise`. Raises WrongError."""
    if typed.strip():
        return new_name(book, "stock", typed, of=of)
    return free_label(otherwise, (one.label for one in book.stocks()))


def _others(book: Logbook, sort: Sort, of: Collection[str]) -> list[str]:
    if sort == "place":
        return [one.label for one in book.places() if one.id not in of]
    if sort == "line":
        return [one.name for one in book.lines() if one.id not in of]
    return [one.label for one in book.stocks() if one.id not in of]
