"""Drain, air and feed: dry-fitted, glued, tried, and then what hangs on them at each rack."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from tankwright.building.model import After, Task
from tankwright.building.tasks_racks import stands
from tankwright.building.tasks_shared import Work, after, cement_waits, is_cemented, rests, several
from tankwright.building.tasks_tanks import placed
from tankwright.building.waits import CEMENT_SOURCE
from tankwright.finding import Number
from tankwright.room.model import AirRun, DrainRun, FeedRun
from tankwright.units import Metre

AIR_TEST: Final = (
    "Never a compressor, and never its tyre chuck: air pressed into a plastic pipe stores energy, and a joint that "
    "lets go throws pieces. The room's own low-pressure pump only."
)
AIR_SOURCE: Final = (
    "ASTM D2855 warns that testing with air stores dangerous energy and that some makers forbid it; "
)
"common practice"
_STOCK: Final[Metre] = 3.0  # a joint at least every so many metres: lengths as they come up a cellar stair
_CEMENT: Final = ("build.temperature", "build.humidity")


def pipe_tasks(work: Work) -> Iterator[Task]:
    """Every drain, ring and feed, and what of them is done rack by rack."""
    for drain in work.room.drains:
        yield from _drain(work, drain)
    for air in work.room.airs:
        yield from _air(work, air)
    for feed in work.room.feeds:
        yield from _feed(work, feed)
    for rack in work.room.racks:
        yield from _at_rack(work, rack.id)


def at_rack(work: Work, rack: str) -> tuple[str, ...]:
    """The tasks after which a rack has its drain, air and water."""
    return tuple(task.id for task in _at_rack(work, rack))


def _drain(work: Work, run: DrainRun) -> Iterator[Task]:
    length = max((node.chainage for node in run.nodes), default=0.0)
    joints = len(run.nodes) + math.floor(length / _STOCK)
    sets, wait, _ = cement_waits(work, run.pipe, run.bore)
    racks = _racks_of(work, {tank for node in run.nodes for tank in node.tanks})
    fall = (("fall", Number(run.fall.value, "slope")),)
    dry, glued = f"drain.fit:{run.id}", f"drain.glue:{run.id}"
    yield Task(
        id=dry, group="drain", title=f"Drain {run.id}: hang it and fit it dry", places=(run.id,),
        labour=work.hours(("build.hang_pipe", length), ("build.joint", joints / 2)),
        after=after("order.pipes", *(stands(rack) for rack in racks)),
        how="From the outfall upwards, with a fall of {fall} all along. Nothing is glued: every piece in its place, "
        "every branch turned to its tank, a line drawn across each joint so that it finds its turn again.",
        hold_point="A level shows the fall at every clip; no piece is missing; a marble let in at the top comes out "
        "below.",
        numbers=fall, materials=work.articles("drain", (run.id,)), rests_on=rests(work, "build.hang_pipe",
        "build.joint"),
    )  # fmt: skip
    yield Task(
        id=glued, group="drain", title=f"Drain {run.id}: {_joined(run.pipe)} from the outfall upwards",
        places=(run.id,),
        labour=work.hours(("build.joint", joints / 2)), after=after(dry), sets=sets, wait=wait,
        how="One joint at a time from the outfall upwards: cleaned, primed where the tin says so, a full turn of "
        "cement on both, pushed home to its line, held. Windows open, no flame. A joint that is moved while it sets "
        "is cut out.",
        hold_point="Every line meets; an even bead of cement shows all round.", source=CEMENT_SOURCE,
        rests_on=rests(work, "build.joint", *(_CEMENT if is_cemented(run.pipe) else ())),
    )  # fmt: skip
    yield Task(
        id=f"drain.test:{run.id}", group="drain", title=f"Drain {run.id}: water test", places=(run.id,),
        labour=work.hours(("build.trial", 0.5)), after=after(glued),
        how="Stop the outfall, fill the pipe to its branches, wait a quarter of an hour; then let it go, and pour a "
        "bucket in at the far end.",
        hold_point="No joint is wet to dry paper; the bucket is out in the time that the test sheet gives; nothing "
        "gurgles or stands in the pipe afterwards.",
        rests_on=rests(work, "build.trial"),
    )  # fmt: skip


def _air(work: Work, run: AirRun) -> Iterator[Task]:
    length = sum(pipe.length for pipe in run.pipes)
    # taps sit in the pipe; joints are where lengths meet, at corners and branches
    joints = max(2, len(run.pipes) - len(run.taps)) + math.floor(length / _STOCK)
    pipe = max(run.pipes, key=lambda one: one.bore.value, default=None)
    racks = _racks_of(work, {tap.tank for tap in run.taps if tap.tank})
    glued = f"air.glue:{run.id}"
    sets, wait, _ = cement_waits(work, run.pipe, run.height if pipe is None else pipe.bore)
    yield Task(
        id=glued, group="air", title=f"Air {run.id}: hang the pipe, fit it dry, {_joined(run.pipe)}", places=(run.id,),
        labour=work.hours(("build.hang_pipe", length), ("build.joint", joints)),
        after=after("order.pipes", *(stands(rack) for rack in racks)), sets=sets, wait=wait,
        how="At {height}, over every tank's water. All of it dry first, then joint by joint. For low pressure from its "
        "pump only. " + AIR_TEST,
        hold_point="The whole pipe lies above the highest water; it closes to a ring where the plan says so; swarf "
        "is out.",
        numbers=(("height", Number(run.height.value, "length")),), source=f"{CEMENT_SOURCE}; {AIR_SOURCE}",
        materials=work.articles("air", (run.id,)),
        rests_on=rests(work, "build.hang_pipe", "build.joint", *(_CEMENT if is_cemented(run.pipe) else ())),
    )  # fmt: skip
    pump = f"air.pump:{run.id}"
    yield Task(
        id=pump, group="air", title=f"Air {run.id}: mount its {'pumps' if len(run.pumps) > 1 else 'pump'}",
        places=run.pumps, labour=work.hours(("build.machine", max(1, len(run.pumps)))), after=after("order.air", glued),
        how="Above the highest water, on rubber, where air gets to it, with a piece of hose to the pipe that takes no "
        "hum along. Not plugged in for good before its board hangs.",
        materials=work.articles("air", run.pumps) if run.pumps else (),
        hold_point="It hangs above every tank's water, so that none can run back into it.",
        rests_on=rests(work, "build.machine"),
    )  # fmt: skip
    yield Task(
        id=f"air.test:{run.id}", group="air", title=f"Air {run.id}: soap water on every joint", places=(run.id,),
        labour=work.hours(("build.trial", 0.5)),
        after=(*after(pump), *(After(task=f"air.taps:{rack}", until="done") for rack in racks)),
        how="With its own pump running and the taps nearly shut, brush soap water on every joint and tap. " + AIR_TEST,
        hold_point="No joint blows a bubble; the pressure at the far end is that of the test sheet.",
        source=AIR_SOURCE, rests_on=rests(work, "build.trial"),
    )  # fmt: skip


def _feed(work: Work, run: FeedRun) -> Iterator[Task]:
    length = sum(pipe.length for pipe in run.pipes)
    joints = max(2, len(run.pipes) - len(run.outlets)) + math.floor(length / _STOCK)
    pipe = max(run.pipes, key=lambda one: one.bore.value, default=None)
    sets, wait, _ = cement_waits(work, run.pipe, run.roughness if pipe is None else pipe.bore)
    racks = _racks_of(work, {outlet.tank for outlet in run.outlets})
    piped, filtered = f"feed.pipe:{run.id}", f"feed.filters:{run.id}"
    yield Task(
        id=piped, group="feed", title=f"Feed {run.id}: hang the pipe and join it", places=(run.id,),
        labour=work.hours(("build.hang_pipe", length), ("build.joint", joints)),
        after=after("order.pipes", *(stands(rack) for rack in racks)), sets=sets, wait=wait,
        how="All of it dry first. Ends stay open until it is flushed.", materials=work.articles("feed", (run.id,)),
        rests_on=rests(work, "build.hang_pipe", "build.joint", *(_CEMENT if is_cemented(run.pipe) else ())),
        source=CEMENT_SOURCE if is_cemented(run.pipe) else "",
    )  # fmt: skip
    yield Task(
        id=filtered, group="feed", title=f"Feed {run.id}: {_valve(work, run)} and what parts it from the house",
        places=(run.id,), labour=work.hours(("build.machine", len(run.filters) + 1)),
        after=(*after("order.feed"), After(task=piped, until="done")),
        how="In the order of the plan, arrows with the water. What keeps the room's water out of the house's, an air "
        "gap or the device your code asks for, is for whoever may work on the supply where you live.",
        hold_point="The tap shuts by hand; the valve is shut without power; no end hangs in a tank's water.",
        licensed=run.source_kind == "water point", rests_on=rests(work, "build.machine"),
    )  # fmt: skip
    yield Task(
        id=f"feed.flush:{run.id}", group="feed", title=f"Feed {run.id}: flush it and hold its pressure",
        places=(run.id,),
        labour=work.hours(("build.flush", 1)), after=after(piped, filtered),
        how="Run the first water of every filter to waste, then out of every open end, one after the other. Shut all, "
        "and leave it under its pressure with dry paper under the joints.",
        hold_point="It runs clear, without carbon dust and swarf; the gauge has not fallen when you come back.",
        rests_on=rests(work, "build.flush"),
    )  # fmt: skip


def _at_rack(work: Work, rack: str) -> Iterator[Task]:
    tanks = work.on_rack(rack)
    names = {tank.id for tank in tanks}
    hosed = [tank for tank in tanks if tank.hose is not None]
    if hosed:
        drains = sorted({tank.hose.drain for tank in hosed if tank.hose is not None})
        places = tuple(tank.id for tank in hosed)
        yield Task(
            id=f"drain.hoses:{rack}", group="drain", title=f"Set overflows and hoses at rack {rack}", places=places,
            labour=work.hours(("build.hose", len(hosed))),
            after=after(placed(rack), *(f"drain.test:{name}" for name in drains)),
            how="Turn each elbow to the level of its tank on the test sheet and mark where it stands. Hoses fall all "
            "the way, with no bow in which water stands, and are clamped at both ends.",
            hold_point="Every lip is at its height, to {level}; no hose has a sag.",
            numbers=(("level", Number(0.003, "length")),), materials=work.articles("drain", places),
            rests_on=rests(work, "build.hose"),
        )  # fmt: skip
    taps = [(run.id, tap) for run in work.room.airs for tap in run.taps if tap.tank in names]
    if taps:
        yield Task(
            id=f"air.taps:{rack}", group="air",
            title=f"{several(len(taps), 'air tap')}, tubes and diffusers at rack {rack}",
            places=tuple(dict.fromkeys(tap.tank for _, tap in taps if tap.tank)),
            labour=work.hours(("build.tap", len(taps))),
            after=after(placed(rack), *(f"air.glue:{run}" for run in sorted({run for run, _ in taps}))),
            how="Holes for taps are drilled by the valve map, swarf blown out, not into the pump. Tube in a bow above "
            "the water before it dips, the diffuser at its depth.",
            materials=work.articles("air", tuple(sorted(names))), rests_on=rests(work, "build.tap"),
        )  # fmt: skip
    outlets = [(run.id, one) for run in work.room.feeds for one in run.outlets if one.tank in names]
    if outlets:
        yield Task(
            id=f"feed.outlets:{rack}", group="feed", title=f"{several(len(outlets), 'feed outlet')} at rack {rack}",
            places=tuple(dict.fromkeys(one.tank for _, one in outlets)),
            labour=work.hours(("build.dripper", len(outlets))),
            after=after(placed(rack), *(f"feed.flush:{run}" for run in sorted({run for run, _ in outlets}))),
            how="Only into a flushed pipe. Each tube is clipped so that it cannot slip into the water or over the rim.",
            hold_point="Every end hangs above its rim by the gap of the plan.",
            materials=work.articles("feed", tuple(sorted(names))), rests_on=rests(work, "build.dripper"),
        )  # fmt: skip


def _valve(work: Work, run: FeedRun) -> str:
    """What stands in the line; the room counts its valve among the filters."""
    feed = work.plan.feed.get(run.id)
    filters = len(feed.filters or ()) if feed is not None else 0
    return f"valve, {several(filters, 'filter')}" if filters else "valve"


def _racks_of(work: Work, tanks: set[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(tank.rack for tank in work.tanks if tank.id in tanks))


def _joined(pipe: str) -> str:
    return "glue it" if is_cemented(pipe) else "join it"
