"""What the commands of the logbook share: the log of a plan, and what is said when it cannot be had."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import click

from tankwright.display import printable
from tankwright.finding import Finding
from tankwright.logbook.outcome import NoLogbookError
from tankwright.workspace.log import RoomLog

NOT_DONE: Final = 2


def log_of(plan: Path) -> RoomLog:
    """The log beside a plan; leaves with exit code 2 when no plan stands there. Its tanks are not looked at."""
    if not plan.is_file():
        click.echo(printable(f"{plan}: there is no such plan"), err=True)
        sys.exit(NOT_DONE)
    return RoomLog(plan)


def tell(findings: Iterable[Finding]) -> None:
    """Say findings of a logbook, one a line, on the error stream."""
    for one in findings:
        parts = [f"{one.subject} {one.text}"]
        parts += [f"found: {one.found}"] if one.found else []
        parts += [f"wanted: {one.wanted}"] if one.wanted else []
        parts += [f"try: {one.remedy}"] if one.remedy else []
        click.echo(printable(f"{'; '.join(parts)} [{one.code}]"), err=True)


@contextmanager
def or_leave() -> Iterator[None]:
    """Leaves with exit code 2, in words, when the logbook cannot be had."""
    try:
        yield
    except NoLogbookError as error:
        tell(error.findings)
        sys.exit(NOT_DONE)
