"""What fits, through the open plan: kept by what it rests on, stopped when asked, taken and undone as one step."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.arranging.model import Arrangements, Effort
from tankwright.workspace.arrange_work import (
    known_arrangements,
    mark_of,
    prices_of,
    worked_out_arrangements,
)
from tankwright.workspace.jobs import KINDS, Jobs
from tankwright.workspace.opened import open_text

from .rooms import applied, conflict, live, titled

SHED = """
title = "Shed"
[room.shed]
size = { length = "4 m", width = "3 m", height = "2.2 m" }
doors = [{ wall = "south", from_west = "20 cm", width = "70 cm", swing = "out", hinged = "west" }]
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
[rack_kind.plain]
length = "100 cm"
depth = "40 cm"
shelves = ["40 cm", "110 cm"]
height = "150 cm"
made_of = "bought steel shelving"
[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["40 cm"]
height = "60 cm"
made_of = "bought shelving"
[[rack]]
id = "A"
kind = "plain"
room = "shed"
wall = "north"
from_west = "50 cm"
off_wall = "8 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }]   # the first two
[[stock]]
tanks = "A1..A2"
species = "Danio rerio"
count = 10
each = "0.5 g"
"""
QUICK = Effort(work=4.0, proposals=2, places=80)


def found_in(text: str, effort: Effort = QUICK) -> Arrangements:
    found = worked_out_arrangements(open_text(Path("plan.toml"), text), effort=effort)
    assert found is not None
    return found


def test_a_proposal_is_taken_as_one_step_and_undone_as_one(tmp_path: Path) -> None:
    plan = live(tmp_path, SHED)
    found = worked_out_arrangements(plan.snapshot.read, effort=QUICK)
    assert found is not None
    best = found.proposals[0]
    before = plan.snapshot.number
    took = applied(plan.edit(best.change, base=before, key="take-1", who="Ada"))
    assert took.number == before + 1
    assert (tmp_path / "plan.toml").read_text("utf-8") == best.text
    room = plan.snapshot.read.room
    assert room is not None
    assert len(room.tanks) == best.tanks
    assert plan.snapshot.read.mistakes == ()
    assert plan.revisions(1)[0].what == best.change.says("")
    applied(plan.undo(base=took.number, key="", who="Ada"))
    assert (tmp_path / "plan.toml").read_text("utf-8") == SHED


def test_a_proposal_is_not_taken_over_what_was_changed_meanwhile(tmp_path: Path) -> None:
    plan = live(tmp_path, SHED)
    found = worked_out_arrangements(plan.snapshot.read, effort=QUICK)
    assert found is not None
    number = plan.snapshot.number
    applied(plan.edit(titled("Garden shed"), base=number, key="", who="Ben"))
    conflict(plan.edit(found.proposals[0].change, base=number, key="", who="Ada"))


def test_fish_stay_with_their_tanks_that_move(tmp_path: Path) -> None:
    best = found_in(SHED).proposals[0]
    assert best.moved == ("A1", "A2")
    assert 'tanks = "A1..A2"\nspecies = "Danio rerio"' in best.text
    assert best.drops == ()


def test_arrangements_are_kept_by_plan_wish_and_effort() -> None:
    opened = open_text(Path("plan.toml"), SHED)
    first = worked_out_arrangements(opened, effort=QUICK)
    again = worked_out_arrangements(open_text(Path("plan.toml"), SHED), effort=QUICK)
    assert first is again
    assert known_arrangements(mark_of(opened, QUICK)) is first
    assert known_arrangements("") is None
    marks = {
        mark_of(opened, QUICK), mark_of(opened, replace(QUICK, work=5.0)), mark_of(opened),
        mark_of(open_text(Path("plan.toml"), SHED + '[wish]\nbest = "litres"\n'), QUICK),
    }  # fmt: skip
    assert len(marks) == 4


def test_a_plan_without_a_room_has_none() -> None:
    assert worked_out_arrangements(open_text(Path("plan.toml"), 'title = "x"')) is None
    assert mark_of(open_text(Path("plan.toml"), "title = ")) == ""


def test_the_job_can_be_asked_for_and_stopped(tmp_path: Path) -> None:
    plan = live(tmp_path, SHED + "[wish]\nislands = true\n")
    jobs = Jobs(plan, {"arrange": KINDS["arrange"]})
    try:
        job = jobs.start("arrange", plan.snapshot.number)
        jobs.cancel(job.id)
        ended = jobs.wait(job.id, 60)
        assert ended is not None
        assert ended.state == "cancelled"
        assert ended.result is None
    finally:
        jobs.close()


def test_a_job_that_is_let_go_on_is_done(tmp_path: Path) -> None:
    plan = live(tmp_path, SHED)
    jobs = Jobs(plan, {"arrange": KINDS["arrange"]})
    try:
        ended = jobs.wait(jobs.start("arrange", plan.snapshot.number).id, 120)
        assert ended is not None
        assert ended.state == "done"
        assert isinstance(ended.result, Arrangements)
        assert ended.result.proposals
    finally:
        jobs.close()


# --- prices ------------------------------------------------------------------------------------------------------


PRICED = """
[buy]
currency = "EUR"
[[buy.sold]]
of = "tank cube"
price = 20
[[buy.sold]]
of = "rack plain"
price = 100
[[buy.sold]]
of = "rack low"
price = 30
"""


def test_a_tank_and_a_rack_cost_what_the_plan_says() -> None:
    prices = prices_of(open_text(Path("plan.toml"), SHED + PRICED))
    assert prices.currency == "EUR"
    assert prices.tanks["cube"] == pytest.approx(20.0)
    assert prices.racks == pytest.approx({"plain": 100.0, "low": 30.0})
    assert prices.unknown == ()


def test_least_cost_buys_what_is_not_there_yet() -> None:
    # of twelve cubes two are there, on a rack that is: it holds six; three more take a low rack at 30, six one at 100
    wish = '[wish]\nbest = "cost"\ntanks = [{ kind = "cube", at_least = 12, at_most = 12 }]\n'
    found = found_in(SHED + PRICED + wish)
    best = found.proposals[0]
    assert best.cost == pytest.approx(10 * 20.0 + 2 * 30.0)
    assert sorted(rack.kind for rack in best.racks) == ["low", "low", "plain"]
    assert found.currency == "EUR"
    assert found.proved
    assert found.bound == pytest.approx(260.0)


def test_a_rack_bought_whole_has_no_price_where_only_its_feet_have() -> None:
    feet = '[[buy.sold]]\nof = "foot under a leg"\nprice = 2\n[[buy.sold]]\nof = "tank cube"\nprice = 20\n'
    prices = prices_of(open_text(Path("plan.toml"), SHED + "[buy]\n" + feet))
    assert prices.racks == {}
    assert prices.unknown == ("rack plain (rack plain)", "rack low (rack low)")


def test_without_a_price_least_cost_says_what_is_missing() -> None:
    wish = '[wish]\nbest = "cost"\ntanks = [{ kind = "cube", at_least = 6 }]\n'
    found = found_in(SHED + wish)
    told = next(one for one in found.findings if one.code == "WISH-07")
    assert "tank cube" in told.text
    assert found.proposals[0].cost is None
    assert prices_of(open_text(Path("plan.toml"), SHED)).unknown == ()  # nobody asked what it costs
