"""`tankwright faults`: everything that can break, worst first, and what would mend it."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.cli.clocks import clock_of
from tankwright.cli.printing import print_mistakes
from tankwright.display import printable, render_finding, sentence, words
from tankwright.faults.judging import A_TRACE, judge_faults
from tankwright.finding import Number
from tankwright.report.faults import SEASONS, FaultRow, fault_rows, json_faults, summary_faults
from tankwright.study import Study
from tankwright.workspace.cluster import ClusterError, on_cluster
from tankwright.workspace.fault_work import Asked, WorkedFaults, work_out_faults
from tankwright.workspace.opened import Opened, open_plan

CLEAN, PROBLEMS, UNREADABLE, STOPPED = 0, 1, 2, 130


@click.command("faults")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON, units in the key names.")
@click.option(
    "--at", "at", help='Let every fault begin at this time of day, "03:00"; at its worst by default.'
)
@click.option(
    "--workers", type=click.IntRange(1, 64), help="Processes at once; one for each core by default."
)
@click.option("--remedies/--no-remedies", default=True, help="Try what would mend each kind of fault.")
@click.option("--all", "show_all", is_flag=True, help="Every fault, also those that do no harm.")
@click.option(
    "--scheduler", help='Address of a Dask scheduler, "tcp://10.0.0.5:8786", for more than one machine.'
)
@click.option("--afresh", is_flag=True, help="Do not go on from what an earlier, broken off run has kept.")
def command(
    plan: Path,
    as_json: bool,
    at: str | None,
    workers: int | None,
    remedies: bool,
    show_all: bool,
    afresh: bool,
    scheduler: str | None,
) -> None:
    """Break everything in the room of PLAN that can break, one thing after another: what harm comes first, when,
    and whether anybody notices before; and the cheapest change that was tried and helps.

    What is done is kept: a run that was broken off goes on where it was. Exit code: 0 no fault does harm before
    anybody notices, 1 some do, 2 the plan could not be read, 130 it was stopped.
    """
    clock = clock_of(at)
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    asked = Asked(
        clock=clock,
        workers=workers,
        crew=None if scheduler is None else on_cluster(scheduler),
        remedies=remedies,
        afresh=afresh,
    )
    worked = watched_run(opened.study, asked)
    findings = judge_faults(opened.room, worked.faults, worked.tried)
    if as_json:
        whole = json_faults(opened.room, worked.faults, findings, worked.tried)
        click.echo(json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(opened, worked, show_all=show_all)
        for finding in findings:
            click.echo(
                render_finding(finding, plan.name, opened.room.display, color=sys.stdout.isatty()) + "\n"
            )
    sys.exit(PROBLEMS if any(one.before_look for one in worked.faults.outcomes) else CLEAN)


def watched_run(study: Study, asked: Asked) -> WorkedFaults:
    """All faults worked out, with progress where somebody sees it. Ends the program when it is stopped half-way."""
    watched = sys.stderr.isatty()
    reached = 0, 0

    def progress(done: int, of: int) -> None:
        nonlocal reached
        reached = done, of
        if watched:
            click.echo(f"\r  faults {min(done, of)} of {of}   ", err=True, nl=False)

    try:
        worked = work_out_faults(study, asked, progress)
    except ClusterError as error:
        click.echo(printable(f"{error}"), err=True)
        sys.exit(UNREADABLE)
    except KeyboardInterrupt:
        click.echo(
            f"\nStopped after {reached[0]} of {reached[1]}. What is done is kept: run it again, and it goes on.",
            err=True,
        )
        sys.exit(STOPPED)
    if watched:
        click.echo("\r" + " " * 40 + "\r", err=True, nl=False)
    return worked


def _print(opened: Opened, worked: WorkedFaults, *, show_all: bool) -> None:
    assert opened.room is not None
    display = opened.room.display
    click.secho(f"\n{printable(opened.room.title)}", bold=True)
    for line in summary_faults(worked.faults):
        click.echo("  " + printable(sentence(line.text, line.numbers, display)))
    click.echo()
    rows = fault_rows(worked.faults, worked.tried)
    shown = [(row, 1) for row in rows] if show_all else _of_each_kind(rows)
    for row, count in shown:
        _print_row(row, count, display)
    if len(shown) < len(rows):
        click.echo("  Shown is the worst of each kind; every fault, also those that do no harm: --all")
    click.echo()


def _of_each_kind(rows: tuple[FaultRow, ...]) -> list[tuple[FaultRow, int]]:
    """The worst fault of each kind that does harm, with how many of that kind do."""
    counts: dict[str, int] = {}
    worst: dict[str, FaultRow] = {}
    for row in rows:
        one = row.outcome
        if one.first is not None:
            worst.setdefault(one.kind, row)
            counts[one.kind] = counts.get(one.kind, 0) + 1
    return [(row, counts[kind]) for kind, row in worst.items()]


def _print_row(row: FaultRow, count: int, display: str) -> None:
    one = row.outcome
    click.secho(f"  {printable(one.fault)}", bold=True, nl=False)
    click.echo(f"  [{row.verdict}]" + (f"  and {count - 1} like it, none worse" if count > 1 else ""))
    parts = [sentence(row.harm.text, row.harm.numbers, display)]
    if one.first is not None:
        by = f"alarm {one.told}" if one.told else "a look"
        parts.append(f"noticed after {words(Number(one.seen, 'duration'), display)} by {by}")
        if one.floor > 1e-4:
            parts.append(f"{words(Number(one.floor, 'volume'), display)} on the floor by then")
        if one.ran > one.floor + A_TRACE:
            parts.append(f"{words(Number(one.ran, 'volume'), display)} ran over it")
        if one.floor_absence and not one.finite:
            parts.append(f"{words(Number(one.floor_absence, 'volume'), display)} after the longest absence")
        if one.tanks:
            parts.append(f"{len(one.tanks)} tank{'s' if len(one.tanks) > 1 else ''} harmed by then")
    click.echo("    " + printable("; ".join(parts)))
    clock = words(Number(one.clock, "clock"), display)
    if one.first is not None:
        click.echo(f"    begun at {clock} {SEASONS[one.season]}")
    if row.remedy is not None:
        click.echo("    " + printable("tried: " + sentence(row.remedy.text, row.remedy.numbers, display)))
