"""`tankwright book`: the build book as PDF, whole or a sheet alone, with its tables and drawings as files."""

from __future__ import annotations

import sys
from datetime import date, datetime
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.watching import watched
from tankwright.cli.writing import write_bytes, write_files
from tankwright.display import printable
from tankwright.documents.book import book_pdf, data_files, sheets_of, whole_pdf
from tankwright.documents.entries import entries
from tankwright.documents.pdf import pdf_of
from tankwright.documents.source import Asked, Book
from tankwright.plan.suggest import nearest
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.opened import open_plan

_DAY = click.DateTime(formats=["%Y-%m-%d"])


@click.command("book")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="The PDF; PLAN-book.pdf by default.")
@click.option(
    "--sheet", "wanted", multiple=True, metavar="NAME", help="This sheet alone. Can be given again."
)
@click.option("--list", "just_list", is_flag=True, help="The names of the sheets.")
@click.option(
    "--into",
    type=click.Path(path_type=Path),
    help="A folder for everything: the book, each sheet alone, tables as CSV and XLSX, calendar, DXF.",
)
@click.option(
    "--address",
    default="",
    help='Where the app is reached in the house, "http://fishroom.local:8321": codes on labels lead there.',
)
@click.option("--date", "day", type=_DAY, help="The date of the book; today by default.")
def command(
    plan: Path, out: Path | None, wanted: tuple[str, ...], just_list: bool, into: Path | None, address: str,
    day: datetime | None,
) -> None:  # fmt: skip
    """Make the build book of PLAN: cover with what is still open, plan and fronts with measures, drain, air and feed,
    drill sheets at true scale, glass order, cuts, parts, circuits, loads, build order, test sheets, valves, labels.

    Print it at 100 % and hold a ruler to the bar of 100 mm. A screening: glass, loads and mains are for your local
    code and licensed people.
    """
    opened = open_plan(plan)
    if opened.room is None or opened.study is None:
        print_mistakes(opened)
        sys.exit(2)
    names = [entry.name for entry in entries(opened.room)]
    if just_list:
        for entry in entries(opened.room):
            click.echo(f"  {entry.name:<12} {entry.title}")
        return
    _known(wanted, names)
    today = date.today() if day is None else day.date()
    asked = Asked(today=today, revision="as it stands", marks=BuildMarks(plan).all(), address=address)
    book = Book(opened, asked)
    with watched("sheets") as progress:
        if into is not None:
            sheets = sheets_of(book, wanted, progress)
            files: dict[str, bytes] = {"book.pdf": whole_pdf(book, sheets, contents=not wanted)}
            for sheet in sheets:
                title = printable(f"{opened.room.title}: {sheet.title}")
                files[f"{sheet.name}.pdf"] = pdf_of(
                    [sheet], title=title, foot=book.foot, paper=book.small, display=book.display
                )
            files |= data_files(book, sheets)
        else:
            pdf = book_pdf(book, wanted, progress)
    if into is not None:
        write_files(into, files)
        click.echo(f"Wrote {len(files)} files into {into}")
        return
    place = out or Path(f"{plan.stem}-{wanted[0] if len(wanted) == 1 else 'book'}.pdf")
    write_bytes(place, pdf)
    click.echo(f"Wrote {place}")


def _known(wanted: tuple[str, ...], names: list[str]) -> None:
    for name in wanted:
        if name not in names:
            close = nearest(name, tuple(names))
            hint = f'; perhaps "{close}"' if close else ""
            click.echo(printable(f'There is no sheet "{name}"{hint}. --list names them.'), err=True)
            sys.exit(2)
