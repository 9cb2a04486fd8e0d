"""What the commands have in common when they print."""

from __future__ import annotations

import sys
from collections import Counter

import click

from tankwright.display import printable, render_finding, render_mistake, sentence, words
from tankwright.finding import Number, Severity
from tankwright.report.faults import summary_faults
from tankwright.report.summary import summaries
from tankwright.sensitivity import Change, Consequence
from tankwright.workspace.fault_work import WorkedFaults
from tankwright.workspace.opened import Opened

FEW = 6


def print_mistakes(opened: Opened) -> None:
    """What is wrong with the text of the plan, and why there is no room when there is none."""
    mistakes = opened.mistakes + (opened.findings if opened.room is None else ())
    for finding in mistakes:
        click.echo(render_mistake(finding, opened.path.name))
    if opened.room is None:
        count = len(mistakes)
        click.echo(f"\n{count} mistake{'s' if count > 1 else ''}; the room was not worked out.")


def print_summaries(opened: Opened) -> None:
    """A few lines for every system."""
    if opened.study is None or opened.room is None:
        return
    display = opened.room.display
    click.secho(f"\n{printable(opened.room.title)}", bold=True)
    for system, lines in summaries(opened.study):
        click.echo()
        for number, line in enumerate(lines):
            head = system if number == 0 else ""
            click.echo(f"  {head:<8} {printable(sentence(line.text, line.numbers, display))}")


def print_fault_summary(opened: Opened, worked: WorkedFaults | None) -> None:
    """What fails, in a few lines; or that it was not tried."""
    if opened.room is None:
        return
    click.echo()
    if worked is None:
        click.echo("  faults   not tried: tankwright faults PLAN breaks everything, one thing after another")
        return
    for number, line in enumerate(summary_faults(worked.faults)):
        head = "faults" if number == 0 else ""
        click.echo(f"  {head:<8} {printable(sentence(line.text, line.numbers, opened.room.display))}")


def print_findings(opened: Opened, *, show_all: bool) -> None:
    """Findings worst first; notes only when asked for."""
    if opened.room is None:
        return
    color = sys.stdout.isatty()
    shown = [item for item in opened.findings if show_all or item.severity is not Severity.NOTE]
    click.echo()
    for finding in shown:
        click.echo(render_finding(finding, opened.path.name, opened.room.display, color=color))
        click.echo()
    counts = Counter(item.severity for item in opened.findings)
    parts = [f"{counts[severity]} {_plural(severity, counts[severity])}" for severity in Severity]
    hidden = len(opened.findings) - len(shown)
    click.secho(", ".join(parts) + (f" ({hidden} notes not shown: --all)" if hidden else ""), bold=True)
    click.echo(
        "A screening, from what the plan says. Glass, loads and mains near water: your local code, the maker and"
    )
    click.echo("licensed people decide.")


def _plural(severity: Severity, count: int) -> str:
    if severity is Severity.NOT_COMPUTED or count == 1:
        return severity.value
    return severity.value + "s"


def print_assumptions(opened: Opened, consequences: tuple[Consequence, ...], *, show_all: bool) -> None:
    """The assumptions in use, most consequential first, and what to measure."""
    if not consequences or opened.room is None:
        return
    display = opened.room.display
    click.secho(f"\nThis stands on {len(consequences)} assumptions, the weightiest first:", bold=True)
    for item in consequences if show_all else consequences[:FEW]:
        row = item.assumption
        value = words(Number(item.known.value, row.dimension), display)
        low, high = (words(Number(end, row.dimension), display) for end in (row.low, row.high))
        if not item.tried:
            effect = "its band was not tried (large room)"
        elif item.verdicts:
            effect = printable("; ".join(_change(change) for change in item.verdicts[:3]))
            effect += f"; and {len(item.verdicts) - 3} more" if len(item.verdicts) > 3 else ""
        else:
            moved = words(Number(item.shift, "share"), display)
            effect = f"no verdict changes; judged numbers move by at most {moved}"
        click.echo(f"  {row.what}: {value} ({low} to {high})  [{row.key}]")
        click.echo(f"    {effect}")
        click.echo(f"    measure: {row.measure}")
    if not show_all and len(consequences) > FEW:
        click.echo(f"  and {len(consequences) - FEW} more: --all")


def _change(change: Change) -> str:
    parts = []
    for verb, places in (("would be", change.comes), ("would no longer be", change.goes)):
        if places:
            more = f" and {len(places) - 3} more" if len(places) > 3 else ""
            parts.append(f"{verb} {_a(change.severity)} for {', '.join(places[:3])}{more}")
    return f"{change.code} {', '.join(parts)}"


def _a(severity: Severity) -> str:
    return severity.value if severity is Severity.NOT_COMPUTED else f"a {severity.value}"
