"""Before anything stands: orders and their ways, the room measured, cables, insulation, barrier, floor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.building.model import Task, Wait
from tankwright.building.tasks_shared import Work, after, rests
from tankwright.finding import Number
from tankwright.room.model import Space
from tankwright.room.model_climate import SpaceClimate, Surface
from tankwright.units import Metre, SquareMetre

INSULATES: Final = 0.06
"""W/(m K) under which a layer counts as insulation that somebody has to put up. Common practice, no source."""
_DEEPEST: Final[Metre] = 0.30  # a layer inside of more than this is a wall that stands, not one to be lined

# What is ordered together: id, what it is, the words of [build].deliveries that mean it.
_ORDERS: Final = (
    ("tanks", "tanks", ("tank", "tanks", "aquarium")),
    ("glass", "glass cut to size, and silicone", ("glass", "panes")),
    ("timber", "timber, boards, foam and screws for the racks", ("timber", "wood", "racks", "board", "screw")),
    ("pipes", "pipe, fittings, bulkheads, hose and cement", ("pipe", "pipes", "fitting", "fittings", "bulkhead",
    "hose", "clip", "glue")),
    ("air", "air pump, taps, tube and diffusers", ("air", "pump", "pumps", "tap", "taps", "tube", "diffuser")),
    ("feed", "filters, valve and feed outlets", ("feed", "filter", "filters", "dripper", "valve")),
    ("power", "boards, lights, heaters and machines", ("power", "board outlet", "light", "lights", "heater", "machine",
    "cable", "plug", "sensor")),
    ("electrician", "the electrician", ("electrician", "appointment")),
    ("shell", "insulation, vapour barrier, linings and floor paint", ("insulation", "sheet", "paint", "shell")),
)  # fmt: skip


_ORDER: Final = (
    "Order what the parts list has for it, spares with it. Count and measure on arrival, before anything is cut: a "
    "fitting is tried on its pipe, a bulkhead measured before a hole is drilled for it."
)
_CAME: Final = "All that came is whole, and is what was ordered: sizes, threads, standards."
_CALL: Final = (
    "Send the circuit schedule with the plan of the room, and ask for a day before the walls are lined."
)


def order_tasks(work: Work) -> Iterator[Task]:
    """An order for each kind of shop, each with its way to the door."""
    wanted = _wanted(work)
    for name, words, _ in _ORDERS:
        if name not in wanted:
            continue
        wait, given = _delivery(work, name)
        comes = "build.appointment" if name == "electrician" else "build.delivery"
        yield Task(
            id=f"order.{name}", group="order", title=_title(work, name, words), labour=work.hours(("build.order", 1)),
            how=_CALL if name == "electrician" else _ORDER, hold_point="" if name == "electrician" else _CAME,
            after=after(*(f"survey:{space.id}" for space in work.room.spaces)) if name in {"glass", "timber"} else (),
            wait=wait, materials=_articles(work, name),
            rests_on=rests(work, "build.order", *(() if given else (comes,))),
        )  # fmt: skip


def _title(work: Work, name: str, words: str) -> str:
    if name == "electrician":
        return "Ask the electrician to come"
    if name == "shell" and not any(_insulated_area(work, space.id) for space in work.room.spaces):
        return "Order filler, sealer and paint for the floor"
    return f"Order {words}"


def _insulated_area(work: Work, space: str) -> SquareMetre:
    return insulated_area(work.room.climate.space(space)) if work.room.climate else 0.0


def shell_tasks(work: Work) -> Iterator[Task]:
    """The room itself, for each space in turn."""
    for space in work.room.spaces:
        yield from _space(work, space)


def floor_ready(space: str) -> str:
    """The task after which racks may stand on the floor of a space and cover its walls."""
    return f"floor.coat2:{space}"


def cables(work: Work) -> tuple[str, ...]:
    """The tasks of the electrician before walls are lined."""
    return tuple(f"power.cables:{space.id}" for space in work.room.spaces if _circuits(work, space.id))


def _wanted(work: Work) -> frozenset[str]:
    room = work.room
    return frozenset(
        name
        for name, is_wanted in (
            ("tanks", any(work.is_bought(tank) for tank in work.tanks)),
            ("glass", bool(_articles(work, "glass")) or any(work.is_glued(tank) for tank in work.tanks)),
            ("timber", bool(room.racks)),
            ("pipes", bool(room.drains or room.airs or room.feeds)),
            ("air", bool(room.airs)),
            ("feed", bool(room.feeds)),
            ("power", room.power is not None or room.climate is not None),
            ("electrician", bool(cables(work))),
            ("shell", bool(room.spaces)),
        )
        if is_wanted
    )


def _delivery(work: Work, name: str) -> tuple[Wait, bool]:
    """The way of an order: the longest that the plan says of anything in it; True when it says one."""
    takes = [one.takes.value for one in work.build.deliveries if order_of(work, one.what) == name]
    if takes:
        longest = max(takes)
        return Wait(value=longest, least=longest, most=longest, why="on its way"), True
    if name == "electrician":
        return work.wait("build.appointment", "until the electrician comes"), False
    return work.wait("build.delivery", "on its way"), False


def _articles(work: Work, name: str) -> tuple[str, ...]:
    """What the takeoff has to buy of the kinds that this order brings, spares too."""
    if work.takeoff is None:
        return ()
    kinds = next(said for order, _, said in _ORDERS if order == name)
    bought = {need.article for need in work.takeoff.needs if need.state == "to buy"}
    there = {need.article for need in work.takeoff.needs} - bought
    return tuple(
        sorted(one.key for one in work.takeoff.articles if one.kind in kinds and one.key not in there)
    )


def order_of(work: Work, what: str) -> str:
    """The order that brings what a plan calls so, a kind of part or an article by its name; "" when none does."""
    words = {" ".join(what.casefold().split())}
    if work.takeoff is not None:
        words |= {one.kind for one in work.takeoff.articles if one.key.casefold() in words}
    return next((name for name, _, said in _ORDERS if words & {name, *said}), "")


def _space(work: Work, space: Space) -> Iterator[Task]:
    name = space.id
    yield Task(
        id=f"survey:{name}", group="shell", title=f"Measure and mark the {name}", places=(name,),
        labour=work.hours(("build.survey", 1)),
        how="Mark every rack on the floor and every pipe on the wall. Put a long level or a water hose on the floor "
        "and write its height at each foot of each rack. Try the doors with the largest tank's size cut from "
        "cardboard.",
        hold_point="The marked racks clear doors, chimney, pipes and meter; heights of the floor are written down.",
        rests_on=rests(work, "build.survey"),
    )  # fmt: skip
    before = f"survey:{name}"
    circuits = _circuits(work, name)
    if circuits:
        before = f"power.cables:{name}"
        yield Task(
            id=before, group="power", title=f"Electrician: cables and fixed sockets of the {name}", places=(name,),
            labour=work.hours(("build.electrician", circuits)), licensed=True, people=0,
            after=after(f"survey:{name}", "order.electrician"),
            how="Whoever may do it where you live lays the circuits of the schedule, each with its protection, before "
            "walls are lined and racks stand before them. Have it show where cables run, and take a photograph.",
            hold_point="The licensed person's test sheet is in the hand; photographs of every cable are taken.",
            source="screening only: local code and the licensed person decide", rests_on=rests(work,
            "build.electrician"),
        )  # fmt: skip
    area = _insulated_area(work, name)
    if area > 0:
        yield _insulated(work, name, area, before)
        yield _lined(work, name, area)
        before = f"shell.line:{name}"
    yield from _floor(work, space, before)


def insulated_area(climate: SpaceClimate | None) -> SquareMetre:
    """Area of walls, roof and floor that have a layer of insulation near their inner face."""
    return 0.0 if climate is None else sum(one.area for one in climate.surfaces if _is_insulated(one))


def _is_insulated(surface: Surface) -> bool:
    depth = 0.0
    for layer in surface.layers:
        if layer.conductivity.value < INSULATES:
            return depth < _DEEPEST
        depth += layer.thickness
    return False


def _circuits(work: Work, space: str) -> int:
    """Circuits that end in a space: those of boards on its racks, and in the first space those of no rack."""
    if work.room.power is None:
        return 0
    at_home = space == work.room.spaces[0].id
    racks = {rack.id: rack.room for rack in work.room.racks}
    boards = work.room.power.boards
    named = {one.circuit for one in boards if racks.get(one.rack or "") == space}
    rest = {one.id for one in work.room.power.circuits} - {one.circuit for one in boards if one.rack in racks}
    return len(named | rest if at_home else named)


def _insulated(work: Work, name: str, area: SquareMetre, before: str) -> Task:
    return Task(
        id=f"shell.insulate:{name}", group="shell", title=f"Insulate the {name}", places=(name,),
        labour=work.hours(("build.insulate", area)), after=after(before, "order.shell"),
        how="{area} by the plan. Cut tight, foam the edges, leave no gap behind which damp air can pass. Cables stay "
        "in their duct on the warm side.",
        hold_point="No gap lets a strip of paper through; photographs are taken before it is covered.",
        numbers=(("area", Number(area, "area")),), materials=work.articles("shell", (name,)), rests_on=rests(work,
        "build.insulate"),
    )  # fmt: skip


def _lined(work: Work, name: str, area: SquareMetre) -> Task:
    return Task(
        id=f"shell.line:{name}", group="shell", title=f"Vapour barrier and lining of the {name}", places=(name,),
        labour=work.hours(("build.line", area)), after=after(f"shell.insulate:{name}"),
        how="The barrier on the warm side, laps and edges taped, every cable through a sleeve. Boards over it, with "
        "solid wood behind where racks are tied and pipes are hung.",
        hold_point="A smoking match held to every lap and socket is not drawn: the barrier is whole before racks "
        "hide it.",
        rests_on=rests(work, "build.line"),
    )  # fmt: skip


def _floor(work: Work, space: Space, before: str) -> Iterator[Task]:
    name = space.id
    area = (space.box.x1 - space.box.x0) * (space.box.y1 - space.box.y0)
    labour = work.hours(("build.paint", area))
    yield Task(
        id=f"floor.coat1:{name}", group="floor", title=f"Clean, fill and seal the floor of the {name}", places=(name,),
        labour=labour, after=after(*dict.fromkeys((before, f"survey:{name}", "order.shell"))),
        how="Swept, degreased, cracks and pipe holes filled, the first coat from the far corner to the door, up the "
        "wall by a hand. It smells: open the door, keep flames out.",
        wait=work.wait("build.paint_dry", "the first coat dries"), rests_on=rests(work, "build.paint",
        "build.paint_dry"),
    )  # fmt: skip
    yield Task(
        id=floor_ready(name), group="floor", title=f"Second coat on the floor of the {name}", places=(name,),
        labour=labour, after=after(f"floor.coat1:{name}"),
        how="The last coat. Nobody walks on it until it is dry, nothing heavy stands on it until it is hard.",
        wait=work.wait("build.paint_hard", "the floor hardens until it bears a rack"),
        hold_point="A thumbnail leaves no mark; a bucket of water poured out runs where the plan says, and not under "
        "a wall.",
        rests_on=rests(work, "build.paint", "build.paint_hard"),
    )  # fmt: skip


def order_words() -> tuple[str, ...]:
    """What orders are called in a plan.

    >>> "glass" in order_words()
    True
    """
    return tuple(name for name, _, _ in _ORDERS)
