"""`tankwright new`: a commented plan from a few questions, or from flags."""

from __future__ import annotations

import sys
from dataclasses import fields
from pathlib import Path

import click

from tankwright.plan.template import QUESTIONS, Answers, commented_plan, mistake_in_answer


@click.command("new")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--title", help="The room's name.")
@click.option("--length", help='Inside, west to east, "4 m" or "13 ft 2 in".')
@click.option("--width", help="Inside, south to north.")
@click.option("--height", help="Floor to ceiling.")
@click.option("--door-from-west", help="Door in the south wall: corner to opening.")
@click.option("--door-width", help="Clear width.")
@click.option("--tanks", help="How many tanks you wish for.")
@click.option("--tank-length", help="Outside length of one tank.")
@click.option("--tank-depth", help="Outside depth, front to back.")
@click.option("--tank-height", help="Outside height.")
@click.option("--display", type=click.Choice(["metric", "US"]), help="Units of what you read.")
@click.option("--yes", is_flag=True, help="Ask nothing; take the defaults for what no flag says.")
def command(plan: Path, yes: bool, display: str | None, **flags: str | None) -> None:
    """Write a commented plan to PLAN, after a few questions or from flags."""
    if plan.exists():
        click.echo(f"{plan} is already there; nothing was written. Name another file.", err=True)
        sys.exit(2)
    defaults = {item.name: str(getattr(Answers(), item.name)) for item in fields(Answers)}
    given: dict[str, str] = {"display": display or defaults["display"]}
    wrong = [
        f'--{name.replace("_", "-")} "{text}": {problem}'
        for name, text in flags.items()
        if text is not None and (problem := mistake_in_answer(name, text))
    ]
    if wrong:
        click.echo("\n".join(wrong), err=True)
        sys.exit(2)
    for name, question in QUESTIONS:
        said = flags.get(name)
        if said is None and not yes:
            said = _ask(name, question, defaults[name])
        given[name] = said if said is not None else defaults[name]
    tanks = int(given.pop("tanks"))
    text = commented_plan(Answers(tanks=tanks, **given))
    try:
        with plan.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        click.echo(f"{plan} could not be written: {error.strerror}", err=True)
        sys.exit(2)
    click.echo(f"Wrote {plan}. Next: tankwright check {plan}")


def _ask(name: str, question: str, default: str) -> str:
    while True:
        answer = str(click.prompt(question, default=default))
        problem = mistake_in_answer(name, answer)
        if not problem:
            return answer
        click.echo(f"  {problem}")
