"""Spawns: intervals, sets gone quiet by their own measure, what changed, numbers on a day, hatch shares."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tankwright.husbandry.brood_counts import hatch_share, number_at, numbers_at
from tankwright.husbandry.changes_around import changes_since
from tankwright.husbandry.facts import (
    Tally,
    came,
    counted,
    died,
    estimated,
    left,
    moved,
    spawned,
    water_tested,
)
from tankwright.husbandry.records import Draft, Observed
from tankwright.husbandry.register import BreedingSet, Member
from tankwright.husbandry.spawning import rhythm_of, spawns_of

from .happenings import FIRST, as_events, day

PAIR = BreedingSet(
    id="a",
    opened=FIRST,
    members=(Member(stock="m", count=1, sex="male"), Member(stock="f", count=1, sex="female")),
)


def _spawned(*days: float) -> list[Draft]:
    return [spawned("p", day(one), breeding_set="a") for one in days]


def test_intervals_between_spawns_are_told_with_their_middle() -> None:
    rhythm = rhythm_of(PAIR, as_events(_spawned(3, 10, 18, 24, 32)), day(36))
    assert [round(one, 6) for one in rhythm.intervals] == [7, 8, 6, 8]
    assert rhythm.usual == pytest.approx(7.5)
    assert rhythm.since == pytest.approx(4)
    assert rhythm.rhythm == "usual"


def test_a_set_is_quiet_only_by_its_own_measure() -> None:
    weekly = as_events(_spawned(3, 10, 18, 24, 32))
    assert rhythm_of(PAIR, weekly, day(41)).rhythm == "usual"
    quiet = rhythm_of(PAIR, weekly, day(93))
    assert quiet.rhythm == "quiet"
    assert quiet.months == pytest.approx(2.0, abs=0.01)
    uneven = as_events(_spawned(0, 6, 60, 67, 150))
    assert rhythm_of(PAIR, uneven, day(211)).rhythm == "usual", "it has rested for months before"


def test_with_few_intervals_nobody_knows() -> None:
    rhythm = rhythm_of(PAIR, as_events(_spawned(0, 6, 12)), day(400))
    assert (rhythm.rhythm, rhythm.late, rhythm.usual) == ("not known", None, pytest.approx(6))
    never = rhythm_of(PAIR, (), day(20))
    assert (never.rhythm, never.since, never.last) == ("never", 20, None)
    ended = BreedingSet(id="a", members=PAIR.members, opened=FIRST, ended=day(13))
    assert rhythm_of(ended, as_events(_spawned(0, 6, 12)), day(400)).rhythm == "ended"


def test_two_sightings_within_a_day_are_one_spawn() -> None:
    seen = as_events([
        spawned("p", day(1), breeding_set="a"),
        spawned("p", day(1.3), breeding_set="a", eggs=Tally(number=80)),
        spawned("p", day(1.4), breeding_set="b"),
        spawned("p", day(9), breeding_set="a"),
    ])  # fmt: skip
    kept = spawns_of(seen, "a")
    assert [one.id for one in kept] == ["e0002", "e0004"]


def _fed(at: float, food: str) -> Draft:
    return Draft(kind="fed", happened=day(at), place="p", details={"food": food})


def _tested(at: float, ph: float, place: str = "p") -> Draft:
    return water_tested(place, day(at), [Observed(quantity="ph", value=ph)])


def test_what_changed_since_the_last_spawn_is_told_in_order() -> None:
    events = as_events([
        _fed(2, "flakes"), _tested(4, 6.4), _tested(8, 6.6), *_spawned(10),
        moved("m", "p", "q", 1, day(11)), moved("m", "q", "p", 1, day(12)), _fed(13, "flakes"), _fed(14, "pellets"),
        _fed(15, "pellets"), _tested(15, 7.3), _tested(17, 7.5), _tested(16, 9.0, "elsewhere"),
        Draft(kind="cleaned", happened=day(16), place="p", details={"what": "filter"}),
        Draft(kind="treated", happened=day(16.5), place="elsewhere", details={"with": "salt"}),
        moved("x", "p", "q", 3, day(18)),
    ])  # fmt: skip
    changes = changes_since(PAIR, events, day(10), day(20), ("p",))
    assert [(one.what, one.before, one.after) for one in changes] == [
        ("moved", "", "q"), ("moved", "", "p"), ("food", "", "pellets"), ("ph", "6.5", "7.4"),
        ("cleaned", "", "filter"), ("other fish moved", "", ""),
    ]  # fmt: skip
    assert changes_since(PAIR, (), day(10), day(20), ("p",)) == ()


def test_a_reading_within_its_old_range_is_no_change() -> None:
    events = as_events([_tested(4, 6.4), _tested(8, 6.9), _tested(15, 6.7)])
    assert changes_since(PAIR, events, day(10), day(20), ("p",)) == ()


BROOD = as_events([
    came("born", "s", "p", Tally(number=120), day(0)), died("s", "p", 10, day(5)), counted("s", "p", 90, day(20)),
    moved("s", "p", "q", 30, day(25)), counted("s", "p", 50, day(40)), counted("s", "q", 30, day(40)),
])  # fmt: skip


def test_a_number_is_told_only_between_counts() -> None:
    at = number_at(BROOD, "s", 30, origin=FIRST, until=day(70))
    assert at.how == "between counts"
    assert (at.low, at.high) == (80, 90)
    assert at.number == pytest.approx(85)
    assert number_at(BROOD, "s", 20, origin=FIRST, until=day(70)).how == "counted"
    assert number_at(BROOD, "s", 20, origin=FIRST, until=day(70)).number == 90
    later = number_at(BROOD, "s", 60, origin=FIRST, until=day(70))
    assert (later.how, later.number, later.why) == (
        "not known",
        None,
        "they were not counted on that day or later",
    )
    assert number_at(BROOD, "s", 60, origin=FIRST, until=day(50)).why == "that day is still to come"


def test_a_count_later_that_day_is_one() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=100), day(0)), left("s", "p", 5, day(30.2), "sold"),
        counted("s", "p", 80, day(30.4)),
    ])  # fmt: skip
    at = number_at(events, "s", 30, origin=FIRST, until=day(70))
    assert (at.how, at.number) == ("counted", 85)


def test_both_days_of_a_report_are_told() -> None:
    told = numbers_at(BROOD, "s", origin=FIRST, until=day(70))
    assert [(one.day, one.how) for one in told] == [(30, "between counts"), (60, "not known")]


def test_where_all_went_before_there_are_none() -> None:
    events = as_events([came("born", "s", "p", Tally(number=9), day(0)), left("s", "p", 9, day(12), "sold")])
    at = number_at(events, "s", 30, origin=FIRST, until=day(60))
    assert (at.how, at.number) == ("counted", 0)


def test_a_guess_on_the_day_is_no_count() -> None:
    events = as_events([
        came("born", "s", "p", Tally(number=100), day(0)),
        estimated("s", "p", Tally(number=70, low=60, high=80), day(30)),
    ])  # fmt: skip
    at = number_at(events, "s", 30, origin=FIRST, until=day(60))
    assert (at.how, at.number, at.low, at.high) == ("guessed", 70, 60, 80)


def test_hatch_shares_need_eggs_and_young() -> None:
    spawn, bare = as_events([
        spawned("p", day(0), breeding_set="a", eggs=Tally(number=100, low=90, high=120)),
        spawned("p", day(0), breeding_set="a"),
    ])  # fmt: skip
    (born,) = as_events([came("born", "s", "p", Tally(number=60), day(2))])
    got = hatch_share(spawn, born)
    assert got is not None
    assert (got.share, got.low, got.high) == (0.6, 0.5, pytest.approx(2 / 3))
    assert hatch_share(bare, born) is None


def test_time_is_counted_from_the_moment_not_the_day() -> None:
    events = as_events([spawned("p", day(0), breeding_set="a"), spawned("p", day(7.5), breeding_set="a")])
    rhythm = rhythm_of(PAIR, events, day(7.5) + timedelta(hours=12))
    assert rhythm.intervals == (7.5,)
    assert rhythm.since == 0.5
