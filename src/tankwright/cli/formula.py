"""`tankwright formula`: the shelf of every public physics function."""

from __future__ import annotations

import json
import sys

import click

from tankwright.cli.plain import print_plain_findings
from tankwright.formula_docs import Formula
from tankwright.formulas import FormulaResult, evaluate, find, not_found, shelf


@click.command("formula")
@click.argument("name", required=False)
@click.argument("inputs", nargs=-1)
@click.option("--unit", help='Unit of the answer, for example "L/min".')
@click.option("--json", "as_json", is_flag=True, help="As JSON.")
def command(name: str | None, inputs: tuple[str, ...], unit: str | None, as_json: bool) -> None:
    """List the formulas, show one (NAME), or evaluate it (NAME input=value ...).

    \b
    tankwright formula
    tankwright formula part-full-flow
    tankwright formula part-full-flow inner_diameter=52mm slope=1% manning_n=0.009 depth_share=0.5 --unit L/min
    """
    if name is None:
        _list(as_json)
        return
    formula = find(name)
    if formula is None:
        print_plain_findings((not_found(name),))
        sys.exit(2)
    if not inputs:
        _show(formula, as_json)
        return
    given: dict[str, str] = {}
    for item in inputs:
        key, equals, value = item.partition("=")
        if not equals:
            click.echo(f'"{item}" is not input=value, for example {formula.inputs[0].name}=...', err=True)
            sys.exit(2)
        given[key.strip()] = value.strip()
    result = evaluate(formula, given, unit)
    if not isinstance(result, FormulaResult):
        print_plain_findings(result)
        sys.exit(2)
    if as_json:
        click.echo(
            json.dumps(
                {"value": result.value, "unit": result.unit, "source": result.source}, ensure_ascii=False
            )
        )
    else:
        click.echo(f"{result.value:.6g} {result.unit}")
        click.echo(f"  {formula.summary}\n  source: {result.source}")
        if result.caution:
            click.echo(f"  {result.caution}")


def _list(as_json: bool) -> None:
    if as_json:
        rows = [{"name": item.name, "summary": item.summary, "unit": item.unit} for item in shelf()]
        click.echo(json.dumps(rows, indent=1, ensure_ascii=False))
        return
    width = max(len(item.name) for item in shelf())
    for item in shelf():
        click.echo(f"{item.name:<{width}}  {item.summary}")


def _show(formula: Formula, as_json: bool) -> None:
    if as_json:
        inputs = [
            {
                "name": item.name,
                "unit": item.unit,
                "meaning": item.meaning,
                "range": [item.low, item.high],
                "default": item.default,
            }
            for item in formula.inputs
        ]
        shown = {
            "name": formula.name,
            "summary": formula.summary,
            "unit": formula.unit,
            "source": formula.source,
            "inputs": inputs,
        }
        click.echo(json.dumps(shown, indent=1, ensure_ascii=False))
        return
    click.echo(f"{formula.name}: {formula.summary}\n")
    for item in formula.inputs:
        default = "" if item.default is None else f"  (default {item.default:g})"
        reach = f"{item.low:g} to {item.high:g}"
        click.echo(f"  {item.name} [{item.unit}]  {item.meaning}; {reach}{default}")
    click.echo(f"\n  gives [{formula.unit}]\n  source: {formula.source}")
