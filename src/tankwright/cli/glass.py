"""`tankwright glass`: every pane checked in full, and where its hole could go."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.cli.watching import watched
from tankwright.cli.writing import write_files
from tankwright.display import printable, sentence, words
from tankwright.documents.model import Column, Table
from tankwright.drawing.hole_map import draw_hole_map
from tankwright.drawing.pane_live import measured_down, measured_from, said_pane
from tankwright.drawing.stress_picture import draw_stress
from tankwright.drawing.svg import identifier, to_svg
from tankwright.finding import Number
from tankwright.plan.suggest import listed, nearest
from tankwright.report.glass import CAUTION, WHERE
from tankwright.report.glass_full import json_full
from tankwright.systems.glass_full_model import FullPane, HoleMap, HoleSpot
from tankwright.units import clip
from tankwright.workspace.glass_work import (
    Asked,
    CheckedPanes,
    MadeMaps,
    check_panes,
    drilled,
    make_maps,
    screened,
)
from tankwright.workspace.opened import Opened, open_plan

HOLDS, PROBLEMS, UNREADABLE, STOPPED = 0, 1, 2, 130

_COLUMNS: Final = tuple(
    Column(name=name, wide=wide)
    for name, wide in (
        ("pane", 2), ("glass", 0), ("quick", 0), ("in full", 0), ("of its strength", 0), ("where", 3), ("bends", 0),
        ("needs", 0),
    )
)  # fmt: skip


@click.command("glass")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("kind", required=False)
@click.option("--map", "with_map", is_flag=True, help="Also try the hole at every place of its pane.")
@click.option(
    "--svg",
    "folder",
    type=click.Path(path_type=Path),
    help="Folder for the stress pictures and maps, as SVG.",
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, units in the key names.")
@click.option(
    "--workers", type=click.IntRange(1, 64), help="Processes at once; one for each core by default."
)
@click.option("--afresh", is_flag=True, help="Do not go on from what an earlier run has kept.")
def command(
    plan: Path,
    kind: str | None,
    with_map: bool,
    folder: Path | None,
    as_json: bool,
    workers: int | None,
    afresh: bool,
) -> None:
    """Check every pane of PLAN in full, by finite elements, or those of one KIND of tank: its holes and braces where
    they are, beside the quick screening of `check`. A screening all the same.

    What is worked out is kept beside the plan. Exit code: 0 every pane stays below its working strength, 1 some do not
    or could not be worked out, 2 the plan could not be read or has no such kind, 130 it was stopped.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    if kind is not None:
        _known_kind(opened, plan, kind)
    asked = Asked(workers=workers, afresh=afresh)
    try:
        with watched("panes") as progress:
            checked = check_panes(opened, screened(opened, kind or ""), asked, progress)
        made = _maps(opened, kind, asked) if with_map else MadeMaps(maps=())
    except KeyboardInterrupt:
        click.echo("\nStopped. What was worked out is kept: run it again, and it goes on.", err=True)
        sys.exit(STOPPED)
    if as_json:
        whole = json_full(checked.panes, made.maps)
        click.echo(json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(opened, checked, made, kind)
    if folder is not None:
        files = pictures(checked.panes, made.maps, opened.room.display)
        write_files(folder, files)
        click.echo(f"Wrote {len(files)} pictures into {folder}", err=as_json)
    sys.exit(HOLDS if _holds(opened, checked, kind) and not made.failed else PROBLEMS)


def _known_kind(opened: Opened, plan: Path, kind: str) -> None:
    """Leaves with exit code 2 for a kind of tank that does not stand in the room."""
    assert opened.room is not None
    kinds = list(dict.fromkeys(tank.kind for tank in opened.room.tanks))
    if kind in kinds:
        return
    click.echo(printable(f'{plan.name}: no tank of this room is of a kind "{clip(kind)}"'), err=True)
    click.echo(printable(f"    wanted  {listed(kinds) if kinds else 'tanks on a shelf'}"), err=True)
    near = nearest(kind, kinds)
    if near:
        click.echo(printable(f'    try     tankwright glass {plan} "{near}"'), err=True)
    sys.exit(UNREADABLE)


def _maps(opened: Opened, kind: str | None, asked: Asked) -> MadeMaps:
    assert opened.room is not None
    kinds = [kind] if kind is not None else list(dict.fromkeys(tank.kind for tank in opened.room.tanks))
    holes = [hole for one in kinds for hole in drilled(opened, one)]
    with watched("places") as progress:
        return make_maps(opened, holes, asked, progress)


def _holds(opened: Opened, checked: CheckedPanes, kind: str | None) -> bool:
    """Whether every pane was worked out and stays below its working strength."""
    result = opened.study.glass if opened.study is not None else None
    if result is None:
        return False
    named = f"tank kind {kind}"
    unknown = [one for one, _, _ in result.not_computed if kind is None or one.partition(",")[0] == named]
    return not unknown and not checked.failed and all(one.solved and one.use <= 1.0 for one in checked.panes)


def pictures(panes: tuple[FullPane, ...], maps: tuple[HoleMap, ...], display: str) -> dict[str, str]:
    """The stress pictures and the maps, by file name; panes alike but for their water are numbered."""
    files: dict[str, str] = {}
    drawn = [
        (identifier("stress", full.case.kind, full.case.pane), draw_stress(full, display=display))
        for full in panes
    ]
    drawn += [
        (identifier("holes", made.case.kind, made.case.pane, str(made.index + 1)), draw_hole_map(made, display=display))
        for made in maps
    ]  # fmt: skip
    for name, drawing in drawn:
        number = sum(known == f"{name}.svg" or known.startswith(f"{name}-case-") for known in files)
        files[f"{name}-case-{number + 1}.svg" if number else f"{name}.svg"] = to_svg(drawing)
    return files


# --- words ----------------------------------------------------------------------------------------------------------


def _print(opened: Opened, checked: CheckedPanes, made: MadeMaps, kind: str | None) -> None:
    assert opened.room is not None
    assert opened.study is not None
    display = opened.room.display
    click.secho(f"\n{printable(opened.room.title)}", bold=True)
    click.echo(printable(f"  {CAUTION[0].upper()}{CAUTION[1:]}."))
    kinds = dict.fromkeys(full.case.kind for full in checked.panes)
    for one in kinds:
        here = [full for full in checked.panes if full.case.kind == one]
        rows = tuple(_row(full, several=_several(full, here)) for full in here)
        print_table(Table(title=one, columns=_COLUMNS, rows=rows), display)
    for full in checked.panes:
        if not full.solved:
            click.echo(printable(f"  ○ {full.case.kind}, {said_pane(full.case.pane)}: {full.status}"))
    for name, pane, why in checked.failed:
        click.echo(printable(f"  ○ {name}, {said_pane(pane)}: {why}"))
    result = opened.study.glass
    for subject, reason, remedy in result.not_computed if result is not None else ():
        if kind is None or subject.partition(",")[0] == f"tank kind {kind}":
            click.echo(printable(f"  ○ {subject}: {reason}; {remedy}"))
    for one_map in made.maps:
        _print_map(one_map, display)
    for why in made.failed:
        click.echo(printable(f"  ○ no map: {why}"))
    click.echo()


def _several(full: FullPane, here: Sequence[FullPane]) -> bool:
    """Whether the pane is loaded otherwise in other tanks of its kind."""
    return sum(one.case.pane == full.case.pane for one in here) > 1


def _row(full: FullPane, *, several: bool) -> tuple[str | Number | None, ...]:
    case, screen = full.case, full.screen
    solved = full.solved
    tanks = case.tanks[0] + (" ..." if len(case.tanks) > 1 else "")
    name = f"{said_pane(case.pane)} ({tanks})" if several else said_pane(case.pane)
    return (
        name,
        Number(case.thickness.value, "length"),
        Number(screen.worst, "stress") if screen is not None else None,
        Number(full.worst, "stress") if solved else None,
        Number(full.use, "share") if solved else None,
        WHERE[full.where] if solved else "not computed",
        Number(full.sag, "length") if solved else None,
        Number(full.needed, "length") if full.needed is not None else None,
    )


def _print_map(made: HoleMap, display: str) -> None:
    """Where the hole is, where it would do the least, and what the elbow then holds."""
    case = made.case
    click.echo()
    click.secho(printable(f"{case.kind}, {said_pane(case.pane)}: where its hole could go"), bold=True)
    if made.status != "solved":
        click.echo(printable(f"  ○ {made.status}"))
    rows = (("now", made.present), ("best", made.best or made.best_any_level))
    for name, spot in rows:
        if spot is not None and spot.worst is not None:
            click.echo(printable(f"  {name:<5} {_spot(made, spot, display)}"))
    if made.best is None and made.best_any_level is not None:
        click.echo("        from there the elbow does not hold the level the plan wants")
    if made.best_any_level is None:
        click.echo("  no place of the pane is clear of everything")
    click.echo(printable(f"  without it the pane bears {words(Number(made.plain, 'stress'), display)}"))


def _spot(made: HoleMap, spot: HoleSpot, display: str) -> str:
    numbers = [
        ("across", Number(spot.from_left, "length")),
        ("down", Number(spot.below_rim, "length")),
        ("worst", Number(spot.worst or 0.0, "stress")),
        ("use", Number(spot.use or 0.0, "share")),
    ]
    pane = made.case.pane
    text = f"{{across}} from the {measured_from(pane)}, {{down}} {measured_down(pane)}: "
    text += "{worst}, {use} of its strength"
    if spot.levels is not None:
        low, high = spot.levels
        numbers += [("low", Number(low, "length")), ("high", Number(max(high, 0.0), "length"))]
        text += "; the elbow holds water from {low} to {high} below the rim"
    return sentence(text, numbers, display)
