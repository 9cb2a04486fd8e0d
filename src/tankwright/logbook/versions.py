"""The versions a logbook's tables have had, oldest first. Loads nothing: whether a book is of today is one look."""

from __future__ import annotations

from typing import Final

KNOWN: Final = ("0001", "0002", "0003")
"""Every version this program knows how to bring up to date; a test holds them to the steps in `migrations/`."""

HEAD: Final = KNOWN[-1]
"""The version this program reads and writes."""


def is_older(version: str) -> bool:
    """True for a version that can be brought up to date.

    >>> is_older("0001"), is_older(HEAD), is_older("9999")
    (True, False, False)
    """
    return version in KNOWN[:-1]
