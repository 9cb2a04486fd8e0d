"""`tankwright measured`: readings of the built room against the plan, and the plan made true by them."""

from __future__ import annotations

import json
import sys
from datetime import date, datetime
from pathlib import Path

import click

from tankwright.building.comparing import Comparison, Outcome, worst_first
from tankwright.building.fitted import Fitted
from tankwright.building.points import MOST_TANKS
from tankwright.building.readings import in_unit
from tankwright.cli.printing import print_mistakes
from tankwright.cli.tables import print_table
from tankwright.cli.watching import watched
from tankwright.cli.who import user_name
from tankwright.display import figures, printable, render_finding, render_mistake, words
from tankwright.documents.model import Table, columns
from tankwright.finding import Finding, Number, Severity
from tankwright.report.finding import json_finding
from tankwright.report.measured import json_comparisons, json_fitted
from tankwright.workspace.disk import why
from tankwright.workspace.live import Applied, Conflict, LivePlan
from tankwright.workspace.measured_work import Measured, Verdicts, take_through
from tankwright.workspace.opened import Opened, open_plan

AS_EXPECTED, OFF, UNREADABLE = 0, 1, 2
_MOST_BYTES = 8_000_000
_MOST_TOLD = 50


@click.command("measured")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("readings", type=click.Path(path_type=Path))
@click.option("--write", is_flag=True, help="Put the fitted values into PLAN as measured; its comments stay.")
@click.option(
    "--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="The day of the readings; today by default."
)
@click.option("--all", "show_all", is_flag=True, help="Readings within their tolerance too.")
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, SI units.")
def command(
    plan: Path, readings: Path, write: bool, on: datetime | None, show_all: bool, as_json: bool
) -> None:
    """Compare READINGS (a CSV as `tankwright expected PLAN --csv` writes it, filled in) with what the room of PLAN
    should give, say what a pattern in them points to, and fit what the plan only assumes to them.

    Exit code: 0 all as expected, 1 something is off, 2 a file could not be read or nothing in it.
    """
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    day = on.date() if on is not None else datetime.now().astimezone().date()
    text = _text(readings)
    tanks = len(opened.room.tanks)
    if tanks > MOST_TANKS:
        told = (
            f"Fitting tries the room many times: with its {tanks} tanks that takes minutes. Ctrl-C stops it."
        )
        click.echo(told + " Nothing is written before the end.", err=True)
    with watched("fitting: the room tried, about") as progress:
        taken = take_through(opened, text, day, progress)
    if as_json:
        click.echo(json.dumps(_json(taken), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(opened, taken, readings.name, show_all=show_all)
    if not taken.read.readings:
        sys.exit(UNREADABLE)
    if write:
        _write(opened, taken, day, as_json)
    off = any(one.outcome in (Outcome.LOW, Outcome.HIGH) and not one.assumed for one in taken.comparisons)
    sys.exit(OFF if off or taken.read.findings else AS_EXPECTED)


def _text(place: Path) -> str:
    """The text of the file; leaves with exit code 2 when it cannot be had."""
    try:
        with place.open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        click.echo(
            f"{place} could not be read: {why(error) if isinstance(error, OSError) else error}", err=True
        )
        sys.exit(UNREADABLE)
    if len(content) > _MOST_BYTES:
        click.echo(
            f"{place} is no sheet of readings: it is larger than {_MOST_BYTES // 1_000_000} MB", err=True
        )
        sys.exit(UNREADABLE)
    return content.decode("utf-8", "replace").replace("\x00", "")


def _print(opened: Opened, taken: Measured, name: str, *, show_all: bool) -> None:
    assert opened.room is not None
    display = opened.room.display
    for finding in taken.read.findings[:_MOST_TOLD]:
        click.echo(render_mistake(finding, name), err=True)
    if len(taken.read.findings) > _MOST_TOLD:
        click.echo(
            f"and {len(taken.read.findings) - _MOST_TOLD} more such lines: --json has them all", err=True
        )
    read = [one for one in worst_first(taken.comparisons) if one.reading is not None]
    rows = tuple(
        (
            one.point.id,
            "within its band" if one.assumed else one.outcome.value,
            _told(one, one.reading.value),
            _told(one, one.point.value),
            _off_by(one),
            _told(one, one.point.tolerance),
        )
        for one in read
        if one.reading is not None and (show_all or one.outcome is not Outcome.WITHIN)
    )
    heads = columns("point", "", "read", "expected", "off by", "tolerance")
    print_table(Table(title="Readings, the farthest off first", columns=heads, rows=rows), display)
    within = sum(one.outcome is Outcome.WITHIN for one in read)
    click.echo(f"\n{len(read)} of {len(taken.comparisons)} points read, {within} within tolerance")
    _findings(taken.patterns, "What they have in common", name, display)
    if taken.fitted is not None:
        _print_fit(taken.fitted, display)
        _findings(taken.fitted.findings, "", name, display)
    if taken.after is not None:
        _print_verdicts(taken.verdicts)


def _told(one: Comparison, value: float) -> str:
    """A value of a point in the unit its reading was told in."""
    return f"{figures(in_unit(value, one.point.dimension, one.unit))} {one.unit}"


def _off_by(one: Comparison) -> str:
    told = one.told if abs(one.difference) > 1e-6 * one.point.tolerance else 0.0
    return f"{'+' if told > 0.0 else ''}{figures(told)} {one.unit}"


def _findings(findings: tuple[Finding, ...], title: str, name: str, display: str) -> None:
    if findings and title:
        click.secho(f"\n{title}", bold=True)
    for finding in findings:
        click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()))


def _print_fit(fitted: Fitted, display: str) -> None:
    rows = tuple(
        (
            one.row.key,
            one.row.what,
            Number(one.before, one.row.dimension),
            Number(one.value, one.row.dimension),
            Number(one.low, one.row.dimension),
            Number(one.high, one.row.dimension),
        )
        for one in fitted.values
    )
    heads = columns("key", "what*", "was", "is", "from", "to (95 %)")
    print_table(Table(title="What the readings say of the values assumed", columns=heads, rows=rows), display)
    if fitted.converged:
        before, after = (figures(one, 2) for one in fitted.misfit)
        click.echo(f"\n  the readings lie {before} standard errors off as planned, {after} with these values")
    for one in fitted.kept:
        value = words(Number(one.value, one.row.dimension), display)
        told = f"not told apart from {one.beside}" if one.beside else "these readings hardly feel it"
        then = f"; {one.would} would tell" if one.would else f"; measure: {one.row.measure}"
        click.echo(printable(f"  {one.row.key} stays assumed at {value}: {told}{then}"))


def _print_verdicts(verdicts: Verdicts) -> None:
    click.secho("\nThe plan with what was measured", bold=True)
    groups = (("goes", verdicts.gone), ("comes", verdicts.come), ("stands firmer", verdicts.firmer))
    for word, findings in groups:
        for one in findings:
            if one.severity is not Severity.NOTE:
                click.echo(printable(f"  {word}: {one.severity.value} {one.code} {one.subject}"))
    if not any(one.severity is not Severity.NOTE for _, group in groups for one in group):
        click.echo("  no verdict changes")


def _write(opened: Opened, taken: Measured, day: date, as_json: bool) -> None:
    """Put the fitted values into the plan as one step of its history; leaves with exit code 2 when it cannot be."""
    if taken.change is None or taken.after is None:
        click.echo("Nothing was written: no value was fitted", err=True)
        return
    live = LivePlan(opened.path)
    if opened.read is None or live.snapshot.text != opened.read.text:
        click.echo(f"{opened.path.name} was changed meanwhile; nothing was written", err=True)
        sys.exit(UNREADABLE)
    outcome = live.edit(taken.change, base=live.snapshot.number, key="", who=user_name())
    if isinstance(outcome, Applied):
        count = len(taken.fitted.values) if taken.fitted else 0
        click.echo(f"Wrote {count} values measured on {day} into {opened.path.name}", err=as_json)
        return
    if isinstance(outcome, Conflict):
        click.echo(f"{opened.path.name} was changed meanwhile; nothing was written", err=True)
    else:
        for finding in outcome.findings:
            click.echo(render_mistake(finding, opened.path.name), err=True)
    sys.exit(UNREADABLE)


def _json(taken: Measured) -> dict[str, object]:
    return {
        "mistakes": [json_finding(one) for one in taken.read.findings],
        "points": json_comparisons(taken.comparisons),
        "patterns": [json_finding(one) for one in taken.patterns],
        "fitted": json_fitted(taken.fitted),
        "fit_findings": [json_finding(one) for one in (taken.fitted.findings if taken.fitted else ())],
        "verdicts": {
            "gone": [json_finding(one) for one in taken.verdicts.gone],
            "come": [json_finding(one) for one in taken.verdicts.come],
            "firmer": [json_finding(one) for one in taken.verdicts.firmer],
        },
    }
