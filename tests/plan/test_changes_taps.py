"""All taps of a ring set in one change of the text."""

from __future__ import annotations

import tomllib

import pytest

from tankwright.plan.changes_taps import SetTaps

PLAN = """\
title = "Shed"

[[rack]]
id = "A"
kind = "low"
shelf.1 = [{ kind = "cube", ids = "A1..A6" }]   # six of them

[air.ring]
open_spare_taps = 3       # for later

[tank.A2]
air_opening = "50 %"      # by ear
"""

FIVE = tuple((f"A{number}", number / 10) for number in range(1, 6))


def after(change: SetTaps, text: str = PLAN) -> str:
    result = change.apply(text)
    assert result.findings == ()
    assert result.text is not None
    return result.text


def test_many_taps_become_lines_of_one_table_and_what_stands_is_changed_there() -> None:
    text = after(SetTaps(openings=FIVE))
    assert text.startswith(PLAN.replace('"50 %"      # by ear', '"20 %"      # by ear'))
    told = {tank: table["air_opening"] for tank, table in tomllib.loads(text)["tank"].items()}
    assert told == {f"A{number}": f"{number}0 %" for number in range(1, 6)}
    assert text.count("\n[tank]\n") == 1


def test_a_few_taps_get_tables_of_their_own() -> None:
    text = after(SetTaps(openings=(("A1", 0.123456), ("A3", 1.0))))
    assert tomllib.loads(text)["tank"]["A1"] == {"air_opening": "12.3 %"}
    assert "[tank.A1]" in text
    assert "[tank]" not in text


def test_set_again_the_same_lines_are_changed() -> None:
    once = after(SetTaps(openings=FIVE))
    again = after(SetTaps(openings=tuple((tank, 1.0 - opening) for tank, opening in FIVE)), once)
    assert len(again.splitlines()) == len(once.splitlines())
    assert after(SetTaps(openings=FIVE), again) == once


def test_a_sixth_tap_joins_the_table_that_is_there() -> None:
    text = after(SetTaps(openings=FIVE))
    more = PLAN.replace("A1..A6", "A1..A12")
    text = text.replace("A1..A6", "A1..A12")
    assert more != text
    joined = after(SetTaps(openings=tuple((f"A{number}", 0.5) for number in range(6, 12))), text)
    assert joined.count("\n[tank]\n") == 1
    assert len(tomllib.loads(joined)["tank"]) == 11


def test_spare_taps_are_shut_with_it_where_some_stand_open() -> None:
    text = after(SetTaps(openings=FIVE, shut_spare=("ring",)))
    assert "open_spare_taps = 0       # for later" in text
    bare = PLAN.replace("open_spare_taps = 3       # for later\n", "")
    assert "open_spare_taps" not in after(SetTaps(openings=FIVE, shut_spare=("ring",)), bare)


def test_a_plan_that_writes_its_tanks_as_dotted_keys_takes_them_too() -> None:
    dotted = 'tank.A6.note = "shy"\n' + PLAN.replace('[tank.A2]\nair_opening = "50 %"      # by ear\n', "")
    told = tomllib.loads(after(SetTaps(openings=FIVE), dotted))["tank"]
    assert told["A6"] == {"note": "shy"}
    assert told["A5"] == {"air_opening": "50 %"}


@pytest.mark.parametrize(
    ("openings", "said"),
    [
        ((("Z9", 0.5),), '"Z9" is no tank of this plan'),
        ((("A1", 1.2),), "cannot have its tap opened so far"),
        ((("A1", -0.1),), "cannot have its tap opened so far"),
        ((("A1", float("nan")),), "cannot have its tap opened so far"),
        ((), "names no tap to set"),
    ],
)
def test_what_cannot_be_set_leaves_all_as_it_was(openings: tuple[tuple[str, float], ...], said: str) -> None:
    result = SetTaps(openings=openings).apply(PLAN)
    assert result.text is None
    assert said in result.findings[0].text


def test_a_broken_plan_is_not_edited() -> None:
    assert SetTaps(openings=FIVE).apply(PLAN + "\nthis = is = broken").text is None


def test_the_history_says_how_many() -> None:
    assert (
        SetTaps(openings=FIVE, shut_spare=("ring",)).says(PLAN)
        == "air taps of 5 tanks set, spare taps of ring shut"
    )
    assert SetTaps(openings=FIVE[:1]).says(PLAN) == "air tap of A1 set"
