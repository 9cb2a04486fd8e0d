"""Small rooms to fill, as text; what is not asked for is left out."""

from __future__ import annotations

from collections.abc import Callable

from tankwright.arranging.model import Arrangements, Effort
from tankwright.arranging.search import arrange
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out

QUICK = Effort(work=8.0, proposals=1, places=120)


def small_room(
    size: tuple[float, float, float] = (3.0, 2.4, 2.2),
    *,
    room: str = "",
    tanks: str = "",
    racks: str = "",
    more: str = "",
) -> str:
    """A shed with a door in the south wall, one kind of tank (a 30 cm cube) and one of rack (1 m, two shelves)."""
    length, width, height = size
    return f"""title = "Shed"

[room.shed]
size = {{ length = "{length} m", width = "{width} m", height = "{height} m" }}
doors = [{{ wall = "south", from_west = "20 cm", width = "70 cm", swing = "out", hinged = "west" }}]
{room}

[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = {{ sides = "5 mm", base = "5 mm", temper = "annealed" }}
{tanks}

[rack_kind.plain]
length = "100 cm"
depth = "40 cm"
shelves = ["40 cm", "110 cm"]
height = "150 cm"
shelf_thickness = "8 cm"
{racks}

{more}
"""


def plan_of(text: str) -> Plan:
    """The plan of a text without mistakes."""
    read = read_plan_text(text, "plan.toml")
    assert read.findings == (), [finding.text for finding in read.findings]
    assert read.plan is not None
    return read.plan


def found_in(
    text: str, effort: Effort = QUICK, progress: Callable[[int, int], None] | None = None
) -> Arrangements:
    """What fits in the room of a text."""
    plan = plan_of(text)
    room = lay_out(plan).room
    assert room is not None
    return arrange(plan, room, text, effort=effort, progress=progress)
