"""Survival: printed tables, the library of survival analysis, bounds for what nobody saw, broods as the unit."""

from __future__ import annotations

import math
import random
import warnings
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.between_broods import BroodShare, drawn_broods, ratio_estimate
from tankwright.husbandry.brood_course import brood_course, survival
from tankwright.husbandry.facts import Tally, came, counted, culled, died, estimated, left, moved, regrouped
from tankwright.husbandry.records import Event
from tankwright.husbandry.survival import LifeRow, alive_at, life_table, product_limit

from .happenings import as_events, day

PUBLISHED = Path(__file__).parent.parent / "published"


def test_a_life_table_of_one_brood_in_five_rows() -> None:
    rows = [
        LifeRow(start=a, end=b, at_risk=n, dead=d, withdrawn=w)
        for a, b, n, d, w in (
            (0, 7, 120, 36, 0), (7, 14, 84, 9, 0), (14, 28, 75, 4, 20), (28, 42, 51, 2, 10), (42, 60, 39, 1, 0),
        )
    ]  # fmt: skip
    table = life_table(rows)
    # worked by hand: 1 - 36/120; 1 - 9/84; 1 - 4/65; 1 - 2/46; 1 - 1/39, one after the other
    assert [f"{one.share:.4f}" for one in table] == ["0.7000", "0.6250", "0.5865", "0.5610", "0.5467"]
    last = table[-1]
    assert f"{last.standard_error:.3f}" == "0.048"
    assert (f"{last.low:.3f}", f"{last.high:.3f}") == ("0.448", "0.635")
    assert alive_at(table, 30) == table[2]
    assert alive_at(table, 61) is None


def _printed() -> dict[str, list[str]]:
    lines = (PUBLISHED / "life_table_printed.csv").read_text(encoding="utf-8").splitlines()[1:]
    return {name: values.split() for name, values in (line.split(",") for line in lines)}


def test_the_product_limit_is_the_printed_one() -> None:
    printed = _printed()
    weeks = printed["weeks"]
    rows, there, before = [], len(weeks), 0.0
    for week in sorted({float(one.rstrip("+")) for one in weeks}):
        here = [one for one in weeks if float(one.rstrip("+")) == week]
        lost = sum(one.endswith("+") for one in here)
        rows.append(LifeRow(start=before, end=week, at_risk=there, dead=len(here) - lost, withdrawn=lost))
        there, before = there - len(here), week
    table = {one.day: one for one in product_limit(rows)}
    found = [table[float(week)] for week in printed["at"]]
    assert [f"{one.share:.3f}" for one in found] == printed["share"]
    assert [f"{one.standard_error:.4f}" for one in found] == printed["standard_error"]


@given(st.lists(st.tuples(st.integers(1, 40), st.booleans(), st.integers(1, 6)), min_size=1, max_size=30))
def test_the_product_limit_agrees_with_the_library(fates: list[tuple[int, bool, int]]) -> None:
    from lifelines import KaplanMeierFitter  # noqa: PLC0415 - slow to load

    times = [at for at, _, many in fates for _ in range(many)]
    seen = [dead for _, dead, many in fates for _ in range(many)]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of its own logarithms of nothing
        fitted = KaplanMeierFitter().fit(times, seen)
    rows, there, before = [], len(times), 0
    for at in sorted(set(times)):
        dead = sum(a == at and d for a, d in zip(times, seen, strict=True))
        gone = sum(a == at and not d for a, d in zip(times, seen, strict=True))
        rows.append(LifeRow(start=before, end=at, at_risk=there, dead=dead, withdrawn=gone))
        there, before = there - dead - gone, at
    for one in product_limit(rows):
        assert one.share == pytest.approx(
            float(fitted.survival_function_at_times(one.day).iloc[0]), abs=1e-12
        )
        if 0.0 < one.share < 1.0:  # at the ends the library gives no interval, here stands a binomial one
            ends = fitted.confidence_interval_survival_function_.loc[one.day]
            assert (one.low, one.high) == pytest.approx((float(ends.iloc[0]), float(ends.iloc[1])), abs=1e-9)


def test_where_none_died_it_could_still_be_less() -> None:
    one = product_limit([LifeRow(start=0, end=9, at_risk=20, dead=0)])[0]
    assert one.share == 1.0
    assert one.low == pytest.approx(0.025 ** (1 / 20))  # Clopper and Pearson with 0 of 20
    none = product_limit([LifeRow(start=0, end=9, at_risk=20, dead=20)])[0]
    assert (none.share, none.low) == (0.0, 0.0)
    assert none.high == pytest.approx(1 - 0.025 ** (1 / 20))


@pytest.mark.parametrize(
    "rows",
    [
        [LifeRow(start=0, end=7, at_risk=10, dead=8, withdrawn=3)],
        [LifeRow(start=0, end=7, at_risk=10, dead=-1)],
        [LifeRow(start=0, end=7, at_risk=10, dead=1), LifeRow(start=5, end=9, at_risk=9, dead=1)],
        [LifeRow(start=3, end=1, at_risk=10, dead=1)],
    ],
)
def test_rows_that_cannot_be_are_refused(rows: list[LifeRow]) -> None:
    with pytest.raises(ValueError, match=r"gone|below nothing|in time"):
        life_table(rows)


def test_unknown_losses_are_both_ends() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=120), day(0)), died("s", "p", 20, day(5)), counted("s", "p", 84, day(7)),
        left("s", "p", 20, day(20), "sold"), counted("s", "p", 50, day(28)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    assert course.unknown == (30, 30)
    assert (course.total("dead"), course.total("withdrawn")) == (20, 20)
    last = survival(course)[-1]
    assert last.best.share == pytest.approx(100 / 120)  # nobody but the twenty that were seen dead
    assert last.worst.share == pytest.approx(
        84 / 120 * 50 / 64
    )  # 36 by day 7, fourteen more as late as may be


def test_a_guess_at_the_start_widens_both_ends() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=120, low=100, high=150), day(0)), counted("s", "p", 90, day(7)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    assert course.start == (100, 150)
    assert course.unknown == (10, 60)
    last = survival(course)[-1]
    assert last.worst.share == pytest.approx(0.6)
    assert last.best.share == 1.0


def test_a_guess_is_never_fewer_than_were_counted_later() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=120, low=100, high=150), day(0)), died("s", "p", 30, day(3)),
        counted("s", "p", 90, day(7)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    assert course.start == (120, 150)
    last = survival(course)[-1]
    assert last.worst.share == pytest.approx(90 / 150)
    assert last.best.share == pytest.approx(120 / 150), (
        "of 150 thirty died, and thirty more may have left alive"
    )


def test_a_last_guess_is_told_at_both_its_ends() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=100), day(0)),
        estimated("s", "p", Tally(number=70, low=60, high=85), day(9)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    assert course.unknown == (15, 40)


def test_moves_are_no_losses_and_a_split_leaves_alive() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=100), day(0)), moved("s", "p", "q", 40, day(4)),
        regrouped([("s", "q", -15), ("t", "r", 15)], day(5)), culled("s", "p", 5, day(6)),
        counted("s", "p", 55, day(7)), counted("s", "q", 25, day(7)), died("s", "q", 8, day(8)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    assert course.total("withdrawn") == 20
    assert course.unknown == (0, 0)
    last = survival(course)[-1]
    assert last.worst.share == last.best.share == pytest.approx(72 / 80)
    split = brood_course(events, "t")
    assert split is not None
    assert split.start == (15, 15)


def test_a_move_nobody_wrote_down_may_be_no_loss() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=60), day(0)), moved("s", "p", "q", 20, day(1)),
        counted("s", "p", 30, day(7)), counted("s", "q", 30, day(7.1)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    assert course.unknown == (0, 10)


def test_a_count_that_finds_all_of_them_says_that_they_live() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=60), day(0)), died("s", "p", 6, day(4)), counted("s", "p", 54, day(30)),
    ])  # fmt: skip
    course = brood_course(events, "s")
    assert course is not None
    last = survival(course)[-1]
    assert (last.day, last.worst.share, last.best.share) == (30, 0.9, 0.9)


def _lived(seed: int) -> tuple[tuple[Event, ...], list[tuple[float, float]]]:
    """A brood by chance of which a part of the deaths is seen and some are sold; what was written down, and the share
    truly alive at every count by all deaths and sales, seen or not."""
    chance = random.Random(seed)
    there = chance.randrange(40, 160)
    guess = Tally(number=there, low=there - chance.randrange(20), high=there + chance.randrange(30))
    drafts = [came("born", "s", "p", guess if chance.random() < 0.5 else Tally(number=there), day(0))]
    rows: list[LifeRow] = []
    truth: list[tuple[float, float]] = []
    for at in range(1, 61):
        dead = sum(chance.random() < (0.03 if at < 14 else 0.005) for _ in range(there))
        seen = sum(chance.random() < 0.5 for _ in range(dead))
        sold = min(there - dead, chance.randrange(9)) if chance.random() < 0.05 else 0
        if seen:
            drafts.append(died("s", "p", seen, day(at)))
        if sold:
            drafts.append(left("s", "p", sold, day(at + 0.1), "sold"))
        rows.append(LifeRow(start=at - 1, end=at, at_risk=there, dead=dead))
        rows.append(LifeRow(start=at, end=at, at_risk=there - dead, dead=0, withdrawn=sold))
        there -= dead + sold
        if at % 12 == 0:
            drafts.append(counted("s", "p", there, day(at + 0.2)))
            truth.append((at + 0.2, product_limit(rows)[-1].share))
        if not there:
            break
    return as_events(drafts), truth


@given(st.integers(0, 10**6))
def test_what_truly_lived_lies_between_both_ends(seed: int) -> None:
    events, truth = _lived(seed)
    course = brood_course(events, "s")
    assert course is not None
    table = survival(course)
    for at, share in truth:
        told = next((one for one in reversed(table) if one.day <= at + 1e-9), None)
        assert told is not None
        assert told.low <= told.worst.share <= share + 1e-9
        assert share <= told.best.share + 1e-9
        assert told.best.share <= told.high


def test_nobody_seen_is_no_course() -> None:
    assert brood_course((), "s") is None


def test_the_brood_is_the_unit() -> None:
    broods = [
        BroodShare(alive=a, of=n) for a, n in ((20, 100), (75, 100), (60, 120), (30, 90), (88, 110), (45, 80))
    ]
    many = ratio_estimate(broods)
    drawn = drawn_broods(broods, 7)
    assert many.low is not None
    assert many.high is not None
    assert many.design_effect is not None
    assert drawn.low is not None
    assert drawn.high is not None
    fish = sum(one.of for one in broods)
    alone = 1.96 * math.sqrt(many.share * (1 - many.share) / fish)
    assert many.high - many.low > 4 * 2 * alone, "far wider than fish drawn one by one"
    assert many.low < drawn.low < many.share < drawn.high < many.high
    assert many.design_effect > 10
    assert drawn == drawn_broods(broods, 7)


def test_broods_alike_differ_by_nothing() -> None:
    one = ratio_estimate([BroodShare(alive=30, of=60), BroodShare(alive=15, of=30)])
    assert one.low == one.high == 0.5


def test_one_brood_says_nothing_of_others() -> None:
    assert ratio_estimate([BroodShare(alive=30, of=60)]).high is None
    assert drawn_broods([BroodShare(alive=30, of=60)], 1).low is None
    with pytest.raises(ValueError, match="no brood"):
        ratio_estimate([])
    with pytest.raises(ValueError, match="no more of them alive"):
        ratio_estimate([BroodShare(alive=3, of=2)])
