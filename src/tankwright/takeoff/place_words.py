"""Where a node of a run is, in the words of who builds it: by the tank, tap, riser or rack there, else as the corner
or tee of so much along the way, with the corner of the room or the rack it is next to. Ids stay in needs and joints."""

from __future__ import annotations

import re
from collections import Counter
from typing import Final

from tankwright.room.frames import frame_of
from tankwright.room.model import AirRun, DrainRun, FeedRun, Place, RackPlace, Room, Space
from tankwright.takeoff.tally import listed
from tankwright.takeoff.webs import STRAIGHT, Away, Web, passes, turn
from tankwright.units import Metre

CORNER: Final = 0.4
"""m from two walls within which a place is in the corner of a room."""

NEAR: Final = 0.7
"""m from a rack within which a place is beside it."""

_SHELF: Final = re.compile(r"^(?P<rack>.+?)\.shelf (?P<shelf>\d+)$")
_AGAIN: Final = re.compile(r" \(\d+\)$")


def where_words(room: Room, place: Place) -> str:
    """Where a place is: in which corner of which room, or beside which rack, or in which room at all; "" outside.

    >>> where_words(Room(title="", display="metric", spaces=(), racks=(), tanks=()), (0.0, 0.0, 0.0))
    ''
    """
    space = next((one for one in room.spaces if _inside(one, place)), None)
    if space is None:
        return ""
    box = space.box
    x, y, _ = place
    up = "north" if box.y1 - y <= CORNER else "south" if y - box.y0 <= CORNER else ""
    across = "east" if box.x1 - x <= CORNER else "west" if x - box.x0 <= CORNER else ""
    if up and across:
        return f"in the {up}-{across} of {space.id}"
    far, rack = min(
        ((_distance(one, place), one) for one in room.racks if one.room == space.id),
        key=lambda one: one[0],
        default=(NEAR, None),
    )
    if rack is not None and far < NEAR:
        return f"{_side(rack, place)} rack {rack.id}"
    return f"at the {up or across} wall of {space.id}" if up or across else f"in {space.id}"


def drain_words(room: Room, run: DrainRun) -> dict[str, str]:
    """Every node of a drain in words."""
    words: dict[str, str] = {}
    corners = 0
    for index, node in enumerate(run.nodes):
        if index == 0:
            words[node.id] = "the top end"
        elif index == len(run.nodes) - 1:
            words[node.id] = f"the outfall {run.outfall}"
        else:
            one, here, other = run.nodes[index - 1 : index + 2]
            if turn(drain_way(here.place, one.place), drain_way(here.place, other.place)) > STRAIGHT:
                corners += 1
                words[node.id] = _numbered("corner", corners, where_words(room, node.place))
            elif node.tanks:
                words[node.id] = f"the joint of {listed(node.tanks)}"
    return words


def web_words(room: Room, run: AirRun | FeedRun, web: Web) -> dict[str, str]:
    """Every spot and node of an air run or a feed in words: of what has no other name, corners, tees and ends are
    numbered along the way."""
    known = _air_words(run) if isinstance(run, AirRun) else _feed_words(room, run)
    words, numbers = dict(known), Counter[str]()
    for index, spot in enumerate(web.spots):
        name = next((known[node] for node in known if node in spot.nodes), "")
        if not name and not passes(web, index):
            kind = {1: "end", 2: "corner"}.get(len(spot.legs), "tee")
            numbers[kind] += 1
            name = _numbered(kind, numbers[kind], where_words(room, spot.place))
        if name:
            words[spot.name] = name
            words |= dict.fromkeys(spot.nodes, name)
    return words | known


def drain_way(here: Place, there: Place) -> Away:
    """The direction from one node of a drain to another on the floor plan; its fall is no corner.

    >>> drain_way((0.0, 0.0, 0.1), (2.0, 0.0, 0.0))
    (1.0, 0.0, 0.0)
    """
    x, y = there[0] - here[0], there[1] - here[1]
    length = (x * x + y * y) ** 0.5 or 1.0
    return (x / length, y / length, 0.0)


def _air_words(run: AirRun) -> dict[str, str]:
    words = {run.inlet: "the pump" if len(run.pumps) == 1 else "the pumps"}
    for tap in run.taps:
        name = f"{_short(run.id, tap.id)} ({tap.tank or 'spare'})"
        words[tap.node] = words[tap.id] = name
    return words


def _feed_words(room: Room, run: FeedRun) -> dict[str, str]:
    racks, spaces = {one.id for one in room.racks}, {one.id for one in room.spaces}
    words = {run.inlet: f"the {run.source_kind} {run.source}"}
    outlets = {outlet.node: f"the outlet of {outlet.tank}" for outlet in run.outlets}
    entries: dict[str, str] = {}
    for node, _ in run.nodes:
        if node in outlets or node in words:
            continue
        short = _short(run.id, node)
        shelf = _SHELF.match(short)
        rack = shelf["rack"] if shelf else short
        rack = rack if rack in racks else _AGAIN.sub("", rack)
        if rack in racks:
            words[node] = f"the riser of rack {rack}" + (f", shelf {shelf['shelf']}" if shelf else "")
        elif rack in spaces:
            entries[node] = f"the trunk where it begins in {rack}"
    own = {outlet.id: f"the outlet of {outlet.tank}" for outlet in run.outlets}
    return words | outlets | entries | own


def _short(run: str, node: str) -> str:
    return node.removeprefix(f"{run}.")


def _numbered(kind: str, number: int, where: str) -> str:
    return f"{kind} {number}" + (f" ({where})" if where else "")


def _inside(space: Space, place: Place) -> bool:
    box, (x, y, _) = space.box, place
    return box.x0 - 1e-6 <= x <= box.x1 + 1e-6 and box.y0 - 1e-6 <= y <= box.y1 + 1e-6


def _distance(rack: RackPlace, place: Place) -> Metre:
    """From a rack to a place on the floor plan."""
    box, (x, y, _) = rack.box, place
    return max(box.x0 - x, x - box.x1, 0.0) + max(box.y0 - y, y - box.y1, 0.0)


def _side(rack: RackPlace, place: Place) -> str:
    """On which side of a rack a place is, for who stands before it."""
    box, (x, y, z) = rack.box, place
    frame = frame_of(box.x0, box.y0, box.x1, box.y1, rack.facing)
    along, back = frame.along(x, y), frame.from_back(x, y)
    if along < 0.0:
        return "left of"
    if along > rack.length:
        return "right of"
    if back < 0.0:
        return "behind"
    if back > rack.depth:
        return "in front of"
    return "above" if z >= box.z1 else "at the back of" if back < rack.depth / 2.0 else "at the front of"
