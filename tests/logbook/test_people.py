"""Who wrote and on how many days: the same as counting every entry."""

from __future__ import annotations

from datetime import timedelta

from tankwright.logbook.people import PROGRAM, how_kept, people_who_wrote
from tankwright.logbook.store import By, Logbook

from .books import START, after, done, ph, place


def test_nobody_wrote_in_an_empty_book(book: Logbook) -> None:
    assert people_who_wrote(book) == ()
    assert (how_kept(book).days, how_kept(book).first) == (0, None)


def test_entries_and_days_are_counted_by_person_and_the_program_is_none(book: Logbook) -> None:
    done(book.record([place("a")], By(who=PROGRAM)))
    for days, who in ((0.1, "Ada"), (0.2, "Ada"), (3.1, "Ada"), (10.1, "Ben")):
        done(book.record([ph("a", 7.0, after(days))], By(who=who)))
    ada, ben = people_who_wrote(book)
    assert (ada.who, ada.entries, ada.days, ada.first, ada.last) == ("Ada", 3, 2, after(0.1), after(3.1))
    assert (ben.who, ben.entries) == ("Ben", 1)
    kept = how_kept(book)
    assert (kept.days, kept.first, kept.last) == (3, START.date(), after(10).date())
    assert (kept.longest_gap, kept.gap_after) == (6, after(3).date())


def test_only_what_happened_in_the_time_counts(book: Logbook) -> None:
    done(book.record([place("a"), ph("a", 7.0, after(1)), ph("a", 7.0, after(5))], By(who="Ada")))
    (ada,) = people_who_wrote(book, since=after(2), until=after(9))
    assert (ada.entries, ada.first) == (1, after(5))
    assert how_kept(book, until=after(5) - timedelta(seconds=1)).days == 2
