"""A table of the owner's brought into a logbook from the command line: looked at, told, recorded."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import click

from tankwright.cli.the_log import NOT_DONE, tell
from tankwright.cli.watching import watched
from tankwright.cli.who import user_name
from tankwright.display import printable
from tankwright.finding import Finding
from tankwright.workspace.bringing.bring import Looked, bring_in, look
from tankwright.workspace.bringing.columns import ROLES
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import lay_plan

TO_LOOK_AT: Final = 1
_TOLD: Final = 40


def take_table(
    plan: Path, file: Path, *, said: Mapping[str, str], columns: tuple[str, ...], sheet: str, preview: bool
) -> None:
    """Bring a table in, or only say what would be recorded. Leaves with exit code 1 when rows were not understood, 2
    when nothing could be read."""
    room = lay_plan(plan).room
    log = RoomLog(plan, room=lambda: room)
    content = file.read_bytes()
    with watched("reading: row") as progress:
        first = look(log, file.name, content, {}, sheet=sheet)
        looked = first if isinstance(first, Finding) else look(
            log, file.name, content, {**_sort(said), **_columns(first, columns)}, sheet=sheet, progress=progress
        )  # fmt: skip
    if isinstance(looked, Finding):
        tell((looked,))
        sys.exit(NOT_DONE)
    _print(looked)
    if not looked.understood:
        sys.exit(NOT_DONE)
    if not preview:
        with watched("recording: row") as progress:
            brought = bring_in(log, looked, who=user_name(), progress=progress)
        before = f"; there before: {brought.repeated}" if brought.repeated else ""
        click.echo(f"Recorded: {brought.events}{before}")
        if brought.stopped is not None:
            tell((brought.stopped,))
            sys.exit(NOT_DONE)
    sys.exit(TO_LOOK_AT if looked.wrong or looked.table.told else 0)


def _sort(said: Mapping[str, str]) -> dict[str, str]:
    return {{"rows": "sort"}.get(key, key): one for key, one in said.items() if one}


def _columns(looked: Looked, columns: tuple[str, ...]) -> dict[str, str]:
    """What was said of columns by their heads, by their numbers; leaves when a head or what it says is none."""
    found: dict[str, str] = {}
    wrong = []
    heads = {name.casefold(): at for at, name in enumerate(looked.table.head, 1)}
    for one in columns:
        head, _, role = one.rpartition("=")
        role = "" if role == "nothing" else role
        at = heads.get(head.strip().casefold())
        if at is None:
            wrong.append(f'no column is called "{head}"; there are: {", ".join(looked.table.head)}')
        elif role not in ROLES:
            wrong.append(f'a column cannot say "{role}"; it can: nothing, {", ".join(filter(None, ROLES))}')
        else:
            found[f"column {at}"] = role
    if wrong:
        for text in wrong:
            click.echo(printable(text), err=True)
        sys.exit(NOT_DONE)
    return found


def _print(looked: Looked) -> None:
    for name, role in zip(looked.table.head, looked.reading.roles, strict=True):
        click.echo(printable(f"  {name}: {role or 'nothing that is taken'}"))
    rows = len(looked.understood) + len(looked.wrong)
    click.echo(f"{len(looked.understood)} of {rows} rows understood, {looked.events} to record")
    for one in looked.table.told:
        click.echo(printable(f"{one.subject} {one.text}: {one.found} [{one.code}]"), err=True)
    for wrong in looked.wrong[:_TOLD]:
        found = f"; found: {wrong.found}" if wrong.found else ""
        click.echo(
            printable(f"{wrong.subject} {wrong.text}{found}; wanted: {wrong.wanted} [{wrong.code}]"), err=True
        )
    if len(looked.wrong) > _TOLD:
        click.echo(f"and {len(looked.wrong) - _TOLD} more rows that are not understood", err=True)
