"""The feed as a schematic: source, filters, valve, manifold, and every outlet with what it gives."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import TEAL
from tankwright.drawing.model import Drawing, Look
from tankwright.drawing.page import NO_NOTES, Notes, Page
from tankwright.drawing.paper import Paper
from tankwright.drawing.pipes_view import FEED_DASH
from tankwright.drawing.schematic import Block, Hanging, schematic
from tankwright.finding import Number
from tankwright.room.model import FeedOutletPlace, FeedRun, Room
from tankwright.study import Study
from tankwright.systems.feed_model import FeedRunResult
from tankwright.units import Metre

_MANIFOLD: Final = Look(stroke=TEAL, width=0.8, dash=FEED_DASH, round_ends=True)


def feed_schematics(
    study: Study, *, paper: Paper = "A3", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The sheets of every feed of a study."""
    results = {one.run: one for one in study.feed.runs} if study.feed is not None else {}
    return tuple(
        sheet
        for run in study.room.feeds
        for sheet in _sheets(study, run, results.get(run.id), paper, plan_name, notes)
    )


def _sheets(
    study: Study, run: FeedRun, result: FeedRunResult | None, paper: Paper, plan_name: str, notes: Notes
) -> Iterator[Drawing]:
    room = study.room
    kinds = ", ".join(dict.fromkeys(outlet.kind for outlet in run.outlets))
    how = (
        f"NOT to scale; outlets ({kinds}) rack by rack, the rack nearest to the source first; under each tank: what is "
        "expected with everything open, as a share of the outlet's own rate, and what the tank gets in a day"
    )
    if result is None:
        how = f"NOT to scale; flows were NOT COMPUTED; outlets ({kinds}) rack by rack"
    page = Page(
        paper=paper, notes=notes, title=f"{room.title}: feed {run.id}, schematic",
        said=(how + (f"; from {plan_name}" if plan_name else ""),),
    )  # fmt: skip
    hanging = tuple(_outlets(study, run, result))
    yield from schematic(
        page, _head(room, run, result), hanging, look=_MANIFOLD, ends="capped, or its flush", about=how
    )


def _head(room: Room, run: FeedRun, result: FeedRunResult | None) -> list[Block]:
    def w(value: float, dimension: str) -> str:
        return words(Number(value, dimension), room.display)

    lines = [w(result.source_pressure, "pressure")] if result is not None else []
    if run.vat_volume is not None:
        lines.append(w(run.vat_volume.value, "volume"))
    blocks = [Block(name=f"{run.source_kind} {run.source}", lines=tuple(lines))]
    if run.pump is not None:
        blocks.append(Block(name=f"pump {run.pump}"))
    if run.check_valve:
        blocks.append(Block(name="check valve", lines=("arrow with the flow",)))
    for one in run.filters:
        lines = [f"loses {w(one.loss.value, 'pressure')} at {w(one.at_flow.value, 'flow')}"]
        blocks.append(Block(name=one.name, lines=tuple(lines)))
    if run.regulated_to is not None:
        held = (
            "" if result is None else "holds" if result.regulated else "does not hold: too little before it"
        )
        blocks.append(
            Block(name="regulator", lines=(f"set to {w(run.regulated_to.value, 'pressure')}", held))
        )
    lines = [run.pipe] if run.pipe else []
    if result is not None:
        lines += [
            f"{w(result.inlet_pressure, 'pressure')} at its inlet",
            f"{w(result.total_flow, 'flow')} in all",
        ]
    for one_run in run.programs[:2]:
        lines.append(f"{w(one_run.start, 'clock')} for {w(one_run.duration, 'duration')}")
    blocks.append(Block(name="manifold", lines=tuple(lines)))
    return blocks


def _outlets(study: Study, run: FeedRun, result: FeedRunResult | None) -> Iterator[Hanging]:
    room = study.room
    racks = {tank.id: tank.rack for tank in room.tanks}
    far = _distances(run)
    groups: dict[str, list[FeedOutletPlace]] = {}
    for outlet in run.outlets:
        groups.setdefault(racks.get(outlet.tank, ""), []).append(outlet)
    known = {one.outlet: one for one in result.outlets} if result is not None else {}
    daily = {one.tank: one.volume_a_day for one in study.feed.tanks} if study.feed is not None else {}

    def w(value: float, dimension: str) -> str:
        return words(Number(value, dimension), room.display)

    number = 0
    for rack, outlets in sorted(groups.items(), key=lambda one: min(far.get(o.node, 0.0) for o in one[1])):
        first = True
        for outlet in sorted(outlets, key=lambda one: far.get(one.node, 0.0)):
            number += 1
            found = known.get(outlet.id)
            lines = (
                [w(found.flow, "flow"), w(found.ratio, "share")] if found is not None else ["not computed"]
            )
            if outlet.tank in daily and found is not None:
                lines.append(f"{w(daily[outlet.tank], 'volume')} a day")
            yield Hanging(
                number=f"{number}", state="open", tank=outlet.tank, lines=tuple(lines),
                over=f"rack {rack}" if first and rack else "",
            )  # fmt: skip
            first = False


def _distances(run: FeedRun) -> dict[str, Metre]:
    """Length of pipe from the inlet to each node, by the way first found."""
    far = {run.inlet: 0.0}
    waiting = [run.inlet]
    ways: dict[str, list[tuple[str, Metre]]] = {}
    for pipe in run.pipes:
        ways.setdefault(pipe.start, []).append((pipe.end, pipe.length))
        ways.setdefault(pipe.end, []).append((pipe.start, pipe.length))
    while waiting:
        node = waiting.pop(0)
        for other, length in ways.get(node, ()):
            if other not in far:
                far[other] = far[node] + length
                waiting.append(other)
    return far


__all__ = ["feed_schematics"]
