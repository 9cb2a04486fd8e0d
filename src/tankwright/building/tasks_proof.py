"""The whole room tried with water and power before any fish; then filters cycled, quarantine first, and fish."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from tankwright.building.model import After, Task
from tankwright.building.tasks_power import SCREENING
from tankwright.building.tasks_shared import Work, after, rests

ALL_TOGETHER: Final = "proof.fill"
_PRACTICE: Final = "common practice, no source"


def proof_tasks(work: Work, before: Iterable[Task]) -> Iterator[Task]:
    """The tests of the finished room; `before` is all that is built, and the last of it holds them."""
    built = tuple(before)
    named = {one.task for task in built for one in task.after}
    last = tuple(task.id for task in built if task.id not in named)
    count = len(work.tanks)
    if not count:
        return
    tanks = tuple(tank.id for tank in work.tanks)
    yield Task(
        id=ALL_TOGETHER, group="proof", title="Fill all tanks at once and leave them full", places=tanks,
        labour=work.hours(("build.read_tank", 2 * count), ("build.trial", 1)), after=after(*last),
        how="Every tank to its overflow on one day, lowest shelf first, dry paper under racks and hoses. Look after a "
        "quarter of an hour, after an hour, in the evening. Heaters stay unplugged.",
        wait=work.wait("build.room_stands", "all tanks stand full"),
        hold_point="After the wait every level stands where it was but for what evaporates, paper and floor are dry, "
        "and the level on the racks says what it said when they were empty. A rack that has moved is emptied at once.",
        source=_PRACTICE, rests_on=rests(work, "build.read_tank", "build.trial", "build.room_stands"),
    )  # fmt: skip
    room = work.room
    trials: list[Task] = []
    if room.airs:
        trials.append(_read(
            work, "proof.air", "Air at every tap", "Open all taps as the valve map says. Count or catch the bubbles of "
            "every tank with a jar held under water, and write them down.",
            "Every tank has the air of the test sheet, the farthest one too.",
        ))  # fmt: skip
    if room.feeds:
        trials.append(_read(
            work, "proof.feed", "Drip of every tank", "Run the feed as it will run. Catch each outlet's drip for a few "
            "minutes in a measuring jug, and write it down.",
            "Every drip is as on the test sheet; nothing runs on after the valve shuts.",
        ))  # fmt: skip
    if room.drains:
        trials += [
            _read(
                work, "proof.level", "Levels and the drain in full use", "With the feed running at its most, and a "
                "bucket poured into the farthest tank, measure each tank from its rim to its water.",
                "Every level is as on the test sheet; the drain carries it and gurgles nowhere.",
            ),
            _trial(
                work, "proof.blocked", "Block one overflow on purpose", "Choose the tank that the list of faults puts "
                "first. Stop its overflow, let the feed run, and stay: watch where the water goes, and time it.",
                "It takes no less time to reach the rim than the test sheet says, and goes where the plan says.",
            ),
        ]  # fmt: skip
    if room.power is not None:
        trials += [
            _trial(
                work, "proof.power", "Pull the power of the room", "Switch the whole room off at its board for an "
                "hour. Hold a hand under every open end; watch air pipe, feed and pump.",
                "No tank runs back or over; the feed stays shut; what has a battery goes on; all starts again by "
                "itself.",
                source=SCREENING,
            ),
            _trial(
                work, "proof.rcd", "Trip test of every residual-current device", "Whoever may do it where you live "
                "presses the test button of each device, and measures its time and current. Write down what went off "
                "with which.",
                "Each trips within what its standard allows; the air is not on the device of the heaters.",
                source=SCREENING, licensed=True,
            ),
        ]  # fmt: skip
    trials.append(_trial(
        work, "proof.damp", "Smoke and dew on the coldest wall", "On a cold evening, with the water warm and the door "
        "shut for some hours, look with a lamp at window, corners and the wall behind the lowest rack; hold smoke to "
        "the seals. Try the smoke alarm.",
        "No drop stands on wall or pane behind a rack; the smoke alarm is heard in the bedroom.",
        ))  # fmt: skip
    yield from trials
    yield Task(
        id="proof.done", group="proof", title="Sign the test sheets", labour=work.hours(("build.trial", 0.5)),
        after=after(*(task.id for task in trials)), places=tanks,
        how="Compare what was read with what was expected; mend what is off, and read that again. Photograph every "
        "rack.",
        hold_point="No reading is left that nobody can explain. No fish before this.", rests_on=rests(work,
        "build.trial"),
    )  # fmt: skip
    yield from _fish(work)


def _read(work: Work, key: str, title: str, how: str, hold_point: str) -> Task:
    return Task(
        id=key, group="proof", title=title, how=how, hold_point=hold_point, after=after(ALL_TOGETHER),
        places=tuple(tank.id for tank in work.tanks),
        labour=work.hours(("build.read_tank", len(work.tanks)), ("build.trial", 0.5)),
        rests_on=rests(work, "build.read_tank", "build.trial"), source=_PRACTICE,
    )  # fmt: skip


def _trial(
    work: Work, key: str, title: str, how: str, hold_point: str, *, source: str = _PRACTICE, licensed: bool = False
) -> Task:  # fmt: skip
    return Task(
        id=key, group="proof", title=title, how=how, hold_point=hold_point, source=source, licensed=licensed,
        labour=work.hours(("build.trial", 1)), rests_on=rests(work, "build.trial"), people=0 if licensed else 1,
        after=after(ALL_TOGETHER),
    )  # fmt: skip


def _fish(work: Work) -> Iterator[Task]:
    """Quarantine is cycled and stocked first; the other zones are cycled while its fish wait."""
    tanks: dict[str, list[str]] = {}
    for tank in work.tanks:
        tanks.setdefault(tank.zone, []).append(tank.id)
    apart = [zone.id for zone in work.room.zones if zone.quarantine and zone.id in tanks]
    first = [f"fish.cycle:{zone}" for zone in apart]
    for zone in sorted(tanks, key=lambda name: name not in apart):
        kept_apart = zone in apart
        yield Task(
            id=f"fish.cycle:{zone}", group="fish", title=f"Cycle the filters of {zone or 'the room'}",
            places=tuple(tanks[zone]),
            labour=work.hours(("build.read_tank", 4 * len(tanks[zone])), ("build.trial", 0.5)),
            after=(*after("proof.done"), *(After(task=one, until="done") for one in first if not kept_apart)),
            how="Warm water, air on, ammonia to about 2 mg/L or a sponge out of a healthy tank; dechlorinated water "
            "only. Read ammonia and nitrite every second day, and write them down.",
            wait=work.wait("build.cycling", "filters cycle"),
            hold_point="Ammonia and nitrite are at nothing a day after they were fed, twice running.",
            source=_PRACTICE, rests_on=rests(work, "build.read_tank", "build.trial", "build.cycling"),
        )  # fmt: skip
    for zone in apart:
        yield Task(
            id=f"fish.quarantine:{zone}", group="fish", title=f"First fish into {zone}", places=tuple(tanks[zone]),
            labour=work.hours(("build.trial", 1)), after=after(f"fish.cycle:{zone}"),
            how="Bought fish come here, and nowhere else: own net, own hose, last in the round, hands washed. Few at "
            "a time.",
            wait=work.wait("build.quarantine", "fish wait in quarantine"),
            hold_point="No fish has shown an illness for the whole of the wait; from one that has, it begins again.",
            source=_PRACTICE, rests_on=rests(work, "build.trial", "build.quarantine"),
        )  # fmt: skip
    for zone, names in tanks.items():
        if zone not in apart:
            yield Task(
                id=f"fish.first:{zone}", group="fish", title=f"First fish into {zone or 'the room'}",
                places=tuple(names), labour=work.hours(("build.trial", 1)),
                after=after(f"fish.cycle:{zone}", *(f"fish.quarantine:{one}" for one in apart)),
                how="A tenth of what each tank is to hold, and no more until ammonia and nitrite have stayed at "
                "nothing for a week.", hold_point="Ammonia and nitrite at nothing, a week after each lot.",
                source=_PRACTICE, rests_on=rests(work, "build.trial"),
            )  # fmt: skip
