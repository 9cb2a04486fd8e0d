"""Racks: built on the bench, stood, levelled and tied before anything heavy comes near."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.building.model import Task
from tankwright.building.tasks_shared import Work, after, rests
from tankwright.building.tasks_shell import floor_ready
from tankwright.finding import Number
from tankwright.room.model import RackPlace


def rack_tasks(work: Work) -> Iterator[Task]:
    """Two tasks for each rack."""
    for rack in work.room.racks:
        yield from _rack(work, rack)


def stands(rack: str) -> str:
    """The task after which a rack stands."""
    return f"rack.stand:{rack}"


def _rack(work: Work, rack: RackPlace) -> Iterator[Task]:
    places = (rack.id,)
    yield Task(
        id=f"rack.build:{rack.id}", group="racks", title=f"Build rack {rack.id}", places=places,
        labour=work.hours(("build.rack_build", max(1, len(rack.shelves)))), after=after("order.timber"),
        how="Cut all of one length together. Bearers rest on the uprights, or on blocks screwed to them: no shelf "
        "hangs on screws alone. Two screws at each joint, a brace or a board behind against racking. Paint or oil "
        "the end grain, above all of the feet.",
        hold_point="Both diagonals of its back are alike; a heavy person stands on every shelf and nothing gives.",
        materials=work.articles("racks", places), rests_on=rests(work, "build.rack_build"),
        source="a screening: who must know whether floor and rack bear it is an engineer",
    )  # fmt: skip
    yield Task(
        id=stands(rack.id), group="racks", title=f"Stand, level and tie rack {rack.id}", places=places,
        labour=work.hours(("build.rack_stand", 1)),
        people=2,  # tilted up and walked; one holds while the other reads the level
        after=after(f"rack.build:{rack.id}", floor_ready(rack.room)),
        how="On its marks, {gap} from the wall where the pipes go. Shims of hard plastic under every foot until no "
        "foot can be turned by hand; then two brackets into something solid. Tied last: a rack pulled to the wall "
        "stands on two feet." if not rack.island else
        "On its marks. Shims of hard plastic under every foot until no foot can be turned by hand. An island is tied "
        "to its neighbour, to the floor or to the ceiling, so that nobody can pull it over.",
        hold_point="A level says so along and across every shelf, to {level} in its length; no foot is loose; it is "
        "tied.",
        numbers=(("gap", Number(_gap(work, rack), "length")), ("level", Number(0.002, "length"))),
        rests_on=rests(work, "build.rack_stand"),
    )  # fmt: skip


def _gap(work: Work, rack: RackPlace) -> float:
    """From the back of a rack to the wall behind it."""
    space = next((one for one in work.room.spaces if one.id == rack.room), None)
    if space is None:
        return 0.0
    box, wall = rack.box, space.box
    gap = {
        "south": wall.y1 - box.y1, "north": box.y0 - wall.y0, "west": wall.x1 - box.x1, "east": box.x0 - wall.x0,
    }[rack.facing]  # fmt: skip
    return max(gap, 0.0)
