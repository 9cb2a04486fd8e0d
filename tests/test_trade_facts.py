"""Facts of the trade as check values: rooms that keepers are known to run must come out as they run.

All of them are common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.building.model import Task
from tankwright.building.tasks import tasks_of
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.study import Study, work_out
from tankwright.takeoff.counting import count_parts
from tankwright.workspace.opened import lay_plan

ROOM = """
[room.shed]
size = {{ length = "7 m", width = "3 m", height = "2.3 m" }}
[tank_kind.row]
outside = ["{tank}", "40 cm", "40 cm"]
glass = {{ sides = "6 mm", base = "8 mm", temper = "annealed" }}
hole = {{ pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }}
overflow = {{ water_below_rim = "40 mm", elbow_reach = "34 mm", bore = "16 mm" }}
[rack_kind.long]
length = "{rack}"
depth = "50 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "long"
room = "shed"
wall = "north"
from_west = "20 cm"
shelf.1 = [{{ kind = "row", ids = "A1..A{tanks}", gap = "1 cm", from_left = "1 cm" }}]
[outfall.gully]
room = "shed"
at = ["6.9 m", "2.9 m"]
height = "2 cm"
[drain.main]
to = "gully"
behind = ["A"]
pipe = "50 mm ISO 0.6 MPa"
fall = "1:50"
vented = true
hose = {{ bore = "13 mm" }}
[water_point.tap]
room = "shed"
pressure = "3 bar"
flow = "12 L/min"
[feed.top_up]
from = "tap"
pipe = "16 mm PE"
regulated_to = "0.5 bar"
outlet = {{ kind = "small tube", bore = "4 mm", length = "2 m" }}
program = [{{ start = "08:00", minutes = 90, days = "weekly" }}]
[pump.linear]
curve = [["0 kPa", "60 L/min"], ["10 kPa", "45 L/min"], ["20 kPa", "20 L/min"]]
height = "2.1 m"
room = "shed"
[air.header]
pump = "linear"
bore = "20 mm"
room = "shed"
path = [["20 cm", "2.9 m"], ["{end}", "2.9 m"]]
closed_ring = false
height = "2 m"
taps = {taps}
adapters = [{{ bore = "40 mm" }}, {{ bore = "25 mm" }}, {{ bore = "20 mm" }}]
tap = {{ bore = "1.5 mm" }}
diffuser = {{ kind = "sponge", flow_wanted = "1 L/min" }}
"""


def laid(**words: object) -> Room:
    read = read_plan_text(ROOM.format(**words), "shed.toml")
    assert read.plan is not None, read.findings
    room = lay_out(read.plan).room
    assert room is not None
    return room


@pytest.fixture(
    params=[("5 ft", 3, 18, "4.7 m"), ("3 ft", 6, 20, "5.7 m")], ids=["three of 5 ft", "six of 3 ft"]
)
def study(request: pytest.FixtureRequest) -> Study:
    tank, tanks, taps, end = request.param
    rack = f"{tanks * float(tank.split()[0]) * 30.48 + tanks + 4:.0f} cm"
    return work_out(laid(tank=tank, tanks=tanks, taps=taps, end=end, rack=rack))


def test_18_taps_serve_three_5_ft_tanks_and_20_taps_six_of_3_ft(study: Study) -> None:
    air = study.air
    assert air is not None
    (run,) = study.room.airs
    assert len(run.taps) == {3: 18, 6: 20}[len(study.room.tanks)]
    spacing = run.taps[1].place[0] - run.taps[0].place[0]
    assert 0.2 < spacing < 0.32
    for tank in air.tanks:
        assert tank.flow >= tank.wanted


def test_a_pump_port_of_40_mm_comes_down_to_the_pipe_through_25_mm(study: Study) -> None:
    (run,) = study.room.airs
    bores = {round(pipe.bore.value * 1000) for pipe in run.pipes}
    assert {40, 25, 20} <= bores


def test_a_13_mm_hose_takes_the_top_up_of_a_4_mm_tube_from_every_tank(study: Study) -> None:
    feed, drain = study.feed, study.drain
    assert feed is not None
    assert drain is not None
    inflows = feed.inflows()
    assert len(inflows) == len(study.room.tanks)
    for tank in drain.tanks:
        assert tank.capacity is not None
        assert 0.0 < inflows[tank.tank] < tank.capacity


def test_an_hour_or_two_of_a_4_mm_tube_is_a_real_water_change(study: Study) -> None:
    feed = study.feed
    assert feed is not None
    for name, flow in feed.inflows().items():
        litres = flow * 90 * 60 * 1000
        volume = study.room.tank(name).water_volume * 1000
        assert 0.2 < litres / volume < 2.0  # 30 to 60 L/h for an hour and a half into 120 to 200 L


# --- what is built before what, and what is kept in the drawer ---------------------------------------------------

EXAMPLES = Path(__file__).parents[1] / "examples"
DAY = 86_400.0


@pytest.fixture(scope="module")
def tasks() -> dict[str, Task]:
    """The build of the mended cellar, with the tanks of rack D glued here and braced across."""
    text = (EXAMPLES / "cellar_mended.toml").read_text("utf-8")
    read = read_plan_text(
        text.replace('made = "glued here"', 'made = "glued here"\ntop = "braced"'), "cellar.toml"
    )
    assert read.plan is not None, read.findings
    room = lay_out(read.plan).room
    return {task.id: task for task in tasks_of(read.plan, room)}


def earlier(tasks: dict[str, Task], name: str) -> set[str]:
    """All that comes before a task, however far back."""
    found: set[str] = set()
    left = [name]
    while left:
        for link in tasks[left.pop()].after:
            if link.task not in found:
                found.add(link.task)
                left.append(link.task)
    return found


def test_a_glued_brace_is_given_a_further_day_or_two_before_the_tank_is_filled(
    tasks: dict[str, Task],
) -> None:
    brace, test = tasks["tanks.brace:D"], tasks["tanks.test:D"]
    assert (brace.wait.least, brace.wait.most) == (1 * DAY, 2 * DAY)
    assert "tanks.glue:D" in earlier(tasks, brace.id)
    assert ("tanks.brace:D", "over") in {(link.task, link.until) for link in test.after}


def test_the_floor_is_painted_before_racks_stand_and_a_tank_drilled_and_wetted_before_it_is_placed(
    tasks: dict[str, Task],
) -> None:
    for rack, room in (("A", "cellar"), ("D", "cellar"), ("Q", "laundry")):
        assert {f"floor.coat1:{room}", f"floor.coat2:{room}"} <= earlier(tasks, f"rack.stand:{rack}")
        assert {f"rack.stand:{rack}", f"tanks.drill:{rack}", f"tanks.test:{rack}"} <= earlier(
            tasks, f"tanks.place:{rack}"
        )


def test_all_tanks_stand_full_for_48_hours_before_any_fish(tasks: dict[str, Task]) -> None:
    assert tasks["proof.fill"].wait.value == 2 * DAY
    fish = [name for name in tasks if name.startswith(("fish.first", "fish.quarantine"))]
    assert fish
    for name in fish:
        assert "proof.fill" in earlier(tasks, name)


def test_what_fails_on_a_sunday_is_in_the_drawer() -> None:
    """Diaphragm, gasket, valve, residual current device, drippers and carbon. The room has no float valve."""
    laid = lay_plan(EXAMPLES / "cellar_mended.toml")
    assert laid.read.plan is not None
    assert laid.room is not None
    kept = {one.article: one.count for one in count_parts(laid.read.plan, laid.room).spares}
    for part in (
        "diaphragm kit for pump piston80", "gasket for a bulkhead of a 29 mm hole", "timer valve", "carbon filter",
        "breaker 10 A with residual current device 30 mA",
        "dripper on 16 mm PE with outlet for 4 mm tube, compensating dripper 2 L/h",
    ):  # fmt: skip
        assert kept.get(part, 0) >= 1, part
