"""`tankwright parts`: everything a plan takes, by shop and by place, and how lengths and sheets are cut."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Final, Literal

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.cli.watching import watched
from tankwright.cli.writing import write_bytes
from tankwright.display import printable, render_finding
from tankwright.documents.data_files import csv_of, workbook_of
from tankwright.documents.model import Table
from tankwright.documents.parts import place_tables, shop_table
from tankwright.finding import Severity
from tankwright.report.parts import json_parts
from tankwright.workspace.opened import open_plan
from tankwright.workspace.parts_work import WorkedParts, worked_out_parts

_BY: Final = ("shop", "place")


@click.command("parts")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--by", type=click.Choice(_BY), default="shop", help="What to buy, or what goes where.")
@click.option(
    "--csv", "csv_file", type=click.Path(dir_okay=False, path_type=Path), help="Write the list there as CSV."
)
@click.option(
    "--xlsx", type=click.Path(dir_okay=False, path_type=Path), help="Write all lists there as one workbook."
)
@click.option("--all", "show_all", is_flag=True, help="Notes as well.")
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON.")
def command(
    plan: Path,
    by: Literal["shop", "place"],
    csv_file: Path | None,
    xlsx: Path | None,
    show_all: bool,
    as_json: bool,
) -> None:
    """Count every part PLAN takes: pieces of pipe and timber cut to length, fittings, tanks, boards, cable, with what
    is bought of it after spares and stock on hand.

    Lengths, prices, offcuts and stock on hand stand under [buy] in the plan.
    """
    opened = open_plan(plan)
    with watched("cutting") as progress:
        worked = worked_out_parts(opened, progress)
    if worked is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(2)
    display = opened.room.display
    tables = _tables(worked, by, display)
    if csv_file is not None:
        write_bytes(csv_file, "".join(csv_of(table, display) for table in tables).encode("utf-8"))
    if xlsx is not None:
        every = [*_tables(worked, "shop", display), *_tables(worked, "place", display)]
        write_bytes(xlsx, workbook_of(every, display))
    if as_json:
        click.echo(json.dumps(json_parts(worked.purchase, worked.findings), indent=1, ensure_ascii=False))
        return
    click.secho(printable(opened.room.title), bold=True)
    for table in tables:
        print_table(table, display)
    _print_rest(worked, opened.path.name, display, show_all=show_all)


def _tables(worked: WorkedParts, by: str, display: str) -> list[Table]:
    if by == "shop":
        return [shop_table(worked.purchase, display)]
    return list(place_tables(worked.purchase.takeoff))


def _print_rest(worked: WorkedParts, name: str, display: str, *, show_all: bool) -> None:
    bought = worked.purchase
    click.echo()
    for one in bought.cuts:
        plan = one.plan
        if plan.patterns:
            proved = "proved least" if plan.proved_optimal else f"at most {plan.gap:.1%} over the least"
            lengths = "1 length" if plan.sticks == 1 else f"{plan.sticks} lengths"
            click.echo(f"  {printable(one.article)}: {lengths}, {proved}")
    if bought.cost:
        click.echo(f"\n{bought.cost:.2f} {bought.currency} for what has a price")
    if bought.unpriced:
        number = len(bought.unpriced)
        told = (
            "1 article has no price: its cost"
            if number == 1
            else f"{number} articles have no price: their cost"
        )
        click.echo(f"{told} is not computed")
    shown = [one for one in worked.findings if show_all or one.severity is not Severity.NOTE]
    for finding in shown:
        click.echo()
        click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()))
    hidden = len(worked.findings) - len(shown)
    if hidden:
        click.echo(f"\n{hidden} notes not shown: --all")
