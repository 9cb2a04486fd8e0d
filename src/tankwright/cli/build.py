"""`tankwright build`: the tasks of the build in order, its calendar, what can be done tonight."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from datetime import UTC, date, datetime
from itertools import groupby
from pathlib import Path

import click

from tankwright.building.crew import crew_of
from tankwright.building.ical import calendar_file
from tankwright.building.marks import Mark
from tankwright.building.model import Schedule, Task
from tankwright.building.schedule import schedule
from tankwright.building.tasks import tasks_of
from tankwright.building.tasks_shared import Work
from tankwright.building.troubles import judge_build
from tankwright.cli.printing import print_mistakes
from tankwright.cli.writing import write_files
from tankwright.display import printable, render_finding, sentence, words
from tankwright.drawing.build_chart import build_charts
from tankwright.drawing.svg import to_svg
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.suggest import nearest
from tankwright.report.build import CAUTION, csv_build, day_words, json_build, summary_lines
from tankwright.takeoff.counting import count_parts
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.disk import utcnow
from tankwright.workspace.opened import Laid, lay_plan, work_out_laid

FINE, PROBLEMS, UNREADABLE = 0, 1, 2
_DAY = click.DateTime(formats=["%Y-%m-%d"])
_FIRST_YEAR, _LAST_YEAR = 2000, 2199


@click.command("build")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--today", type=_DAY, help='Plan from this day on, "2026-12-05"; from today by default.')
@click.option("--tonight", is_flag=True, help="What can be done today, with how, and what must be seen.")
@click.option("--done", multiple=True, metavar="TASK", help="Mark this task done today. Can be given again.")
@click.option("--undone", multiple=True, metavar="TASK", help="Take such a mark back. Can be given again.")
@click.option(
    "--ics", type=click.Path(dir_okay=False, path_type=Path), help="Write the calendar as iCalendar."
)
@click.option(
    "--csv", "table", type=click.Path(dir_okay=False, path_type=Path), help="Write the tasks as a table."
)
@click.option(
    "--svg", type=click.Path(dir_okay=False, path_type=Path), help="Write the timeline; long ones in pages."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON, units in the key names.")
def command(  # noqa: PLR0913, PLR0917 - one for each option
    plan: Path, today: datetime | None, tonight: bool, done: tuple[str, ...], undone: tuple[str, ...],
    ics: Path | None, table: Path | None, svg: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """The build of the room of PLAN: every task with what must come before it, how long it takes and is waited for,
    in a calendar of the evenings and weekends that [build] says; what holds the end, and what can be done tonight.

    What is marked done is kept beside the plan. Exit code: 0 there is a calendar, 1 there is none or something of it
    will not do, 2 the plan could not be read, or a task or file is none.
    """
    laid = lay_plan(plan)
    if laid.read.plan is None or laid.room is None:
        print_mistakes(work_out_laid(laid))
        sys.exit(UNREADABLE)
    day = date.today() if today is None else today.date()
    if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        click.echo(
            f"--today {day} is no day of a build: a year from {_FIRST_YEAR} to {_LAST_YEAR} is wanted",
            err=True,
        )
        sys.exit(UNREADABLE)
    counted = count_parts(laid.read.plan, laid.room)
    tasks = tasks_of(laid.read.plan, laid.room, counted)
    book = BuildMarks(plan)
    _mark(book, tasks, day, done, undone)
    crew = crew_of(laid.read.plan, laid.room)
    made = schedule(tasks, crew, day, book.all())
    work = Work(plan=laid.read.plan, room=laid.room, takeoff=counted)
    findings = (*judge_build(work, crew), *made.findings)
    _write(laid, made, tasks, revision=len(book.all()), ics=ics, table=table, svg=svg)
    if as_json:
        click.echo(
            json.dumps(json_build(made, tasks, findings), indent=1, ensure_ascii=False, allow_nan=False)
        )
    else:
        _print(laid, made, tasks, findings, tonight=tonight)
    problem = any(one.severity is Severity.PROBLEM for one in findings)
    sys.exit(PROBLEMS if problem or not made.slots else FINE)


def _mark(
    book: BuildMarks, tasks: Sequence[Task], day: date, done: Sequence[str], undone: Sequence[str]
) -> None:
    """Keep the marks, all of them or none."""
    known = tuple(task.id for task in tasks)
    for name in (*done, *undone):
        if name not in known:
            close = nearest(name, known)
            hint = f'; perhaps "{close}"' if close else ""
            click.echo(printable(f'There is no task "{name}"{hint}. --json or --csv lists them.'), err=True)
            sys.exit(UNREADABLE)
    marks = [
        *(Mark(task=name, done_on=day) for name in done),
        *(Mark(task=name, done_on=day, undone=True) for name in undone),
    ]
    kept = book.add(marks) if marks else ()
    if isinstance(kept, Finding):
        click.echo(render_finding(kept, book.folder.name), err=True)
        sys.exit(UNREADABLE)


def _write(
    laid: Laid, made: Schedule, tasks: Sequence[Task], *, revision: int, ics: Path | None, table: Path | None,
    svg: Path | None,
) -> None:  # fmt: skip
    assert laid.room is not None
    title, display = f"{laid.room.title}: build order", laid.room.display
    if ics is not None:
        raw = calendar_file(
            made, tasks, title=title, room=laid.path.stem, stamp=utcnow().astimezone(UTC), sequence=revision,
            say=lambda text, numbers: printable(sentence(text, numbers, display)),
        )  # fmt: skip
        write_files(ics.parent, {ics.name: raw.decode("utf-8")})
    if table is not None:
        write_files(table.parent, {table.name: csv_build(made, tasks)})
    if svg is not None:
        pages = build_charts(made, tasks, title=title)
        names = (
            [svg.name]
            if len(pages) == 1
            else [f"{svg.stem}_{n}{svg.suffix}" for n in range(1, len(pages) + 1)]
        )
        write_files(svg.parent, {name: to_svg(page) for name, page in zip(names, pages, strict=True)})


def _print(
    laid: Laid, made: Schedule, tasks: Sequence[Task], findings: Sequence[Finding], *, tonight: bool
) -> None:
    assert laid.room is not None
    display = laid.room.display
    click.secho(f"\n{printable(laid.room.title)}: build order", bold=True)
    for line in summary_lines(made, tasks):
        click.echo("  " + printable(sentence(line.text, line.numbers, display)))
    click.echo()
    by_id = {task.id: task for task in tasks}
    if tonight:
        _print_tonight(made, by_id, display)
    else:
        _print_days(made, by_id, display)
    for finding in findings:
        click.echo(render_finding(finding, laid.path.name, display, color=sys.stdout.isatty()) + "\n")
    click.echo(click.wrap_text(CAUTION, width=100))


def _print_days(made: Schedule, by_id: dict[str, Task], display: str) -> None:
    """Each day's work, three and more days of the same work as one; a star is the critical path."""
    critical = set(made.path)
    alike = [list(days) for _, days in groupby(made.days, key=lambda day: day.tasks)]
    for days in [part for run in alike for part in ([run] if len(run) > 2 else [[day] for day in run])]:
        spent = sum(day.hours for day in days)
        hours = f", {words(Number(spent, 'duration'), display)} of work" if spent else ""
        first, last = (
            day_words(datetime.combine(day.day, datetime.min.time())) for day in (days[0], days[-1])
        )
        until = f" to {last}, {len(days)} days" if len(days) > 1 else ""
        click.secho(f"  {first}{until}{hours}", bold=True)
        for name in days[0].tasks:
            mark = "*" if name in critical else " "
            click.echo(printable(f"   {mark} {by_id[name].title}  [{name}]"))
    if made.days:
        click.echo("\n  * on the critical path: when it is late, all is late\n")


def _print_tonight(made: Schedule, by_id: dict[str, Task], display: str) -> None:
    groups = (
        ("Can be done today, the most urgent first:", made.tonight),
        ("Can be begun:", made.begin_tonight),
    )
    if not made.tonight and not made.begin_tonight:
        click.echo(
            f"  Nothing can be done on {day_words(datetime.combine(made.today, datetime.min.time()))}.\n"
        )
    for heading, names in groups:
        if names:
            click.secho(f"  {heading}", bold=True)
        for name in names:
            task = by_id[name]
            takes = words(Number(task.labour.value, "duration"), display)
            people = f", {task.people} people" if task.people > 1 else ""
            click.echo(printable(f"\n  {task.title}, {takes}{people}  [{name}]"))
            _say("", sentence(task.how, task.numbers, display))
            if task.hold_point:
                _say("Before going on: ", sentence(task.hold_point, task.numbers, display))
        if names:
            click.echo()


def _say(head: str, text: str) -> None:
    click.echo(
        click.wrap_text(printable(head + text), width=100, initial_indent="    ", subsequent_indent="    ")
    )
