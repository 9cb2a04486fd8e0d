"""`tankwright basket`: what to buy where, from price lists of several shops."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.cli.watching import watched
from tankwright.cli.writing import write_bytes
from tankwright.display import printable, render_finding, render_mistake
from tankwright.documents.basket import basket_lines, basket_table, basket_tables, missing_table
from tankwright.documents.data_files import csv_of
from tankwright.finding import Finding, Severity
from tankwright.report.basket import json_basket
from tankwright.takeoff.basket import NOT_OFFERED, Basket, fill_basket
from tankwright.takeoff.needs_text import read_needs
from tankwright.takeoff.offers import Wanted
from tankwright.takeoff.prices import PriceLists, read_offers, together
from tankwright.takeoff.table_text import LARGEST
from tankwright.workspace.disk import why
from tankwright.workspace.opened import open_plan
from tankwright.workspace.parts_work import ListFile, files_beside, work_out

WHOLE, INCOMPLETE, UNREADABLE = 0, 1, 2
_FEW = 3  # findings of a kind that are told one by one


@click.command("basket")
@click.argument("plan", type=click.Path(path_type=Path), required=False)
@click.option(
    "--prices", multiple=True, type=click.Path(path_type=Path), help="A price list (CSV); several times."
)
@click.option(
    "--demand", type=click.Path(path_type=Path), help="What is wanted, as CSV: article, count, unit, have."
)
@click.option("--currency", default="", help="Of the job, such as EUR; the plan's, or that of most prices.")
@click.option(
    "--seconds", type=click.FloatRange(0.1, 600.0), default=10.0, show_default=True, help="For the search."
)
@click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path), help="Write the shopping list there as CSV."
)
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
    delivery from a sum on, stock on hand first. Without --prices the lists that [buy] names in PLAN are gone by.

    A price list has the columns article, shop, price, and where wanted pack, unit, currency, date, note; a line
    "freight" says what a shop asks to bring it, and in free_from from what goods on it asks nothing.

    Exit code: 0 all is in the basket, 1 something is on no list, 2 a file could not be read.
    """
    given = tuple(ListFile(name=place.name, raw=_bytes(place)) for place in prices)
    if demand is not None:
        wanted, wrong = read_needs(_bytes(demand), name=demand.name)
        _tell(wrong)
        if wrong:
            sys.exit(UNREADABLE)
        lists = _lists(given, currency, wanted)
        basket = fill_basket(wanted, lists.offers, lists.freights, currency=lists.currency, seconds=seconds)
    elif plan is not None:
        basket = _basket_of(plan, given, currency, seconds)
    else:
        click.echo("What is wanted? Name a plan, or a list with --demand NEEDS.csv", err=True)
        sys.exit(UNREADABLE)
    if out is not None:
        write_bytes(out, csv_of(basket_table(basket), "metric").encode("utf-8"))
    if as_json:
        click.echo(json.dumps(json_basket(basket), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(basket)
    if out is not None:
        click.echo(f"Wrote {out}", err=as_json)
    sys.exit(INCOMPLETE if any(one.severity is Severity.PROBLEM for one in basket.findings) else WHOLE)


def _basket_of(plan: Path, given: tuple[ListFile, ...], currency: str, seconds: float) -> Basket:
    """What is bought for a plan, by the lists that are given or else by its own; they say too in which lengths and
    sheets it is cut."""
    opened = open_plan(plan)
    beside = files_beside(opened)
    if given:
        beside = replace(beside, prices=given, findings=())
    with watched("cutting") as progress:
        worked = work_out(opened, beside, progress, currency=currency, seconds=seconds)
    if worked is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    _tell(beside.findings)
    _some(beside.prices)
    _tell(worked.lists.findings)
    if worked.basket is None:
        sys.exit(UNREADABLE)
    return worked.basket


def _lists(given: tuple[ListFile, ...], currency: str, wanted: Sequence[Wanted]) -> PriceLists:
    """All lists as one; leaves with exit code 2 when something in them must be mended."""
    _some(given)
    today = f"{datetime.now().astimezone():%Y-%m-%d}"
    lists = together(
        [read_offers(one.raw, name=one.name, today=today) for one in given],
        currency=currency,
        articles=[one.article for one in wanted],
    )
    _tell(lists.findings)
    if lists.refused:
        sys.exit(UNREADABLE)
    return lists


def _some(given: tuple[ListFile, ...]) -> None:
    if not given:
        click.echo("No prices: name a list with --prices SHOP.csv, or under [buy] in the plan", err=True)
        sys.exit(UNREADABLE)


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
    many = len(basket.unoffered) > _FEW
    if many:
        print_table(missing_table(basket), "metric")
    for finding in basket.findings:
        if not (many and finding.code == NOT_OFFERED):
            click.echo()
            click.echo(render_finding(finding, "basket", color=sys.stdout.isatty()))
