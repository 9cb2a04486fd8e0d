"""One file with all of a book: it comes back just as it was, two books become one, what is broken goes nowhere."""

from __future__ import annotations

import json
import random
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tankwright.husbandry.facts import Tally, came, died, moved
from tankwright.logbook.backups import backups_of
from tankwright.logbook.exchange import export_book
from tankwright.logbook.exchange_reading import Export, is_export
from tankwright.logbook.merging import Imported, import_export
from tankwright.logbook.outcome import NoLogbookError
from tankwright.logbook.pictures import Pictures
from tankwright.logbook.store import By, Logbook

from .books import ADA, Clock, after, begin, done, follows, line, live, ph, place, said, stock
from .test_pictures import picture

_OPEN: list[Logbook] = []


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    yield
    while _OPEN:
        _OPEN.pop().close()


class Side:
    """One machine: a book and its pictures."""

    def __init__(self, folder: Path, where: Path | str | None = None, seconds: int = 0) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self.clock = Clock()
        self.clock.at = self.clock.at.replace(second=seconds)
        self.book = Logbook(where or folder / "logbook.sqlite", now=self.clock)
        self.pictures = Pictures(folder / "pictures")
        _OPEN.append(self.book)

    def export(self, name: str = "export.zip") -> Path:
        export_book(self.book, self.pictures, self.folder / name)
        return self.folder / name

    def take(self, file: Path, *, preview: bool = False) -> Imported:
        return import_export(self.book, self.pictures, Export(file), preview=preview)


@pytest.fixture
def one(tmp_path: Path) -> Side:
    side = Side(tmp_path / "one")
    begin(side.book)
    live(side.book, 25)
    side.pictures.keep(picture("JPEG"))
    side.pictures.keep(picture("PNG"))
    return side


def code(file: Path) -> str:
    with pytest.raises(NoLogbookError) as caught:
        Export(file)
    return caught.value.findings[0].code


def test_out_and_into_an_empty_book_and_out_again_is_the_same_file(
    one: Side, tmp_path: Path, where: Path | str
) -> None:
    file = one.export()
    two = Side(tmp_path / "two", where)
    outcome = two.take(file)
    assert (outcome.added, outcome.known, outcome.pictures) == (one.book.count_events(), 0, 2)
    assert outcome.findings == outcome.conflicts == ()
    assert said(two.book) == said(one.book)
    follows(two.book)
    assert two.export().read_bytes() == file.read_bytes()
    assert one.export("again.zip").read_bytes() == file.read_bytes()


def test_an_empty_book_goes_out_and_in(tmp_path: Path) -> None:
    file = Side(tmp_path / "one").export()
    two = Side(tmp_path / "two")
    assert two.take(file).added == 0
    assert two.export().read_bytes() == file.read_bytes()


def test_a_long_book_is_made_anew_on_the_other_side(tmp_path: Path) -> None:
    one, two = Side(tmp_path / "one"), Side(tmp_path / "two")
    begin(one.book)
    for turn in range(60):
        done(one.book.record([ph("a", 7.0, after(turn, minute)) for minute in range(20)], ADA))
    assert two.take(one.export()).added > 1_000
    follows(two.book)
    assert two.export().read_bytes() == one.export().read_bytes()


def test_the_same_twice_adds_nothing(one: Side, tmp_path: Path) -> None:
    file = one.export()
    two = Side(tmp_path / "two")
    two.take(file)
    before = said(two.book)
    again = two.take(file)
    assert (again.added, again.known) == (0, one.book.count_events())
    assert again.findings == ()
    assert said(two.book) == before
    assert one.take(file).added == 0


def test_a_look_ahead_says_what_would_be_and_writes_nothing(one: Side, tmp_path: Path) -> None:
    two = Side(tmp_path / "two")
    begin(two.book)
    before = said(two.book)
    outcome = two.take(one.export(), preview=True)
    assert outcome.preview
    assert outcome.added == one.book.count_events()
    assert said(two.book) == before
    assert list(two.pictures.names()) == []
    assert two.book.path is not None
    assert backups_of(two.book.path) == ()


def forked(tmp_path: Path) -> tuple[Side, Side]:
    """Two machines with one past."""
    one = Side(tmp_path / "one")
    begin(one.book)
    two = Side(tmp_path / "two", seconds=30)
    two.take(one.export())
    return one, two


def test_two_books_with_one_past_become_one_whichever_takes_the_other(tmp_path: Path) -> None:
    one, two = forked(tmp_path)
    live(one.book, 20, seed=3)
    live(two.book, 20, seed=4)
    first, second = one.export(), two.export()
    taken = one.take(second)
    assert two.take(first).added == one.book.count_events() - taken.added - taken.known
    assert said(one.book) == said(two.book)
    follows(one.book)
    follows(two.book)
    assert one.book.path is not None
    assert [kept.why.startswith("before-import") for kept in backups_of(one.book.path)] == [True]


def test_more_taken_on_two_machines_than_there_was_is_kept_and_told(tmp_path: Path) -> None:
    one, two = forked(tmp_path)
    done(one.book.record([moved("s", "a", "b", 15, after(2))], By(who="Ada")))
    done(two.book.record([died("s", "a", 12, after(3))], By(who="Bo")))
    taken = one.take(two.export())
    assert [(found.stock, found.place, found.least) for found in taken.conflicts] == [("s", "a", -7)]
    assert [found.held for found in one.book.holdings(stock="s")] == [-7, 15]
    two.take(one.export())
    assert said(one.book) == said(two.book)
    follows(one.book)


def test_both_voided_the_same_and_one_voiding_is_named_on_either_side(tmp_path: Path) -> None:
    one, two = forked(tmp_path)
    slip = done(one.book.record([died("s", "a", 3, after(1))], ADA))[0]
    two.take(one.export())
    done(one.book.void(slip.id, By(who="Ada"), reason="a slip"))
    done(two.book.void(slip.id, By(who="Bo"), reason="a slip of hers"))
    first, second = one.export(), two.export()
    one.take(second)
    two.take(first)
    assert said(one.book) == said(two.book)
    assert sum(found.held for found in one.book.holdings(stock="s")) == 20
    follows(one.book)
    follows(two.book)


def test_one_submission_sent_to_both_books_counts_once(tmp_path: Path) -> None:
    one, two = forked(tmp_path)
    for side in (one, two):
        events = done(
            side.book.record(
                [died("s", "a", 1, after(1)), ph("a", 7.0, after(1))], By(who="Ada", key="phone-7")
            )
        )
    done(two.book.void(events[0].id, ADA, reason="it lives"))
    taken = one.take(two.export())
    assert (taken.added, taken.findings) == (1, ())
    assert sum(found.held for found in one.book.holdings(stock="s")) == 20
    follows(one.book)


def test_one_key_with_two_contents_keeps_both_and_says_so(tmp_path: Path) -> None:
    one, two = forked(tmp_path)
    done(one.book.record([died("s", "a", 1, after(1))], By(who="Ada", key="sheet-4-row-2")))
    done(two.book.record([died("s", "a", 2, after(1))], By(who="Bo", key="sheet-4-row-2")))
    second = two.export()
    taken = one.take(second)
    assert [found.code for found in taken.findings] == ["LOG-37"]
    assert sum(found.held for found in one.book.holdings(stock="s")) == 17
    assert one.take(second).added == 0
    follows(one.book)


def test_a_place_made_on_both_sides_and_lived_in_on_one_stays_there(tmp_path: Path) -> None:
    one, two = Side(tmp_path / "one"), Side(tmp_path / "two", seconds=30)
    done(one.book.record([place("p1", "A1"), place("p2", "A2")], By(who="plan")))
    done(two.book.record([place("q1", "A1"), place("q2", "A2"), stock("f", "F"),
                          came("arrived", "f", "q1", Tally(number=5), after(1))], ADA))  # fmt: skip
    first, second = one.export(), two.export()
    assert one.take(second).findings == ()
    two.take(first)
    for side in (one, two):
        assert [(kept.label, kept.id) for kept in side.book.places()] == [("A1", "q1"), ("A2", "p2")]
        follows(side.book)


def test_two_things_of_one_name_are_kept_and_told(tmp_path: Path) -> None:
    one, two = Side(tmp_path / "one"), Side(tmp_path / "two", seconds=30)
    for side, own in ((one, "x"), (two, "y")):
        done(side.book.record([place(f"p{own}", "A1"), line(f"l{own}"), stock(f"s{own}", "S"),
                               came("arrived", f"s{own}", f"p{own}", Tally(number=5), after(1))], ADA))  # fmt: skip
    taken = one.take(two.export())
    assert sorted((found.code, found.subject) for found in taken.findings) == [
        ("LOG-38", "A1"),
        ("LOG-38", "S"),
    ]
    assert len(one.book.stocks()) == 2
    follows(one.book)


# --- what is broken ------------------------------------------------------------------------------------------


def test_a_file_cut_anywhere_is_refused_and_nothing_is_written(one: Side, tmp_path: Path) -> None:
    content = one.export().read_bytes()
    lot = random.Random(1)
    cut = tmp_path / "cut.zip"
    for end in [
        0,
        1,
        100,
        len(content) // 2,
        len(content) - 1,
        *(lot.randrange(len(content)) for _ in range(40)),
    ]:
        cut.write_bytes(content[:end])
        assert code(cut) == "LOG-35", end


def test_no_changed_byte_gets_in(one: Side, tmp_path: Path) -> None:
    file = one.export()
    content = file.read_bytes()
    lot = random.Random(2)
    changed = tmp_path / "changed.zip"
    before = [found.hash for found in Export(file).events()]
    refused: list[str] = []
    for _ in range(300):
        place_of = lot.randrange(len(content))
        other = content[place_of] ^ (1 << lot.randrange(8))
        changed.write_bytes(content[:place_of] + bytes([other]) + content[place_of + 1 :])
        try:
            assert [
                found.hash for found in Export(changed).events()
            ] == before  # a byte that says nothing, as a date
        except NoLogbookError as error:
            refused.append(error.findings[0].code)
    assert len(refused) > 200
    assert set(refused) <= {"LOG-35", "LOG-36"}


def rewritten(file: Path, to: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    with zipfile.ZipFile(file) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    change(parts)
    with zipfile.ZipFile(to, "w") as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    return to


def manifest(**said_of: Any) -> Callable[[dict[str, bytes]], None]:
    def change(parts: dict[str, bytes]) -> None:
        parts["manifest.json"] = json.dumps(json.loads(parts["manifest.json"]) | said_of).encode()

    return change


def event(number: int, **said_of: Any) -> Callable[[dict[str, bytes]], None]:
    def change(parts: dict[str, bytes]) -> None:
        lines = parts["events.jsonl"].splitlines()
        lines[number] = json.dumps(json.loads(lines[number]) | said_of).encode()
        parts["events.jsonl"] = b"\n".join(lines) + b"\n"

    return change


def gone(name: str) -> Callable[[dict[str, bytes]], None]:
    return lambda parts: parts.pop(next(key for key in parts if key.startswith(name))) and None


BROKEN: list[tuple[Callable[[dict[str, bytes]], None], str]] = [
    (manifest(version="9001"), "LOG-36"), (manifest(format=2), "LOG-36"), (manifest(what="songs"), "LOG-35"),
    (manifest(events=3), "LOG-35"), (manifest(seal="0"), "LOG-35"), (manifest(events_sha256="0"), "LOG-35"),
    (manifest(events="many"), "LOG-35"), (manifest(pictures=["../../plan.toml"]), "LOG-35"),
    (manifest(pictures=None), "LOG-35"), (manifest(format=None, version=None), "LOG-35"),
    (gone("manifest"), "LOG-35"), (gone("events"), "LOG-35"), (gone("pictures/"), "LOG-35"),
    (event(5, note="never"), "LOG-35"), (event(5, serial=4), "LOG-35"), (event(5, kind="sang"), "LOG-35"),
    (event(5, happened="today"), "LOG-35"), (event(5, happened=10**30), "LOG-35"), (event(5, place=None), "LOG-35"),
    (event(5, flows=[["s", "a", "held", 1]]), "LOG-35"), (event(5, flows=3), "LOG-35"), (event(5, extra=1), "LOG-35"),
    (event(5, observed=[["ph", "7", "", None, None, ""]]), "LOG-35"), (event(5, details=[1]), "LOG-35"),
    (event(5, note="a\x00"), "LOG-35"), (event(5, note="\ud800"), "LOG-35"), (event(5, plan_revision=10**12), "LOG-35"),
    (lambda parts: parts.update({"events.jsonl": b"[" * 100_000}), "LOG-35"),
    (lambda parts: parts.update({"manifest.json": b"[" * 100_000}), "LOG-35"),
    (lambda parts: parts.update({"events.jsonl": b"\xff\n"}), "LOG-35"),
]  # fmt: skip


@pytest.mark.parametrize("number", range(len(BROKEN)))
def test_an_export_that_is_not_whole_in_itself_is_refused(one: Side, tmp_path: Path, number: int) -> None:
    change, wanted = BROKEN[number]
    assert code(rewritten(one.export(), tmp_path / "broken.zip", change)) == wanted


def test_files_of_other_kinds_are_refused(tmp_path: Path) -> None:
    for name, content in {"text": b"a;b\n", "empty": b"", "zip": b"PK\x05\x06" + bytes(18)}.items():
        (tmp_path / name).write_bytes(content)
        assert not is_export(tmp_path / name)
        assert code(tmp_path / name) == "LOG-35"
    assert code(tmp_path / "not there") == "LOG-35"
    assert code(tmp_path) == "LOG-35"


def test_a_file_that_was_swapped_after_it_was_looked_through_writes_nothing(
    one: Side, tmp_path: Path
) -> None:
    file = one.export()
    looked = Export(file)
    content = file.read_bytes()
    file.write_bytes(content[: len(content) // 2])
    two = Side(tmp_path / "two")
    with pytest.raises(NoLogbookError):
        import_export(two.book, two.pictures, looked)
    assert two.book.count_events() == 0


def test_an_export_that_cannot_be_written_leaves_what_stood_there(one: Side, tmp_path: Path) -> None:
    with pytest.raises(NoLogbookError) as caught:
        export_book(one.book, one.pictures, tmp_path / "nowhere" / "export.zip")
    assert caught.value.findings[0].code == "LOG-09"
    file = one.export()
    before = file.read_bytes()

    class Gone(Pictures):
        def names(self) -> Any:
            raise OSError(28, "No space left on device")

    with pytest.raises(NoLogbookError):
        export_book(one.book, Gone(tmp_path), file)
    assert file.read_bytes() == before
    assert not list(one.folder.glob(".*unfinished"))


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(mine=st.integers(0, 10**6), theirs=st.integers(0, 10**6), days=st.integers(1, 15))
def test_any_two_lives_with_one_past_become_one(
    tmp_path_factory: pytest.TempPathFactory, mine: int, theirs: int, days: int
) -> None:
    one, two = forked(tmp_path_factory.mktemp("forked"))
    live(one.book, days, seed=mine)
    live(two.book, 16 - days, seed=theirs)
    first, second = one.export(), two.export()
    one.take(second)
    two.take(first)
    assert said(one.book) == said(two.book)
    follows(one.book)
    follows(two.book)


def test_an_event_is_as_it_was_but_for_its_place_in_the_order(tmp_path: Path) -> None:
    one, two = forked(tmp_path)
    done(two.book.record([ph("b", 7.0, after(1))], ADA))
    theirs = done(one.book.record([ph("a", 6.5, after(2))], ADA))[0]
    two.take(one.export())
    here = two.book.event(theirs.id)
    assert here is not None
    assert replace(here, serial=theirs.serial, hash=theirs.hash) == theirs
    assert here.serial == theirs.serial + 1
