"""`tankwright lines`: the lines of the logbook, how inbred they are and how long they last; mates, and a set tried."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.display import printable, render_finding, render_summary, words
from tankwright.documents.model import Table, columns
from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.line_findings import set_findings
from tankwright.husbandry.lines import LineStanding
from tankwright.husbandry.mating import MOST_KINSHIP, Proposal, may_father, planned, propose
from tankwright.husbandry.register import BreedingSet, Line
from tankwright.logbook.outcome import NoLogbookError
from tankwright.report.lines import EXPLAINED, json_line, json_mates, line_lines, planned_lines
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_lines import KeptLines, kept_lines, typed_set
from tankwright.workspace.opened import open_plan

WELL, WARNED, UNREADABLE = 0, 1, 2


@click.command("lines")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("line", required=False, default="")
@click.option("--mates", "show_mates", is_flag=True, help="Propose mates of least kinship within LINE.")
@click.option(
    "--limit",
    type=click.FloatRange(0.0, 1.0),
    default=MOST_KINSHIP,
    show_default=True,
    help="The most kinship of mates that are proposed.",
)
@click.option(
    "--try",
    "tried",
    nargs=2,
    metavar="MALE FEMALE",
    help="What the young of two stocks would be, by their labels. Writes nothing.",
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON; shares from 0 to 1.")
def command(
    plan: Path, line: str, show_mates: bool, limit: float, tried: tuple[str, str] | None, as_json: bool
) -> None:
    """Say how the lines of PLAN's logbook stand: living fish, inbreeding by the pedigree, how many generations are
    left. With LINE, one of them in full.

    Exit code: 0 nothing is wrong with them, 1 something is, 2 the plan or its logbook could not be read, or there is
    no such line or stock.
    """
    opened = open_plan(plan)
    if opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    log = RoomLog(plan)  # without the room: looking brings no tank of the plan into the book
    kept = _kept(log, plan)
    chosen = _chosen(kept, line, plan)
    display = opened.room.display
    found = [(one, kept.findings(one, log.now())) for one in (kept.standing(each) for each in chosen)]
    if tried:
        sys.exit(_try(kept, log, tried, plan.name, display))
    if as_json:
        made = []
        for standing, findings in found:
            row = json_line(standing, findings, kept.names)
            if show_mates:
                row["mates"] = json_mates(_proposed(kept, standing, limit), kept.names)
            made.append(row)
        click.echo(json.dumps(made, indent=1, ensure_ascii=False, allow_nan=False))
    elif line:
        _print_one(kept, *found[0], name=plan.name, display=display, mates=show_mates, limit=limit)
    else:
        _print_all(found, plan.name, display)
    worst = {one.severity for _, findings in found for one in findings}
    sys.exit(WARNED if worst & {Severity.PROBLEM, Severity.WARNING} else WELL)


def _kept(log: RoomLog, plan: Path) -> KeptLines:
    """The lines of the book; leaves with exit code 2 when there is none."""
    try:
        if not log.is_there:
            click.echo(f"{plan} has no logbook yet: no line is kept in it", err=True)
            sys.exit(UNREADABLE)
        return kept_lines(log.book)
    except NoLogbookError as wrong:
        for finding in wrong.findings:
            click.echo(render_finding(finding, plan.name), err=True)
    except OSError as wrong:
        click.echo(f"the logbook of {plan} could not be read: {wrong}", err=True)
    sys.exit(UNREADABLE)


def _chosen(kept: KeptLines, line: str, plan: Path) -> tuple[Line, ...]:
    if not line:
        return tuple(kept.lines.values())
    found = tuple(one for one in kept.lines.values() if line in (one.id, one.name))
    if not found:
        known = ", ".join(printable(one.name) for one in kept.lines.values()) or "none"
        click.echo(
            f'there is no line "{printable(line)}" in the logbook of {plan}; there are: {known}', err=True
        )
        sys.exit(UNREADABLE)
    return found[:1]


def _print_all(found: list[tuple[LineStanding, tuple[Finding, ...]]], name: str, display: str) -> None:
    rows = tuple(_row(standing, display) for standing, _ in found)
    heads = columns(
        "line", "species", "fish", "inbreeding", "effective size", "generations left", "new one by"
    )
    print_table(Table(title="Lines", columns=heads, rows=rows), display)
    click.echo()
    for _, findings in found:
        for finding in findings:
            if finding.severity is not Severity.NOTE:
                click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()))
    click.echo(click.wrap_text(EXPLAINED, width=100))


def _row(one: LineStanding, display: str) -> tuple[str, ...]:
    inbreeding = "not computed"
    if one.inbreeding is not None:
        inbreeding = words(Number(one.inbreeding, "share"), display)
        if one.related is not None and one.related - one.inbreeding > 1e-9:
            inbreeding += f" to {words(Number(one.related, 'share'), display)}"
    size = words(Number(one.effective.size, "number"), display) if one.effective else "not computed"
    left = "over 500" if one.lasting else "not computed" if one.left is None else str(one.left)
    by = one.regenerate_by.isoformat() if one.regenerate_by else "no day set"
    return printable(one.line.name), printable(one.line.species), str(one.fish), inbreeding, size, left, by


def _print_one(
    kept: KeptLines, one: LineStanding, findings: tuple[Finding, ...], *, name: str, display: str, mates: bool,
    limit: float,
) -> None:  # fmt: skip
    click.echo(
        render_summary(
            f"{printable(one.line.name)} ({printable(one.line.species)})", line_lines(one), display
        )
    )
    if mates:
        found = _proposed(kept, one, limit)
        click.echo()
        for mate in found.mates:
            kinship = words(Number(mate.kinship, "share"), display)
            click.echo(
                f"  {printable(kept.names[mate.male])} x {printable(kept.names[mate.female])}: {kinship}"
            )
        if not found.mates:
            click.echo("  no two of them are within the limit")
    click.echo()
    for finding in findings:
        click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()))
    click.echo(click.wrap_text(EXPLAINED, width=100))


def _proposed(kept: KeptLines, one: LineStanding, limit: float) -> Proposal:
    living = {held.stock: held.fish for held in one.held}
    males, females = may_father((kept.pedigree.stocks[key] for key in living), living)
    return propose(kept.pedigree, males, females, limit=limit)


def _try(kept: KeptLines, log: RoomLog, labels: tuple[str, str], name: str, display: str) -> int:
    """Tell what would come of two stocks set together; the exit code."""
    said: dict[str, str] = {}
    for number, (label, sex) in enumerate(zip(labels, ("male", "female"), strict=True), 1):
        stock = next((key for key, one in kept.names.items() if label in (key, one)), "")
        if not stock:
            click.echo(f'there is no stock "{printable(label)}" in the logbook', err=True)
            return UNREADABLE
        said |= {f"stock{number}": stock, f"sex{number}": sex}
    made = typed_set(said, kept, log.now())
    if not isinstance(made, BreedingSet):
        for finding in made:
            click.echo(render_finding(finding, name, display), err=True)
        return UNREADABLE
    title = f"{printable(labels[0])} x {printable(labels[1])}"
    click.echo(render_summary(title, planned_lines(planned(kept.pedigree, made)), display))
    findings = set_findings(kept.pedigree, kept.lines, made)
    for finding in findings:
        click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()))
    return WARNED if any(one.severity is not Severity.NOTE for one in findings) else WELL
