"""Full checks of panes and maps of holes: worked out once, kept beside the plan by what they hang on, gone on with
after a stop; a place of a hole tried without a word being written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tankwright.plan.changes_glass import MoveHole
from tankwright.systems import glass_map
from tankwright.systems.glass_full_model import HoleMap
from tankwright.workspace import glass_store, glass_work
from tankwright.workspace.glass_store import GlassStore, map_key, pane_key
from tankwright.workspace.glass_try import place_of, screened_field, tried_in, try_hole
from tankwright.workspace.glass_work import (
    Asked,
    CheckedPanes,
    MadeMaps,
    check_panes,
    drilled,
    known_map,
    known_pane,
    make_maps,
    screened,
    worked_out_glass,
    worked_out_maps,
    worked_out_panes,
)
from tankwright.workspace.jobs import Jobs
from tankwright.workspace.opened import Opened, open_text

from .rooms import live

CUBES = """
title = "Cubes"
[room.shed]
size = { length = "3 m", width = "2 m", height = "2.2 m" }
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm", flange = "45 mm" }
overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }
[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }]
"""
ONE = Asked(workers=1)


class StoppedError(Exception):
    """Somebody stopped it."""


@pytest.fixture(autouse=True)
def _nothing_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """No pane and no map is known of another test."""
    monkeypatch.setattr(glass_work, "_PANES", glass_work._Memory(40))
    monkeypatch.setattr(glass_work, "_MAPS", glass_work._Memory(12))
    monkeypatch.setattr("tankwright.workspace.glass_work.os.cpu_count", lambda: 1)


def forget_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """As after a restart of the program."""
    monkeypatch.setattr(glass_work, "_PANES", glass_work._Memory(40))
    monkeypatch.setattr(glass_work, "_MAPS", glass_work._Memory(12))


def opened(folder: Path, text: str = CUBES) -> Opened:
    return open_text(folder / "plan.toml", text)


def back(plan: Opened) -> Any:
    return next(one for one in screened(plan) if one.case.pane == "back")


def few_places(monkeypatch: pytest.MonkeyPatch, most: int = 7) -> None:
    """A map of a few places, for the sake of time."""
    whole = glass_map.map_places
    monkeypatch.setattr(glass_map, "map_places", lambda *about: whole(*about)[:most] + whole(*about)[-1:])


# --- panes --------------------------------------------------------------------------------------------------


def test_every_screened_pane_is_checked_with_its_screening_beside_it(tmp_path: Path) -> None:
    plan, told = opened(tmp_path), []
    checked = check_panes(plan, screened(plan), ONE, lambda done, of: told.append((done, of)))
    assert checked.failed == ()
    assert [one.screen for one in checked.panes] == list(screened(plan))
    assert all(one.solved for one in checked.panes)
    assert told == [(done, 5) for done in range(6)]
    one = next(full for full in checked.panes if full.case.pane == "back")
    assert one.holes
    assert one.worst == pytest.approx(one.screen.worst, rel=0.15)


def test_what_was_checked_is_known_after_a_restart_to_the_last_figure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = opened(tmp_path)
    assert known_pane(plan, back(plan)) is None
    checked = check_panes(plan, [back(plan)], ONE)
    forget_memory(monkeypatch)
    monkeypatch.setattr(glass_work, "check_pane", _must_not)
    again = check_panes(plan, [back(plan)], ONE)
    before, after = checked.panes[0], again.panes[0]
    for name in (
        "worst",
        "worst_at",
        "governs",
        "use",
        "surface",
        "edge",
        "sag",
        "linear",
        "holes",
        "screen",
    ):
        assert getattr(after, name) == getattr(before, name), name
    for name in ("nodes", "triangles", "deflection", "stress"):
        assert (getattr(after.solution, name) == getattr(before.solution, name)).all()
    assert after.solution.unknowns == before.solution.unknowns
    assert isinstance(after.worst_at, tuple)


def _must_not(*_: object) -> Any:
    raise AssertionError("it is known, and yet it was worked out")


def test_afresh_works_it_out_again(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    first = check_panes(plan, [back(plan)], ONE).panes[0]
    again = check_panes(plan, [back(plan)], replace(ONE, afresh=True)).panes[0]
    assert again is not first
    assert again.worst == first.worst


def test_the_name_of_a_kind_and_its_tanks_change_nothing_and_a_thicker_glass_does(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    one = back(plan)
    key = pane_key(one.case, one.strengths)
    other = back(opened(tmp_path, CUBES.replace("cube", "die").replace("A1..A2", "X1..X3").replace("# ", "")))
    assert pane_key(other.case, other.strengths) == key
    thicker = back(opened(tmp_path, CUBES.replace('sides = "5 mm"', 'sides = "6 mm"')))
    assert pane_key(thicker.case, thicker.strengths) != key
    moved = back(opened(tmp_path, CUBES.replace('from_left = "75 mm"', 'from_left = "76 mm"')))
    assert pane_key(moved.case, moved.strengths) != key


def test_a_pane_known_under_another_name_is_told_under_its_own(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    check_panes(plan, [back(plan)], ONE)
    renamed = opened(tmp_path, CUBES.replace("cube", "die"))
    known = known_pane(renamed, back(renamed))
    assert known is not None
    assert known.case.kind == "die"


@pytest.mark.parametrize("spoilt", [b"", b"PK\x03\x04 cut", None])
def test_a_kept_file_that_is_spoilt_is_worked_out_anew(
    spoilt: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = opened(tmp_path)
    check_panes(plan, [back(plan)], ONE)
    (kept,) = (tmp_path / "plan.tankwright" / "glass").iterdir()
    raw = kept.read_bytes()
    kept.write_bytes(raw[: len(raw) // 2] if spoilt is None else spoilt)
    forget_memory(monkeypatch)
    assert known_pane(plan, back(plan)) is None
    assert check_panes(plan, [back(plan)], ONE).panes[0].solved


def test_a_kept_file_with_other_numbers_than_its_sum_is_not_believed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = opened(tmp_path)
    check_panes(plan, [back(plan)], ONE)
    (kept,) = (tmp_path / "plan.tankwright" / "glass").iterdir()
    with np.load(kept) as file:
        parts = {name: file[name] for name in file.files}
    parts["stress"] = parts["stress"] / 2.0
    np.savez_compressed(kept, **parts)
    forget_memory(monkeypatch)
    assert known_pane(plan, back(plan)) is None


def test_a_folder_that_cannot_be_written_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "plan.tankwright").write_text("a file in the way", "utf-8")
    plan = opened(tmp_path)
    assert check_panes(plan, [back(plan)], ONE).panes[0].solved


def test_the_folder_does_not_grow_without_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(glass_store, "KEPT", 3)
    store = GlassStore(tmp_path / "plan.toml")
    for number in range(6):
        store.keep_spots(f"{number}", ())
    assert len(list((tmp_path / "plan.tankwright" / "glass").iterdir())) == 3
    store.forget()
    assert list((tmp_path / "plan.tankwright" / "glass").iterdir()) == []


def test_a_pane_that_fails_is_told_and_the_others_are_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = glass_work.check_pane

    def check(piece: Any) -> Any:
        if piece.case.pane == "left":
            raise MemoryError("no room")
        return real(piece)

    monkeypatch.setattr(glass_work, "check_pane", check)
    plan = opened(tmp_path)
    checked = check_panes(plan, screened(plan), ONE)
    assert checked.failed == (("cube", "left", "MemoryError: no room"),)
    assert len(checked.panes) == 4


def test_what_was_done_before_a_stop_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def progress(done: int, _: int) -> None:
        if done == 2:
            raise StoppedError

    plan = opened(tmp_path)
    with pytest.raises(StoppedError):
        check_panes(plan, screened(plan), ONE, progress)
    forget_memory(monkeypatch)
    assert sum(known_pane(plan, one) is not None for one in screened(plan)) == 2


def test_a_plan_that_was_not_worked_out_has_no_panes(tmp_path: Path) -> None:
    nothing = opened(tmp_path, "[tank_kind")
    assert worked_out_glass(nothing) is None
    assert worked_out_panes(nothing, "cube") is None
    assert worked_out_maps(nothing, "cube") is None
    assert try_hole(nothing, MoveHole("cube", 0.1, 0.1)) is None
    assert screened(nothing) == ()


# --- maps ---------------------------------------------------------------------------------------------------


def test_a_map_is_known_wherever_the_hole_is_moved_and_only_its_new_place_is_tried(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    few_places(monkeypatch)
    plan = opened(tmp_path)
    (hole,) = drilled(plan, "cube")
    assert known_map(plan, hole) is None
    made = make_maps(plan, [hole], ONE).maps[0]
    assert made.present is not None
    assert made.present.worst is not None
    moved = opened(tmp_path, CUBES.replace('from_left = "75 mm"', 'from_left = "110 mm"'))
    (there,) = drilled(moved, "cube")
    forget_memory(monkeypatch)
    known = known_map(moved, there)
    assert known is not None
    assert known.present is not None
    assert known.present.worst is None, "nobody has tried it there"
    told: list[tuple[int, int]] = []
    again = make_maps(moved, [there], ONE, lambda done, of: told.append((done, of))).maps[0]
    assert again.present is not None
    assert again.present.worst is not None
    assert told[0] == (0, 1)
    assert told[-1] == (1, 1)
    assert [spot.worst for spot in again.spots] == [spot.worst for spot in made.spots]


def test_a_map_hangs_on_the_level_and_not_on_the_place(tmp_path: Path) -> None:
    def key(text: str) -> str:
        plan = opened(tmp_path, text)
        (hole,) = drilled(plan, "cube")
        around = glass_work._around(plan.room, hole)  # type: ignore[arg-type] # the plan is good
        return map_key(hole.screen.case, hole.screen.strengths, around, hole.index)

    assert key(CUBES) == key(CUBES.replace('from_left = "75 mm"', 'from_left = "110 mm"'))
    assert key(CUBES) != key(CUBES.replace('water_below_rim = "40 mm"', 'water_below_rim = "45 mm"'))
    assert key(CUBES) != key(CUBES.replace('diameter = "29 mm"', 'diameter = "35 mm"'))


def test_a_map_goes_on_where_it_was_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    few_places(monkeypatch, 15)

    def stop(done: int, _: int) -> None:
        if done:
            raise StoppedError

    plan = opened(tmp_path)
    with pytest.raises(StoppedError):
        make_maps(plan, drilled(plan, "cube"), ONE, stop)
    told: list[tuple[int, int]] = []
    make_maps(plan, drilled(plan, "cube"), ONE, lambda done, of: told.append((done, of)))
    assert told[0] == (0, 16 - glass_work.AT_ONCE)


def test_a_hole_nobody_measured_has_no_map_and_says_why(tmp_path: Path) -> None:
    plan = opened(tmp_path, CUBES.replace('diameter = "29 mm", ', ""))
    made = make_maps(plan, drilled(plan, "cube"), ONE)
    assert made.maps == ()
    assert "measure your fitting" in made.failed[0]


# --- as jobs ------------------------------------------------------------------------------------------------


def test_a_kind_of_tank_can_be_asked_for_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    few_places(monkeypatch, 3)
    plan = live(tmp_path, CUBES)
    jobs = Jobs(plan)
    checked = jobs.wait(jobs.start("glass:cube", 1).id, 60)
    assert checked is not None
    assert checked.state == "done"
    assert isinstance(checked.result, CheckedPanes)
    assert len(checked.result.panes) == 5
    made = jobs.wait(jobs.start("hole_map:cube", 1).id, 60)
    assert made is not None
    assert isinstance(made.result, MadeMaps)
    assert isinstance(made.result.maps[0], HoleMap)
    none = jobs.wait(jobs.start("hole_map:no such", 1).id, 60)
    assert none is not None
    assert (none.state, none.result) == ("done", MadeMaps(maps=()))
    for kind in ("hole_map", "glass:", "hole_map:" + "x" * 300, "rack:A"):
        with pytest.raises(KeyError):
            jobs.start(kind, 1)
    jobs.close()


# --- a place tried ------------------------------------------------------------------------------------------


def test_a_place_is_screened_as_the_plan_would_be_with_the_hole_there(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    assert plan.room is not None
    tried = try_hole(plan, MoveHole("cube", 0.15, 0.065))
    written = opened(tmp_path, CUBES.replace('from_left = "75 mm"', 'from_left = "150 mm"'))
    assert tried is not None
    assert tried.screen is not None
    assert (tried.screen.worst, tried.screen.use) == (back(written).worst, back(written).use)
    assert (tried.across, tried.down) == (pytest.approx(0.15), pytest.approx(0.065))
    assert tried.water == pytest.approx(0.04)
    now = tried_in(plan.room, "cube", 0)
    assert now is not None
    assert now.screen is not None
    assert now.screen.worst < tried.screen.worst, "mid-length under an open rim is the worst place"
    assert now.levels == (pytest.approx(0.065 + 0.008), pytest.approx(0.035))


def test_what_is_against_a_place_is_told(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    tried = try_hole(plan, MoveHole("cube", 0.15, 0.02))
    assert tried is not None
    assert {"edge", "flange"} <= set(tried.kept_out)
    assert not tried.holds


def test_a_place_that_cannot_be_is_told_and_not_screened(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    refused = try_hole(plan, MoveHole("cube", "75 kg", "65 mm"))
    assert refused is not None
    assert refused.screen is None
    assert refused.findings[0].found == '"75 kg"'
    unknown = opened(tmp_path, CUBES.replace('temper = "annealed"', 'temper = "unknown"'))
    tried = try_hole(unknown, MoveHole("cube", 0.1, 0.1))
    assert tried is not None
    assert tried.screen is None
    assert tried.not_computed is not None


def test_the_holes_of_a_pane_are_counted_as_the_plan_counts_them(tmp_path: Path) -> None:
    more = CUBES.replace(
        "overflow =",
        'more_holes = [{ pane = "left", diameter = "20 mm", from_left = "15 cm", below_rim = "15 cm" },'
        ' { pane = "back", diameter = "20 mm", from_left = "15 cm", below_rim = "20 cm" }]\noverflow =',
    )
    plan = opened(tmp_path, more)
    assert plan.room is not None
    tank = plan.room.tanks[0]
    assert [place_of(tank, number) for number in range(4)] == [("back", 0), ("left", 0), ("back", 1), None]
    tried = try_hole(plan, MoveHole("cube", 0.2, 0.2, 2))
    assert tried is not None
    assert (tried.across, tried.down) == (pytest.approx(0.2), pytest.approx(0.2))


def test_the_field_of_a_pane_covers_it_and_says_at_its_hole_what_the_screening_says(tmp_path: Path) -> None:
    plan = opened(tmp_path)
    assert plan.room is not None
    one = back(plan)
    cells = screened_field(plan.room, one, 0)
    area = sum((cell.x[1] - cell.x[0]) * (cell.y[1] - cell.y[0]) for cell in cells)
    assert area == pytest.approx(one.case.length * one.case.height)
    hole = one.holes[0].hole
    here = next(cell for cell in cells if cell.x[0] <= hole.x < cell.x[1] and cell.y[0] <= hole.y < cell.y[1])
    assert here.use == pytest.approx(one.holes[0].use, rel=0.1)
    assert not here.kept_out
    assert cells[0].kept_out
    plain = screened_field(plan.room, replace(one, case=replace(one.case, holes=())), None)
    assert max(cell.use or 0.0 for cell in plain) <= one.plain / one.strengths.working_surface.value * 1.001
