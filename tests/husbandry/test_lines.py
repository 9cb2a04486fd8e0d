"""How lines stand and what is said of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tankwright.finding import Finding, Severity
from tankwright.husbandry.line_findings import pedigree_findings, set_findings, standing_findings
from tankwright.husbandry.lines import Held, LineStanding, breeders, held_of, line_standing
from tankwright.husbandry.pedigree import Pedigree, pedigree_of
from tankwright.husbandry.register import Holding, Line

from .families import THEN, born, day, founder, made, member, stock

BLUE = Line(id="l", name="Blue", species="Fish blue", opened=THEN, regenerate_days=200, least_breeders=6)
LINES = {"l": BLUE, "k": Line(id="k", name="Gold", species="Fish blue", opened=THEN)}
FOUNDERS = (founder("him", born=date(2025, 6, 1)), founder("her", born=date(2025, 6, 1)))
S0 = made("s0", member("him", "m"), member("her", "f"), until=100)
G1 = born("g1", "s0", on=date(2026, 2, 1))
S1 = made("s1", member("g1", "m", 2), member("g1", "f", 3), at=120)
G2 = born("g2", "s1", on=date(2026, 9, 1))


def held(**counts: int) -> dict[str, Held]:
    return held_of(Holding(stock=key, place="p", held=n, low=n, high=n) for key, n in counts.items())


def standing(**counts: int) -> LineStanding:
    return line_standing(BLUE, pedigree_of((*FOUNDERS, G1, G2), (S0, S1)), held(**counts))


def codes(found: tuple[Finding, ...]) -> list[str]:
    return [one.code for one in found]


def test_a_line_is_told_by_its_living_fish() -> None:
    found = standing(g1=10, g2=30)
    assert found.fish == 40
    assert found.inbreeding == pytest.approx(0.75 * 0.25)
    assert found.related is not None
    assert found.related > found.inbreeding
    assert (found.males, found.females, found.sets, found.running) == (2, 3, ("s1",), True)
    assert found.diversity is not None
    assert found.diversity.fish == 40
    assert found.generation_days == pytest.approx(228.5)  # 245 days to g1, 212 to g2
    assert (found.newest, found.regenerate_by) == (date(2026, 9, 1), date(2027, 3, 20))
    assert found.ancestors == pytest.approx(0.25 * 1 + 0.75 * 2)


def test_a_line_without_living_fish_has_no_numbers_and_no_zeroes_for_them() -> None:
    found = standing()
    assert (found.fish, found.inbreeding, found.diversity, found.left, found.lasting) == (
        0,
        None,
        None,
        None,
        False,
    )


def test_the_newest_set_counts_when_none_breeds_now() -> None:
    over = replace(S1, ended=day(300))
    found = line_standing(BLUE, pedigree_of((*FOUNDERS, G1, G2), (S0, over)), held(g2=5))
    assert (found.sets, found.running) == (("s1",), False)


def test_fish_in_a_loop_are_named_as_not_computed() -> None:
    loop = born("x", "t")
    sets = (S0, made("t", member("x", "m"), member("her", "f")))
    found = line_standing(BLUE, pedigree_of((*FOUNDERS, G1, loop), sets), held(g1=3, x=3))
    assert found.not_computed == ("x",)
    assert found.inbreeding == 0


def test_fish_of_unknown_sex_are_halved_between_fathers_and_mothers() -> None:
    assert breeders((made("s", member("g1", "", 6)),)) == (3, 3)
    assert breeders((made("s", member("g1", "m", 2), member("g1", "", 6)),)) == (2, 6)


def test_a_standing_is_judged() -> None:
    found = standing_findings(standing(g1=10, g2=30), date(2026, 9, 2))
    assert codes(found) == ["LINE-09", "LINE-08", "LINE-11", "LINE-12"]
    few, loses = found[0], found[1]
    assert (few.value and few.value.value, few.limit and few.limit.value) == (5, 6)
    assert loses.severity is Severity.NOTE  # nobody asked for a limit of this line
    strict = replace(standing(g2=30), line=replace(BLUE, most_inbreeding=0.05))
    assert standing_findings(strict, date(2026, 9, 2))[1].severity is Severity.WARNING


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (date(2027, 2, 17), None),
        (date(2027, 2, 18), Severity.NOTE),
        (date(2027, 3, 20), Severity.NOTE),
        (date(2027, 3, 21), Severity.WARNING),
    ],
)
def test_a_line_wants_its_next_generation_in_time(today: date, said: Severity | None) -> None:
    found = [one for one in standing_findings(standing(g2=30), today) if one.code == "LINE-10"]
    assert [one.severity for one in found] == ([] if said is None else [said])


def test_a_sound_pedigree_has_no_findings() -> None:
    assert pedigree_findings(pedigree_of((*FOUNDERS, G1, G2), (S0, S1)), LINES) == ()


def test_every_mistake_of_a_pedigree_is_told_in_one_pass() -> None:
    wrong = pedigree_of(
        (
            *FOUNDERS,
            founder("gold", line="k"),
            born("loop", "t"),
            born("old", "s0", on=date(2025, 5, 1)),
            born("early", "s1", on=date(2026, 3, 1)),
            G1,
            born("mixed", "m"),
            born("astray", "nowhere"),
            born("half", ("s0", 0.4)),
        ),
        (
            S0,
            S1,
            made("t", member("loop", "m"), member("her", "f")),
            made("m", member("gold", "m"), member("her", "f")),
            made(
                "n", member("him", "m", share_low=0.6), member("g1", "m", share_low=0.6), member("her", "f")
            ),
            made("o", member("unheard", "m"), member("her", "f")),
        ),
    )
    found = pedigree_findings(wrong, LINES)
    assert sorted({one.code for one in found}) == [f"LINE-0{n}" for n in range(1, 8)] + ["LINE-14"]
    by_code = {one.code: one for one in found}
    assert "stock loop" in by_code["LINE-01"].text
    assert by_code["LINE-02"].subject == "stock old"
    assert by_code["LINE-03"].subject == "stock early"
    assert "Gold and Blue" in by_code["LINE-04"].text
    assert by_code["LINE-05"].subject == "stock mixed"
    assert "unheard" in " ".join(one.text for one in found if one.code == "LINE-07")
    assert all(one.remedy and one.reason for one in found)


def mixed() -> Pedigree:
    return pedigree_of(
        (*FOUNDERS, founder("gold", line="k")), (made("m", member("gold", "m"), member("her", "f")),)
    )


@pytest.mark.parametrize(
    "lines", [{"l": replace(BLUE, may_mix=("k",))}, {"k": replace(LINES["k"], may_mix=("l",))}]
)
def test_lines_that_may_be_mixed_are_no_finding(lines: dict[str, Line]) -> None:
    assert codes(pedigree_findings(mixed(), LINES)) == ["LINE-04"]
    assert codes(pedigree_findings(mixed(), LINES | lines)) == []


def test_a_set_with_an_unknown_father_is_told_so() -> None:
    found = set_findings(mixed(), LINES, made("alone", member("her", "f")))
    assert codes(found) == ["LINE-13"]
    assert "no father" in found[0].text


def test_numbers_of_a_stock_in_two_places_are_added() -> None:
    found = held_of(
        [
            Holding(stock="s", place="p", held=4, low=4, high=4),
            Holding(stock="s", place="q", held=0, low=0, high=0),
            Holding(stock="s", place="r", held=10, low=8, high=14, estimated=True),
        ]
    )
    assert (found["s"].fish, found["s"].low, found["s"].high, found["s"].places) == (14, 12, 18, ("p", "r"))


def test_a_line_of_one_fish_stands() -> None:
    assert line_standing(BLUE, pedigree_of((founder("him"),), ()), held(him=1)).inbreeding == 0
    assert stock("him").id == "him"
