"""`tankwright year`: what a room takes in a year, and what would save of it."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.checks.heat_year import check_year
from tankwright.cli.printing import print_mistakes
from tankwright.display import printable, render_finding, sentence, words
from tankwright.finding import Number
from tankwright.report.year import (
    MONTHS,
    json_year,
    money,
    side_effects,
    summary_year,
    verdict_words,
)
from tankwright.systems.heat_year import RoomYear
from tankwright.systems.heat_year_model import INTERACTION, METHOD, Saving, YearResult
from tankwright.workspace.opened import Opened, open_plan
from tankwright.year import year_of

WORKED_OUT, NOT_COMPUTED, UNREADABLE = 0, 1, 2


@click.command("year")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON, units in the key names.")
@click.option(
    "--fine", is_flag=True, help="Also every five minutes, with thermostats that switch on and off."
)
def command(plan: Path, as_json: bool, fine: bool) -> None:
    """What the room of PLAN takes in a year: energy by month and use, cost, and what each measure would save.

    Exit code: 0 the year was worked out, 1 it could not be, 2 the plan could not be read.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    watched = sys.stderr.isatty() and not as_json

    def progress(done: int, of: int) -> None:
        click.echo(f"\r  year {min(done + 1, of)} of {of}   ", err=True, nl=False)

    year = year_of(opened.study, fine=fine, progress=progress if watched else None)
    if watched:
        click.echo("\r" + " " * 40 + "\r", err=True, nl=False)
    findings = check_year(opened.room, year)
    if as_json:
        click.echo(
            json.dumps(json_year(opened.room, year, findings), indent=1, ensure_ascii=False, allow_nan=False)
        )
    else:
        _print(opened, year)
        for finding in findings:
            click.echo(
                render_finding(finding, plan.name, opened.room.display, color=sys.stdout.isatty()) + "\n"
            )
    sys.exit(NOT_COMPUTED if year.base is None else WORKED_OUT)


def _print(opened: Opened, year: YearResult) -> None:
    assert opened.room is not None
    display = opened.room.display
    click.secho(f"\n{printable(opened.room.title)}", bold=True)
    if year.base is None:
        click.echo()
        return
    click.echo(printable(f"  weather: {year.source}"))
    click.echo(f"  {METHOD}\n")
    for line in summary_year(year):
        click.echo("  " + printable(sentence(line.text, line.numbers, display)))
    click.echo()
    _print_months(year.base)
    click.echo()
    for space in year.base.spaces:
        for row in space.rows:
            low, high = min(row.water.lowest), max(row.water.highest)
            ends = " to ".join(words(Number(end, "temperature"), display) for end in (low, high))
            outside = (
                "" if row.high is None else
                f"; {row.water.hours_below:.0f} hours below and {row.water.hours_above:.0f} above what is wanted"
            )  # fmt: skip
            click.echo(printable(f"  {row.row} row of {row.zone}, {space.space}: {ends}{outside}"))
    click.echo()
    click.secho("What would save, the most first:", bold=True)
    for one in year.savings:
        _print_saving(year, one, display)
    for several in (year.pair, year.together):
        if several is not None:
            _print_saving(year, several, display)
    click.echo(f"  {INTERACTION}\n")


def _print_months(base: RoomYear) -> None:
    uses = [(use.value, months) for use, months in base.uses if sum(months) > 0.0]
    click.echo("  kWh        " + "".join(f"{name:>16}" for name, _ in uses) + f"{'all':>10}")
    for number, month in enumerate(MONTHS):
        cells = "".join(f"{months[number] / 3.6e6:>16.0f}" for _, months in uses)
        click.echo(f"  {month:<11}{cells}{base.months[number] / 3.6e6:>10.0f}")
    sums = "".join(f"{sum(months) / 3.6e6:>16.0f}" for _, months in uses)
    click.echo(f"  {'the year':<11}{sums}{base.total / 3.6e6:>10.0f}")


def _print_saving(year: YearResult, one: Saving, display: str) -> None:
    saved = words(Number(one.saved, "energy"), display)
    band = ""
    if one.low is not None and one.high is not None:
        ends = [words(Number(end, "energy"), display) for end in (one.low, one.high)]
        band = f" ({ends[0]} to {ends[1]})"
    worth = "" if one.worth is None else f", {money(one.worth)} {year.currency}".rstrip()
    click.echo(printable(f"  {saved:>10}{band}{worth}: {one.measure.name}{verdict_words(year, one)}"))
    click.echo(printable(f"      {sentence(one.measure.words, one.measure.numbers, display)}"))
    effects = side_effects(one)
    if effects:
        click.echo("      " + "; ".join(effects))
