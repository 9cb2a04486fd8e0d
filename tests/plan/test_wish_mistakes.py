"""What [wish] may not say."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.plan.reading import read_plan_text

CELLAR = (Path(__file__).parents[2] / "examples" / "cellar_mended.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("wish", "code", "text"),
    [
        ('room = "celar"', "PLAN-030", 'room "celar" is no room of this plan; did you mean "cellar"?'),
        ('racks = ["three_hi"]', "PLAN-030", 'no rack kind of this plan; did you mean "three_high"?'),
        ('keep = ["Z"]', "PLAN-030", 'no rack of this plan'),
        ('tanks = [{ kind = "long9" }]', "PLAN-030", 'no tank kind of this plan; did you mean "long90"?'),
        ('tanks = [{ kind = "long90", at_least = 5, at_most = 4 }]', "PLAN-039", "is 4, less than at_least"),
        ('tanks = [{ kind = "long90" }, { kind = "long90" }]', "PLAN-039", 'names "long90" a second time'),
        ('best = "money"', "PLAN-020", "best"),
        ('litres = "0 L"', "PLAN-016", "must be more than zero"),
    ],
)  # fmt: skip
def test_a_mistake_in_a_wish_is_told_with_its_line(wish: str, code: str, text: str) -> None:
    read = read_plan_text(f"{CELLAR}\n[wish]\n{wish}\n", "plan.toml")
    (finding,) = read.findings
    assert finding.code == code
    assert text in finding.text
    assert finding.line == len(CELLAR.splitlines()) + 3


def test_a_wish_without_mistakes_reads() -> None:
    tanks = 'tanks = [{ kind = "long90", at_least = 4, at_most = 4 }]'
    wish = f'[wish]\nroom = "cellar"\n{tanks}\nkeep = ["A"]\nlitres = "900 L"'
    read = read_plan_text(f"{CELLAR}\n{wish}\n", "plan.toml")
    assert read.findings == ()
    assert read.plan is not None
    assert read.plan.wish is not None
    assert read.plan.wish.best == "tanks"
