"""`tankwright restore`: a backup of the logbook is put back in its place."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tankwright.cli.the_log import NOT_DONE, log_of, or_leave
from tankwright.display import printable
from tankwright.workspace.disk import utcnow


@click.command("restore")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("backup", type=click.Path(dir_okay=False, path_type=Path), required=False)
def command(plan: Path, backup: Path | None) -> None:
    """Put BACKUP in the place of the logbook of PLAN. Without BACKUP the backups there are listed, newest first.

    BACKUP is a file, or the name of one in the list. It is looked over first. What stands there now is kept: as a
    backup when it is in order, moved aside when it is damaged.

    Exit code: 0 done, 2 not done.
    """
    from tankwright.logbook.backups import backups_of, restore  # noqa: PLC0415 - loaded when it is needed

    log = log_of(plan)
    if log.is_elsewhere:
        click.echo("This logbook is on a server: its own tools put it back (pg_restore)", err=True)
        sys.exit(NOT_DONE)
    found = backups_of(log.path)
    if backup is None:
        if not found:
            click.echo(printable(f"{plan} has no backups yet"))
        for one in found:
            why = f"  {one.why}" if one.why else ""
            click.echo(printable(f"{one.path.name}  {one.events} events{why}"))
        return
    file = (
        backup
        if backup.exists()
        else next((one.path for one in found if one.path.name == backup.name), backup)
    )
    with or_leave():
        events, before = restore(file, log.path, utcnow())
        book = log.book
        looked = book.verify()
        book.close()
    click.echo(printable(f"{file.name} was put back: {events} events, sealed {looked.serial}:{looked.seal}"))
    if before is not None:
        click.echo(printable(f"What stood there before is kept as {before.name}"))
