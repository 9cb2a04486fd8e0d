"""Where to turn what off: every tap, valve, plug and board one may have to reach in a hurry, numbered on the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import INK, LINE, PAPER, QUIET, WINE, WOOD
from tankwright.drawing.frame import Frame
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Drawing,
    Group,
    Look,
    Point,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    shifted,
    union,
)
from tankwright.drawing.page import NO_NOTES, Notes, Page, written
from tankwright.drawing.paper import Paper
from tankwright.drawing.plan_view import draw_shell
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.table_sheet import Column, PrintTable, draw_tables, with_foot
from tankwright.room.model import AirRun, FeedRun, Place, PowerRoom, Room

_LIST: Final = 0.38  # of the page's width, for the list beside the plan
_GAP: Final = 6.0
_RING: Final = 3.1  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Shutoff:
    """One thing to turn: what it is, what it stops, how it normally stands. `place` None is where no plan says it."""

    name: str
    stops: str
    normal: str
    place: Place | None


def shutoffs(room: Room) -> tuple[Shutoff, ...]:
    """All of them, water first, then what runs by power, then air."""
    return (*_water(room), *_outfalls(room), *_power(room), *_air(room))


def _water(room: Room) -> Iterator[Shutoff]:
    points: dict[str, list[FeedRun]] = {}
    for run in room.feeds:
        points.setdefault(run.source, []).append(run)
    for source, runs in points.items():
        fed = sum(len(run.outlets) for run in runs)
        names = ", ".join(run.id for run in runs)
        kind = runs[0].source_kind
        stops = f"all water of feed {names}, {fed} outlets" + (
            "; any hose on it too" if kind == "water point" else ""
        )
        yield Shutoff(name=f"{kind} {source}", stops=stops, normal="open", place=runs[0].source_place)
        for run in runs:
            if run.filters:
                last = run.filters[-1].name
                yield Shutoff(
                    name=f"feed {run.id}: {last}", stops=f"feed {run.id} alone, after its filters",
                    normal="shut, opened by its program" if run.programs else "open", place=run.source_place,
                )  # fmt: skip


def _outfalls(room: Room) -> Iterator[Shutoff]:
    for run in room.drains:
        if run.turned_to is not None and run.nodes:
            yield Shutoff(
                name=f"drain {run.id}: turning valve", stops=f"sends its water to {run.turned_to} instead",
                normal=f"to {run.outfall}", place=run.nodes[-1].place,
            )  # fmt: skip


def _power(room: Room) -> Iterator[Shutoff]:
    power = room.power
    if power is None:
        return
    for circuit in power.circuits:
        boards = [board.id for board in power.boards if board.circuit == circuit.id]
        rcd = ", with its residual-current device" if circuit.rcd is not None else ""
        yield Shutoff(
            name=f"breaker {circuit.id}", stops=f"boards {', '.join(boards)}" if boards else "nothing in the plan",
            normal=f"on{rcd}", place=None,
        )  # fmt: skip
    yield from _boards(room, power)


def _boards(room: Room, power: PowerRoom) -> Iterator[Shutoff]:
    racks = {rack.id: rack for rack in room.racks}
    for board in power.boards:
        rack = racks.get(board.rack or "")
        place = None
        if rack is not None:
            x, y, _ = rack.box.middle
            place = (x, y, rack.box.z0 + board.height.value)
        loads = ", ".join(load.name for load in board.loads) or "nothing"
        yield Shutoff(
            name=f"board {board.id}", stops=loads, normal="on, by its switch" if board.switched else "plugged in",
            place=place,
        )  # fmt: skip


def _air(room: Room) -> Iterator[Shutoff]:
    runs: dict[str, list[AirRun]] = {}
    for run in room.airs:
        for name in run.pumps:
            runs.setdefault(name, []).append(run)
    for pump in room.pumps:
        if pump.id not in runs:
            continue
        here = runs[pump.id]
        place = pump.place or next((at for node, at in here[0].nodes if node == here[0].inlet), None)
        yield Shutoff(
            name=f"pump {pump.id}: its plug", stops=f"air of {', '.join(run.id for run in here)}: fish are at risk",
            normal="off, in reserve" if pump.reserve else "running", place=place,
        )  # fmt: skip


def valve_map(
    room: Room, *, paper: Paper = "A3", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The plan with the numbers and the list beside it; a list that is too long there goes on a sheet of its own."""
    things = shutoffs(room)
    title = f"{room.title}: where to turn it off"
    page = Page(
        paper=paper, title=title, notes=notes,
        said=(
            "In danger from electricity touch nothing wet: switch off at the breaker first. Numbers are on the plan; a "
            "letter has no place in it: write it in." + (f" From {plan_name}." if plan_name else ""),
        ),
    )  # fmt: skip
    tags = _tags(things)
    wide = (page.right - page.left) * _LIST
    rows, low = _listed(things, tags, page, page.right - wide, wide)
    apart = low > page.bottom
    area_right = page.right if apart else page.right - wide - _GAP
    plan, scale = _plan(room, things, tags, page, area_right)
    sheet = page.drawn((plan, *(() if apart else rows)), scale=scale, bar=True)
    if not apart:
        return (sheet,)
    table = PrintTable(
        title="what each stops",
        columns=(Column(name="no."), Column(name="what", wrap=60.0), Column(name="stops", wrap=110.0),
                 Column(name="normally", wrap=45.0)),
        rows=tuple((tag, one.name, one.stops, one.normal) for tag, one in zip(tags, things, strict=True)),
    )  # fmt: skip
    return (sheet, *(with_foot(one, notes) for one in draw_tables((table,), title=title, size=page.size)))


def _tags(things: Iterable[Shutoff]) -> tuple[str, ...]:
    """Numbers for what has a place, letters for what has none."""
    tags: list[str] = []
    number = letter = 0
    for one in things:
        if one.place is not None:
            number += 1
            tags.append(f"{number}")
        else:
            round_, rest = divmod(letter, 26)
            tags.append(chr(ord("A") + rest) + (f"{round_}" if round_ else ""))
            letter += 1
    return tuple(tags)


def _listed(
    things: tuple[Shutoff, ...], tags: tuple[str, ...], page: Page, x: float, wide: float
) -> tuple[tuple[Shape, ...], float]:
    shapes: list[Shape] = []
    y = page.top + 4.0
    for tag, one in zip(tags, things, strict=True):
        shapes.extend(_ring((x + _RING, y + 0.6), tag))
        made, y = written(one.name, (x + 9.0, y), wide - 9.0, size=2.8, bold=True)
        shapes.extend(made)
        made, y = written(f"stops: {one.stops}", (x + 9.0, y), wide - 9.0)
        shapes.extend(made)
        made, y = written(f"normally: {one.normal}", (x + 9.0, y), wide - 9.0, colour=QUIET)
        shapes.extend(made)
        y += 2.6
    if not things:
        made, y = written("The plan names nothing to turn off.", (x, y), wide)
        shapes.extend(made)
    return tuple(shapes), y - 2.6


def _ring(centre: Point, tag: str) -> tuple[Shape, ...]:
    size = fitting_size(tag, 2 * _RING - 1.4, most=3.2, bold=True)
    return (
        Circle(centre=centre, radius=_RING, look=Look(fill=PAPER, stroke=WINE, width=0.6)),
        Text(
            at=(centre[0], centre[1] + 0.36 * size),
            text=tag,
            size=size,
            colour=INK,
            anchor="middle",
            bold=True,
        ),
    )


def _plan(
    room: Room, things: tuple[Shutoff, ...], tags: tuple[str, ...], page: Page, right: float
) -> tuple[Group, float]:
    usual = SCALES.get(room.display, SCALES["metric"])
    for scale in usual:
        parts = tuple(_drawn(room, things, tags, scale))
        left, top, far, low = union(tuple(bounds(one) for one in parts))
        if far - left <= right - page.left and low - top <= page.bottom - page.top:
            break
    moved = tuple(shifted(one, page.left - left, page.top - top) for one in parts)
    return Group(parts=moved, id="valves", title="plan with what can be turned off"), scale


def _drawn(room: Room, things: tuple[Shutoff, ...], tags: tuple[str, ...], scale: float) -> Iterator[Shape]:
    west = min((space.box.x0 for space in room.spaces), default=0.0)
    north = max((space.box.y1 for space in room.spaces), default=0.0)
    frame = Frame(left=0.0, top=0.0, west=west, north=north, scale=scale)
    yield from draw_shell(room, frame, named=False)
    taken: list[Bounds] = []
    for rack in room.racks:
        x, y, wide, tall = frame.corner(rack.box)
        yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=WOOD, stroke=LINE, width=0.3))
        upright = tall > wide
        upright = tall > wide
        size = fitting_size(rack.id, max(wide, tall) * 0.3, most=min(4.0, min(wide, tall) * 0.6))
        aside = 0.36 * size  # at the beginning of its front: a board is drawn in its middle
        at = (x + wide / 2 + aside, y + tall * 0.82) if upright else (x + wide * 0.18, y + tall / 2 + aside)
        name = Text(
            at=at, text=rack.id, size=size, colour=QUIET, anchor="middle", turn=270.0 if upright else 0.0
        )
        taken.append(bounds(name))
        yield name
    for tag, one in zip(tags, things, strict=True):
        if one.place is None:
            continue
        spot = frame.at(one.place[0], one.place[1])
        centre = _free(spot, taken)
        taken.append((centre[0] - _RING, centre[1] - _RING, centre[0] + _RING, centre[1] + _RING))
        yield line(spot, centre, Look(stroke=WINE, width=0.3))
        yield Circle(centre=spot, radius=0.7, look=Look(fill=WINE))
        yield Group(parts=_ring(centre, tag), title=f"{tag}: {one.name}")


def _free(spot: Point, taken: list[Bounds]) -> Point:
    """The nearest place about a spot where a ring hides nothing written."""
    x, y = spot
    need = _RING + 0.3
    for step in range(2, 14):
        far = 2.6 * step
        for dx, dy in ((0.7, -0.7), (0.7, 0.7), (-0.7, -0.7), (-0.7, 0.7), (1, 0), (-1, 0), (0, 1), (0, -1)):
            cx, cy = x + dx * far, y + dy * far
            box = (cx - need, cy - need, cx + need, cy + need)
            if not any(
                min(box[2], one[2]) > max(box[0], one[0]) and min(box[3], one[3]) > max(box[1], one[1])
                for one in taken
            ):
                return cx, cy
    return x, y


__all__ = ["Shutoff", "shutoffs", "valve_map"]
