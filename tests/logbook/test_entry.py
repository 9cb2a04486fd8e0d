"""What is refused when it is entered, in words that say what there was; and what is kept and listed as a conflict."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tankwright.husbandry.facts import Tally, came, counted, culled, died, estimated, left, moved, regrouped
from tankwright.husbandry.records import Draft, Flow, Observed
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.logbook.store import Logbook

from .books import ADA, START, after, begin, codes, done, follows, line, place, said, stock


def one(outcome: Recorded | Refused) -> tuple[str, str]:
    """The only thing that was said: of what, and what."""
    assert isinstance(outcome, Refused), outcome
    (finding,) = outcome.findings
    return finding.subject, finding.text


def draft(kind: Any, at: datetime = START, **parts: Any) -> Draft:
    return Draft(kind=kind, happened=at, **parts)


# --- too many -------------------------------------------------------------------------------------------------


def test_more_than_there_is_cannot_go_and_is_told_what_there_was(book: Logbook) -> None:
    begin(book)
    before = said(book)
    assert one(book.record([died("s", "a", 21, after(1))], ADA)) == ("s in a", "has 20 and cannot give 21")
    assert one(book.record([moved("s", "a", "b", 25, after(1))], ADA))[1] == "has 20 and cannot give 25"
    assert one(book.record([moved("s", "b", "a", 1, after(1))], ADA)) == (
        "s in b",
        "has none and cannot give 1",
    )
    assert one(book.record([left("t", "b", 130, after(1), "sold")], ADA))[1] == (
        "has about 90, at most 120, and cannot give 130"
    )
    assert said(book) == before
    follows(book)


def test_two_that_take_more_together_are_refused_together(book: Logbook) -> None:
    begin(book)
    taken = [died("s", "a", 15, after(1)), culled("s", "a", 6, after(2))]
    assert one(book.record(taken, ADA))[1] == "has 5 and cannot give 6"
    assert book.holdings(stock="s")[0].held == 20


def test_regrouping_is_refused_for_each_stock_that_has_too_few(book: Logbook) -> None:
    begin(book)
    outcome = book.record([regrouped([("s", "a", -21), ("t", "b", -121), ("s", "b", 142)], after(1))], ADA)
    assert codes(outcome) == ["LEDGER-01", "LEDGER-01"]
    done(book.record([regrouped([("s", "a", -20), ("t", "b", -10), ("s", "b", 30)], after(1))], ADA))
    assert {(it.stock, it.place): it.held for it in book.holdings()} == {("s", "b"): 30, ("t", "b"): 80}
    follows(book)


def test_what_is_typed_in_later_is_kept_and_its_window_listed(book: Logbook) -> None:
    begin(book)
    done(book.record([counted("s", "a", 18, after(10))], ADA))
    outcome = book.record([died("s", "a", 25, after(3))], ADA)
    assert isinstance(outcome, Recorded)
    (conflict,) = outcome.conflicts
    assert (conflict.since, conflict.until, conflict.least) == (after(3), after(10), -5)
    assert book.conflicts() == (conflict,)
    assert book.holdings(stock="s")[0].held == 18
    again = book.record([came("found", "s", "a", Tally(number=6), after(2))], ADA)
    assert isinstance(again, Recorded)
    assert (again.conflicts, book.conflicts()) == ((), ())
    follows(book)


def test_a_move_of_long_ago_may_be_short_at_one_end_only(book: Logbook) -> None:
    begin(book)
    done(book.record([moved("s", "a", "b", 20, after(5))], ADA))
    outcome = book.record([moved("s", "a", "b", 3, after(2))], ADA)
    assert isinstance(outcome, Recorded)
    assert [(it.place, it.since, it.until, it.least) for it in outcome.conflicts] == [
        ("a", after(5), None, -3)
    ]
    follows(book)


def test_a_correction_is_judged_as_one(book: Logbook) -> None:
    begin(book)
    (event,) = done(book.record([died("s", "a", 12, after(1))], ADA))
    assert one(book.void(event.id, ADA, reason="a slip", instead=[died("s", "a", 21, after(1))]))[1] == (
        "has 20 and cannot give 21"
    )
    assert not book.events(kinds=("voided",), only_standing=False)
    done(book.void(event.id, ADA, reason="a slip", instead=[died("s", "a", 20, after(1))]))
    assert book.holdings(stock="s") == ()
    follows(book)


def test_what_is_a_conflict_already_may_be_said_again_or_mended_but_not_made_worse(book: Logbook) -> None:
    begin(book)
    (count,) = done(book.record([counted("s", "b", 5, after(9))], ADA))
    (event,) = done(book.record([died("s", "b", 7, after(3))], ADA))
    done(book.void(count.id, ADA, reason="another tank"))
    assert [(it.since, it.until, it.least) for it in book.conflicts()] == [(after(3), None, -7)]
    assert codes(book.void(event.id, ADA, reason="a slip", instead=[died("s", "b", 8, after(3))])) == [
        "LEDGER-01"
    ]
    again = done(book.void(event.id, ADA, reason="a slip", instead=[died("s", "b", 7, after(3))]))[1]
    done(book.void(again.id, ADA, reason="a slip", instead=[died("s", "b", 6, after(3))]))
    assert [it.least for it in book.conflicts()] == [-6]
    follows(book)


def test_an_arrival_that_deaths_stand_on_is_taken_back_and_the_rest_is_a_conflict(book: Logbook) -> None:
    begin(book)
    (event,) = done(book.record([came("arrived", "s", "b", Tally(number=9), after(1))], ADA))
    done(book.record([died("s", "b", 2, after(4))], ADA))
    outcome = book.void(event.id, ADA, reason="they went to c")
    assert isinstance(outcome, Recorded)
    assert [(it.stock, it.place, it.since, it.least) for it in outcome.conflicts] == [
        ("s", "b", after(4), -2)
    ]
    assert one(book.record([died("s", "b", 1, after(6))], ADA))[1] == "has none and cannot give 1"
    follows(book)


def test_what_other_machines_made_is_kept_whatever_it_says_of_numbers(book: Logbook) -> None:
    begin(book)
    outcome = book.record([died("s", "a", 30, after(1))], ADA, checked=False)
    assert isinstance(outcome, Recorded)
    assert [it.least for it in outcome.conflicts] == [-10]


# --- names ----------------------------------------------------------------------------------------------------


def test_all_that_is_not_known_is_said_in_one_pass(book: Logbook) -> None:
    begin(book)
    outcome = book.record(
        [
            died("x", "y", 1, after(1)), moved("s", "a", "nowhere", 1, after(1), tool="net"),
            draft("task_done", place="a", details={"task": "w"}), draft("tool_used", place="a", details={"tool": "n"}),
            draft("set_ended", details={"set": "q"}), draft("spawned", place="a", details={"set": "q"}),
            draft("quarantine_released", reason="done", details={"quarantine": "k"}),
            draft("quarantine_opened", details={"quarantine": "k2", "places": ("a", "z"), "least_days": 30}),
            draft("set_made", details={"set": "r", "members": ({"stock": "v", "count": 1, "sex": "male"},)}),
            draft("stock_opened", stock="n", line="l9", details={
                "label": "N", "kind": "brood", "origin": ({"breeding_set": "r9"}, {"founders": "f9"})}),
        ],
        ADA,
    )  # fmt: skip
    assert isinstance(outcome, Refused)
    assert {it.found for it in outcome.findings if it.code == "LOG-04"} == {
        "x", "y", "nowhere", "net", "w", "n", "q", "k", "z", "v", "l9", "r9", "f9",
    }  # fmt: skip


def test_no_two_tanks_have_one_name_and_names_may_be_changed_round(book: Logbook) -> None:
    begin(book)
    assert codes(book.record([place("a2", "a")], ADA)) == ["LOG-08"]
    assert codes(book.record([place("c", "C"), place("d", "C")], ADA)) == ["LOG-08"]
    assert codes(book.record([stock("u", "s")], ADA)) == ["LOG-08"]
    assert codes(
        book.record([line("l2"), replace(line("l3"), details={"name": "l2", "species": "x"})], ADA)
    ) == ["LOG-08"]
    renamed = [
        draft("place_changed", place=name, details={"label": label})
        for name, label in (("a", "b"), ("b", "a"))
    ]
    done(book.record(renamed, ADA))
    assert [it.label for it in book.places()] == ["a", "b"]
    named = book.place_labelled("b")
    assert named is not None
    assert named.id == "a"


def test_a_name_is_free_again_once_its_tank_is_closed_but_not_when_the_closing_is_taken_back(
    book: Logbook,
) -> None:
    begin(book)
    done(book.record([place("c", "C")], ADA))
    (closing,) = done(book.record([draft("place_closed", after(1), place="c")], ADA))
    done(book.record([place("c2", "C")], ADA))
    assert codes(book.void(closing.id, ADA, reason="it is back")) == ["LOG-08"]


def test_nothing_is_closed_while_fish_are_in_it_nor_filled_once_it_is_closed(book: Logbook) -> None:
    begin(book)
    assert one(book.record([draft("stock_closed", after(1), stock="s")], ADA)) == ("s", "still has 20 in a")
    assert one(book.record([draft("place_closed", after(1), place="a")], ADA)) == ("a", "still has 20 of s")
    done(book.record([died("s", "a", 20, after(1)), draft("stock_closed", after(1), stock="s")], ADA))
    assert one(book.record([came("found", "s", "b", Tally(number=1), after(2))], ADA)) == (
        "found", "is of s, which is closed",
    )  # fmt: skip
    done(book.record([came("found", "s", "b", Tally(number=1), after(0.5))], ADA))  # when it was still open
    follows(book)


@pytest.mark.parametrize("name", ["a", "s", "l1"])
def test_an_opening_that_others_stand_on_is_not_taken_back(book: Logbook, name: str) -> None:
    begin(book)
    opened = next(
        it for it in book.events(kinds=("place_opened", "stock_opened", "line_opened"))
        if name == {"place_opened": it.place, "stock_opened": it.stock, "line_opened": it.line}[it.kind]
    )  # fmt: skip
    assert codes(book.void(opened.id, ADA, reason="a slip")) == ["LOG-19"]
    details = {"label": "other", "kind": "tank"} if name == "a" else {"label": "other", "kind": "group"}
    if name == "l1":
        details = {"name": "other", "species": "x"}
    instead = Draft(kind=opened.kind, happened=START, place=opened.place, stock=opened.stock, line=opened.line,
                    details=details)  # fmt: skip
    done(book.void(opened.id, ADA, reason="a slip", instead=[instead]))
    follows(book)


# --- voids and time -------------------------------------------------------------------------------------------


def test_a_voiding_is_not_voided_nor_anything_twice_nor_what_is_not_there(book: Logbook) -> None:
    begin(book)
    (event,) = done(book.record([died("s", "a", 1, after(1))], ADA))
    (void,) = done(book.void(event.id, ADA, reason="a slip"))
    assert codes(book.void(void.id, ADA, reason="x")) == ["LOG-06"]
    assert codes(book.void(event.id, ADA, reason="x")) == ["LOG-07"]
    assert codes(book.void("nothing", ADA, reason="x")) == ["LOG-05"]
    (other,) = done(book.record([died("s", "a", 1, after(2))], ADA))
    twice = [draft("voided", after(3), voids=other.id, reason="x")] * 2
    assert codes(book.record(twice, ADA)) == ["LOG-07"]
    assert codes(book.void(other.id, ADA, reason="  ")) == ["LOG-01"]


def test_what_is_ahead_or_too_long_ago_is_not_believed(book: Logbook, clock: Any) -> None:
    begin(book)
    assert codes(book.record([died("s", "a", 1, clock.at + timedelta(minutes=6))], ADA)) == ["LOG-03"]
    done(book.record([died("s", "a", 1, clock.at + timedelta(minutes=4))], ADA))
    assert codes(book.record([counted("s", "a", 1, datetime(26, 8, 2, tzinfo=UTC))], ADA)) == ["LOG-14"]


# --- what things are ------------------------------------------------------------------------------------------


def test_details_of_another_sort_are_told_all_together(book: Logbook) -> None:
    outcome = book.record(
        [
            draft("place_opened", place="p", details={"label": "P", "kind": "bath", "litres": "many", "shelf": 1.5}),
            draft("stock_opened", stock="q", details={"label": "Q", "kind": "herd", "born": "spring"}),
            draft("set_made", details={"set": "r", "members": "all"}),
            draft("task_set", details={"task": "w", "label": "W", "every_days": 1e9}),
            draft("task_set", details={"task": "v", "label": "V", "every_days": 0}),
            draft("tool_made", details={"tool": "n", "label": "N", "wet_hours": -1}),
        ],
        ADA,
    )  # fmt: skip
    assert isinstance(outcome, Refused)
    words = " | ".join(f"{it.subject} {it.text}" for it in outcome.findings)
    for said_of in ("litres", "every_days", "wet_hours"):
        assert said_of in words
    assert book.places() == ()
    alone = book.record(
        [draft("place_opened", place="p", details={"label": "P", "kind": "bath", "shelf": 1.5}),
         draft("stock_opened", stock="q", details={"label": "Q", "kind": "herd", "born": "spring"}),
         draft("set_made", details={"set": "r", "members": "all"})], ADA,
    )  # fmt: skip
    assert isinstance(alone, Refused)
    assert {it.code for it in alone.findings} == {"LOG-16"}
    assert [it.text.split('"')[1] for it in alone.findings] == ["kind", "shelf", "members", "kind", "born"]


def young(name: str, born: str, of: str) -> Draft:
    details = {"label": name, "kind": "brood", "born": born, "origin": ({"breeding_set": of},)}
    return draft("stock_opened", stock=name, details=details)


def paired(name: str, *stocks: str) -> Draft:
    members = tuple(
        {"stock": it, "count": 1, "sex": sex} for it, sex in zip(stocks, ("male", "female"), strict=False)
    )
    return draft("set_made", details={"set": name, "members": members})


def test_young_are_no_older_than_their_parents(book: Logbook) -> None:
    begin(book)
    done(
        book.record(
            [draft("stock_changed", stock="s", details={"born": "2025-06-01"}), paired("r", "s", "t")], ADA
        )
    )
    assert one(book.record([young("y", "2025-05-31", "r")], ADA)) == (
        "y", "would be no younger than s, from which it comes",
    )  # fmt: skip
    done(book.record([young("y", "2025-09-01", "r")], ADA))
    assert codes(book.record([draft("stock_changed", stock="y", details={"born": "2025-06-01"})], ADA)) == [
        "LOG-17"
    ]


def test_no_stock_is_its_own_forebear(book: Logbook) -> None:
    begin(book)
    done(book.record([paired("r", "s", "t"), young("y", "2025-09-01", "r"), paired("q", "y", "t")], ADA))
    again = draft("stock_changed", stock="s", details={"origin": ({"breeding_set": "q"},)})
    assert one(book.record([again], ADA)) == ("s", "would make s its own forebear")


# --- numbers --------------------------------------------------------------------------------------------------


WRONG: tuple[tuple[str, Callable[[datetime], Draft], str], ...] = (
    ("a count below nothing", lambda at: counted("s", "a", -1, at), "LEDGER-02"),
    ("half a fish", lambda at: draft("counted", at, place="a", stock="s",
                                     observed=(Observed(quantity="count", value=1.5),)), "LEDGER-02"),
    ("no number", lambda at: draft("counted", at, place="a", stock="s"), "LEDGER-02"),
    ("not a number", lambda at: draft("counted", at, place="a", stock="s",
                                      observed=(Observed(quantity="count", value=float("nan")),)), "LOG-30"),
    ("without end", lambda at: draft("estimated", at, place="a", stock="s", observed=(
        Observed(quantity="count", value=5, high=float("inf")),)), "LOG-30"),
    ("too many to be", lambda at: counted("s", "a", 10**12, at), "LEDGER-02"),
    ("a guess outside its bounds", lambda at: estimated("s", "a", Tally(number=9, low=10, high=20), at), "LEDGER-02"),
    ("bounds the wrong way round", lambda at: estimated("s", "a", Tally(number=9, low=20, high=1), at), "LOG-14"),
    ("a count with bounds", lambda at: draft("counted", at, place="a", stock="s", observed=(
        Observed(quantity="count", value=9, low=8, high=10),)), "LEDGER-02"),
    ("deaths below nothing", lambda at: died("s", "a", -2, at), "LEDGER-03"),
    ("births that take", lambda at: came("born", "s", "a", Tally(number=-2), at), "LEDGER-03"),
    ("more than can be moved", lambda at: moved("s", "a", "b", 10**9, at), "LEDGER-02"),
    ("a death that sells", lambda at: replace(left("s", "a", 1, at, "sold"), kind="died"), "LEDGER-03"),
    ("a look that moves", lambda at: replace(died("s", "a", 1, at), kind="looked", stock=""), "LEDGER-03"),
    ("a move that changes stock", lambda at: replace(moved("s", "a", "b", 1, at), flows=(
        Flow(stock="s", account="held", quantity=-1, place="a"), Flow(stock="t", account="held", quantity=1, place="b"),
    )), "LEDGER-03"),
    ("a move to elsewhere than it says", lambda at: replace(
        moved("s", "a", "b", 1, at), details={"to": "a"}), "LEDGER-03"),
    ("what does not add up", lambda at: replace(died("s", "a", 1, at), flows=(
        Flow(stock="s", account="held", quantity=-1, place="a"),)), "LOG-02"),
    ("a share above all", lambda at: draft("cleaned", at, place="a", details={"what": "water", "share": 20}), "LOG-14"),
)  # fmt: skip


@pytest.mark.parametrize(("make", "code"), [it[1:] for it in WRONG], ids=[it[0] for it in WRONG])
def test_numbers_that_cannot_be_are_refused(
    file_book: Logbook, make: Callable[[datetime], Draft], code: str
) -> None:
    begin(file_book)
    before = said(file_book)
    assert code in codes(file_book.record([make(after(1))], ADA))
    assert said(file_book) == before


def test_names_and_notes_in_any_writing_are_kept(book: Logbook) -> None:
    name = "Ärmel 𝔛 \u202e魚 \u00e9\u0301 ☃"
    done(
        book.record(
            [place("a", name), replace(stock("s", name + "2"), note="'); DROP TABLE event; --\n" * 20)], ADA
        )
    )
    named = book.place_labelled(name)
    assert named is not None
    assert named.id == "a"
    follows(book)


# --- one submission, once -------------------------------------------------------------------------------------


def test_what_comes_at_one_moment_counts_in_the_order_it_was_entered(book: Logbook, clock: Any) -> None:
    clock.at = after(200)
    begin(book)
    for turn in range(12):
        at = after(turn + 1)
        held = sum(it.held for it in book.holdings(stock="s"))
        done(book.record([came("found", "s", "a", Tally(number=3), at), counted("s", "a", held + 1, at),
                          died("s", "a", 1, at), counted("s", "a", held, at)], ADA))  # fmt: skip
        assert book.holdings(stock="s")[0].held == held
    unknown = [it.quantity for it in book.moved(stock="s", accounts=("lost", "found")) if it.derived]
    assert unknown == [2] * 12
    follows(book)
