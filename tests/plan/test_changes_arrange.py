"""An arrangement taken: racks exchanged, drains told, and nothing left that names what is gone."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.plan.changes_arrange import TakeArrangement
from tankwright.plan.ids import expand_ids, ids_text
from tankwright.plan.reading import read_plan_text

EXAMPLES = Path(__file__).parents[2] / "examples"
CELLAR = (EXAMPLES / "cellar.toml").read_text(encoding="utf-8")
NEW = (
    '{ id = "A", kind = "three_high", room = "cellar", wall = "north", from_west = "10 cm", off_wall = "8 cm", '
    'shelf.1 = [{ kind = "long90", ids = "A1..A2", from_left = "4.5 cm" }] }'
)


def mistakes(text: str) -> list[str]:
    return [finding.text for finding in read_plan_text(text, "plan.toml").findings]


@pytest.mark.parametrize(
    "out", [("A", "B", "C", "D", "E"), ("A",), ("A", "D"), ("A", "B", "C", "D", "E", "Q")]
)
def test_after_it_nothing_names_a_rack_or_a_tank_that_is_not_there(out: tuple[str, ...]) -> None:
    behind = (("main", ("A",)), ("south", () if "D" in out and "E" in out else ("E",)))
    changed = TakeArrangement(out=out, put=(NEW,), behind=behind).apply(CELLAR)
    assert changed.text is not None
    assert mistakes(changed.text) == []
    assert changed.text.count('id = "A"\n') == 1


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_every_rack_of_an_example_can_go(name: str) -> None:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    plan = read_plan_text(text, "plan.toml").plan
    assert plan is not None
    change = TakeArrangement(
        out=tuple(rack.id for rack in plan.rack), put=(), behind=tuple((drain, ()) for drain in plan.drain)
    )
    changed = change.apply(text)
    assert changed.text is not None
    assert mistakes(changed.text) == []
    after = read_plan_text(changed.text, "plan.toml").plan
    assert after is not None
    assert after.rack == ()
    assert after.tank_kind == plan.tank_kind


def test_what_it_does_not_touch_stays_as_it_is_written() -> None:
    changed = TakeArrangement(out=("E",), put=(), behind=(("south", ("D",)),)).apply(CELLAR).text
    assert changed is not None
    kept = (
        'floor = "slab"',
        "shelf.3 = []                          # kept for later, under the window",
        "# --- air ---",
    )
    for line in kept:
        assert line in changed
    gone = set(CELLAR.splitlines()) - set(changed.splitlines())
    assert 'id = "E"' in gone
    assert len(gone) < 15


def test_it_tells_beforehand_what_else_goes() -> None:
    change = TakeArrangement(
        out=("A", "B", "C", "D", "E"), put=(NEW,), behind=(("main", ("A",)), ("south", ()))
    )
    told = change.drops(CELLAR)
    assert "drain south: taken out, it passes no rack" in told
    assert "stock Melanotaenia boesemani: no longer in B1..B2" in told
    assert any(one.startswith("stock Danio rerio: taken out") for one in told)
    assert not any("drain south, filling" in one for one in told)  # the whole drain is told already
    assert TakeArrangement(out=(), put=()).drops(CELLAR) == ()


def test_alarms_boards_feeds_and_single_tanks_let_go_of_what_is_gone() -> None:
    more = (
        '\n[[alarm]]\nid = "level"\nwatches = "level"\nwhere = "E1, E2"\nreaches = "me"\n'
        '[[alarm]]\nid = "hot"\nwatches = "temperature"\nwhere = "E"\nreaches = "me"\n'
        '[[alarm]]\nid = "room"\nwatches = "temperature"\nwhere = "cellar"\nreaches = "me"\n'
        '[tank.E2]\nnote = "leans"\n[tank.A1]\nnote = "stays"\n'
    )
    served = 'zones = ["main"]\nracks = ["A", "E"]\ntanks = "A1..A2, E1"\n'
    text = CELLAR.replace('zones = ["main"]\n', served, 1) + more
    assert mistakes(text) == []
    changed = TakeArrangement(out=("E",), put=(), behind=(("south", ("D",)),)).apply(text).text
    assert changed is not None
    plan = read_plan_text(changed, "plan.toml").plan
    assert plan is not None
    assert [alarm.id for alarm in plan.alarm] == ["room"]
    assert list(plan.tank) == ["A1"]
    assert plan.feed["drip"].racks == ("A",)
    assert plan.feed["drip"].tanks == "A1..A2"


def test_a_text_that_does_not_read_is_refused() -> None:
    changed = TakeArrangement(out=("A",), put=(NEW,)).apply('[[rack]]\nid = "A')
    assert changed.text is None
    assert changed.findings


def test_a_rack_that_cannot_be_written_is_refused() -> None:
    changed = TakeArrangement(out=("A",), put=("not a table",)).apply(CELLAR)
    assert changed.text is None


@pytest.mark.parametrize("text", ["A1..A4", "A1, A3, B7..B9", "T08..T11", "A9..A12, A1", "x"])
def test_ids_are_written_as_people_write_them(text: str) -> None:
    assert ids_text(expand_ids(text)) == text
    assert expand_ids(ids_text(expand_ids(text))) == expand_ids(text)


def test_numbers_of_another_width_are_no_range() -> None:
    assert ids_text(("A9", "A010")) == "A9, A010"
    assert ids_text(("A1", "A1")) == "A1, A1"


def test_a_run_whose_racks_are_all_gone_goes_too_for_without_a_list_it_would_serve_all() -> None:
    text = CELLAR.replace('zones = ["main"]\n', 'zones = ["main"]\nracks = ["E"]\n', 1)
    change = TakeArrangement(out=("E",), put=(), behind=(("south", ("D",)),))
    assert "feed drip: taken out, rack E was all it served" in change.drops(text)
    changed = change.apply(text).text
    assert changed is not None
    assert mistakes(changed) == []
    plan = read_plan_text(changed, "plan.toml").plan
    assert plan is not None
    assert plan.feed == {}
