"""`tankwright explain`: the working behind one number."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.display import words
from tankwright.explain.all import nearest_workings, workings
from tankwright.explain.model import Input
from tankwright.workspace import open_plan


@click.command("explain")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("what", required=False)
def command(plan: Path, what: str | None) -> None:
    """Open one number of PLAN: its formula, inputs, source, and how each input is known.

    Without WHAT it lists every number that can be opened.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(2)
    known = workings(opened.study)
    display = opened.room.display
    if what is None:
        for working in known.values():
            click.echo(f"{working.name:<28} {words(working.number, display):>12}  {working.title}")
        return
    working = known.get(what)
    if working is None:
        click.echo(f'Nothing is called "{what}" here.', err=True)
        near = nearest_workings(known, what)
        if near:
            click.echo("Near it: " + ", ".join(near[:12]), err=True)
        click.echo("`tankwright explain PLAN` lists every number that can be opened.", err=True)
        sys.exit(2)
    click.secho(f"{working.title}: {words(working.number, display)}", bold=True)
    click.echo(f"  formula  {working.formula}")
    for item in working.inputs:
        click.echo(f"  {_input(item, plan.name, display)}")
    click.echo(f"  source   {working.source}")
    if working.note:
        click.echo(f"  note     {working.note}")


def _input(item: Input, file_name: str, display: str) -> str:
    text = f"  {item.name} = {words(item.number, display)}"
    if item.known is None:
        return text + (f"  (computed; explain {item.see})" if item.see else "  (computed)")
    how = item.known.origin.value
    if item.known.measured_on:
        how += f" on {item.known.measured_on.isoformat()}"
    if item.known.line:
        how += f", {file_name}:{item.known.line}"
    if item.known.is_assumed and item.known.band:
        low, high = (words(type(item.number)(end, item.number.dimension), display) for end in item.known.band)
        how += f", band {low} to {high}: {item.known.reason} [{item.known.key}]"
    elif item.known.reason:
        how += f", {item.known.reason}"
    return f"{text}  ({how})"
