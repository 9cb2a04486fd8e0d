"""`tankwright outage`: a power cut of so many hours, what to keep on and with what."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.display import printable, sentence, words
from tankwright.faults.backup import CAUTIONS, PowerCutPlan, power_cut_plan
from tankwright.finding import Number
from tankwright.report.outage import choice_lines, json_outage, tank_line
from tankwright.workspace.opened import open_plan

FINE, TROUBLE, UNREADABLE = 0, 1, 2


@click.command("outage")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--hours", type=click.FloatRange(0.1, 336.0), default=12.0, show_default=True, help="How long it lasts."
)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON, units in the key names.")
def command(plan: Path, hours: float, as_json: bool) -> None:
    """A power cut in the room of PLAN: what battery or generator keeps the air, the heating or everything on for so
    long, how long the battery of the plan lasts, and which tanks are in trouble first.

    Exit code: 0 no tank is in trouble before the power is back, 1 some are, 2 the plan could not be read.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    cut = power_cut_plan(opened.study, hours * 3600.0)
    if as_json:
        click.echo(json.dumps(json_outage(cut), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(cut, opened.room.title, opened.room.display)
    sys.exit(TROUBLE if cut.in_trouble else FINE)


def _print(cut: PowerCutPlan, title: str, display: str) -> None:
    lasts = words(Number(cut.duration, "duration"), display)
    click.secho(f"\n{printable(title)}: {lasts} without power", bold=True)
    for caution in CAUTIONS:
        click.echo(f"  {caution}")
    click.echo()
    for choice in cut.choices:
        for number, line in enumerate(choice_lines(cut, choice)):
            text = printable(sentence(line.text, line.numbers, display))
            click.secho(("  " if number == 0 else "    ") + text, bold=number == 0)
    if not cut.choices:
        click.echo("  the plan names no loads, so no battery or generator was sized")
    click.secho("\n  Serve first, with nothing kept on:", bold=True)
    for one in cut.tanks:
        line = tank_line(one)
        mark = "  !" if one.first < cut.duration else "   "
        click.echo(f"{mark} {printable(sentence(line.text, line.numbers, display))}")
    for subject, reason in cut.not_computed:
        click.echo(printable(f"  not computed: {subject}: {reason}"))
