"""`tankwright basket`: what to buy where, from price lists of several shops."""

from __future__ import annotations

import json
import sys
from datetime import datetime
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.cli.writing import write_bytes
from tankwright.display import printable, render_finding, render_mistake
from tankwright.documents.basket import basket_lines, basket_table, basket_tables
from tankwright.documents.data_files import csv_of
from tankwright.finding import Finding, Severity
from tankwright.report.basket import json_basket
from tankwright.takeoff.basket import Basket, fill_basket
from tankwright.takeoff.needs_text import read_needs
from tankwright.takeoff.offers import Wanted
from tankwright.takeoff.prices import read_offers, together
from tankwright.takeoff.table_text import LARGEST
from tankwright.workspace.disk import why
from tankwright.workspace.opened import open_plan

WHOLE, INCOMPLETE, UNREADABLE = 0, 1, 2


@click.command("basket")
@click.argument("plan", type=click.Path(path_type=Path), required=False)
@click.option(
    "--prices",
    multiple=True,
    required=True,
    type=click.Path(path_type=Path),
    help="A price list (CSV); several times.",
)
@click.option(
    "--demand",
    type=click.Path(path_type=Path),
    help="What is wanted, as CSV: article, count, unit, have.",
)
@click.option("--currency", default="", help="Of the job, such as EUR; that of most prices by default.")
@click.option(
    "--seconds", type=click.FloatRange(0.1, 600.0), default=10.0, show_default=True, help="For the search."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the shopping list there as CSV.")
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON.")
def command(
    plan: Path | None,
    prices: tuple[Path, ...],
    demand: Path | None,
    currency: str,
    seconds: float,
    out: Path | None,
    as_json: bool,
) -> None:
    """Split what PLAN takes, or the list of --demand, over shops so that it costs the least: whole packs, freight, free
    delivery from a sum on, stock on hand first.

    A price list has the columns article, shop, price, and where wanted pack, unit, currency, date, note; a line
    "freight" says what a shop asks to bring it, and in free_from from what goods on it asks nothing.

    Exit code: 0 all is in the basket, 1 something is on no list, 2 a file could not be read.
    """
    wanted = _wanted(plan, demand)
    today = f"{datetime.now().astimezone():%Y-%m-%d}"
    lists = [read_offers(_bytes(place), name=place.name, today=today) for place in prices]
    whole = together(lists, currency=currency, articles=[one.article for one in wanted])
    _tell(whole.findings)
    if whole.refused:
        sys.exit(UNREADABLE)
    basket = fill_basket(wanted, whole.offers, whole.freights, currency=whole.currency, seconds=seconds)
    if out is not None:
        write_bytes(out, csv_of(basket_table(basket), "metric").encode("utf-8"))
    if as_json:
        click.echo(json.dumps(json_basket(basket), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(basket)
    if out is not None:
        click.echo(f"Wrote {out}", err=as_json)
    sys.exit(INCOMPLETE if any(one.severity is Severity.PROBLEM for one in basket.findings) else WHOLE)


def _wanted(plan: Path | None, demand: Path | None) -> tuple[Wanted, ...]:
    """What is wanted, from the one place or the other; leaves with exit code 2 when that cannot be read."""
    if demand is not None:
        wanted, wrong = read_needs(_bytes(demand), name=demand.name)
        _tell(wrong)
        if wrong:
            sys.exit(UNREADABLE)
        return wanted
    if plan is None:
        click.echo("What is wanted? Name a plan, or a list with --demand NEEDS.csv", err=True)
        sys.exit(UNREADABLE)
    return _wanted_by(plan)


def _bytes(place: Path) -> bytes:
    try:
        with place.open("rb") as file:
            return file.read(LARGEST + 1)
    except OSError as error:
        click.echo(f"{place} could not be read: {why(error)}", err=True)
        sys.exit(UNREADABLE)


def _tell(findings: tuple[Finding, ...]) -> None:
    for one in findings:
        click.echo(render_mistake(one, one.subject), err=True)
        if one.remedy:
            click.echo(printable(f"    {one.remedy}"), err=True)


def _print(basket: Basket) -> None:
    for table in basket_tables(basket):
        print_table(table, "metric")
    click.echo()
    for line in basket_lines(basket):
        click.echo(printable(line))
    for finding in basket.findings:
        click.echo()
        click.echo(render_finding(finding, "basket", color=sys.stdout.isatty()))


def _wanted_by(plan: Path) -> tuple[Wanted, ...]:
    """What the parts list of a plan comes to."""
    opened = open_plan(plan)
    if opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    click.echo(
        f"The parts of {plan.name} are not counted here yet: name what is wanted with --demand", err=True
    )
    sys.exit(UNREADABLE)
