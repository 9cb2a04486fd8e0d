"""A time of day as an option of a command."""

from __future__ import annotations

import re
import sys

import click

from tankwright.units import Second


def clock_of(text: str | None) -> Second | None:
    """Seconds after midnight of "03:00"; ends the program with what was wanted where it is no time of day.

    >>> clock_of("03:30"), clock_of(None)
    (12600.0, None)
    """
    if text is None:
        return None
    found = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", text.strip())
    if found is None:
        click.echo(f'"{text}" is not a time of day; wanted "03:00" (00:00 to 23:59)', err=True)
        sys.exit(2)
    return float(int(found[1]) * 3600 + int(found[2]) * 60)
