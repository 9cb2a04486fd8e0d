"""`tankwright expected`: the test sheet of a room, before anything is read."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.building.points import expected_points
from tankwright.building.readings import in_unit, test_sheet_csv
from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.cli.writing import write_bytes
from tankwright.display import figures, printable
from tankwright.documents.model import Table, columns
from tankwright.report.measured import json_points
from tankwright.workspace.opened import open_plan

READ, UNREADABLE = 0, 2


@click.command("expected")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--csv",
    "sheet",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the test sheet there, to be filled in.",
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, SI units.")
def command(plan: Path, sheet: Path | None, as_json: bool) -> None:
    """Say what should be measured where in the built room of PLAN, and how: levels, drips, air, pressures, falls.

    Fill in the value column of the sheet that --csv writes, then: tankwright measured PLAN SHEET.csv

    Exit code: 0 done, 2 the plan could not be read.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    points = expected_points(opened.study, opened.plan)
    if as_json:
        click.echo(json.dumps(json_points(points), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        rows = tuple(
            (
                one.id,
                one.what,
                *(
                    f"{figures(in_unit(value, one.dimension, one.unit))} {one.unit}"
                    for value in (
                        one.value,
                        max(one.least, (one.band or (one.value,))[0] - one.tolerance),
                        min(one.most, (one.band or (one.value,))[-1] + one.tolerance),
                    )
                ),
            )
            for one in points
        )
        table = Table(
            title="What should come", columns=columns("point", "what*", "expected", "from", "to"), rows=rows
        )
        print_table(table, opened.room.display)
        for kind in dict.fromkeys(one.kind for one in points):
            first = next(one for one in points if one.kind == kind)
            click.secho(f"\n{kind}", bold=True)
            ruled = f"with {first.needs}; {first.when}; in {first.unit}"
            for text in (f"{'; '.join(first.how)}.", ruled, first.caution):
                if text:
                    click.echo(_wrapped(printable(text)))
    if sheet is not None:
        write_bytes(sheet, test_sheet_csv(points).encode("utf-8"))
        click.echo(f"Wrote {sheet}", err=as_json)
    sys.exit(READ)


def _wrapped(text: str) -> str:
    return click.wrap_text(text, width=100, initial_indent="  ", subsequent_indent="  ")
