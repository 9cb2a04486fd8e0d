"""Words the printed cards share: where a thing is, what to do first about what breaks, who is to be called."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.faults.model import HarmKind
from tankwright.faults.names import tanks_named
from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import AlarmPlace, Place, Room, Space
from tankwright.units import Metre, clip

NEAR_WALL: Final[Metre] = 0.4
"""So near a wall a thing is found by walking along it. Source: common practice, no source."""

PHONES: Final = ("Keeper", "Neighbour, key", "Electrician", "Plumber")
"""Whose numbers are written on a card by hand."""

_MORE: Final = "and {count} more: see the plan"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a card. `missing` says what is not known where it has nothing to tell."""

    title: str
    lines: tuple[SummaryLine, ...] = ()
    missing: str = ""


def short(name: str, most: int = 34) -> str:
    """An owner's name as a card has room for it."""
    return clip(name, most)


def runs_of(ids: Iterable[str]) -> str:
    """Names in order, runs of numbers by their ends.

    >>> runs_of(["B7", "A10", "A8", "A9", "B6", "C1"])
    'A8..A10, B6, B7, C1'
    """
    runs: list[list[str]] = []
    for name in sorted(ids, key=_by_number):
        last = runs[-1] if runs else None
        head, number, _ = _by_number(name)
        if last is not None and _by_number(last[-1])[:2] == (head, number - 1):
            last.append(name)
        else:
            runs.append([name])
    return ", ".join(tanks_named(run) if len(run) > 2 else ", ".join(run) for run in runs)


def _by_number(name: str) -> tuple[str, int, str]:
    head = name.rstrip("0123456789")
    return head, int(name[len(head) :][:9] or 0), name


def at_most(lines: Iterable[SummaryLine], most: int) -> tuple[SummaryLine, ...]:
    """As many lines as a card has room for; the last then says how many are left out.

    >>> [line.text for line in at_most([SummaryLine("a"), SummaryLine("b"), SummaryLine("c")], 2)]
    ['a', 'and {count} more: see the plan']
    """
    every = tuple(lines)
    if len(every) <= most:
        return every
    left = Number(float(len(every) - most + 1), "number")
    return (*every[: most - 1], SummaryLine(_MORE, (("count", left),)))


def place_line(room: Room, name: str, place: Place) -> SummaryLine:
    """A thing and where one finds it: its room, the walls it is near, how high."""
    space = _space_at(room, place)
    x, y, z = place
    up = z - (space.box.z0 if space is not None else 0.0)
    numbers: list[tuple[str, Number]] = [("up", Number(up, "length"))]
    high = ", {up} up" if up >= 0.15 else ""
    if space is None:
        return SummaryLine(f"{short(name)}: outside the rooms of the plan{high}", tuple(numbers))
    box = space.box
    from_west, from_south = (x - box.x0, "west"), (y - box.y0, "south")
    from_east, from_north = (box.x1 - x, "east"), (box.y1 - y, "north")
    aside, wall = min(from_west, from_east, from_south, from_north)
    along, corner = min((from_west, from_east) if wall in ("south", "north") else (from_south, from_north))
    numbers += [("along", Number(along, "length")), ("aside", Number(aside, "length"))]
    near = f"{wall} wall" if aside <= NEAR_WALL else f"{{aside}} off the {wall} wall"
    there = f"{near}, {corner} corner" if along <= NEAR_WALL else f"{near}, {{along}} from the {corner} one"
    return SummaryLine(f"{short(name)}: {short(space.id, 20)}, {there}{high}", tuple(numbers))


def _space_at(room: Room, place: Place) -> Space | None:
    x, y, _ = place
    return next(
        (one for one in room.spaces if one.box.x0 <= x <= one.box.x1 and one.box.y0 <= y <= one.box.y1), None
    )


def alarm_lines(room: Room, most: int) -> tuple[SummaryLine, ...]:
    """What calls whom, how soon somebody is there."""
    return at_most((_alarm(one) for one in room.alarms), most)


def _alarm(one: AlarmPlace) -> SummaryLine:
    where = f" ({short(one.names[0], 20)})" if len(one.names) == 1 else ""
    silent = "" if one.battery_backed else "; silent in a power cut"
    return SummaryLine(
        f"{short(one.id, 24)}{where}: {short(one.reaches, 44)}; there within {{within}}{silent}",
        (("within", Number(one.within.value, "duration")),),
    )


NO_ALARM: Final = "No alarm in the plan: whoever finds it rings the numbers on this page."

_FEED_SHUT: Final = "Shut the water point"
_AIR_ON: Final = "Air to the first tanks of the list below"

FIRST_ACTIONS: Final[Mapping[str, str]] = {
    "overflow blocked": f"{_FEED_SHUT}; clear the mouth of the overflow",
    "overflow half blocked": f"{_FEED_SHUT}; clear the mouth of the overflow",
    "second overflow blocked": f"{_FEED_SHUT}; clear the second overflow",
    "hose off its barb": f"{_FEED_SHUT}; push the hose back on",
    "drain blocked": f"{_FEED_SHUT}; scoop the tanks above it down; clear the drain",
    "outfall blocked": f"{_FEED_SHUT}; scoop the lowest tanks down; clear the outfall",
    "feed stuck open": f"{_FEED_SHUT}; leave it shut",
    "feed pump runs on": "Pull the plug of its pump, if hand and plug are dry",
    "feed off its fitting": f"{_FEED_SHUT}; push the line back on",
    "feed outlet fallen off": f"{_FEED_SHUT}; put the outlet back",
    "hand hose left": "Shut the hose's tap; take the hose out",
    "mains pressure doubled": f"{_FEED_SHUT}; look at every fitting",
    "mains off": f"{_FEED_SHUT}; lift outlets and hoses out of the water",
    "air pump dead": f"Plug in the spare pump; {_AIR_ON[0].lower()}{_AIR_ON[1:]}",
    "air line open": "Push the pipe back on; look for bubbles in every tank",
    "tap fallen out": "Push the tap back in; look for bubbles in every tank",
    "diffuser clogged": "Open its tap; hang in another diffuser",
    "power cut": f"{_AIR_ON}; feed nothing, open nothing",
    "circuit dead": f"{_AIR_ON}; switch on once, then call the electrician",
    "device tripped": f"{_AIR_ON}; switch on once, then call the electrician",
    "board dead": f"{_AIR_ON}; the air pump to a dry live socket",
    "lights stuck on": "Switch the lights off by hand",
    "heater stuck on": "Pull its plug; leave it in the water; cool slowly",
    "heater stuck off": "Cover the tank; hang in the spare heater",
    "room heating fails": "Shut doors, cover tanks; no flame and no grill in the room",
    "cooling fails": "Lights off, lids off, air fully on, fan over the water",
    "carbon spent": f"{_FEED_SHUT}; test for chlorine before any more runs in",
    "chloramine": f"{_FEED_SHUT}; test for ammonia and chlorine before any more runs in",
    "pane fails": "Power off if water nears a plug; fish into buckets with air",
    "one cause, several faults": f"{_FEED_SHUT}; then the air; then read the story of this fault",
}
"""What to do first about each kind of fault, in a few words. Source: common practice, no source."""


_RUNS_BACK: Final = frozenset({"power cut", "circuit dead", "device tripped", "board dead", "air pump dead"})


def first_action(group: str, harm: HarmKind | None = None) -> str:
    """What to do first about a kind of fault; for one without words of its own, what is right for all.

    >>> first_action("air pump dead", "floor")
    'Lift air lines that run back out of the water; air to the first tanks of the list below'
    """
    if harm in ("floor", "plug") and group in _RUNS_BACK:
        return f"Lift air lines that run back out of the water; {_AIR_ON[0].lower()}{_AIR_ON[1:]}"
    return FIRST_ACTIONS.get(group, f"{_FEED_SHUT}; then see what is wet, dark or silent")
