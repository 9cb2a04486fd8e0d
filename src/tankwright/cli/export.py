"""`tankwright export`: the whole logbook as one file, or as tables."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

import click

from tankwright.cli.the_log import NOT_DONE, log_of, or_leave, tell
from tankwright.display import printable
from tankwright.workspace.disk import why
from tankwright.workspace.log import RoomLog

BROKEN: Final = 1


@click.command("export")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path), required=False)
@click.option(
    "--csv",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Write every table into this folder.",
)
@click.option(
    "--seal",
    metavar="NUMBER:SEAL",
    help="Compare with a seal that was printed once: nothing before it was changed.",
)
def command(plan: Path, file: Path | None, folder: Path | None, seal: str | None) -> None:
    """Write the logbook of PLAN, with all its events and pictures, into FILE (a zip), which `tankwright import` reads.

    The same book gives the same file. The newest seal is printed: on paper it shows later that nothing was changed.

    Exit code: 0 done, 1 done but the book was changed from outside, 2 not done.
    """
    if file is None and folder is None and seal is None:
        raise click.UsageError("Name a FILE, or a folder with --csv.")
    serial, _, on_paper = (seal or "").partition(":")
    if seal is not None and not (serial.isascii() and serial.isdigit() and on_paper):
        raise click.UsageError("A seal is told as its number, a colon and its signs: 3701:9f2c...")
    log = log_of(plan)
    if not log.is_there:
        click.echo(printable(f"{plan} has no logbook yet: nothing was recorded"), err=True)
        sys.exit(NOT_DONE)
    with or_leave():
        looked = log.book.verify(serial=int(serial or 0), seal=on_paper.strip())
        if file is not None:
            _write_file(log, file)
        if folder is not None:
            _write_tables(log, folder)
    tell(looked.findings)
    if looked.broken is not None:
        sys.exit(BROKEN)
    click.echo(f"{looked.events} events, sealed {looked.serial}:{looked.seal}")
    if seal is not None:
        click.echo("The seal on paper is the one in the book: nothing before it was changed")


def _write_file(log: RoomLog, file: Path) -> None:
    from tankwright.logbook.exchange import export_book  # noqa: PLC0415 - its database is loaded when it is needed
    from tankwright.logbook.exchange_reading import is_export  # noqa: PLC0415 - as above

    if file.exists() and file.stat().st_size and not is_export(file):
        click.echo(printable(f"{file} is there and is no export; nothing was written over it"), err=True)
        sys.exit(NOT_DONE)
    manifest = export_book(log.book, log.pictures, file)
    pictures = len(manifest.pictures)
    click.echo(
        printable(
            f"Wrote {manifest.events} events and {pictures} picture{'' if pictures == 1 else 's'} into {file}"
        )
    )


def _write_tables(log: RoomLog, folder: Path) -> None:
    from tankwright.logbook.table_files import tables_of  # noqa: PLC0415 - as above

    made = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, lines in tables_of(log.book):
            unfinished = folder / f".{name}.unfinished"
            with unfinished.open("w", encoding="utf-8", newline="") as table:
                made.append((unfinished, folder / name))
                table.writelines(lines)
        for unfinished, place in made:
            unfinished.replace(place)
    except OSError as error:
        for unfinished, _ in made:
            unfinished.unlink(missing_ok=True)
        click.echo(printable(f"{folder} could not be written: {why(error)}"), err=True)
        sys.exit(NOT_DONE)
    click.echo(printable(f"Wrote {len(made)} tables into {folder}"))
