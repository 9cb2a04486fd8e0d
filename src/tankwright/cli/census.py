"""`tankwright census`: what lives where, now or at the end of a past day."""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import click

from tankwright.cli.tables import print_table
from tankwright.cli.the_log import NOT_DONE, or_leave
from tankwright.display import printable
from tankwright.documents.model import Table, columns
from tankwright.workspace.census import WAYS, By, Group, Lives, census, grouped
from tankwright.workspace.laid_out import log_in_step
from tankwright.workspace.wall_days import end_of, wall_moment

_FIELDS: Final = ("tank", "stock", "line", "species", "fish", "low", "high", "since", "sex", "born", "from")


@click.command("census")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--at",
    type=click.DateTime(["%Y-%m-%d", "%Y-%m-%dT%H:%M"]),
    help="At the end of that day; now by default.",
)
@click.option(
    "--by", type=click.Choice(WAYS), default="tank", show_default=True, help="How they are put together."
)
@click.option("--json", "as_json", is_flag=True, help="One row for each stock in each tank, as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="The same as CSV.")
def command(plan: Path, at: datetime | None, by: By, as_json: bool, as_csv: bool) -> None:
    """What lives where in the room of PLAN, as far as is known today; a number that is guessed has its bounds.

    Exit code: 0 told, 2 the plan or its logbook cannot be had.
    """
    if not plan.is_file():
        click.echo(printable(f"{plan}: there is no such plan"), err=True)
        sys.exit(NOT_DONE)
    with or_leave():
        book = log_in_step(plan).kept
        rows = () if book is None else census(book, None if at is None else _moment(at))
    groups = grouped(rows, by)
    if as_json:
        told = [_fields(one) for group in groups for one in group.rows]
        click.echo(json.dumps(told, indent=1, ensure_ascii=False))
    elif as_csv:
        writer = csv.DictWriter(sys.stdout, _FIELDS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(_fields(one) for group in groups for one in group.rows)
    else:
        _print(groups, by, at)


def _moment(at: datetime) -> datetime:
    """The end of a day, or a moment, by the clock of this computer."""
    day_alone = not (at.hour or at.minute)
    return (end_of(at.date()) if day_alone else wall_moment(at)).astimezone(UTC)


def _fields(one: Lives) -> dict[str, str | int | None]:
    return {
        "tank": one.place.label, "stock": one.stock.label, "line": one.line.name if one.line else "",
        "species": one.line.species if one.line else "", "fish": one.held, "low": one.low, "high": one.high,
        "since": None if one.since is None else one.since.isoformat(timespec="seconds"), "sex": one.stock.sex,
        "born": None if one.stock.born is None else one.stock.born.isoformat(), "from": one.stock.came_from,
    }  # fmt: skip


def _print(groups: Sequence[Group], by: By, at: datetime | None) -> None:
    if not groups:
        click.echo("No fish are written down." if at is None else "No fish were written down by then.")
        return
    rest = [one for one in ("stock", "tank", "line") if one != by]
    rows = []
    for group in groups:
        for number, one in enumerate(group.rows):
            line = one.line.name if one.line else "of no line"
            words = {"tank": one.place.label, "stock": one.stock.label, "line": line}
            since = "" if one.since is None else f"{one.since.astimezone():%Y-%m-%d}"
            name = group.name if not number else ""
            rows.append((name, *(words[key] for key in rest), one.number, since))
    heads = (by, *rest)
    total = sum(one.held for one in groups)
    print_table(
        Table(title=f"{total} fish", columns=columns(*heads, "fish", "since"), rows=tuple(rows)), "metric"
    )
