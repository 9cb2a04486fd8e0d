"""`tankwright fit`: what fits in the room, searched for by the plan's wish."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Final, get_args

import click

from tankwright.arranging.model import Arrangements, Best, Effort, Proposal
from tankwright.cli.draw import drawn
from tankwright.cli.printing import print_mistakes
from tankwright.cli.watching import watched
from tankwright.cli.who import user_name
from tankwright.cli.writing import write_files
from tankwright.display import printable, render_finding, render_mistake, sentence
from tankwright.finding import Severity
from tankwright.plan.models import Wish
from tankwright.report.fit import json_fit, proposal_lines, rack_line, summary_fit
from tankwright.report.model import SummaryLine
from tankwright.workspace.arrange_work import worked_out_arrangements
from tankwright.workspace.live import Applied, Conflict, LivePlan
from tankwright.workspace.opened import Opened, open_plan

MET, NOT_MET, UNREADABLE, STOPPED = 0, 1, 2, 130
BEST: Final = get_args(Best)
_FEW: Final = 4  # things that go with a proposal, told one by one


@click.command("fit")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--best", type=click.Choice(BEST), help="What is sought, instead of what [wish] says.")
@click.option(
    "--proposals", type=click.IntRange(1, 12), default=4, show_default=True, help="How many, at most."
)
@click.option(
    "--work",
    type=click.FloatRange(0.5, 3600.0),
    default=Effort().work,
    show_default=True,
    help="How long to search, in the solver's own steps: about seconds of one core.",
)
@click.option(
    "--places",
    type=click.IntRange(50, 4000),
    default=Effort().places,
    show_default=True,
    help="Places for racks that are tried, at most.",
)
@click.option(
    "--take",
    type=click.IntRange(1, 12),
    metavar="NUMBER",
    help="Write that proposal into PLAN; the app can undo it.",
)
@click.option(
    "--svg",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Draw every proposal to scale there.",
)
@click.option("--all", "show_all", is_flag=True, help="Notes too.")
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, units in the key names.")
def command(  # noqa: PLR0913, PLR0917 - one argument an option
    plan: Path, best: Best | None, proposals: int, work: float, places: int, take: int | None, svg: Path | None,
    show_all: bool, as_json: bool,
) -> None:  # fmt: skip
    """Propose how racks and tanks of the kinds of PLAN could stand in its room: by [wish], which says how many of which
    kind, how many litres, which racks, and what makes a proposal better. Each is laid out and judged like a plan.

    The search is exact for the places it tries: either the best is proved, or the bound is shown. The same plan gives
    the same answer again.

    Exit code: 0 something was found that meets the wish, 1 nothing does, 2 the plan could not be read, 130 stopped.
    """  # fmt: skip
    opened = _opened(plan, best)
    if opened.room is None or opened.plan is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    effort = Effort(work=work, proposals=proposals, places=places)
    try:
        with watched("searching: step") as progress:
            found = worked_out_arrangements(opened, progress, effort=effort)
    except KeyboardInterrupt:
        click.echo("\nStopped; nothing was written.", err=True)
        sys.exit(STOPPED)
    assert found is not None
    if svg is not None:
        write_files(svg, _drawings(found, plan.stem))
    if as_json:
        click.echo(json.dumps(json_fit(found), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, opened, show_all=show_all)
    if take is not None:
        _take(found, opened, take, to_stderr=as_json)
    sys.exit(MET if found.proposals and found.proposals[0].meets_the_wish else NOT_MET)


def _opened(plan: Path, best: Best | None) -> Opened:
    """The plan, its wish changed by what was asked for on the command line."""
    opened = open_plan(plan)
    if best is None or opened.plan is None:
        return opened
    wish = (opened.plan.wish or Wish()).model_copy(update={"best": best})
    return replace(opened, plan=opened.plan.model_copy(update={"wish": wish}))


def _drawings(found: Arrangements, stem: str) -> dict[str, str]:
    return {f"{stem}_fit_{one.number}.svg": drawn(_as_opened(one, stem), "layout") for one in found.proposals}


def _as_opened(proposal: Proposal, stem: str) -> Opened:
    """A proposal as an opened plan, for what draws those."""
    return Opened(
        path=Path(f"{stem}, proposal {proposal.number}"), plan=None, mistakes=(), room=proposal.room,
        study=proposal.study, findings=proposal.findings,
    )  # fmt: skip


def _print(found: Arrangements, opened: Opened, *, show_all: bool) -> None:
    assert opened.room is not None
    display, name = opened.room.display, opened.path.name
    click.secho(f"\n{printable(opened.room.title)}", bold=True)
    for line in summary_fit(found):
        click.echo("  " + _said(line, display))
    for proposal in found.proposals:
        click.secho(f"\n  Proposal {proposal.number}", bold=True)
        for line in proposal_lines(proposal, found.best, found.currency):
            click.echo("    " + _said(line, display))
        for rack in proposal.racks:
            click.echo("      " + _said(rack_line(rack), display))
        for drop in proposal.drops[:_FEW]:
            click.echo("    goes with it: " + printable(drop))
        if len(proposal.drops) > _FEW:
            click.echo(f"    and {len(proposal.drops) - _FEW} more of what the plan says (--json)")
        for finding in proposal.findings:
            if finding.severity is Severity.PROBLEM:
                click.echo(
                    "    "
                    + printable(
                        f"{finding.code} {finding.subject}: {sentence(finding.text, finding.numbers, display)}"
                    )
                )
    click.echo()
    for finding in found.findings:
        if show_all or finding.severity is not Severity.NOTE:
            click.echo(render_finding(finding, name, display, color=sys.stdout.isatty()) + "\n")


def _said(line: SummaryLine, display: str) -> str:
    return printable(sentence(line.text, line.numbers, display))


def _take(found: Arrangements, opened: Opened, number: int, *, to_stderr: bool) -> None:
    """Write a proposal into the plan as one revision."""
    proposal = next((one for one in found.proposals if one.number == number), None)
    if proposal is None:
        click.echo(f"There is no proposal {number}; nothing was written.", err=True)
        sys.exit(UNREADABLE)
    live = LivePlan(opened.path)
    outcome = (
        live.edit(proposal.change, base=live.snapshot.number, key="", who=user_name())
        if opened.read is not None and live.snapshot.text == opened.read.text
        else None
    )
    if isinstance(outcome, Applied):
        click.echo(f"Wrote proposal {number} into {opened.path.name}", err=to_stderr)
        return
    if outcome is None or isinstance(outcome, Conflict):
        click.echo(f"{opened.path.name} was changed meanwhile; nothing was written", err=True)
    else:
        for finding in outcome.findings:
            click.echo(render_mistake(finding, opened.path.name), err=True)
    sys.exit(UNREADABLE)
