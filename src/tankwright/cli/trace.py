"""`tankwright trace`: which tanks one could have reached since a day, or from where it could have come."""

from __future__ import annotations

import json
import sys
from datetime import datetime
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.display import printable, render_finding, sentence
from tankwright.finding import Finding, Severity
from tankwright.report.contacts import LIMITS, hands_line, trace_json, trace_rows, trace_summary
from tankwright.report.finding import json_finding
from tankwright.workspace.contact_work import Traced, plan_times_of_file, traced
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import lay_plan, work_out_laid
from tankwright.workspace.wall_days import wall_moment

NOBODY, SOMEBODY, UNREADABLE = 0, 1, 2


@click.command("trace")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("tank")
@click.option(
    "--since", type=click.DateTime(["%Y-%m-%d"]), required=True, help="The first day that is looked at."
)
@click.option(
    "--until", type=click.DateTime(["%Y-%m-%d", "%Y-%m-%dT%H:%M"]), help="Up to when; now by default."
)
@click.option(
    "--back", is_flag=True, help="From where it could have come, instead of whom it could have reached."
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, moments in UTC.")
def command(
    plan: Path, tank: str, since: datetime, until: datetime | None, back: bool, as_json: bool
) -> None:
    """Trace TANK of PLAN through its logbook: fish moved, nets still wet, water the plan shares; hands apart.

    Every tank is told with its chain in the order of time, so that none is named that could not be.

    Exit code: 0 no other tank is named for certain, 1 some are, 2 the plan, the tank or the day could not be read.
    """
    laid = lay_plan(plan)
    room = laid.room
    if room is None:
        print_mistakes(work_out_laid(laid))
        sys.exit(UNREADABLE)
    log = RoomLog(plan, room=lambda: room)
    begin, now = wall_moment(since), log.now()
    end = now if until is None else min(wall_moment(until), now)
    if begin > end:
        click.echo(f"--since {since:%Y-%m-%d}: nothing lies between it and the end of the trace", err=True)
        sys.exit(UNREADABLE)
    times = plan_times_of_file(plan, room, begin)
    found = traced(log, tank, times, since=begin, until=end, back=back)
    if isinstance(found, Finding):
        click.echo(render_finding(found, plan.name, room.display), err=True)
        sys.exit(UNREADABLE)
    if as_json:
        told = trace_json(found.trace, found.hands, found.names)
        told["findings"] = [json_finding(one) for one in found.findings]
        click.echo(json.dumps(told, indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, plan.name, room.display)
    sys.exit(SOMEBODY if any(one.certain for one in found.trace.reached) else NOBODY)


def _print(found: Traced, name: str, display: str) -> None:
    def said(text: str) -> None:
        click.echo(printable(text))

    for line in trace_summary(found.trace, found.called):
        said(sentence(line.text, line.numbers, display))
    for row in trace_rows(found.trace, found.called, stock=found.stock):
        way = "until" if found.trace.back else "from"
        only = "" if row.certain else "  (only if something goes wrong)"
        said(f"\n{row.name}  {way} {_when(row.at)}{only}")
        for at, step in row.chain:
            said(f"    {_when(at)}  {sentence(step.text, step.numbers, display)}")
    if found.hands:
        said("\nHands; whether they carried anything nobody knows:")
        for one in found.hands:
            line = hands_line(one, found.called)
            said(f"    {_when(one.at)}  {sentence(line.text, line.numbers, display)}")
    for finding in found.findings:
        if finding.severity is not Severity.PROBLEM:
            said("\n" + render_finding(finding, name, display))
    said("\n" + LIMITS)


def _when(moment: datetime) -> str:
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")
