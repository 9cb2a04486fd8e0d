"""The air as a schematic: pump, lead, the ring unrolled with numbered taps, what each tank gets, how it is set."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import TEAL
from tankwright.drawing.model import Drawing, Look
from tankwright.drawing.page import NO_NOTES, Notes, Page
from tankwright.drawing.paper import Paper
from tankwright.drawing.pipes_view import AIR_DASH
from tankwright.drawing.schematic import Block, Hanging, schematic
from tankwright.finding import Number
from tankwright.room.model import AirRun, Room, TapPlace
from tankwright.study import Study
from tankwright.systems.air import AirRunResult
from tankwright.systems.air_model import TapAir
from tankwright.units import Metre

_RING: Final = Look(stroke=TEAL, width=0.7, dash=AIR_DASH)


def air_schematics(
    study: Study, *, paper: Paper = "A3", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The sheets of every air run of a study."""
    results = {one.run: one for one in study.air.runs} if study.air is not None else {}
    return tuple(
        sheet
        for run in study.room.airs
        for sheet in _sheets(study.room, run, results.get(run.id), paper, plan_name, notes)
    )


def _sheets(
    room: Room, run: AirRun, result: AirRunResult | None, paper: Paper, plan_name: str, notes: Notes
) -> Iterator[Drawing]:
    known = {one.tap: one for one in result.taps} if result is not None else {}
    how = (
        "NOT to scale; taps in their order along the pipe; under each tank: water over its diffuser, air expected as "
        "the taps stand in the plan, air wanted, and the tap's setting: the share of its full way that gives what is "
        "wanted"
    )
    if result is None:
        how = "NOT to scale; flows were NOT COMPUTED; taps in their order along the pipe"
    page = Page(
        paper=paper, notes=notes, title=f"{room.title}: air run {run.id}, schematic",
        said=(how + (f"; from {plan_name}" if plan_name else ""),),
    )  # fmt: skip
    ends = "back to its beginning: a closed ring" if run.closed_ring else "capped"
    hanging = tuple(_taps(run, known, room.display))
    yield from schematic(page, _head(room, run, result), hanging, look=_RING, ends=ends, about=how)


def _head(room: Room, run: AirRun, result: AirRunResult | None) -> list[Block]:
    def w(value: float, dimension: str) -> str:
        return words(Number(value, dimension), room.display)

    works = {one.pump: one for one in result.pumps} if result is not None else {}
    pumps = {one.id: one for one in room.pumps}
    blocks = []
    for name in run.pumps:
        pump, work = pumps.get(name), works.get(name)
        lines = (
            [f"works at {w(work.pressure, 'pressure')}", f"gives {w(work.flow, 'air_flow')}"] if work else []
        )
        if pump is not None:
            lines.append(
                "reserve, off" if pump.reserve else f"{w(pump.height.value, 'length')} above the floor"
            )
        blocks.append(Block(name=f"pump {name}", lines=tuple(lines)))
    lead = _lead(run)
    blocks.append(Block(name="lead", lines=(f"{w(lead, 'length')} to the first tap",)))
    if run.relief is not None:
        blocks.append(Block(name="relief valve", lines=(f"opens at {w(run.relief.value, 'pressure')}",)))
    lines = [f"{w(sum(pipe.length for pipe in run.pipes) - lead, 'length')}"]
    if run.pipe:
        lines.append(run.pipe)
    if result is not None:
        lines.append(f"{w(result.total_flow, 'air_flow')} in all")
        if result.bleed > 0.0:
            lines.append(f"let off {w(result.bleed, 'air_flow')} once set")
    blocks.append(Block(name="ring" if run.closed_ring else "header", lines=tuple(lines)))
    return blocks


def _lead(run: AirRun) -> Metre:
    """Length of pipe from the pump to where the first tap or the first branch is."""
    taps = {tap.node for tap in run.taps}
    node, length, came = run.inlet, 0.0, ""
    for _ in run.pipes:
        here = [pipe for pipe in run.pipes if node in (pipe.start, pipe.end) and pipe.id != came]
        if node in taps or len(here) != 1:
            return length
        (pipe,) = here
        length, came = length + pipe.length, pipe.id
        node = pipe.end if pipe.start == node else pipe.start
    return length


def _taps(run: AirRun, known: dict[str, TapAir], display: str) -> Iterator[Hanging]:
    """Every tap with a tank or left open; those shut one after another as one."""
    shut: list[int] = []
    for number, tap in enumerate(run.taps, start=1):
        if tap.tank is None and not tap.open:
            shut.append(number)
            continue
        yield from _shut(shut)
        shut = []
        yield _tap(number, tap, known.get(tap.id), display)
    yield from _shut(shut)


def _shut(numbers: list[int]) -> Iterator[Hanging]:
    if numbers:
        first, last = numbers[0], numbers[-1]
        name = f"{first}" if first == last else f"{first}–{last}"
        yield Hanging(number=name, state="shut", lines=("spare,", "closed"))


def _tap(number: int, tap: TapPlace, known: TapAir | None, display: str) -> Hanging:
    def w(value: float, dimension: str) -> str:
        return words(Number(value, dimension), display)

    if tap.tank is None:
        lines = ("spare, OPEN", w(known.flow, "air_flow") if known is not None else "")
        return Hanging(number=f"{number}", state="spare", lines=lines)
    told = [f"depth {w(tap.water_depth, 'length')}"]
    if not tap.open:
        told.append("closed")
    if known is not None and tap.open:
        told.append(f"gets {w(known.flow, 'air_flow')}")
    if tap.flow_wanted is not None:
        told.append(f"of {w(tap.flow_wanted.value, 'air_flow')}")
    if known is not None and tap.open:
        told.append(f"SET {w(known.opening, 'share')}" if known.opening is not None else "full: too little")
    return Hanging(number=f"{number}", state="open" if tap.open else "shut", tank=tap.tank, lines=tuple(told))


__all__ = ["air_schematics"]
