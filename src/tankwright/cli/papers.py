"""`tankwright papers`: papers out of the logbook as PDF and CSV."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import Final

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.the_log import or_leave
from tankwright.cli.watching import watched
from tankwright.cli.writing import write_bytes, write_files
from tankwright.display import printable, render_mistake
from tankwright.documents.papers.all import PAPERS, Made, make_paper
from tankwright.documents.papers.asked import BYS, Asked, asked_for
from tankwright.documents.papers.source import PaperSource
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

MADE, BROKEN, REFUSED = 0, 1, 2
_ENDINGS: Final = (".pdf", ".csv")


@click.command("papers")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("what", required=False, default="")
@click.option("--line", default="", help="The line it is of, by its name.")
@click.option("--brood", default="", help="The brood it is of, by its label.")
@click.option("--from", "since", default="", metavar="DAY", help="The first day; the first entry by default.")
@click.option("--until", default="", metavar="DAY", help="The last day; now by default.")
@click.option("--by", type=click.Choice(BYS), default="tank", help="How a census is listed.")
@click.option("--to", default="", metavar="WHOM", help="What left to one alone.")
@click.option(
    "--out", type=click.Path(path_type=Path),
    help="FILE.pdf, FILE.csv where the paper has one table, or a folder for the PDF and every table.",
)  # fmt: skip
def command(  # noqa: PLR0913, PLR0917 - one for each choice
    plan: Path, what: str, line: str, brood: str, since: str, until: str, by: str, to: str, out: Path | None
) -> None:
    """Make the paper WHAT out of the logbook of PLAN; without WHAT they are listed.

    \b
    tankwright papers room.toml strain --line Amber
    tankwright papers room.toml census --until 2026-08-02 --by line --out census
    tankwright papers room.toml inspection --from 2026-01-01 --out pack.pdf

    What was entered stands on them, no more: none is a certificate or a licence.

    Exit code: 0 made, 1 made but the logbook was changed from outside (the paper says so), 2 not made.
    """
    if not what:
        for one in PAPERS:
            needs = " ".join(f"--{name}" for name in one.choices)
            click.echo(f"  {one.what:<11} {one.purpose}")
            click.echo(f"  {'':<11}   {needs}; tables: {', '.join(one.tables)}")
        return
    opened = open_plan(plan)
    if opened.plan is None and not plan.is_file():
        print_mistakes(opened)
        sys.exit(REFUSED)
    log = RoomLog(plan)  # without the room: making a paper brings no tank of the plan into the book
    said = {"what": what, "line": line, "brood": brood, "from": since, "until": until, "by": by, "to": to}
    with or_leave():
        book = log.kept
        now = log.now()
        asked = asked_for(book, said, now, plan=plan.name)
        if not isinstance(asked, Asked):
            for finding in asked:
                click.echo(render_mistake(finding, plan.name), err=True)
            sys.exit(REFUSED)
        source = PaperSource(
            log,
            asked,
            room=opened.room,
            study=opened.study,
            plan_name=plan.name,
            revision="as it stands",
            now=now,
        )
        with watched("steps") as progress:
            made = make_paper(source, progress)
    _write(plan, what, made, out, now)
    if made.broken:
        click.echo(f"{plan}: the logbook was changed from outside; the paper says so", err=True)
        sys.exit(BROKEN)


def _write(plan: Path, what: str, made: Made, out: Path | None, now: datetime) -> None:
    place = out or Path(f"{plan.stem}-{what}-{now.astimezone():%Y-%m-%d}.pdf")
    ending = "" if place.is_dir() else place.suffix.lower()
    if ending == ".csv":
        if len(made.tables) != 1:
            click.echo(printable(
                f"{place}: the paper has {len(made.tables)} tables ({', '.join(made.tables)}); name a folder for them"
            ), err=True)  # fmt: skip
            sys.exit(REFUSED)
        write_bytes(place, next(iter(made.tables.values())).encode("utf-8"))
    elif ending == ".pdf":
        write_bytes(place, made.pdf)
    elif ending:
        click.echo(
            printable(f"{place}: wanted a file that ends in {' or '.join(_ENDINGS)}, or a folder"), err=True
        )
        sys.exit(REFUSED)
    else:
        files: dict[str, str | bytes] = {f"{what}.pdf": made.pdf}
        files |= {f"{name}.csv": text for name, text in made.tables.items()}
        write_files(place, files)
        click.echo(f"Wrote {len(files)} files into {place}")
        return
    click.echo(printable(f"Wrote {place}"))
