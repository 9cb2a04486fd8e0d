"""`tankwright import`: the export of a logbook, or a table of the owner's, into the logbook of a plan."""

from __future__ import annotations

import sys
import zipfile
from pathlib import Path
from typing import Final, get_args

import click

from tankwright.cli.import_table import take_table
from tankwright.cli.the_log import NOT_DONE, log_of, or_leave, tell
from tankwright.display import printable
from tankwright.workspace.bringing.columns import TableSort
from tankwright.workspace.bringing.dates import ORDERS
from tankwright.workspace.disk import why
from tankwright.workspace.log import RoomLog

TO_LOOK_AT: Final = 1
_BACKUP: Final = b"SQLite format 3\x00"


@click.command("import")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--preview", is_flag=True, help="Only say what would come in; write nothing.")
@click.option(
    "--column", multiple=True, metavar="HEAD=SAYS", help="Of a table: what a column says, as tank or kh."
)
@click.option("--rows", type=click.Choice(get_args(TableSort)), help="Of a table: what its rows are.")
@click.option("--dates", type=click.Choice(ORDERS), help="Of a table: how dates like 3/4/2026 are meant.")
@click.option("--sheet", default="", help="Of a workbook: which of its sheets.")
@click.option("--old-places", is_flag=True, help="Of a table: open places for tanks the plan does not have.")
def command(
    plan: Path, file: Path, preview: bool, column: tuple[str, ...], rows: str | None, dates: str | None, sheet: str,
    old_places: bool,
) -> None:  # fmt: skip
    """Put FILE into the logbook of PLAN: an export of `tankwright export`, or a table of your own as CSV or XLSX.

    An export comes whole and unchanged, or not at all: into an empty book as it was; two books that went apart become
    one, whichever takes the other in; what cannot have been, or is told in two ways, is listed and kept. The book is
    backed up first.

    Of a table each row is understood whole or told why not, and brought in twice it is once. What its columns say is
    guessed from their heads: look with --preview, and say with --column what was guessed wrong.

    Exit code: 0 done, 1 done and there is something to look at, 2 nothing was taken in.
    """
    log = log_of(plan)
    head = _head(file)
    if head.startswith(_BACKUP):
        click.echo(printable(f"{file} is a backup: tankwright restore {plan} {file}"), err=True)
        sys.exit(NOT_DONE)
    with or_leave():
        if _is_table(file, head):
            said = {"rows": rows or "", "order": dates or "", "places": "yes" if old_places else "no"}
            take_table(plan, file, said=said, columns=column, sheet=sheet, preview=preview)
        else:
            _take_export(log, file, preview=preview)


def _is_table(file: Path, head: bytes) -> bool:
    """True for text and for a workbook; a packed file that is none is taken for an export."""
    if not head.startswith(b"PK"):
        return True
    try:
        with zipfile.ZipFile(file) as packed:
            return "[Content_Types].xml" in packed.namelist()
    except (zipfile.BadZipFile, OSError):
        return file.suffix.lower() in {".xlsx", ".xlsm"}


def _head(file: Path) -> bytes:
    try:
        with file.open("rb") as content:
            return content.read(len(_BACKUP))
    except (OSError, ValueError) as error:
        click.echo(printable(f"{file} could not be read: {why(error)}"), err=True)
        sys.exit(NOT_DONE)


def _take_export(log: RoomLog, file: Path, *, preview: bool) -> None:
    from tankwright.logbook.exchange_reading import Export  # noqa: PLC0415 - its database is loaded when it is needed
    from tankwright.logbook.merging import import_export  # noqa: PLC0415 - as above

    done = import_export(log.book, log.pictures, Export(file), preview=preview)
    would = "would come in" if preview else "came in"
    click.echo(f"{done.added} of {done.events} events {would}, {done.known} were there before")
    if done.pictures:
        click.echo(f"{done.pictures} picture{'s are' if done.pictures > 1 else ' is'} kept beside them")
    tell(done.findings)
    names = {one.id: one.label for one in log.book.stocks(closed=True)}
    names |= {one.id: one.label for one in log.book.places(closed=True)}
    for found in done.conflicts:
        who, where = names.get(found.stock, found.stock), names.get(found.place, found.place)
        since = f"from {found.since:%Y-%m-%d %H:%M}" + (
            f" until {found.until:%Y-%m-%d %H:%M}" if found.until else ""
        )
        words = f"{who} in {where}: {-found.least} more were taken than there were, {since} (UTC)"
        click.echo(printable(words), err=True)
    if done.findings or done.conflicts:
        sys.exit(TO_LOOK_AT)
