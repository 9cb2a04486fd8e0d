"""How far slow work is, told on a terminal and wiped away when it is done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click


@contextmanager
def watched(what: str) -> Iterator[Callable[[int, int], None] | None]:
    """A progress to hand to slow work, or None where nobody watches."""
    if not sys.stderr.isatty():
        yield None
        return

    def progress(done: int, of: int) -> None:
        click.echo(f"\r  {what} {min(done, of)} of {of}   ", err=True, nl=False)

    try:
        yield progress
    finally:
        click.echo("\r" + " " * (len(what) + 30) + "\r", err=True, nl=False)
