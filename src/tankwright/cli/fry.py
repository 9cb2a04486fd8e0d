"""`tankwright fry`: how many tanks the fry will need week by week, and the chance to run out."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.display import printable, render_finding, sentence
from tankwright.finding import Severity
from tankwright.husbandry.calendar_words import date_words
from tankwright.husbandry.fry_model import in_ten
from tankwright.logbook.outcome import NoLogbookError
from tankwright.report.fry import (
    CAUTION,
    cause_words,
    json_fry,
    main_causes,
    past_words,
    summary_fry,
    week_words,
)
from tankwright.workspace.fry_work import BACK, FrySpace, fry_space
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan

FINE, TOO_LITTLE, UNREADABLE = 0, 1, 2


@click.command("fry")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--past",
    type=click.IntRange(0, 104),
    default=BACK,
    show_default=True,
    help="Past weeks whose forecast is made again and held against what came.",
)
@click.option("--all", "show_all", is_flag=True, help="Notes too.")
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, units in the key names.")
def command(plan: Path, past: int, show_all: bool, as_json: bool) -> None:  # fmt: skip
    """Tanks that the fry in the logbook of PLAN, and those of spawns to come, will need in each of thirteen weeks; the
    chance to run out, what makes the difference, and by when to decide.

    Exit code: 0 the chance to run out is within the keeper's limit, 1 it is not, 2 the plan or its logbook could not
    be read, or nothing was ever kept in it.
    """
    opened = open_plan(plan)
    if opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    log = RoomLog(opened.path, room=lambda: opened.room)
    try:
        space = fry_space(log, log.now(), back=past)
    except NoLogbookError as error:
        for finding in error.findings:
            click.echo(render_finding(finding, opened.path.name, opened.room.display), err=True)
        sys.exit(UNREADABLE)
    if space is None:
        click.echo(f"{opened.path.name} has no logbook yet: nothing was ever kept.", err=True)
        sys.exit(UNREADABLE)
    if as_json:
        told = json_fry(space.forecast, space.past if past else None, space.findings)
        click.echo(json.dumps(told, indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(space, opened, show_all=show_all)
    sys.exit(TOO_LITTLE if space.forecast.chance > space.kept.rules.limit else FINE)


def _print(space: FrySpace, opened: Opened, *, show_all: bool) -> None:
    assert opened.room is not None
    display, told = opened.room.display, space.forecast
    click.secho(f"\n{printable(opened.room.title)}: fry space", bold=True)
    for line in summary_fry(told):
        click.echo("  " + printable(sentence(line.text, line.numbers, display)))
    click.echo("\n  week of       tanks               too few in")
    for week in told.weeks:
        click.echo(f"  {date_words(week.begins):12}  {week_words(week):18}  {in_ten(week.chance_out)}")
    for cause in main_causes(told):
        click.echo(printable("  " + cause_words(told, cause)))
    click.echo(f"\n  {past_words(space.past)}")
    click.echo(f"  {CAUTION}\n")
    for finding in space.findings:
        if show_all or finding.severity is not Severity.NOTE:
            click.echo(render_finding(finding, opened.path.name, display, color=sys.stdout.isatty()) + "\n")
