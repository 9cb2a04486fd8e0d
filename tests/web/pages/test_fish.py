"""What lives where, the card of a stock, what happened: on a desk, with what does not add up first."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.husbandry.register import Member
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived, born
from tankwright.workspace.keeping_going import counted, died, guessed, left, moved
from tankwright.workspace.keeping_groups import set_made
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

from .reader import Reader, example, plain

DAY = timedelta(days=1)


@pytest.fixture
def cellar(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar_mended"))


def done(outcome: Recorded | Refused) -> Recorded:
    assert isinstance(outcome, Recorded), outcome
    return outcome


def live(reader: Reader) -> datetime:
    """A month of fish: a pair and its brood, a sale, a count that misses two, a death typed in too late to be."""
    room = open_plan(reader.path).room
    log = RoomLog(reader.path, room=lambda: room)
    start = datetime.now(UTC) - 28 * DAY

    def hand(day: float) -> Hand:
        return Hand(log=log, who="Ada", at=start + day * DAY)

    creek = NewFish(label="Tetras", line="Creek", species="Hyphessobrycon amandae", came_from="a friend")
    done(arrived(hand(0), "A3", 12, creek, price=24.0, currency="EUR"))
    pair = [Member(stock="", count=1, sex="male"), Member(stock="", count=1, sex="female")]
    done(set_made(hand(1), "A3", pair, label="The pair"))
    done(moved(hand(2), "A3", "A4", 4))
    done(born(hand(5), "A3", 30, label="Brood 1", low=20, high=40))
    done(counted(hand(9), "A4", 2))
    done(left(hand(12), "A4", 2, "sold", to="a club", price=9.5, currency="EUR"))
    done(died(hand(3), "A3", 1, stock="Tetras"))
    done(guessed(hand(14), "A3", 25, 20, 30, stock="Brood 1"))
    log.book.close()
    return start


def clash(reader: Reader) -> None:
    """Nine dead are typed in for a day when there were but eight."""
    room = open_plan(reader.path).room
    log = RoomLog(reader.path, room=lambda: room)
    at = datetime.now(UTC) - 25.5 * DAY
    done(died(Hand(log=log, who="Ben", at=at), "A3", 9, stock="Tetras"))
    log.book.close()


# --- the census -------------------------------------------------------------------------------------------------------


def test_without_a_book_the_page_says_what_will_be_there_and_makes_none(cellar: Reader) -> None:
    for path in ("/fish", "/happened", "/fish/x"):
        assert cellar.see(path).status == 200
    assert "Nothing was written down yet" in cellar.see("/fish").text
    assert not (cellar.live.folder / "logbook.sqlite").exists()


def test_what_lives_where_is_told_by_tank_by_line_and_by_stock(cellar: Reader) -> None:
    live(cellar)
    page = cellar.see("/fish")
    assert page.row("census", "A3 about 32 (27 to 37)")[1:4] == [
        "about 25 (20 to 30)", "Brood 1", "Creek Hyphessobrycon amandae",
    ]  # fmt: skip
    assert "32 fish of 2 stocks in 1 places, some of them guessed." in plain(page.part("sum"))
    assert cellar.see("/fish?by=line").row("census", "Creek about 32 (27 to 37)")[2] == "Brood 1"
    assert cellar.see("/fish?by=stock").row("census", "Tetras")[1:3] == ["7", "A3"]
    assert cellar.see("/fish?q=brood").row("census", "A3")[1] == "about 25 (20 to 30)"
    assert "No fish like this." in cellar.see("/fish?q=shark").text


def test_a_past_day_is_told_as_it_was(cellar: Reader) -> None:
    start = live(cellar)
    day = (start + 4 * DAY).astimezone().date()
    page = cellar.see(f"/fish?at={day}&by=stock")
    assert page.row("census", "Tetras 11")[1:3] == ["7", "A3"]
    assert "Brood" not in page.part("census")
    assert "11 fish of 1 stocks in 2 places" in page.text
    assert cellar.see("/fish?at=soon").status == 200


def test_what_is_missing_and_what_cannot_have_been_stand_first(cellar: Reader) -> None:
    live(cellar)
    assert "2 Tetras in A4 were missing at counts" in plain(cellar.see("/fish").part("wrong"))
    clash(cellar)
    wrong = plain(cellar.see("/fish").part("wrong"))
    assert "Tetras in A3 would have been -" in wrong
    assert "9 Tetras died" in wrong
    assert "9 Tetras died" in plain(cellar.see("/happened").part("clashes"))


def test_a_tank_the_plan_calls_otherwise_is_told_and_takes_its_fish_along(cellar: Reader) -> None:
    live(cellar)
    text = re.sub(r"\bA([345])\b", r"X\1", cellar.plan_text)
    cellar.path.write_text(text, "utf-8")
    assert cellar.live.reread()
    page = cellar.see("/fish")
    assert "A3 has fish in the book and is not in the plan" in page.text
    answer = cellar.post("/enter", {"kind": "called", "key": "k", "tank": "A3", "to": "X3", "back": "/fish"})
    assert answer.status == 303
    assert "not in the plan" not in cellar.see("/fish").text
    assert "X3" in cellar.see("/fish").part("census")
    assert "12 Tetras came from a friend" in cellar.see("/t/X3").text or "Brood 1" in cellar.see("/t/X3").text


def test_a_place_of_ones_own_is_added_and_a_second_of_the_name_is_refused(cellar: Reader) -> None:
    live(cellar)
    form = {"kind": "place", "tank": "Pond", "sort": "outside", "litres": "900", "back": "/fish"}
    assert cellar.post("/enter", form | {"key": "a"}).status == 303
    refused = cellar.post("/enter", form | {"key": "b"})
    assert refused.status == 422
    assert 'value="Pond"' in refused.markup


# --- the card of a stock ----------------------------------------------------------------------------------------------


def test_the_card_of_a_stock_has_its_origin_and_a_balance_that_comes_to_what_is_held(cellar: Reader) -> None:
    live(cellar)
    page = cellar.see("/fish/Tetras")
    assert "From a friend" in plain(page.part("origin"))
    rows = dict(re.findall(r'<th scope="row">([^<]*)</th><td class="n">([+-]?\d+)<', page.markup))
    assert rows == {"came from outside": "+12", "died": "-1", "sold": "-2",
                    "missing at a count, nobody knows why": "-2"}  # fmt: skip
    assert re.search(r"held now</th><td class=\"n\"><b>7</b>", page.markup)
    brood = cellar.see("/fish/Brood%201")
    assert "From The pair" in plain(brood.part("origin"))
    assert "2 Tetras sold to a club, 9.5 EUR" in page.text


def test_what_is_known_of_a_stock_is_put_right_from_its_card(cellar: Reader) -> None:
    live(cellar)
    form = {"kind": "known", "key": "k", "stock": "Tetras", "label": "Embers", "back": "/fish"}
    assert cellar.post("/enter", form).status == 303
    assert cellar.see("/fish/Embers").status == 200
    assert "no fish of this name" in cellar.see("/fish/Tetras").text


# --- what happened ----------------------------------------------------------------------------------------------------


def rows(reader: Reader, path: str) -> list[str]:
    page = reader.see(path)
    body = re.search(r'<table class="happened">.*?</table>', page.markup, re.DOTALL)
    if body is None:
        return []
    cells = re.findall(r"<tr[^>]*>(.*?)</tr>", body[0], re.DOTALL)[1:]
    return [plain(re.findall(r"<td>(.*?)</td>", one, re.DOTALL)[2]) for one in cells]


def test_everything_stands_on_one_line_of_time_with_the_edits_of_the_plan(cellar: Reader) -> None:
    live(cellar)
    assert cellar.send("/", change="value", path="/title", typed="Other").status == 303
    told = rows(cellar, "/happened")
    assert told[0].startswith("Plan: ")
    assert next(one for one in told if not one.startswith("Plan: ")).startswith("Brood 1: about 25, 20 to 30")
    assert "4 Tetras moved from A3 to A4 typed in later" in " | ".join(told)
    assert [one for one in told if one.startswith("Tetras counted: 2")]


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("tank=A4", 3), ("stock=Brood%201", 2), ("kind=died", 1), ("kind=money", 2), ("who=Ben", 0), ("line=Creek", 8),
        ("kind=plan&who=nobody", 0), ("tank=A4&kind=moved", 1),
    ],
)  # fmt: skip
def test_it_is_narrowed_by_tank_stock_line_kind_and_person(asked: str, found: int, cellar: Reader) -> None:
    live(cellar)
    assert len(rows(cellar, f"/happened?{asked}")) == found


def test_days_narrow_it_and_what_is_not_known_is_said(cellar: Reader) -> None:
    start = live(cellar)
    first, second = ((start + day * DAY).astimezone().date() for day in (5, 9))
    told = rows(cellar, f"/happened?since={first}&until={second}")
    assert any(one.startswith("about 30 (20 to 40) Brood 1 born, of The pair") for one in told)
    assert not any("sold" in one for one in told)
    assert 'The logbook knows no "Q9".' in cellar.see("/happened?tank=Q9").text


def test_what_was_spent_and_taken_is_summed_in_each_currency(cellar: Reader) -> None:
    live(cellar)
    money = plain(cellar.see("/happened").part("money"))
    assert "EUR 24.00 9.50" in money


def test_an_event_is_struck_out_with_a_reason_and_stays_readable(cellar: Reader) -> None:
    live(cellar)
    page = cellar.see("/happened?kind=left").markup
    event = re.search(r'name="event" value="(\w+)"', page)
    assert event
    form = {"key": "k", "tank": "A4", "event": event[1], "back": "/happened", "page": "/happened"}
    assert cellar.post("/enter", form | {"kind": "struck", "reason": " "}).status == 422
    assert cellar.post("/enter", form | {"kind": "struck", "reason": "never paid"}).status == 303
    told = rows(cellar, "/happened?kind=left")[0]
    assert re.match(r"2 Tetras sold to a club, 9.5 EUR struck out by keeper .* UTC: never paid", told)
    assert "Tetras" in cellar.see("/fish?by=tank").row("census", "A4")[2]


def test_a_number_is_corrected_where_it_stands(cellar: Reader) -> None:
    live(cellar)
    page = cellar.see("/happened?kind=died").markup
    event = re.search(r'name="event" value="(\w+)"', page)
    assert event
    form = {"key": "k", "tank": "A3", "event": event[1], "kind": "corrected", "reason": "two", "value": "2",
            "back": "/happened"}  # fmt: skip
    assert cellar.post("/enter", form).status == 303
    assert cellar.see("/fish?by=stock").row("census", "Tetras")[1] == "6"


def test_the_drawing_shows_the_fish(cellar: Reader) -> None:
    live(cellar)
    page = cellar.see("/?layer=fish")
    assert "tanks are lived in" in page.text
    assert re.search(r"A3[^\"]*7 Tetras", page.markup)


def test_names_with_markup_stay_names(cellar: Reader) -> None:
    room = open_plan(cellar.path).room
    log = RoomLog(cellar.path, room=lambda: room)
    name = '<i onload="x">"&'
    fish = NewFish(label=name, line=name, species=name, came_from=name)
    done(arrived(Hand(log=log, who=name, note=name), "A3", 3, fish))
    for path in ("/fish", "/fish?by=line", "/happened", "/fish/" + log.book.stocks()[0].id, "/?layer=fish"):
        page = cellar.see(path)
        assert page.status == 200
        assert "<i onload" not in page.markup
