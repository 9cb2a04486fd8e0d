"""Several values put in and taken out as one change: all of it, or nothing and the reason."""

from __future__ import annotations

from pathlib import Path

from tankwright.plan.changes_together import PutTogether
from tankwright.plan.reading import read_plan_text

GOOD_PLAN = (Path(__file__).parent / "good_plan.toml").read_text(encoding="utf-8")


def test_values_rows_and_what_is_taken_out_go_together_and_the_rest_stays_as_written() -> None:
    puts = (
        (("feed", "drip", "program", 0, "minutes"), "20"),
        (("air", "ring", "pump"), ""),
        (("air", "ring", "pumps"), '["piston"]'),
        (("power", "boards", "id=left", "height"), '"1 m"'),
        (("alarm", "+"), '{ id = "wet", watches = "floor water", reaches = "me" }'),
    )
    changed = PutTogether(puts, "what mends it").apply(GOOD_PLAN)
    assert changed.text is not None
    read = read_plan_text(changed.text, "changed.toml")
    assert read.plan is not None
    plan = read.plan
    assert plan.feed["drip"].program[0].minutes == 20
    assert (plan.air["ring"].pump, plan.air["ring"].pumps) == (None, ("piston",))
    assert plan.alarm[0].watches == "floor water"
    assert plan.power is not None
    assert plan.power.boards[0].height is not None
    assert "# length, depth, height" in changed.text
    assert PutTogether(puts, "what mends it").says(GOOD_PLAN) == "what mends it"


def test_one_that_cannot_be_written_refuses_them_all() -> None:
    puts = ((("feed", "drip", "limit"), '"2 L/min"'), (("feed", "drip", "program", 7, "minutes"), "20"))
    refused = PutTogether(puts).apply(GOOD_PLAN)
    assert refused.text is None
    assert refused.findings


def test_nothing_to_put_changes_nothing() -> None:
    assert PutTogether(()).apply(GOOD_PLAN).text == GOOD_PLAN
    assert PutTogether(()).path == ()


def test_without_words_it_says_its_first_change() -> None:
    said = PutTogether(((("feed", "drip", "limit"), '"2 L/min"'),)).says(GOOD_PLAN)
    assert said == 'feed drip: limit "2 L/min" added'
    assert PutTogether(()).says(GOOD_PLAN) == "nothing changed"
