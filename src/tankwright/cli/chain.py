"""`tankwright chain`: what joins one end of a pipe, hose or fitting to another, from what can be bought."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from tankwright.display import render_finding, render_mistake, words
from tankwright.finding import Finding, Number, Severity
from tankwright.takeoff.chain_model import Chain, Chains, Limits, Stub
from tankwright.takeoff.chains import find_chains
from tankwright.takeoff.ends import End, pipe_end, read_end
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.own_fittings import OwnFittings, read_own_fittings, with_own
from tankwright.units import parse_quantity
from tankwright.units_text import QuantityError


@click.command("chain")
@click.argument("start", required=False)
@click.argument("goal", required=False)
@click.option("--bore", help='Least bore along the way, "10 mm".')
@click.option(
    "--turns", type=click.IntRange(0, 6), default=0, show_default=True, help="Fittings that may turn it."
)
@click.option(
    "--joints", type=click.IntRange(1, 20), default=8, show_default=True, help="Joints it may have."
)
@click.option(
    "--fittings", "table", type=click.Path(path_type=Path, dir_okay=False), help="What your shop has, as CSV."
)
@click.option("--only", is_flag=True, help="Nothing but what stands in that table.")
@click.option(
    "--cheapest", is_flag=True, help="Cheapest first, by the table's prices, or by effort without them."
)
@click.option("--list", "listed", is_flag=True, help="List every fitting that is known.")
@click.option("--json", "as_json", is_flag=True, help="As JSON.")
def command(  # noqa: PLR0913, PLR0917 - one a word of the command line
    start: str | None,
    goal: str | None,
    bore: str | None,
    turns: int,
    joints: int,
    table: Path | None,
    only: bool,
    cheapest: bool,
    listed: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """What joins the end START to the end GOAL: fewest joints first, with alternatives.

    \b
    tankwright chain "40 mm EN 1329 pipe" "13 mm hose"
    tankwright chain "50 mm ISO PN6 pipe" "20 mm ISO socket" --bore "15 mm"
    tankwright chain "1/2 in BSP G male" "1/2 in NPT female" --fittings SHOP.csv --cheapest
    """
    own = _own(table)
    fittings = with_own(own, only=only and table is not None)
    if listed:
        _list(fittings, as_json)
        return
    if start is None or goal is None:
        raise click.UsageError('give two ends, for example "40 mm EN 1329 pipe" "13 mm hose"')
    ends = [_end(text) for text in (start, goal)]
    slips = [end for end in ends if isinstance(end, Finding)]
    least = _bore(bore)
    if isinstance(least, Finding):
        slips.append(least)
    if slips:
        _refuse(slips)
    first, last = (end for end in ends if isinstance(end, End))
    assert isinstance(least, float)
    chains = find_chains(
        fittings,
        first,
        last,
        Limits(bore=least, turns=turns, joints=joints),
        cheapest=cheapest,
        prices=own.prices or None,
    )
    if as_json:
        click.echo(json.dumps(_as_json(chains), indent=1, ensure_ascii=False))
    else:
        _show(chains)
    if chains.best is None:
        sys.exit(1)


def _own(table: Path | None) -> OwnFittings:
    if table is None:
        return OwnFittings()
    try:
        raw = table.read_bytes()
    except OSError as error:
        click.echo(f"{table}: cannot be read: {error.strerror or error}", err=True)
        sys.exit(2)
    own = read_own_fittings(raw, table.name)
    if own.findings:
        _refuse(own.findings, table.name)
    return own


def _end(text: str) -> End | Finding:
    """A pipe is looked up with its class, so that its bore is known; everything else is read as an end."""
    read = read_end(text)
    if isinstance(read, End) and read.form == "plain end":
        pipe = pipe_end(text)
        return pipe if isinstance(pipe, End) else read
    return read


def _bore(text: str | None) -> float | Finding:
    if text is None:
        return 0.0
    try:
        value = parse_quantity(text, "length").value
    except QuantityError as error:
        return _slip(error.code, error.text, error.found, error.wanted, error.attempt)
    if value <= 0.0:
        return _slip("FIT-12", "is no bore", f'"{text}"', "more than nothing", '"10 mm"')
    return value


def _slip(code: str, text: str, found: str, wanted: str, attempt: str) -> Finding:
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject="--bore",
        text=text,
        found=found,
        wanted=wanted,
        attempt=attempt,
    )


def _refuse(findings: Iterable[Finding], name: str = "") -> None:
    for finding in findings:
        click.echo(render_mistake(finding, name), err=True)
    sys.exit(2)


def _list(fittings: tuple[Fitting, ...], as_json: bool) -> None:
    if as_json:
        rows = [
            {"key": one.key, "kind": one.kind, "ends": [end.words for end in one.ends]} for one in fittings
        ]
        click.echo(json.dumps(rows, indent=1, ensure_ascii=False))
        return
    width = max((len(one.key) for one in fittings), default=0)
    for one in fittings:
        click.echo(f"{one.key:<{width}}  {'; '.join(end.words for end in one.ends)}")


def _show(chains: Chains) -> None:
    for number, chain in enumerate(chains.all):
        head = "Best" if number == 0 else f"Or {number}"
        bore = f", bore {words(Number(chain.bore, 'length'))}" if chain.bore is not None else ""
        price = f", {chain.price:.2f} by the table" if chain.price is not None else ""
        joints = f"{chain.joints} joint{'s' if chain.joints > 1 else ''}"
        click.secho(f"{head}: {joints}{bore}{price}", bold=number == 0)
        for line in _lines(chain):
            click.echo(f"  {line}")
    for finding in chains.findings:
        click.echo(render_finding(finding, ""))
    if chains.best is not None:
        click.echo(
            "Sizes by the standards and by rule of thumb: hold the two parts together before you buy or glue."
        )


def _lines(chain: Chain) -> list[str]:
    lines = []
    joints = iter(chain.links)
    for step in chain.steps:
        lines.append(f"{next(joints).mating.joint:<13}{step.words}")
    last = next(joints).mating
    lines.append(f"{last.joint:<13}{chain.goal.words}")
    return lines + [f"! {warning}" for warning in chain.warnings]


def _as_json(chains: Chains) -> dict[str, Any]:
    return {
        "start": chains.start.words,
        "goal": chains.goal.words,
        "chains": [_chain_json(chain) for chain in chains.all],
        "dead_end": chains.dead_end.words if chains.dead_end else None,
        "findings": [
            {
                "code": one.code,
                "severity": one.severity.value,
                "subject": one.subject,
                "text": render_mistake(one, ""),
            }
            for one in chains.findings
        ],
    }


def _chain_json(chain: Chain) -> dict[str, Any]:
    return {
        "words": chain.words,
        "joints": chain.joints,
        "turns": chain.turns,
        "bore_m": chain.bore,
        "effort": round(chain.effort, 6),
        "price": chain.price,
        "steps": [
            {"stub": step.end.words, "length_m": round(step.length, 6)}
            if isinstance(step, Stub)
            else {"fitting": step.fitting.key, "kind": step.fitting.kind}
            for step in chain.steps
        ],
        "links": [
            {
                "ends": [link.a.words, link.b.words],
                "joint": link.mating.joint,
                "takes": list(link.mating.takes),
            }
            for link in chain.links
        ],
        "warnings": list(chain.warnings),
    }
