"""`tankwright draw`: the room to scale."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import get_args

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.writing import write_files
from tankwright.display import render_finding
from tankwright.drawing.chart_sheet import chart_sheet
from tankwright.drawing.heat_charts import heat_charts
from tankwright.drawing.heat_charts import notes as heat_notes
from tankwright.drawing.labels import tank_address
from tankwright.drawing.layers import draw_results
from tankwright.drawing.long_section import draw_long_section
from tankwright.drawing.oxygen_charts import NOTES as OXYGEN_NOTES
from tankwright.drawing.oxygen_charts import first_falls_chart
from tankwright.drawing.results import LAYERS, LOG_LAYERS, Layer, LogLayer
from tankwright.drawing.sheet import Paper, draw_room
from tankwright.drawing.svg import identifier, to_svg
from tankwright.drawing.water_life_charts import NOTES as WATER_NOTES
from tankwright.drawing.water_life_charts import water_life_charts
from tankwright.drawing.working_sheets import DXF, SHEETS, Wanted, working_sheets
from tankwright.drawing.year_charts import notes as year_notes
from tankwright.drawing.year_charts import year_charts
from tankwright.logbook.outcome import NoLogbookError
from tankwright.study import Study
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_layers import layers_of_log, made_of_log
from tankwright.workspace.opened import Opened, open_plan
from tankwright.year import daily_inflow, work_out_year


def drawn(opened: Opened, layer: Layer, *, scale: float | None = None, paper: Paper | None = None) -> str:
    """One layer of an opened plan as SVG text."""
    if opened.room is None or opened.study is None:
        raise ValueError("a plan that was not worked out cannot be drawn")
    results = draw_results(opened.study, opened.findings, layer)
    return to_svg(draw_room(opened.room, results, plan_name=opened.path.name, scale=scale, paper=paper))


def all_drawings(opened: Opened, *, scale: float | None = None, paper: Paper | None = None) -> dict[str, str]:
    """Every layer, the long-section of every drain and the charts, by file name."""
    stem = opened.path.stem
    files = {f"{stem}_{layer}.svg": drawn(opened, layer, scale=scale, paper=paper) for layer in LAYERS}
    if opened.room is not None and opened.study is not None:
        results = draw_results(opened.study, opened.findings, "drain")
        for number, run in enumerate(opened.room.drains, start=1):
            section = draw_long_section(opened.room, run, results, plan_name=opened.path.name)
            name = identifier(run.id)
            files[f"{stem}_section_{name if len(name) <= 60 else number}.svg"] = to_svg(section)
        oxygen = opened.study.oxygen
        if oxygen is not None and any(one.demand is not None for one in oxygen.tanks):
            falls = chart_sheet(first_falls_chart(oxygen, opened.room.display), OXYGEN_NOTES)
            files[f"{stem}_oxygen_after_the_air_stops.svg"] = to_svg(falls)
        if opened.study.heat is not None:
            for name, chart in heat_charts(opened.study.heat, opened.room.display):
                files[f"{stem}_{name}.svg"] = to_svg(chart_sheet(chart, heat_notes(opened.study.heat)))
        life = opened.study.water.life if opened.study.water is not None else None
        if life is not None:
            for name, chart in water_life_charts(opened.room, life):
                files[f"{stem}_{name}.svg"] = to_svg(chart_sheet(chart, WATER_NOTES))
        files |= _year(opened.study, stem)
    return files


def sheet_drawings(
    opened: Opened, names: Iterable[str], *, paper: Paper | None = None, base_url: str = ""
) -> dict[str, str]:
    """The sheets to build by of these names, by file name: SVG, and DXF of those that can be had so."""
    if opened.plan is None or opened.room is None or opened.study is None:
        raise ValueError("a plan that was not worked out cannot be drawn")
    glued = frozenset(name for name, kind in opened.plan.tank_kind.items() if kind.made == "glued here")
    usual: Paper = "Tabloid" if opened.room.display == "US" else "A3"
    wanted = Wanted(
        paper=paper or usual, plan_name=opened.path.name, glued_here=glued, base_url=base_url
    )  # fmt: skip
    stem, files = opened.path.stem, {}
    for name in (one for one in SHEETS if one in names):
        for number, sheet in enumerate(working_sheets(opened.study, name, wanted), start=1):
            files[f"{stem}_sheet_{name}_{number}.svg"] = to_svg(sheet)
        if name in DXF:
            files[f"{stem}_{name}.dxf"] = DXF[name](opened.room)
    return files


def _year(study: Study, stem: str) -> dict[str, str]:
    """The charts of a year, which is worked out for them; without what measures would save, which takes longer."""
    year = work_out_year(study.room, daily_inflow(study.feed), study.weather, measures=False)
    charts = year_charts(year, study.room.display)
    return {
        f"{stem}_{name}.svg": to_svg(chart_sheet(chart, year_notes(year))) for name, chart in charts.items()
    }


@click.command("draw")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--layer",
    type=click.Choice([*LAYERS, *LOG_LAYERS, "all"]),
    default="layout",
    help="Which result colours it, or what of the logbook.",
)
@click.option("--scale", help='"1:20"; the largest that fits by default.')
@click.option(
    "--paper", type=click.Choice(get_args(Paper)), help="Fit on a sheet; as large as needed by default."
)
@click.option(
    "--sheets",
    type=click.Choice([*SHEETS, "all"]),
    multiple=True,
    help="Sheets to build by instead of a layer, on A3 or Tabloid unless --paper says otherwise; plan, fronts and "
    "drill sheets as DXF too. May be given more than once.",
)
@click.option(
    "--address", default="", help='For codes on labels: "http://fishroom.local:8321", as a phone reaches it.'
)
@click.option("--out", type=click.Path(path_type=Path), help="File (one layer) or folder (all, --sheets).")
def command(
    plan: Path,
    layer: str,
    scale: str | None,
    paper: Paper | None,
    sheets: tuple[str, ...],
    address: str,
    out: Path | None,
) -> None:
    """Draw PLAN to scale as SVG: plan view and rack fronts, dimensions, pipes with their flow, colours by a result."""
    ratio = _ratio(scale)
    opened = open_plan(plan)
    if opened.study is None:
        print_mistakes(opened)
        sys.exit(2)
    if sheets:
        if address and not tank_address(address, "A1"):
            click.echo(
                f'"{address}" is no address a phone reaches; wanted "http://fishroom.local:8321"', err=True
            )
            sys.exit(2)
        names = SHEETS if "all" in sheets else sheets
        files = sheet_drawings(opened, names, paper=paper, base_url=address)
        folder = out or Path(f"{plan.stem}-sheets")
        write_files(folder, files)
        click.echo(f"Wrote {len(files)} files into {folder}")
        return
    if layer == "all":
        folder = out or Path(f"{plan.stem}-drawings")
        files = all_drawings(opened, scale=ratio, paper=paper)
        write_files(folder, files)
        click.echo(f"Wrote {len(files)} drawings into {folder}")
        return
    target = out or Path(f"{plan.stem}_{layer}.svg")
    of_log = next((name for name in LOG_LAYERS if name == layer), None)
    if of_log is not None:
        svg = _of_log(opened, of_log, scale=ratio, paper=paper)
    else:
        chosen = next(name for name in LAYERS if name == layer)
        svg = drawn(opened, chosen, scale=ratio, paper=paper)
    write_files(target.parent, {target.name: svg})
    click.echo(f"Wrote {target}")


def _of_log(opened: Opened, layer: LogLayer, *, scale: float | None, paper: Paper | None) -> str:
    """A layer of what the logbook says as SVG text; leaves with exit code 2 where there is none to show."""
    room = opened.room
    assert room is not None
    log = RoomLog(opened.path, room=lambda: room)
    try:
        if layer not in layers_of_log(log):
            click.echo(f"{opened.path} has no logbook yet, so nothing of it can be drawn", err=True)
            sys.exit(2)
        results = made_of_log(log, room, layer, log.now()).results
    except NoLogbookError as wrong:
        for finding in wrong.findings:
            click.echo(render_finding(finding, opened.path.name, room.display), err=True)
        sys.exit(2)
    return to_svg(draw_room(room, results, plan_name=opened.path.name, scale=scale, paper=paper))


def _ratio(scale: str | None) -> float | None:
    if scale is None:
        return None
    digits = scale.replace(" ", "").removeprefix("1:")
    if digits.isascii() and digits.isdigit() and 1 <= int(digits) <= 1000:
        return float(digits)
    click.echo(f'"{scale}" is not a scale; wanted "1:20" (1:1 to 1:1000)', err=True)
    sys.exit(2)
