"""`tankwright tests`: the water tests of the logbook, what matters most first."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.display import printable, render_finding
from tankwright.documents.model import Table, columns
from tankwright.finding import Severity
from tankwright.husbandry.water_quantities import quantity_called
from tankwright.husbandry.water_sentences import CAUTION, findings_beside, verdict_finding
from tankwright.husbandry.water_verdicts import WaterVerdict
from tankwright.logbook.outcome import NoLogbookError
from tankwright.report.trends import json_trends, trend_rows
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_waters import WaterTests, water_tests
from tankwright.workspace.opened import Opened, open_plan

WELL, PAST, UNREADABLE = 0, 1, 2
_MOST_NAMED = 12


@click.command("tests")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("tank", required=False, default="")
@click.option("--of", "quantity", default="", help="One quantity alone, such as kh or nitrate.")
@click.option(
    "--all", "show_all", is_flag=True, help="Tests within their limits too; those of one TANK always are."
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, SI units.")
def command(plan: Path, tank: str, quantity: str, show_all: bool, as_json: bool) -> None:
    """Say how the water tests of PLAN's logbook stand and how they go, of the whole room or of one TANK in full.

    Exit code: 0 nothing is past a limit or comes to one within two tests, 1 something is, 2 the plan or its logbook
    could not be read, or there is no such tank, quantity or test.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    known = quantity_called(quantity) if quantity else None
    if quantity and known is None:
        click.echo(f'"{printable(quantity)}" is no test of water that is known here', err=True)
        sys.exit(UNREADABLE)
    waters = _waters(opened, plan, tank)
    verdicts = tuple(one for one in waters.verdicts if known is None or one.quantity is known)
    if as_json:
        click.echo(json.dumps(
            json_trends(verdicts, waters.unread, waters.never), indent=1, ensure_ascii=False, allow_nan=False
        ))  # fmt: skip
    else:
        _print(opened, plan.name, waters, verdicts, full=bool(tank), show_all=show_all or bool(tank))
    if not verdicts:
        sys.exit(UNREADABLE)
    sys.exit(PAST if any(_matters(one) for one in verdicts) else WELL)


def _waters(opened: Opened, plan: Path, tank: str) -> WaterTests:
    """The tests of the book; leaves with exit code 2 when there is no book or no such tank."""
    assert opened.room is not None
    log = RoomLog(plan, room=lambda: opened.room)
    try:
        if not log.is_there:
            click.echo(f"{plan} has no logbook yet: no test of water was entered", err=True)
            sys.exit(UNREADABLE)
        if tank and log.place(tank) is None:
            click.echo(f'there is no tank "{printable(tank)}" in {plan}', err=True)
            sys.exit(UNREADABLE)
        return water_tests(log, opened.room, opened.study, log.now(), tank=tank)
    except NoLogbookError as wrong:
        for finding in wrong.findings:
            click.echo(render_finding(finding, plan.name, opened.room.display), err=True)
        sys.exit(UNREADABLE)
    except OSError as wrong:
        click.echo(f"the logbook of {plan} could not be read: {wrong}", err=True)
        sys.exit(UNREADABLE)


def _matters(one: WaterVerdict) -> bool:
    return one.judged.standing.startswith("past") or (one.fall is not None and one.fall.warns)


def _print(
    opened: Opened, name: str, waters: WaterTests, verdicts: tuple[WaterVerdict, ...], *, full: bool, show_all: bool
) -> None:  # fmt: skip
    assert opened.room is not None
    display = opened.room.display
    wrong = tuple(one for one in verdicts if verdict_finding(one).severity is not Severity.NOTE)
    shown = verdicts if show_all else wrong
    rows = tuple(
        (row.tank, row.quantity, row.value, row.ago, row.stands, row.goes) for row in trend_rows(shown)
    )
    heads = columns("tank", "test", "last", "ago", "stands", "goes*")
    print_table(Table(title="Water tests, what matters most first", columns=heads, rows=rows), display)
    click.echo()
    for one in verdicts if full else wrong:
        for finding in (verdict_finding(one), *findings_beside(one)):
            click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()))
    for finding in waters.unread:
        click.echo(render_finding(finding, name, display), err=True)
    if not show_all:
        well = len(verdicts) - len(wrong)
        click.echo(
            f"{well} of {len(verdicts)} tests are within their limits, or none is known: --all shows them"
        )
    if waters.never and not full:
        rest = len(waters.never) - _MOST_NAMED
        more = f" and {rest} more" if rest > 0 else ""
        click.echo(f"never tested: {', '.join(waters.never[:_MOST_NAMED])}{more}")
    click.echo(click.wrap_text(CAUTION, width=100))
