"""One open plan: what it holds when all goes well, when there is no plan, and when there is no room."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tankwright.finding import Severity
from tankwright.systems.load import LoadResult
from tankwright.workspace.opened import Opened, open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
MENDED = (EXAMPLES / "cellar_mended.toml").read_text(encoding="utf-8")


def opened(text: str, folder: Path) -> Opened:
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return open_plan(path)


def load(text: str, folder: Path) -> LoadResult:
    study = opened(text, folder).study
    assert study is not None
    assert study.load is not None
    return study.load


def test_a_good_plan_is_laid_out_worked_out_and_judged_worst_first() -> None:
    good = open_plan(EXAMPLES / "cellar.toml")
    assert good.plan is not None
    assert good.study is not None
    assert good.study.room is good.room
    ranks = [list(Severity).index(item.severity) for item in good.findings]
    assert ranks == sorted(ranks)
    assert good.has_problems


def test_a_plan_with_mistakes_has_no_room_and_problems(tmp_path: Path) -> None:
    bad = opened('title = "x"\ntitel = "y"\n', tmp_path)
    assert (bad.plan, bad.room, bad.study) == (None, None, None)
    assert bad.has_problems
    assert bad.consequences() == ()


def test_a_plan_without_a_room_says_so(tmp_path: Path) -> None:
    bare = opened('title = "x"\n', tmp_path)
    assert bare.room is None
    assert [item.code for item in bare.findings] == ["LAYOUT-100"]
    assert bare.has_problems
    assert bare.consequences() == ()


def test_opening_twice_gives_equal_answers() -> None:
    first, second = (open_plan(EXAMPLES / "garage.toml") for _ in range(2))
    assert first.findings == second.findings
    assert first.room == second.room


def blocks(text: str) -> tuple[str, list[str], str]:
    """What stands before the racks, the racks, what stands behind them."""
    start = text.index("[[rack]]")
    end = text.index("[zone.")
    return text[:start], re.split(r"(?=^\[\[rack\]\])", text[start:end], flags=re.MULTILINE)[1:], text[end:]


def told(good: Opened) -> set[tuple[str, str, frozenset[str]]]:
    return {(item.code, item.severity.value, frozenset(item.places)) for item in good.findings}


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(order=st.permutations(range(6)))
def test_the_order_of_racks_in_the_file_changes_nothing(order: list[int], tmp_path: Path) -> None:
    before, racks, after = blocks(MENDED)
    assert len(racks) == 6
    plain = open_plan(EXAMPLES / "cellar_mended.toml").study
    mixed = opened(before + "".join(racks[place] for place in order) + after, tmp_path).study
    assert plain is not None
    assert mixed is not None
    assert {tank.id: tank.box for tank in mixed.room.tanks} == {
        tank.id: tank.box for tank in plain.room.tanks
    }
    assert plain.load is not None
    assert mixed.load is not None
    assert mixed.load.total == pytest.approx(plain.load.total, rel=1e-12)
    assert plain.air is not None
    assert mixed.air is not None
    for left, right in zip(plain.air.runs, mixed.air.runs, strict=True):
        assert {tap.tank for tap in left.taps} == {tap.tank for tap in right.taps}
        flows = {tap.tank: tap.flow for tap in left.taps if tap.tank}
        for tap in right.taps:
            if tap.tank:
                # two solves of the same network in another order stop at slightly other points
                assert tap.flow == pytest.approx(flows[tap.tank], rel=1e-6)


@pytest.mark.parametrize("tank", ["A6..A9", "D7..D10", "B6..B8", "Q3..Q4"])
def test_taking_tanks_out_never_makes_the_room_heavier(tank: str, tmp_path: Path) -> None:
    line = next(text for text in MENDED.splitlines() if f'ids = "{tank}"' in text)
    fewer = MENDED.replace(line, line.split("=")[0] + "= []")
    fewer = re.sub(r"^dump = .*$", "", fewer, flags=re.MULTILINE)
    fewer = re.sub(
        r"^\[\[stock\]\]\n(?:.+\n)+", "", fewer, flags=re.MULTILINE
    )  # fish of no tank are a mistake
    assert load(fewer, tmp_path).total < load(MENDED, tmp_path).total
