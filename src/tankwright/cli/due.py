"""`tankwright due`: the work that is due in a room, in the order of the round."""

from __future__ import annotations

import json
import sys
from datetime import date, datetime, timedelta
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.writing import write_bytes
from tankwright.display import printable
from tankwright.logbook.outcome import NoLogbookError
from tankwright.report.due import calendar_of_due, due_lines, json_due
from tankwright.workspace.disk import utcnow
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan
from tankwright.workspace.round_work import Due, due_of, upcoming_of

_DAY = click.DateTime(formats=["%Y-%m-%d"])
_AHEAD = timedelta(days=60)


@click.command("due")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--until", type=_DAY, help="Up to the end of that day; today by default.")
@click.option("--json", "as_json", is_flag=True, help="The same as data, one object a task.")
@click.option("--ics", is_flag=True, help="Write PLAN-due.ics, a calendar of 60 days or until --until.")
def command(plan: Path, until: datetime | None, as_json: bool, ics: bool) -> None:
    """What is due in the room of PLAN, late work first, then as one walks, clean before dirty.

    Exit code 0 when nothing is late, 1 when something is, 2 when the plan or its logbook cannot be read.
    """
    opened = open_plan(plan)
    if opened.room is None:
        print_mistakes(opened)
        sys.exit(2)
    room, now = opened.room, utcnow()
    last = date.today() if until is None else until.date()
    log = RoomLog(plan, room=lambda: room)
    try:
        due = due_of(log, now, _day_of, study=opened.study, until=last)
        if ics:
            end = last if until is not None else last + _AHEAD
            coming = upcoming_of(log, _day_of, date.today(), end, study=opened.study)
            file = Path(f"{plan.stem}-due.ics")
            write_bytes(file, calendar_of_due(coming, title=f"{room.title}: due", room=plan.stem, stamp=now))
            click.echo(f"Wrote {file}", err=as_json)
    except NoLogbookError as error:
        for one in error.findings:
            click.echo(printable(f"{one.subject} {one.text} [{one.code}]"), err=True)
        sys.exit(2)
    _tell(due, room.title, as_json=as_json)
    if any(one.state == "late" for one in due.items):
        sys.exit(1)


def _tell(due: Due, title: str, *, as_json: bool) -> None:
    labels = {name: one.label for name, one in due.places.items()}
    if as_json:
        click.echo(json.dumps(json_due(due.items, labels), ensure_ascii=False, indent=2))
        return
    click.echo(printable(f"{title}: due until {due.until.isoformat()}"))
    washed = set(due.washes)
    for one, line in zip(due.items, due_lines(due.items, labels), strict=True):
        if one.task.place in washed:
            washed.discard(one.task.place)
            click.echo("  -- wash hands, disinfect tools: what comes next is cleaner --")
        click.echo(printable(f"  {line}"))
    if not due.items:
        click.echo("  Nothing is due. Work that comes again is set on the page Due; the plan proposes some.")


def _day_of(moment: datetime) -> date:
    return moment.astimezone().date()
