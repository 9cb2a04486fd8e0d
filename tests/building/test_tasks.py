"""The tasks of a plan: what comes before what, with which hands and waits."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from tankwright.building.paths import in_order
from tankwright.building.tasks import tasks_of
from tankwright.building.tasks_pipes import AIR_TEST
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.takeoff.model import Article, Need, Takeoff

from .build_rooms import EXAMPLES, GLUED, GOOD_PLAN, WISHED, Site, example, site

DAY, HOUR = 86_400.0, 3600.0


def before(of: Site, task: str) -> set[str]:
    """All that must be done before a task, however far back."""
    found: set[str] = set()
    left = [task]
    while left:
        for link in of.task(left.pop()).after:
            if link.task not in found:
                found.add(link.task)
                left.append(link.task)
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_task_is_there_once_waits_only_for_tasks_of_the_plan_and_in_no_ring(name: str) -> None:
    tasks = example(name).tasks
    names = [task.id for task in tasks]
    assert len(set(names)) == len(names)
    assert {link.task for task in tasks for link in task.after} <= set(names)
    assert set(in_order(names, {task.id: [link.task for link in task.after] for task in tasks})) == set(names)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_task_says_how_stands_on_known_assumptions_and_names_what_is_in_the_room(name: str) -> None:
    of = example(name)
    room = of.room
    known = {
        *(tank.id for tank in room.tanks), *(rack.id for rack in room.racks), *(space.id for space in room.spaces),
        *(run.id for runs in (room.drains, room.airs, room.feeds) for run in runs), *(pump.id for pump in room.pumps),
    }  # fmt: skip
    for task in of.tasks:
        assert 20 < len(task.how) < 700, task.id
        assert task.labour.low <= task.labour.value <= task.labour.high
        assert task.wait.least <= task.wait.value <= task.wait.most
        assert bool(task.wait.why) or task.wait.value == 0.0
        assert task.labour.value > 0
        assert set(task.rests_on) <= set(ASSUMPTIONS), task.id
        assert set(task.places) <= known, task.id
        assert set(re.findall(r"\{(\w+)\}", task.how + task.hold_point)) <= {name for name, _ in task.numbers}


def test_a_cellar_has_so_many_tasks_that_one_reads_them() -> None:
    assert 60 <= len(example("cellar.toml").tasks) <= 130
    assert 60 <= len(example("cellar_mended.toml").tasks) <= 130


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_the_trade_does_first_comes_first(name: str) -> None:
    of = example(name)
    for rack in of.room.racks:
        tanks = [tank for tank in of.room.tanks if tank.rack == rack.id]
        stand = f"rack.stand:{rack.id}"
        assert {f"rack.build:{rack.id}", f"floor.coat2:{rack.room}", f"floor.coat1:{rack.room}"} <= before(
            of, stand
        )
        if any(one.id == f"shell.line:{rack.room}" for one in of.tasks):
            assert {f"shell.line:{rack.room}", f"shell.insulate:{rack.room}"} <= before(of, stand)
        if any(one.id == f"power.cables:{rack.room}" for one in of.tasks):
            assert f"power.cables:{rack.room}" in before(of, stand)
        if tanks:
            place = f"tanks.place:{rack.id}"
            assert {stand, f"tanks.test:{rack.id}"} <= before(of, place)
            assert place in before(of, "proof.fill")
            drilling = f"tanks.drill:{rack.id}"
            if any(one.id == drilling for one in of.tasks):
                assert drilling in before(of, f"tanks.test:{rack.id}")
    for run in of.room.drains:
        steps = [f"drain.fit:{run.id}", f"drain.glue:{run.id}", f"drain.test:{run.id}", "proof.fill"]
        assert all(first in before(of, then) for first, then in pairwise(steps))


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_fish_before_every_test_and_cycled_filters_and_quarantine_first(name: str) -> None:
    of = example(name)
    tests = {task.id for task in of.tasks if task.group == "proof"}
    everything = {task.id for task in of.tasks if task.group not in {"proof", "fish"}}
    for task in of.tasks:
        if task.id.startswith(("fish.first:", "fish.quarantine:")):
            assert tests | everything <= before(of, task.id)
            assert task.id.replace("first", "cycle").replace("quarantine:", "cycle:", 1) in before(
                of, task.id
            )
    apart = {zone.id for zone in of.room.zones if zone.quarantine}
    for zone in apart & {tank.zone for tank in of.room.tanks}:
        assert f"fish.quarantine:{zone}" in before(of, "fish.first:main")


def test_a_glued_tank_stands_a_week_and_its_brace_a_further_day_or_two_before_water() -> None:
    of = site(GLUED)
    glue, brace, test = of.task("tanks.glue:A"), of.task("tanks.brace:A"), of.task("tanks.test:A")
    assert glue.wait.value == 7 * DAY  # 6 mm at 2.5 mm a day is less
    assert glue.sets.value == DAY
    assert (brace.wait.least, brace.wait.most) == (DAY, 2 * DAY)
    assert {(link.task, link.until) for link in brace.after} == {("tanks.glue:A", "set")}
    assert {("tanks.glue:A", "over"), ("tanks.brace:A", "over")} <= {
        (one.task, one.until) for one in test.after
    }
    slots = {slot.task: slot for slot in of.schedule().slots}
    assert slots["tanks.test:A"].start >= slots["tanks.brace:A"].ready
    assert (slots["tanks.test:A"].start - slots["tanks.brace:A"].end).total_seconds() >= 1.5 * DAY


def test_a_pane_of_a_tank_that_is_glued_here_is_drilled_before_it_is_glued() -> None:
    of = site(GLUED)
    assert "tanks.drill:A" in before(of, "tanks.glue:A")
    assert "order.glass" in before(of, "tanks.drill:A")


def test_toughened_glass_and_glass_drilled_to_order_have_no_task_to_drill() -> None:
    toughened = site(GOOD_PLAN.replace('temper = "annealed"', 'temper = "toughened"'))
    ordered = site(
        GOOD_PLAN.replace('hole = { pane = "back"', 'hole = { drilled = "to order", pane = "back"')
    )
    for of in (toughened, ordered):
        assert not [task for task in of.tasks if task.group == "drilling"]
    assert [task.id for task in site().tasks if task.group == "drilling"] == ["tanks.drill:A"]


def test_glass_that_nobody_has_said_to_be_annealed_is_looked_at_first() -> None:
    unsure = site(GOOD_PLAN.replace('temper = "annealed"', 'temper = "unknown"')).task("tanks.drill:A")
    assert "crossed polarisers" in unsure.how
    assert "crossed polarisers" not in site().task("tanks.drill:A").how


def test_a_tank_heavier_than_one_lifts_takes_two_and_more_people() -> None:
    mass = max(tank.empty_mass.value for tank in site().room.tanks)
    assert site(build='one_lifts = "60 kg"').task("tanks.place:A").people == 1
    assert site(build='one_lifts = "14 kg"').task("tanks.place:A").people == 2
    assert 14.0 < mass <= 28.0
    assert site(build='one_lifts = "8 kg"').task("tanks.place:A").people == 3


def test_cold_and_damp_gluing_waits_longer_and_a_clamped_pipe_not_at_all() -> None:
    def wait(build: str, text: str = GOOD_PLAN) -> float:
        return site(text, build).task("drain.glue:main").wait.value / HOUR

    assert wait('temperature = "20 °C"\nhumidity = "50 %"') == 2.0
    assert wait('temperature = "20 °C"\nhumidity = "70 %"') == 3.0
    assert wait('temperature = "10 °C"\nhumidity = "70 %"') == 6.0
    assert (
        wait(
            'temperature = "20 °C"', GOOD_PLAN.replace('behind = ["A"]', 'behind = ["A"]\npipe = "50 mm PE"')
        )
        == 0.0
    )


def test_an_assumed_room_has_a_band_of_waits_and_a_said_one_none() -> None:
    assumed = site().task("drain.glue:main").wait
    assert assumed.least < assumed.most
    said = site(build='temperature = "20 °C"\nhumidity = "50 %"').task("drain.glue:main").wait
    assert said.least == said.value == said.most


def test_the_air_ring_is_never_tried_with_a_compressor_and_power_is_left_to_the_licensed() -> None:
    of = example("cellar_mended.toml")
    assert AIR_TEST in of.task("air.glue:ring").how
    assert AIR_TEST in of.task("air.test:ring").how
    assert of.task("power.cables:cellar").licensed
    assert of.task("proof.rcd").licensed
    assert of.task("power.cables:cellar").people == 0
    for task in of.tasks:
        told = f"{task.how} {task.hold_point} {task.title}".casefold()
        assert " safe" not in told
        assert "certified" not in told


def test_a_delivery_that_the_plan_names_takes_what_it_says() -> None:
    of = site(
        WISHED, 'deliveries = [{ what = "pipe", takes = "3 days" }, { what = "Hose", takes = "5 days" }]'
    )
    assert of.task("order.pipes").wait.value == 5 * DAY
    assert of.task("order.pipes").rests_on == ("build.order",)
    assert "build.delivery" in of.task("order.tanks").rests_on


def test_the_owners_hours_stand_before_the_usual() -> None:
    usual, own = site(), site(GOOD_PLAN + '\n[assume]\n"build.drill" = "1 h"\n')
    assert own.task("tanks.drill:A").labour.value == 4 * HOUR
    assert own.task("tanks.drill:A").rests_on == ()
    assert usual.task("tanks.drill:A").rests_on == ("build.drill",)


def test_ids_stay_when_the_plan_changes_elsewhere() -> None:
    changed = GOOD_PLAN.replace('shelf.2 = [{ kind = "long90", ids = "A3, A4", gap = "10 mm" }]', "")
    assert {task.id for task in site(changed).tasks} == {task.id for task in site().tasks}


def test_a_room_without_tanks_or_pipes_still_has_its_floor() -> None:
    bare = site('[room.a]\nsize = { length = "3 m", width = "2 m", height = "2 m" }\n')
    assert [task.id for task in bare.tasks] == ["order.shell", "survey:a", "floor.coat1:a", "floor.coat2:a"]


def test_tanks_that_are_wished_for_are_built_as_the_parts_list_buys_them() -> None:
    text = GLUED.replace('ids = "A3, A4", state = "wished"', 'ids = "A3, A4", state = "stands"')
    of = site(text)
    assert of.task("tanks.glue:A").places == of.task("tanks.brace:A").places == ("A1", "A2")
    assert of.task("tanks.place:A").places == ("A1", "A2", "A3", "A4")


def test_a_tank_that_stands_is_neither_ordered_nor_glued() -> None:
    of = site(GOOD_PLAN.replace("[tank_kind.long90]\n", '[tank_kind.long90]\nmade = "glued here"\n'))
    assert not {"order.tanks", "order.glass", "tanks.glue:A"} & {task.id for task in of.tasks}
    assert of.task("tanks.place:A").places == ("A1", "A2", "A3", "A4")


def test_a_takeoff_names_the_articles_of_each_place() -> None:
    laid = site(WISHED)
    takeoff = Takeoff(
        articles=(Article(key="pipe 50 mm", kind="pipe", sold_by="length"),),
        needs=(Need(article="pipe 50 mm", count=2, system="drain", where="behind A", places=("main",)),),
    )
    tasks = {task.id: task for task in tasks_of(laid.plan, laid.room, takeoff)}
    assert tasks["drain.fit:main"].materials == ("pipe 50 mm",)
    assert tasks["order.pipes"].materials == ("pipe 50 mm",)
    assert tasks["rack.build:A"].materials == tasks["order.tanks"].materials == ()


def test_an_order_names_what_is_to_buy_and_lids_of_bought_tanks_are_glass_to_order() -> None:
    laid = site(WISHED)
    takeoff = Takeoff(
        articles=(
            Article(key="lid", kind="glass", sold_by="sheet"), Article(key="cube", kind="tank", sold_by="piece"),
            Article(key="long", kind="tank", sold_by="piece"),
        ),
        needs=(
            Need(article="lid", count=1, system="tanks", where="A"),
            Need(article="long", count=1, system="tanks", where="A"),
            Need(article="cube", count=1, system="tanks", where="A", state="stands"),
        ),
    )  # fmt: skip
    tasks = {task.id: task for task in tasks_of(laid.plan, laid.room, takeoff)}
    assert (tasks["order.tanks"].materials, tasks["order.glass"].materials) == (("long",), ("lid",))
