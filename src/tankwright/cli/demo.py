"""`tankwright demo`: the main job on one plan, with everything it can write."""

from __future__ import annotations

import json
from pathlib import Path

import click

from tankwright.cli.draw import all_drawings
from tankwright.cli.printing import (
    print_assumptions,
    print_fault_summary,
    print_findings,
    print_mistakes,
    print_summaries,
)
from tankwright.cli.writing import write_files
from tankwright.report.faults import json_fault_list
from tankwright.report.whole import json_whole
from tankwright.verify.files import reference_files
from tankwright.workspace.demo_life import live_in
from tankwright.workspace.disk import utcnow
from tankwright.workspace.fault_work import kept_faults, with_faults
from tankwright.workspace.opened import open_plan


@click.command("demo")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--into", type=click.Path(path_type=Path), default=Path("demo-output"), help="Folder for the files."
)
def command(plan: Path, into: Path) -> None:
    """Work PLAN out, print the findings, write drawings and data into a folder, and invent a logbook there."""
    opened = open_plan(plan)
    print_mistakes(opened)
    study = opened.study
    if study is None:
        raise SystemExit(2)
    consequences = opened.consequences()
    worked = kept_faults(study)
    opened = with_faults(opened, worked)
    print_summaries(opened)
    print_fault_summary(opened, worked)
    print_findings(opened, show_all=False)
    print_assumptions(opened, consequences, show_all=False)
    whole = json_whole(
        opened.room,
        study,
        opened.mistakes + opened.findings,
        consequences,
        None if worked is None else json_fault_list(worked.faults, worked.tried),
    )
    files = all_drawings(opened)
    drawings = len(files)
    files["check.json"] = json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False)
    files |= {file.name: file.text for file in reference_files(study)}
    write_files(into, files)
    click.echo(f"\nWrote {drawings} drawings, check.json and the networks for EPANET and SWMM into {into}")
    events = live_in(into / plan.name, opened.room, utcnow()) if opened.room is not None else 0
    if events:
        click.echo(
            f"Invented a life of thirteen months for its logbook: {events} events, none of which happened"
        )
    click.echo(f"Look at {into / (plan.stem + '_air.svg')} in a browser.")
