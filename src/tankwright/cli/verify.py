"""`tankwright verify`: our networks in the reference solvers, so that anyone can look."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.writing import write_files
from tankwright.display import words
from tankwright.finding import Finding, Number
from tankwright.verify.files import ReferenceFile, reference_files
from tankwright.verify.run_epanet import Comparison
from tankwright.verify.run_swmm import DrainComparison
from tankwright.workspace.opened import open_plan


@click.command("verify")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--into", type=click.Path(path_type=Path), help="Folder for the files; PLAN-reference by default."
)
def command(plan: Path, into: Path | None) -> None:
    """Write the air and feed networks of PLAN for EPANET and its drains for SWMM, and compare.

    The files open in the public-domain programs themselves. With `pip install owa-epanet swmm-toolkit` they are
    run here and the largest differences are printed.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(2)
    folder = into or Path(f"{plan.stem}-reference")
    files = reference_files(opened.study)
    if not files:
        click.echo("The plan has no air, feed or drain to compare.")
        return
    write_files(folder, {file.name: file.text for file in files})
    for file in files:
        click.echo(f"{file.name}")
        for line in _said(file, opened.room.display):
            click.echo(f"    {line}")
    click.echo(f"Wrote {len(files)} files into {folder}")


def _said(file: ReferenceFile, display: str) -> list[str]:
    left_out = [f"not in the file: {text}" for text in file.left_out]
    answer = file.compare()
    if isinstance(answer, Finding):
        return [f"not compared: {answer.text}", *([answer.remedy] if answer.remedy else []), *left_out]
    if isinstance(answer, Comparison):
        largest = words(Number(answer.largest_difference, "flow"), display)
        lines = [
            f"EPANET {answer.version}: {answer.compared} flows, largest difference {largest} at {answer.where}, "
            f"{answer.share_of_largest_flow:.1e} of the largest flow"
        ]
        if answer.density_share > 0:
            share = words(Number(answer.density_share, "share"), display)
            lines.append(
                f"compared at constant density; with the density of air changing, flows move by {share}"
            )
        return lines + left_out
    return _drain_said(answer, display) + left_out


def _drain_said(answer: DrainComparison, display: str) -> list[str]:
    flow = words(Number(answer.flow_difference, "flow"), display)
    depth = words(Number(answer.depth_difference, "length"), display)
    return [
        f"SWMM {answer.version}: {answer.segments} segments, largest difference of flow {flow}, "
        f"of depth {depth} at {answer.depth_at}"
    ]
