"""Power: what hangs on what, how much it draws, and what stops when something goes off. An electrician decides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from tankwright.drawing.screen import draw_screen
from tankwright.drawing.trips import Loss, draw_trip, losses
from tankwright.room.model_power import BoardPlace, CircuitPlace, LoadPlace, PowerRoom
from tankwright.systems.power import BoardDraw, CircuitDraw, PowerResult, Stop
from tankwright.web.drawings import Drawn, Swatch
from tankwright.web.page import Page, View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.opened import Opened

MONTH_DAYS = 30  # our month, so that months can be compared; no source


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    """One load of a board with what it uses in a day, in joules."""

    place: LoadPlace
    energy: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRow:
    """One board with its loads. `over` is its sockets over the highest wet joint of its rack, None if not known."""

    place: BoardPlace
    draw: BoardDraw
    loads: tuple[LoadRow, ...]
    over: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitRow:
    """One circuit with its boards."""

    place: CircuitPlace
    draw: CircuitDraw
    boards: tuple[BoardRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceRow:
    """A protective device and the circuits that go off with it."""

    draw: CircuitDraw
    circuits: tuple[CircuitRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """What stops with the chosen thing: by kind the tanks that lose all of it, and those that lose a part."""

    stop: Stop
    by_kind: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]
    unnamed: tuple[str, ...]
    drawing: Drawn | None


def show(view: View) -> Mapping[str, object]:
    """The tree of the supply, and what stops with the thing the URL chooses: the first device without a choice."""
    room, study = view.room, view.study
    result = study.power if study is not None else None
    if room is None or room.power is None or result is None or not result.described:
        return {"power": None, "unpowered": result.unpowered if result is not None else ()}
    place = room.power
    asked = view.query.get("trips", "")
    stop = _chosen(result, asked)
    loose = tuple(row for row in _boards(place, result) if row.draw.device == "")
    return {
        "power": result, "voltage": place.voltage, "month": MONTH_DAYS, "unpowered": result.unpowered,
        "devices": tuple(_devices(place, result)), "boards": tuple(_boards(place, result)), "loose": loose,
        "stops": tuple((kind, tuple((one, name_of(result, one)) for one in result.stops if one.kind == kind))
                       for kind in ("device", "breaker", "board")),
        "trip": _trip(view, result, stop) if stop is not None else None,
        "lost": asked if asked and stop is None else "",
        "fields": tuple(_fields(view, place)),
    }  # fmt: skip


def name_of(result: PowerResult, stop: Stop) -> str:
    """The name a stop has in the address: its own, with its kind before it where another has that name too."""
    first = next(one for one in _in_order(result) if one.id == stop.id)
    return stop.id if first is stop else f"{stop.kind}:{stop.id}"


def _in_order(result: PowerResult) -> tuple[Stop, ...]:
    order = ("device", "breaker", "board")
    return tuple(sorted(result.stops, key=lambda one: order.index(one.kind)))


def _chosen(result: PowerResult, asked: str) -> Stop | None:
    stops = _in_order(result)
    if not asked:
        return stops[0] if stops else None
    return next(
        (one for one in stops if name_of(result, one) == asked or f"{one.kind}:{one.id}" == asked), None
    )


def _boards(place: PowerRoom, result: PowerResult) -> Iterator[BoardRow]:
    for board, draw in zip(place.boards, result.boards, strict=True):
        yield BoardRow(
            place=board, draw=draw, over=None if draw.highest_wet is None else draw.height - draw.highest_wet,
            loads=tuple(
                LoadRow(place=load, energy=load.power.value * load.count * load.hours * 3600.0)
                for load in board.loads
            ),
        )  # fmt: skip


def _devices(place: PowerRoom, result: PowerResult) -> Iterator[DeviceRow]:
    boards = tuple(_boards(place, result))
    circuits = [
        CircuitRow(
            place=circuit, draw=draw, boards=tuple(row for row in boards if row.draw.circuit == circuit.id)
        )
        for circuit, draw in zip(place.circuits, result.circuits, strict=True)
    ]
    for device in result.devices:
        yield DeviceRow(
            draw=device, circuits=tuple(row for row in circuits if row.draw.device == device.circuit)
        )


def _trip(view: View, result: PowerResult, stop: Stop) -> Trip:
    lost = losses(result, stop)
    by_kind: list[tuple[str, tuple[str, ...], tuple[str, ...]]] = []
    for what, tanks in sorted(stop.does, key=lambda one: one[0] != "air"):
        part = tuple(tank for tank in tanks if Loss(what=what, part=True) in lost.get(tank, ()))
        by_kind.append((what, tuple(tank for tank in tanks if tank not in part), part))

    def make(opened: Opened) -> Drawn | None:
        if opened.room is None:
            return None
        results = draw_trip(view.results("power"), opened.room, result, stop)
        drawn = draw_screen(
            opened.room, results, link=lambda name: view.url("/", at=name, layer="power"), movable=False
        )
        legend = tuple(
            Swatch(swatch=Markup(item.swatch), words=item.words) for item in drawn.legend
            if item.words != "no data"
        )  # fmt: skip
        return Drawn(plan=Markup(drawn.plan), fronts=Markup(drawn.fronts), about=drawn.about, legend=legend)

    drawing = view.made_once.keep(view.snapshot, ("trip", stop.kind, stop.id, view.display), make)
    unnamed = tuple(what for what, tanks in stop.does if not tanks)
    return Trip(stop=stop, by_kind=tuple(by_kind), unnamed=unnamed, drawing=drawing)


def _fields(view: View, place: PowerRoom) -> Iterator[tuple[str, str, tuple[SheetField, ...]]]:
    """Groups of values of the plan: (kind, name, fields)."""
    voltage = view.words(place.voltage.value, "voltage") if place.voltage.is_assumed else ""
    share = view.words(place.continuous_share.value, "share") if place.continuous_share.is_assumed else ""
    yield "supply", "", (
        SheetField(pointer="/power/voltage", label="Voltage", assumed=voltage),
        SheetField(pointer="/power/continuous_share", label="Share of a rating to load for hours", assumed=share),
    )  # fmt: skip
    for circuit in place.circuits:
        here = ("power", "circuits", circuit.id)
        yield "circuit", circuit.id, (
            SheetField(pointer=to_pointer((*here, "breaker")), label="Breaker"),
            SheetField(pointer=to_pointer((*here, "rcd")), label="Residual-current device trips at"),
            SheetField(pointer=to_pointer((*here, "device")), label="Shares the device",
                       help="the same name elsewhere: both go off"),
        )  # fmt: skip
    plan = view.snapshot.read.plan
    said = plan.power.boards if plan is not None and plan.power is not None else ()
    places = {board.id: number for number, board in reversed(list(enumerate(said)))}
    for board in place.boards:
        if board.id not in places:
            continue
        at = ("power", "boards", places[board.id])
        rating = view.words(board.rating.value, "current") if board.rating.is_assumed else ""
        height = view.words(board.height.value, "length") if board.height.is_assumed else ""
        fields = [
            SheetField(pointer=to_pointer((*at, "circuit")), label="Hangs on",
                       choices=tuple(one.id for one in place.circuits)),
            SheetField(pointer=to_pointer((*at, "rating")), label="Rating", assumed=rating),
            SheetField(pointer=to_pointer((*at, "height")), label="Height of its sockets", assumed=height),
            SheetField(pointer=to_pointer((*at, "drip_loop")), label="Cords hang lower than the sockets",
                       choices=("true", "false")),
        ]  # fmt: skip
        for number, load in enumerate(board.loads):
            fields += [
                SheetField(pointer=to_pointer((*at, "loads", number, "power")), label=f"{load.name}, each"),
                SheetField(pointer=to_pointer((*at, "loads", number, "hours")), label=f"{load.name}, hours a day",
                           assumed=view.words(load.hours, "number")),
            ]  # fmt: skip
        yield "board", board.id, tuple(fields)


PAGE = Page(
    name="power",
    path="/power",
    title="Power",
    template="power.html",
    show=show,
    group="system",
    layer="power",
)
