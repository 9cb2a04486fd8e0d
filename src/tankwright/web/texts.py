"""Marks the texts of the pages that stand in the program instead of in a template, so that they are collected too."""

from __future__ import annotations


def N_(text: str) -> str:  # noqa: N802 - the name every tool for catalogues knows
    """The text itself: it is only marked here, and translated where a template shows it with `_()`.

    >>> N_("water")
    'water'
    """
    return text
