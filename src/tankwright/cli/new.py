"""`tankwright new`: a commented plan from a few questions, or from flags."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

import click

from tankwright.plan.answers import (
    PLACES,
    QUESTIONS,
    answers_from,
    mistake_in_answer,
    mistakes_in_answers,
    usual_answers,
)
from tankwright.plan.template import commented_plan


@click.command("new")
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--title", help="The room's name.")
@click.option("--length", help='Inside, west to east, "4 m" or "13 ft 2 in".')
@click.option("--width", help="Inside, south to north.")
@click.option("--height", help="Floor to ceiling.")
@click.option("--door-from-west", help="Door in the south wall: corner to opening.")
@click.option("--door-width", help="Clear width.")
@click.option("--water-from-west", help="Where water comes in: from the west wall.")
@click.option("--water-from-south", help="Where water comes in: from the south wall.")
@click.option("--drain-from-west", help="Where water can leave: from the west wall.")
@click.option("--drain-from-south", help="Where water can leave: from the south wall.")
@click.option("--socket-from-west", help="Power outlet for the air pump: from the west wall.")
@click.option("--socket-from-south", help="Power outlet for the air pump: from the south wall.")
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
    usual = usual_answers(display or "metric")
    given: dict[str, str] = {"display": display} if display else {}
    _stop_at(flags, {name: mistake_in_answer(name, text) for name, text in flags.items() if text is not None})
    for name, question in QUESTIONS:
        said = flags.get(name)
        if said is None and not yes and not _is_out_of_question(name, given):
            said = _ask(name, question, usual[name], given)
        if said:
            given[name] = said
    _stop_at(given, mistakes_in_answers(given))
    text = commented_plan(answers_from(given))
    try:
        with plan.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        click.echo(f"{plan} could not be written: {error.strerror}", err=True)
        sys.exit(2)
    click.echo(f"Wrote {plan}. Next: tankwright check {plan}")


def _stop_at(given: Mapping[str, str | None], mistakes: Mapping[str, str]) -> None:
    """Say every mistake and stop, when there is one."""
    wrong = [
        f'--{name.replace("_", "-")} "{given.get(name) or ""}": {problem}'
        for name, problem in mistakes.items()
        if problem
    ]
    if wrong:
        click.echo("\n".join(wrong), err=True)
        sys.exit(2)


def _is_out_of_question(name: str, given: Mapping[str, str]) -> bool:
    """True for the second distance of a place whose first was not said."""
    return any(name == f"{place}_from_south" and f"{place}_from_west" not in given for place in PLACES)


def _ask(name: str, question: str, default: str, given: Mapping[str, str]) -> str:
    half = any(name == f"{place}_from_south" for place in PLACES)
    while True:
        answer = str(click.prompt(question, default=default, show_default=bool(default)))
        problem = mistake_in_answer(name, answer, given.get("display", "metric"))
        problem = problem or mistakes_in_answers({**given, name: answer}, half=half).get(name, "")
        if not problem:
            return answer
        click.echo(f"  {problem}")
