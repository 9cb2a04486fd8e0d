"""`tankwright cut`: pieces of pipe or timber from stock lengths, from a plain table and without any plan."""

from __future__ import annotations

import json
import sys
import textwrap
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from typing import Final

import click

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.cli.writing import write_files
from tankwright.display import (
    figures,
    printable,
    render_finding,
    render_mistake,
    words,
)
from tankwright.drawing.cut_diagrams import cut_diagrams
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.svg import to_svg
from tankwright.finding import Finding, Number, Severity
from tankwright.report.cut import json_cuts
from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_model import CutPlan, Pattern, Stock
from tankwright.takeoff.cutting_reading import ReadPieces, read_offcut, read_pieces, read_stock, read_width
from tankwright.units import Metre

DONE, NOT_DONE = 0, 2
_WIDTH: Final = 100
_OF_FEET: Final = ("ft", "in", "'", '"', "foot", "feet", "inch", "′", "″")
_STEP: Final = 46  # letters of a step that are wiped away again


@dataclass(frozen=True, slots=True, kw_only=True)
class _Saw:
    """What is cut away, and whether the saw cut was said or assumed."""

    kerf: Metre
    trim: Metre
    assumed: bool


@click.command("cut")
@click.argument("pieces", type=click.Path(path_type=Path, allow_dash=True))
@click.option(
    "--stock", "stocks", multiple=True, metavar="LENGTH[@PRICE]", help='"6 m" or "4 m@8.20"; once for each.'
)
@click.option(
    "--offcut", "offcuts", multiple=True, metavar="LENGTH[ x COUNT]", help='On hand: "1.2 m" or "1.2 m x 3".'
)
@click.option("--kerf", metavar="WIDTH", help='Width of the saw cut, "3 mm"; assumed where it is not said.')
@click.option(
    "--trim", metavar="LENGTH", default="0 mm", help="Taken off each bought stick, both ends together."
)
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 86_400.0),
    default=10.0,
    show_default=True,
    help="For a proof, at most.",
)
@click.option(
    "--units", type=click.Choice(("metric", "US")), help="Of what is shown; those of the table by default."
)
@click.option(
    "--svg",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the cuts there to scale, A4 or Letter.",
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON, units in the key names.")
def command(  # noqa: PLR0913, PLR0917 - one argument an option
    pieces: Path,
    stocks: tuple[str, ...],
    offcuts: tuple[str, ...],
    kerf: str | None,
    trim: str,
    seconds: float,
    units: str | None,
    svg: Path | None,
    as_json: bool,
) -> None:
    """Cut the pieces of the table PIECES from stock lengths: for the least money where every stock has its price, else
    from the least bought length. Either the plan is proved to be the best, or it is said how far from it it may be.

    \b
    PIECES is CSV with the columns length, count, label; "-" reads it from standard input:
        length,count,label
        1240 mm,4,main
        2 ft 3 in,12,leg

    Exit code: 0 there is a plan, 2 there is none.
    """
    read = _read(pieces)
    display = units or ("US" if any(mark in read.unit for mark in _OF_FEET) else "metric")
    saw, on_offer, wrong = _job(stocks, offcuts, kerf, trim)
    told = (*read.findings, *wrong)
    if any(one.severity is Severity.PROBLEM for one in told):
        plan = CutPlan(objective="sticks", kerf=saw.kerf, trim=saw.trim, findings=told)
    else:
        plan = cut(
            read.pieces, on_offer, kerf=saw.kerf, trim=saw.trim, seconds=seconds, clock=time.monotonic,
            progress=_progress(),
        )  # fmt: skip
        plan = replace(plan, findings=(*told, *plan.findings))
        _wipe()
    if svg is not None and plan.patterns:
        _write(svg, plan, pieces.stem, display)
    if as_json:
        click.echo(json.dumps(json_cuts(plan), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _print(plan, saw, pieces.name, display)
    sys.exit(DONE if plan.patterns else NOT_DONE)


# --- reading ----------------------------------------------------------------------------------------------------


def _read(file: Path) -> ReadPieces:
    try:
        raw = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
    except OSError as error:
        text = f"could not be read: {error.strerror or error}"
        told = Finding(code="CUT-02", severity=Severity.PROBLEM, subject=file.name or str(file), text=text)
        return ReadPieces(findings=(told,))
    return read_pieces(raw, file.name)


def _job(
    stocks: tuple[str, ...], offcuts: tuple[str, ...], kerf: str | None, trim: str
) -> tuple[_Saw, list[Stock], list[Finding]]:
    """Saw and stock as they were typed, and every mistake in them."""
    read = [*map(read_stock, stocks), *map(read_offcut, offcuts)]
    usual = ASSUMPTIONS["buy.kerf"].known().value
    widths = [usual if kerf is None else read_width(kerf, "saw cut"), read_width(trim, "trim")]
    wrong = [one for one in (*read, *widths) if isinstance(one, Finding)]
    wide = [0.0 if isinstance(one, Finding) else one for one in widths]
    saw = _Saw(kerf=wide[0], trim=wide[1], assumed=kerf is None)
    return saw, [one for one in read if isinstance(one, Stock)], wrong


# --- telling ----------------------------------------------------------------------------------------------------


def _progress() -> Callable[[str], None] | None:
    if not sys.stderr.isatty():
        return None
    return lambda step: click.echo(f"\r  {step[:_STEP]:<{_STEP}}", err=True, nl=False)


def _wipe() -> None:
    if sys.stderr.isatty():
        click.echo("\r" + " " * (_STEP + 2) + "\r", err=True, nl=False)


def _print(plan: CutPlan, saw: _Saw, file_name: str, display: str) -> None:
    for finding in plan.findings:
        mistake = finding.found or finding.wanted or finding.subject == file_name
        said = render_mistake(finding, file_name) if mistake else render_finding(finding, file_name, display)
        click.echo(said, err=not plan.patterns)
    if not plan.patterns:
        problems = sum(one.severity is Severity.PROBLEM for one in plan.findings)
        click.echo(f"\n{problems} mistake{'s' if problems > 1 else ''}; nothing was cut.", err=True)
        return
    for line in _sums(plan, saw, display):
        click.echo(printable(line))
    click.echo(f"\n  {MEASURED_IN[display]}")
    for number, pattern in enumerate(plan.patterns, 1):
        head = f"  {number:>3}  {pattern.times} x {_stock_name(pattern.stock, display)}:  "
        body = f"{_pieces(pattern, display)};  rest {measured_off(pattern.rest, display, fine=True)}"
        lines = textwrap.wrap(
            printable(head + body),
            _WIDTH,
            subsequent_indent=" " * 9,
            break_long_words=False,
            break_on_hyphens=False,
        )
        click.echo("\n".join(lines))


def _sums(plan: CutPlan, saw: _Saw, display: str) -> list[str]:
    """What is bought, what it comes to, and how well that is known."""
    bought: Counter[str] = Counter()
    for one in plan.patterns:
        bought[_stock_name(one.stock, display)] += one.times
    used = sum(piece.length * one.times for one in plan.patterns for piece in one.pieces)
    whole = sum(one.stock.length * one.times for one in plan.patterns)
    lines = [
        ", ".join(f"{times} x {name}" for name, times in bought.items()),
        f"{plan.sticks} {_plural('stick', plan.sticks)} to buy, {words(Number(plan.length, 'length'), display)}"
        + (f", for {plan.cost:.2f}" if plan.cost is not None else "")
        + f"; {words(Number(1.0 - used / whole, 'share'), display)} of what is cut up is waste",
        f"saw cut {_small(saw.kerf, 'metric' if saw.assumed else display)}"
        + (" (assumed: --kerf)" if saw.assumed else "")
        + (f", {_small(saw.trim, display)} trimmed off each stick" if saw.trim else ""),
    ]  # fmt: skip
    if plan.proved_optimal:
        lines.append(f"proved optimal (by {plan.how})")
    else:
        least = figures(plan.lower_bound, 5)
        of = {
            "cost": least,
            "sticks": f"{least} sticks",
            "length": words(Number(plan.lower_bound, "length"), display),
        }
        lines.append(
            f"within {words(Number(plan.gap, 'share'), display)} of the bound of {of[plan.objective]}"
        )
    return lines


def _stock_name(stock: Stock, display: str) -> str:
    name = stock.name or words(Number(stock.length, "length"), display)
    return f"offcut {name}" if stock.offcut else name


def _pieces(pattern: Pattern, display: str) -> str:
    """Pieces one after the other; those alike, marks and all, once with their number."""
    parts = []
    for one, alike in groupby(pattern.pieces):
        many = len(list(alike))
        said = measured_off(one.length, display, fine=True) + (f" {one.label}" if one.label else "")
        parts.append(f"{many} x {said}" if many > 1 else said)
    return " + ".join(parts)


def _small(length: Metre, display: str) -> str:
    return measured_off(length, display, fine=True) + ("" if display == "US" else " mm")


def _plural(noun: str, count: int) -> str:
    return noun if count == 1 else f"{noun}s"


def _write(svg: Path, plan: CutPlan, title: str, display: str) -> None:
    pages = cut_diagrams(plan, title=title, paper="Letter" if display == "US" else "A4", display=display)
    names = [
        svg.name if len(pages) == 1 else f"{svg.stem}_{number}{svg.suffix}"
        for number in range(1, len(pages) + 1)
    ]
    write_files(svg.parent, {name: to_svg(page) for name, page in zip(names, pages, strict=True)})
