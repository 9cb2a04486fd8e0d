"""`tankwright fault`: one fault as a story in time."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

import click

from tankwright.cli.clocks import clock_of
from tankwright.cli.printing import print_mistakes
from tankwright.cli.writing import write_files
from tankwright.display import printable, sentence, words
from tankwright.drawing.chart_sheet import chart_sheet
from tankwright.drawing.fault_charts import notes_of, story_charts
from tankwright.drawing.fault_moments import moments, story_drawing
from tankwright.drawing.svg import identifier, to_svg
from tankwright.faults.judging import cure_words
from tankwright.faults.model import Fault, Outcome, Story, Tried
from tankwright.faults.names import find_fault
from tankwright.faults.remedies import tried
from tankwright.faults.simulate import worst_story
from tankwright.finding import Number
from tankwright.report.fault import json_story, story_lines
from tankwright.report.faults import SEASONS, harm_line, json_outcome, verdict
from tankwright.workspace.fault_work import faults_of
from tankwright.workspace.opened import Opened, open_plan

NO_HARM, HARM, UNREADABLE = 0, 1, 2


@click.command("fault")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("name")
@click.option("--json", "as_json", is_flag=True, help="The whole course as JSON, units in the key names.")
@click.option("--at", "at", help='The time of day it begins, "03:00"; its worst by default.')
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the charts and drawings of it, as SVG."
)
@click.option("--remedies/--no-remedies", default=True, help="Try what would mend it.")
def command(plan: Path, name: str, as_json: bool, at: str | None, out: Path | None, remedies: bool) -> None:
    """Tell what one fault does in the room of PLAN from its beginning on. NAME is as `tankwright faults PLAN --all`
    lists it, such as "overflow of A3 blocked"; a part of it will do where only one fault has it.

    Exit code: 0 no harm before anybody notices, 1 harm, 2 the plan could not be read or there is no such fault.
    """
    clock = clock_of(at)
    opened = open_plan(plan)
    if opened.study is None or opened.room is None:
        print_mistakes(opened)
        sys.exit(UNREADABLE)
    found = find_fault(faults_of(opened.study), name)
    if not isinstance(found, Fault):
        several = name.strip() and found and name.casefold() in found[0].casefold()
        told = "more than one fault of this room has" if several else "no fault of this room is called"
        click.echo(printable(f'{plan.name}: {told} "{name}"'), err=True)
        click.echo(f"    wanted  a name that `tankwright faults {plan} --all` lists", err=True)
        for near in found:
            click.echo(printable(f'    try     tankwright fault {plan} "{near}"'), err=True)
        sys.exit(UNREADABLE)
    story, outcome = worst_story(opened.study, found, clock)
    cures = tried(opened.study, found) if remedies and outcome.first is not None else ()
    if as_json:
        whole = {"outcome": json_outcome(outcome, cures), "story": json_story(story)}
        click.echo(json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(opened, story, outcome, cures)
    if out is not None:
        files = story_files(opened, story)
        write_files(out, files)
        click.echo(f"Wrote {len(files)} charts and drawings into {out}", err=as_json)
    sys.exit(HARM if outcome.before_look else NO_HARM)


def story_files(opened: Opened, story: Story) -> dict[str, str]:
    """The charts of a story, and the room drawn at its chosen moments, by file name."""
    assert opened.room is not None
    assert opened.study is not None
    display = opened.room.display
    stem = identifier(story.fault.name)
    files = {
        f"{stem}_{name}.svg": to_svg(chart_sheet(chart, notes_of(name)))
        for name, chart in story_charts(story, display)
    }
    for number, moment in enumerate(moments(story), start=1):
        drawn = story_drawing(opened.study, story, moment, plan_name=opened.path.name)
        files[f"{stem}_moment_{number}.svg"] = to_svg(drawn)
    return files


def _print(opened: Opened, story: Story, outcome: Outcome, cures: tuple[Tried, ...]) -> None:
    assert opened.room is not None
    room, display = opened.room, opened.room.display
    click.secho(f"\n{printable(story.fault.name)}", bold=True, nl=False)
    click.echo(f"  [{verdict(outcome)}]")
    if story.fault.cause:
        click.echo(printable(f"  {story.fault.cause}"))
    begun = words(Number(story.setting.clock, "clock"), display)
    followed = words(Number(float(story.water.times[-1]), "duration"), display)
    click.echo(f"  begun at {begun} {SEASONS[story.setting.season]}, followed for {followed}\n")
    for line in story_lines(room, story):
        since = words(Number(line.time, "duration"), display)
        clock = words(Number(line.clock, "clock"), display)
        text = printable(sentence(line.text, line.numbers, display))
        click.secho(f"  {since:>12}  {clock}  {text}", bold=line.harm)
    click.echo()
    harm = harm_line(outcome)
    click.echo("  " + printable("first harm: " + sentence(harm.text, harm.numbers, display)))
    if outcome.floor > 1e-4:
        litres, deep = (
            words(Number(*pair), display) for pair in ((outcome.floor, "volume"), (outcome.depth, "length"))
        )
        click.echo(f"  {litres} on the floor when it is noticed, {deep} deep where it stands level")
    in_trouble = [(tank, time) for tank, time in outcome.tank_times if math.isfinite(time)]
    if in_trouble:
        click.echo("  tanks in the order of trouble:")
        for tank, time in in_trouble[:40]:
            click.echo(printable(f"    {tank}: {words(Number(time, 'duration'), display)}"))
    helping = [one for one in cures if one.helps]
    if cures and not helping:
        click.echo("  nothing that was tried helps")
    for one in sorted(helping, key=lambda each: (not each.removes, not each.in_time, each.cost)):
        told = cure_words((one,))
        if told is not None:
            click.echo(printable(f"  tried: {sentence(told[0], told[1], display)}"))
            if one.attempt:
                click.echo(printable(f"         {one.attempt}"))
    for subject, reason in outcome.not_computed:
        click.echo(printable(f"  not computed: {subject}: {reason}"))
