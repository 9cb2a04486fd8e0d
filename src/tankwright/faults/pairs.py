"""Faults that share one cause and so come together. Only causes a keeper would own to: weather, work on the main,
neglect that is the same for alike tanks, a round that was broken off."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.faults.model import Fault
from tankwright.room.model import Room, Tank
from tankwright.room.model_broken import Broken
from tankwright.systems.power import boards_behind

GROUP = "one cause, several faults"


def pairs_of(room: Room) -> Iterator[Fault]:
    """Every pair or set of one cause that this room could have."""
    yield from _power_and_valve(room)
    yield from _surge(room)
    yield from _freeze(room)
    yield from _storm(room)
    yield from _main_repaired(room)
    yield from _neglect(room)
    yield from _round_broken_off(room)


def _together(name: str, cause: str, *broken: Broken) -> Fault:
    return Fault(name=name, group=GROUP, broken=broken, cause=cause)


def _power_and_valve(room: Room) -> Iterator[Fault]:
    for feed in room.feeds:
        if feed.programs and feed.pump is None:
            yield _together(
                f"power cut while feed {feed.id} runs, its valve stays open",
                "a valve that power has to shut stands as the cut finds it, and its clock may lose the time",
                Broken(kind="power", what=""),
                Broken(kind="feed valve", what=feed.id),
            )


def _surge(room: Room) -> Iterator[Fault]:
    """Lightning or a broken neutral takes every pump that hangs on one device."""
    running = dict.fromkeys(name for run in room.airs for name in run.pumps)
    if room.power is None:
        groups = {"": tuple(running)}
    else:
        devices = dict.fromkeys(circuit.device or circuit.id for circuit in room.power.circuits)
        groups = {
            device: tuple(dict.fromkeys(
                load.pump
                for board in boards_behind(room.power, "device", device)
                for load in board.loads
                if load.pump in running and load.pump is not None
            ))
            for device in devices
        }  # fmt: skip
    for device, pumps in groups.items():
        if len(pumps) > 1:
            where = f" on {device}" if device else ""
            yield _together(
                f"surge kills every air pump{where}",
                "lightning or a fault of the supply reaches whatever hangs on one line",
                *(Broken(kind="air pump", what=name) for name in pumps),
            )


def _points(room: Room) -> tuple[str, ...]:
    return tuple(dict.fromkeys(feed.source for feed in room.feeds if feed.source_kind == "water point"))


def _freeze(room: Room) -> Iterator[Fault]:
    heated = [kept.space for kept in room.climate.spaces if kept.heat_to is not None] if room.climate else []
    for point in _points(room):
        for space in heated:
            yield _together(
                f"hard freeze: mains off at {point}, room heating of {space} fails",
                "hard frost shuts the pipe in the ground and asks the most of a heater on the same night",
                Broken(kind="mains off", what=point),
                Broken(kind="room heater", what=space),
            )


def _storm(room: Room) -> Iterator[Fault]:
    for point in _points(room):
        yield _together(
            f"storm: power cut and mains off at {point}",
            "the pumps of the waterworks hang on the same lines",
            Broken(kind="power", what=""),
            Broken(kind="mains off", what=point),
        )


def _main_repaired(room: Room) -> Iterator[Fault]:
    for water in room.waters:
        if water.mix or water.disinfectant not in {"chlorine", "not known"}:
            continue
        for point in _points(room):
            if point in water.comes_from:
                yield _together(
                    f"main repaired: chloramine in {water.id} water, pressure doubled at {point}",
                    "after work on the main it is disinfected harder, and put under full pressure",
                    Broken(kind="chloramine", what=water.id),
                    Broken(kind="mains pressure", what=point, left=2.0),
                )


def _neglect(room: Room) -> Iterator[Fault]:
    for kind, tanks in _by_kind(room).items():
        if len(tanks) > 1:
            yield _together(
                f"overflows of every {kind} blocked" if kind else "overflows of all other tanks blocked",
                "alike strainers that nobody has cleaned since the same day clog with the same leaves and snails",
                *(Broken(kind="overflow", what=tank.id) for tank in tanks),
            )


def _round_broken_off(room: Room) -> Iterator[Fault]:
    """In the tank of each kind that has the least room over its water: the others of its kind only take longer."""
    for tanks in _by_kind(room).values():
        tank = min(tanks, key=lambda one: (one.freeboard_volume, one.id))
        yield _together(
            f"called away: hand hose left in {tank.id}, its overflow half blocked",
            "a round that is broken off leaves the hose in the tank and its strainer uncleaned",
            Broken(kind="hand hose", what=tank.id),
            Broken(kind="overflow", what=tank.id, left=0.5),
        )


def _by_kind(room: Room) -> dict[str, tuple[Tank, ...]]:
    kinds: dict[str, list[Tank]] = {}
    for tank in room.tanks:
        if tank.overflow is not None:
            kinds.setdefault(tank.kind, []).append(tank)
    return {kind: tuple(tanks) for kind, tanks in kinds.items()}
