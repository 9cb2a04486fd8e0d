"""`tankwright cards`: the emergency card for the door and the absence sheet for a helper, one page each."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.watching import watched
from tankwright.cli.writing import write_files
from tankwright.display import printable
from tankwright.faults.model import Faults
from tankwright.web.cards import TITLES, card_file
from tankwright.workspace.fault_work import Asked, work_out_faults
from tankwright.workspace.opened import Opened, open_plan


@click.command("cards")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder; PLAN-cards by default.")
@click.option(
    "--faults/--no-faults",
    "with_faults",
    default=True,
    help="Work the faults out for it, which takes a while; without them the card says that they are missing.",
)
def command(plan: Path, out: Path | None, with_faults: bool) -> None:
    """Write the two cards of PLAN as HTML, each one page of paper: the emergency card for the door, and the absence
    sheet for a helper who knows nothing. Open one in a browser and print it at 100 %, or as PDF from there.
    """
    opened = open_plan(plan)
    if opened.study is None:
        print_mistakes(opened)
        sys.exit(2)
    faults = _faults(opened) if with_faults else None
    note = printable(f"{plan.name}, {datetime.now().astimezone():%Y-%m-%d}")
    files = {f"{plan.stem}_{name}.html": card_file(name, opened.study, faults, note) for name in TITLES}
    folder = out or Path(f"{plan.stem}-cards")
    write_files(folder, files)
    click.echo(f"Wrote {' and '.join(files)} into {folder}")


def _faults(opened: Opened) -> Faults:
    assert opened.study is not None
    with watched("faults") as progress:
        return work_out_faults(opened.study, Asked(remedies=False), progress).faults
