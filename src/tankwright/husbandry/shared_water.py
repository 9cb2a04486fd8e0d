"""Which tanks' water can reach which, read off the laid-out room: sumps, vats, feeds, reservoirs, drains, air pipes.

A link is certain where water goes that way whenever the room works as it is planned, such as into a sump and back.
It is possible where something has to go wrong first: a drain that blocks, a supply that stops, a pump that fails.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.room.model import AirRun, DrainRun, FeedRun, Room, Tank
from tankwright.units import Metre

LinkKind = Literal["sump", "vat", "reservoir", "feed under water", "backed up", "one tee", "air pipe"]
KINDS: Final[dict[LinkKind, str]] = {
    "sump": "its drain runs into a vat that feeds tanks",
    "vat": "the vat feeds it",
    "reservoir": "it is fed out of that tank",
    "feed under water": "both hang on one feed, and the outlet ends below the water: it siphons when the supply stops",
    "backed up": "both hang on one drain, and its overflow lies so low that a blocked drain would run into it",
    "one tee": "both hoses end in one tee, with too little fall to keep drops apart",
    "air pipe": "its water stands above the air pipe, without a check valve: it runs over when the pump stops",
}
"""What each kind of link means, in words about the tank water goes to, or comes from."""

SPLASH: Final[Metre] = 0.30
"""How far up a hose drops from its tee are thought to reach. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLink:
    """Water can get from `source` to `target`, both tanks or vats by their plan's names. `through` is the drain, feed
    or air pipe it goes by, as its owner calls it."""

    source: str
    target: str
    kind: LinkKind
    certain: bool
    through: str


def water_links(room: Room) -> tuple[WaterLink, ...]:
    """Every way from one tank's water, or a vat's, to another's; certain ones first, each pair once a kind and way.

    Nothing is told of what the plan does not draw: buckets, mops, a neighbour's hose.

    >>> from tankwright.room.model import Room
    >>> water_links(Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    ()
    """
    tanks = {tank.id: tank for tank in room.tanks}
    found = [
        *_sumps(room, tanks),
        *(link for feed in room.feeds for link in _fed(feed, tanks)),
        *(link for drain in room.drains for link in _drained(drain, tanks)),
        *(link for air in room.airs for link in _aired(air, tanks)),
    ]
    found.sort(key=lambda link: not link.certain)
    return tuple(dict.fromkeys(found))


def _sumps(room: Room, tanks: Mapping[str, Tank]) -> Iterator[WaterLink]:
    """A drain whose outfall goes to a vat out of which a feed draws."""
    vats = {feed.source for feed in room.feeds if feed.source_kind == "vat"}
    into = {one.id: one.to for one in room.outfalls if one.to in vats}
    for drain in room.drains:
        for outfall, certain in ((drain.outfall, True), (drain.turned_to, False)):
            if outfall in into:
                for name in _on(drain, tanks):
                    yield WaterLink(
                        source=name,
                        target=into[outfall],
                        kind="sump",
                        certain=certain,
                        through=f"drain {drain.id}",
                    )


def _on(drain: DrainRun, tanks: Mapping[str, Tank]) -> list[str]:
    return [name for node in drain.nodes for name in node.tanks if name in tanks]


def _fed(feed: FeedRun, tanks: Mapping[str, Tank]) -> Iterator[WaterLink]:
    through = f"feed {feed.id}"
    ends = [(one.place[2], tanks[one.tank]) for one in feed.outlets if one.tank in tanks]
    if feed.source_kind == "vat":
        for _, tank in ends:
            yield WaterLink(source=feed.source, target=tank.id, kind="vat", certain=True, through=through)
    if feed.source_kind == "tank" and feed.source in tanks:
        for _, tank in ends:
            if tank.id != feed.source:
                yield WaterLink(
                    source=feed.source, target=tank.id, kind="reservoir", certain=True, through=through
                )
    for height, tank in ends:
        if height >= tank.level:
            continue  # it ends in the air: nothing is drawn in
        for other_height, other in ends:
            if other.id != tank.id and max(other.level, other_height) <= tank.level:
                yield WaterLink(
                    source=tank.id, target=other.id, kind="feed under water", certain=False, through=through
                )
        if feed.source_kind == "vat" and not feed.check_valve and feed.source_place[2] < tank.level:
            yield WaterLink(
                source=tank.id, target=feed.source, kind="feed under water", certain=False, through=through
            )


def _drained(drain: DrainRun, tanks: Mapping[str, Tank]) -> Iterator[WaterLink]:
    """Backed up: below the first block that shuts both in, water stands as high as the lowest rim above it."""
    through = f"drain {drain.id}"
    places = [
        (index, tanks[name]) for index, node in enumerate(drain.nodes) for name in node.tanks if name in tanks
    ]
    lowest: list[Metre] = []
    low = float("inf")
    for node in drain.nodes:
        low = min([low, *(tanks[name].rim for name in node.tanks if name in tanks)])
        lowest.append(low)
    for at, tank in places:
        lip = _lip(tank)
        if lip is None:
            continue
        for other_at, other in places:
            if other.id == tank.id:
                continue
            if lip < lowest[max(at, other_at)]:
                yield WaterLink(
                    source=other.id, target=tank.id, kind="backed up", certain=False, through=through
                )
            if at == other_at and tank.hose is not None and tank.hose.start[2] - tank.hose.end[2] < SPLASH:
                yield WaterLink(
                    source=other.id, target=tank.id, kind="one tee", certain=False, through=through
                )


def _lip(tank: Tank) -> Metre | None:
    """Where water of the drain would come in: the lowest way out that is not the tank's own."""
    lips = [tank.overflow.lip] if tank.overflow is not None else []
    if tank.second_overflow is not None and tank.second_overflow.to == "drain":
        lips.append(tank.second_overflow.lip)
    return min(lips, default=None)


def _aired(air: AirRun, tanks: Mapping[str, Tank]) -> Iterator[WaterLink]:
    ends = [
        (one, tanks[one.tank])
        for one in air.taps
        if one.tank is not None and one.tank in tanks and one.open and one.diffuser is not None
    ]
    for tap, tank in ends:
        if tap.check_valve or tap.place[2] >= tank.level or tap.water_depth <= 0.0:
            continue
        for _, other in ends:
            if other.id != tank.id and other.level <= tank.level:
                yield WaterLink(
                    source=tank.id,
                    target=other.id,
                    kind="air pipe",
                    certain=False,
                    through=f"air pipe {air.id}",
                )


def reached_by(
    links: Iterable[WaterLink], start: str | Collection[str], *, possible: bool = False, back: bool = False
) -> frozenset[str]:
    """Everything water from `start` gets to, `start` itself too; with `back` everything it can come from.

    Only certain ways, or with `possible` those too that need something to go wrong.

    >>> link = WaterLink(source="A1", target="sump", kind="sump", certain=True, through="drain main")
    >>> sorted(reached_by([link], "A1")), sorted(reached_by([link], "A1", back=True))
    (['A1', 'sump'], ['A1'])
    """
    ways: dict[str, list[str]] = {}
    for link in links:
        if link.certain or possible:
            here, there = (link.target, link.source) if back else (link.source, link.target)
            ways.setdefault(here, []).append(there)
    found = {start} if isinstance(start, str) else set(start)
    waiting = list(found)
    while waiting:
        for there in ways.get(waiting.pop(), ()):
            if there not in found:
                found.add(there)
                waiting.append(there)
    return frozenset(found)


def units_of(links: Iterable[WaterLink], places: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """Places that certainly share their water, each group in the order of `places`: one exposed, all exposed.

    A vat that joins them belongs to the group where it is among `places`. Two tanks share where water goes both ways.

    >>> ways = [WaterLink(source=a, target=b, kind="sump", certain=True, through="")
    ...         for a, b in (("A1", "s"), ("s", "A2"), ("A2", "s"))]
    >>> units_of(ways, ["A1", "A2", "B1", "s"])
    (('A1',), ('A2', 's'), ('B1',))
    """
    links = tuple(link for link in links if link.certain)
    joined = {link.source for link in links} & {link.target for link in links}
    names = tuple(places)
    group_of: dict[str, int] = {}
    groups: list[list[str]] = []
    for name in names:
        if name in group_of:
            groups[group_of[name]].append(name)
            continue
        together = reached_by(links, name) & reached_by(links, name, back=True) if name in joined else {name}
        group_of.update(dict.fromkeys(together, len(groups)))
        groups.append([name])
    return tuple(tuple(group) for group in groups)
