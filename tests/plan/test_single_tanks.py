"""A table [tank.X] is read like any other: its values with their lines, its mistakes with what to try."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tankwright.display import render_mistake
from tankwright.origin import Origin
from tankwright.plan.reading import read_plan_text

GOOD_PLAN = (Path(__file__).parent / "good_plan.toml").read_text(encoding="utf-8").rstrip() + "\n\n"
FIRST = GOOD_PLAN.count("\n") + 1
"""The line of what a test adds to the good plan."""


def told(added: str) -> list[str]:
    return [
        render_mistake(one, "cellar.toml")
        for one in read_plan_text(GOOD_PLAN + added, "cellar.toml").findings
    ]


def message(line: int, said: str, found: str, wanted: str, attempt: str) -> str:
    rows = [f"cellar.toml:{line}: {said}", f"    found   {found}", f"    wanted  {wanted}"]
    return "\n".join([*rows, f"    try     {attempt}"] if attempt else rows)


def test_every_value_of_a_single_tank_is_kept_with_its_line() -> None:
    added = """[tank.A3]
overflow = { angle = "35 deg", bore = { value = "15 mm", measured = 2026-09-20 } }
hose = { bore = "10 mm" }
lid = "mesh"
air_opening = "60 %"
state = "ordered"
note = "the pair that spawns"
"""
    plan = read_plan_text(GOOD_PLAN + added, "cellar.toml").plan
    assert plan is not None
    own = plan.tank["A3"]
    assert own.line == FIRST
    assert own.overflow is not None
    assert own.overflow.angle is not None
    assert (own.overflow.angle.value, own.overflow.angle.line) == (pytest.approx(math.radians(35)), FIRST + 1)
    assert own.overflow.bore is not None
    assert own.overflow.bore.origin is Origin.MEASURED
    assert own.hose is not None
    assert own.hose.bore is not None
    assert (own.hose.bore.value, own.hose.bore.line) == (pytest.approx(0.010), FIRST + 2)
    assert own.air_opening is not None
    assert (own.air_opening.value, own.air_opening.line) == (pytest.approx(0.6), FIRST + 4)
    assert (own.lid, own.state, own.note) == ("mesh", "ordered", "the pair that spawns")


def test_a_plan_without_single_tanks_says_none() -> None:
    plan = read_plan_text(GOOD_PLAN, "cellar.toml").plan
    assert plan is not None
    assert plan.tank == {}


@pytest.mark.parametrize(
    ("added", "said", "found", "wanted", "attempt"),
    [
        (
            "[tank.A33]\n",
            'tank A33: stands on no rack of this plan; did you mean "A3"?  [PLAN-030]',
            "[tank.A33]",
            "a tank: A1, A2, A3 or A4",
            "[tank.A3]",
        ),
        (
            "tank.A33.lid = 1\n".replace("1", '"mesh"'),
            'tank A33: stands on no rack of this plan; did you mean "A3"?  [PLAN-030]',
            'tank.A33.lid = "mesh"',
            "a tank: A1, A2, A3 or A4",
            "[tank.A3]",
        ),
        (
            '[tank."A 3"]\n',
            'tank A 3: stands on no rack of this plan; did you mean "A3"?  [PLAN-030]',
            '[tank."A 3"]',
            "a tank: A1, A2, A3 or A4",
            "[tank.A3]",
        ),
        (
            "[tank.Z]\n",
            "tank Z: stands on no rack of this plan  [PLAN-030]",
            "[tank.Z]",
            "a tank: A1, A2, A3 or A4",
            "",
        ),
        (
            '[tank.A3]\nair_opening = "120 %"\n',
            'tank A3: air_opening "120 %" is more than the whole  [PLAN-016]',
            'air_opening = "120 %"',
            'a share: "40 %" or 0.4',
            "",
        ),
        (
            "[tank.A3]\nair_opening = 60\n",
            'tank A3: air_opening "60" is more than the whole  [PLAN-016]',
            "air_opening = 60",
            'a share: "40 %" or 0.4',
            'air_opening = "60 %"',
        ),
        (
            '[tank.A3]\nair_opening = "-5 %"\n',
            'tank A3: air_opening "-5 %" must not be negative  [PLAN-016]',
            'air_opening = "-5 %"',
            'a share: "40 %" or 0.4',
            "",
        ),
        (
            "[tank.A3]\noverflow = { angle = 35 }\n",
            "tank A3: overflow.angle 35 has no unit  [PLAN-012]",
            "angle = 35",
            'an angle with its unit: "30 °" or "0.5 rad"',
            'angle = "35 °"',
        ),
        (
            '[tank.A3]\noverflow = { kind = "elbow" }\n',
            'tank A3: overflow has a key "kind" that is not known  [PLAN-010]',
            'kind = "elbow"',
            "one of elbow_reach, angle, water_below_rim, bore or strainer_open",
            "",
        ),
        (
            '[tank.A3]\nstate = "orderd"\n',
            'tank A3: state "orderd" is not one of the words it takes  [PLAN-020]',
            'state = "orderd"',
            '"stands", "ordered" or "wished"',
            'state = "ordered"',
        ),
        (
            "[tank]\nA3 = 5\n",
            "tank A3: is 5, not a table  [PLAN-018]",
            "A3 = 5",
            "a table",
            "",
        ),
    ],
)
def test_a_mistake_in_a_single_tank_is_told_with_what_to_try(
    added: str, said: str, found: str, wanted: str, attempt: str
) -> None:
    if added.startswith("tank."):  # a dotted key belongs to the heading before it, so it comes first
        text = added + GOOD_PLAN
        shown = [render_mistake(one, "cellar.toml") for one in read_plan_text(text, "cellar.toml").findings]
        assert shown == [message(1, said, found, wanted, attempt)]
        return
    line = FIRST + (0 if added.count("\n") == 1 else 1)
    assert told(added) == [message(line, said, found, wanted, attempt)]


def test_a_kind_of_tank_under_the_wrong_heading_is_shown_its_own() -> None:
    first, second = told('[tank.long91]\noutside = ["90 cm", "38 cm", "38 cm"]\n')
    assert first == message(
        FIRST,
        "tank long91: stands on no rack of this plan; a kind of tank is a [tank_kind...]  [PLAN-030]",
        "[tank.long91]",
        "a tank: A1, A2, A3 or A4",
        "[tank_kind.long91]",
    )
    assert "PLAN-010" in second


def test_a_broken_rack_or_row_of_ids_does_not_make_its_tanks_unknown() -> None:
    for old, new in (('ids = "A3, A4"', 'ids = "A4..A3"'), ('ids = "A3, A4"', "ids = A3")):
        text = GOOD_PLAN.replace(old, new) + '[tank.A3]\nlid = "mesh"\n'
        codes = [one.code for one in read_plan_text(text, "cellar.toml").findings]
        assert codes in (["PLAN-034"], ["PLAN-007"])
