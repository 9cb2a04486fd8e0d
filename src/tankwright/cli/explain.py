"""`tankwright explain`: the working behind one number."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.display import printable, render_working, words
from tankwright.explain.all import nearest_workings, workings
from tankwright.explain.year import workings_year
from tankwright.workspace.opened import open_plan
from tankwright.year import year_of


@click.command("explain")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("what", required=False)
def command(plan: Path, what: str | None) -> None:
    """Open one number of PLAN: its formula, inputs, source, and how each input is known.

    Without WHAT it lists every number that can be opened, but for those of a year, which is worked out when asked
    for: year.energy, year.cost, year.room-heating, year.saves.lids and so on.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(2)
    known = workings(opened.study)
    if what is not None and what.startswith("year"):
        year = year_of(opened.study)  # worked out only when it is asked for
        known |= {each.name: each for each in workings_year(opened.room, year)}
    display = opened.room.display
    if what is None:
        for each in known.values():
            line = f"{each.name:<28} {words(each.number, display):>12}  {each.title}"
            click.echo(printable(line))
        return
    working = known.get(what)
    if working is None:
        click.echo(f'Nothing is called "{what}" here.', err=True)
        near = nearest_workings(known, what)
        if near:
            click.echo("Near it: " + ", ".join(near[:12]), err=True)
        click.echo("`tankwright explain PLAN` lists every number that can be opened.", err=True)
        sys.exit(2)
    click.echo(render_working(working, display))
