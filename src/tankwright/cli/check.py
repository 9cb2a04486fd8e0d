"""`tankwright check`: read, lay out, work out, judge, and say so."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.cli.faults import watched_run
from tankwright.cli.printing import (
    print_assumptions,
    print_fault_summary,
    print_findings,
    print_mistakes,
    print_summaries,
)
from tankwright.report.faults import json_fault_list
from tankwright.report.whole import json_whole
from tankwright.workspace.fault_work import Asked, kept_faults, with_faults
from tankwright.workspace.opened import open_plan

CLEAN, PROBLEMS, UNREADABLE = 0, 1, 2


@click.command("check")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON, units in the key names.")
@click.option(
    "--assumptions/--no-assumptions", default=True, help="Try both ends of every assumption's band."
)
@click.option(
    "--all", "show_all", is_flag=True, help="Notes and every assumption too, not only the weightiest."
)
@click.option(
    "--faults", "try_faults", is_flag=True, help="Break everything too, as `tankwright faults` does."
)
def command(plan: Path, as_json: bool, assumptions: bool, show_all: bool, try_faults: bool) -> None:
    """Work a PLAN out and say what holds and what does not.

    What fails is among it with --faults, or when `tankwright faults` has tried every fault of this very room before.

    Exit code: 0 no problems, 1 problems stand, 2 the plan could not be read.
    """
    opened = open_plan(plan)
    watched = sys.stderr.isatty() and not as_json

    def progress(done: int, of: int) -> None:
        click.echo(f"\r  trying assumptions {done + 1}/{of}   ", err=True, nl=False)

    worked = None
    if opened.study is not None:
        worked = watched_run(opened.study, Asked()) if try_faults else kept_faults(opened.study)
    consequences = opened.consequences(progress if watched else None) if assumptions else ()
    if watched and consequences:
        click.echo("\r" + " " * 40 + "\r", err=True, nl=False)
    opened = with_faults(opened, worked)
    if as_json:
        whole = json_whole(
            opened.room,
            opened.study,
            opened.mistakes + opened.findings,
            consequences,
            None if worked is None else json_fault_list(worked.faults, worked.tried),
        )
        click.echo(json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False))
    else:
        print_mistakes(opened)
        if opened.study is not None:
            print_summaries(opened)
            print_fault_summary(opened, worked)
            print_findings(opened, show_all=show_all)
            if assumptions:
                print_assumptions(opened, consequences, show_all=show_all)
    if opened.room is None:
        sys.exit(UNREADABLE)
    sys.exit(PROBLEMS if opened.has_problems else CLEAN)
