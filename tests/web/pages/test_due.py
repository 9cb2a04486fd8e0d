"""What is due: taken from the plan, ticked at a desk, asked about when unusual, taken back; its forms, its paper."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Final

import pytest
from icalendar import Calendar

from tankwright.husbandry.proposals import task_draft
from tankwright.husbandry.register import DueTask, Task
from tankwright.logbook.outcome import By, Recorded
from tankwright.logbook.store import Logbook
from tankwright.web import clock
from tankwright.workspace.log import RoomLog
from tankwright.workspace.settings import SettingsBook

from .reader import SMALL, Reader, Seen, example, plain

WARM: Final = {"quantity": "temperature", "unit": "°C", "low": 22.0, "high": 26.0}


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def log_of(reader: Reader) -> RoomLog:
    return RoomLog(reader.path, room=lambda: reader.good.room)


def book(reader: Reader) -> Logbook:
    return log_of(reader).book


def put(reader: Reader, *tasks: Task, ago: float = 0) -> None:
    """Put work into the book as it was set so many days ago; a place of a task is the name of its tank."""
    log = log_of(reader)
    ids = {one.label: one.id for one in log.book.places()} | {"": ""}
    at = datetime.now(UTC) - timedelta(days=ago)
    drafts = [task_draft(replace(one, place=ids[one.place]), at) for one in tasks]
    assert isinstance(log.book.record(drafts, By(who="Ada")), Recorded)


def two(reader: Reader, *, ago: float = 0) -> None:
    """A look and a temperature at each of the two tanks, and one thing of the room."""
    put(reader, *(Task(id=f"look{name}", label="Look", place=name, kind="look") for name in ("A1", "A2")),
        *(Task(id=f"warm{name}", label="Temperature", place=name, kind="temperature", **WARM) for name in ("A1", "A2")),
        Task(id="alarm", label="Alarm", every_days=30, kind="alarm"), ago=ago)  # type: ignore[arg-type]  # fmt: skip


def do(reader: Reader, ticked: tuple[str, ...] = (), *, key: str = "k1", **fields: str) -> Seen:
    sent: dict[str, str | list[str]] = {"key": key, "kind": "done", "back": "/due", "task": list(ticked)}
    return reader.post("/due/done", sent | {name.replace("v_", "v:"): one for name, one in fields.items()})


def due(reader: Reader) -> dict[str, DueTask]:
    return {one.task.id: one for one in book(reader).due(datetime.now(UTC) + timedelta(days=400))}


# --- nothing yet -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path", ["/due", "/due/work", "/due/stores", "/due/paper", "/due/walk/A", "/board", "/due.ics"]
)
def test_looking_makes_no_book(path: str, shed: Reader) -> None:
    assert shed.see(path).status == 200
    assert not log_of(shed).is_there


def test_an_empty_list_leads_to_what_the_plan_proposes(shed: Reader) -> None:
    page = shed.see("/due")
    assert 'href="/due/work"' in page.markup
    assert "The plan proposes it" in page.text


# --- taken from the plan ---------------------------------------------------------------------------------------------


def test_a_proposal_is_taken_with_one_tap_for_every_tank_and_twice_is_once(shed: Reader) -> None:
    for _ in range(2):
        answer = shed.post("/due/take", {"kind": "look", "key": "k"})
        assert (answer.status, answer.leads_to) == (303, "/due/work?taken=Look")
    assert [one.label for one in book(shed).tasks()] == ["Look", "Look"]
    page = shed.see("/due/work")
    assert "Taken." in plain(page.part("proposal-look"))
    assert 'action="/due/take"' not in page.part("proposal-look")
    assert "every day" in page.text


def test_a_tank_that_is_new_in_the_plan_is_taken_beside_the_others(tmp_path: Path) -> None:
    reader = Reader(tmp_path, SMALL)
    reader.post("/due/take", {"kind": "look", "key": "k"})
    reader.path.write_text(SMALL.replace("A1..A2", "A1..A3"), "utf-8")
    reader.live.reread()
    assert "Take 1 more" in plain(reader.see("/due/work").part("proposal-look"))
    reader.post("/due/take", {"kind": "look", "key": "k2"})
    assert len(book(reader).tasks()) == 3


def test_what_the_plan_does_not_propose_cannot_be_taken(shed: Reader) -> None:
    answer = shed.post("/due/take", {"kind": "dance", "key": "k"})
    assert answer.status == 422
    assert "none that the plan proposes" in answer.text


def test_a_proposal_says_why_and_whose_its_days_are(tmp_path: Path) -> None:
    page = Reader(tmp_path, example("cellar_mended")).see("/due/work")
    assert "How often: common practice, no source" in page.text
    assert "Open no mains box" in plain(page.part("proposal-rcd"))
    assert "or 8330 L" in plain(page.part("proposal-carbon-drip"))


# --- at the desk -----------------------------------------------------------------------------------------------------


def test_ticks_and_numbers_are_kept_in_one_go_and_leave_the_list(shed: Reader) -> None:
    two(shed)
    page = shed.see("/due")
    assert "5 due" in page.text
    answer = do(shed, ("lookA1", "alarm"), v_warmA1="24,5")
    assert answer.status == 303
    kept = {str(one.details["task"]): one for one in book(shed).events(kinds=("task_done",))}
    assert set(kept) == {"lookA1", "alarm", "warmA1"}
    assert (kept["warmA1"].observed[0].value, kept["warmA1"].observed[0].unit) == (24.5, "°C")
    assert {one.who for one in kept.values()} == {"keeper"}
    page = shed.see(answer.leads_to)
    assert "and more, 3 in all, done." in plain(page.part("done"))
    assert "2 due" in page.text
    assert set(re.findall(r'name="task" value="([^"]+)"', page.markup)) == {"lookA2"}


def test_a_form_sent_twice_is_kept_once_and_gone_back_to_and_filled_in_anew_again(shed: Reader) -> None:
    two(shed)
    assert do(shed, ("lookA1",)).leads_to == do(shed, ("lookA1",)).leads_to
    assert len(book(shed).events(kinds=("task_done",))) == 1
    do(shed, ("lookA2",))
    assert len(book(shed).events(kinds=("task_done",))) == 2


def test_an_unusual_number_is_asked_about_once_and_nothing_is_kept_until_it_is_said_to_be_so(
    shed: Reader,
) -> None:
    two(shed)
    answer = do(shed, ("lookA1",), v_warmA1="31", v_warmA2="24")
    assert answer.status == 422
    assert "31 °C is unusual. Wanted: 22 to 26 °C" in answer.text
    assert book(shed).events(kinds=("task_done",)) == ()
    for typed in ('value="31"', 'value="24"'):
        assert typed in answer.markup
    assert re.search(r'value="lookA1"[^>]*checked', answer.markup)
    sure = re.search(r'name="sure" value="([^"]*)"', answer.markup)
    assert sure
    assert do(shed, ("lookA1",), v_warmA1="32", v_warmA2="24", sure=sure[1]).status == 422, "another number"
    assert do(shed, ("lookA1",), v_warmA1="31", v_warmA2="24", sure=sure[1]).status == 303
    assert len(book(shed).events(kinds=("task_done",))) == 3


def test_every_number_that_is_none_is_told_at_its_field(shed: Reader) -> None:
    two(shed)
    answer = do(shed, v_warmA1="warm", v_warmA2="2..4", v_gone="3")
    assert answer.status == 422
    assert answer.text.count("is no number") == 2
    assert 'aria-invalid="true"' in answer.markup
    assert "is work that is not known" in answer.text
    assert book(shed).events(kinds=("task_done",)) == ()


def test_nothing_ticked_is_said(shed: Reader) -> None:
    two(shed)
    answer = do(shed)
    assert (answer.status, "nothing is ticked and nothing filled in" in answer.text) == (422, True)


def test_all_of_it_is_taken_back_with_one_tap_and_is_due_again(shed: Reader) -> None:
    two(shed)
    page = shed.see(do(shed, ("lookA1", "lookA2")).leads_to)
    undoes = re.search(r'name="undoes" value="([^"]+)"', page.part("done"))
    assert undoes
    for key in ("u1", "u2"):  # a second time is harmless
        answer = shed.post("/due/done", {"key": key, "kind": "undo", "undoes": undoes[1], "back": "/due"})
        assert (answer.status, "undone=" in answer.leads_to) == (303, True)
    assert book(shed).events(kinds=("task_done",)) == ()
    assert len(book(shed).events(kinds=("task_done",), only_standing=False)) == 2
    assert "5 due" in shed.see(answer.leads_to).text
    assert "done" not in re.findall(r'id="(\w+)"', shed.see("/due?done=" + undoes[1]).markup)


def test_late_work_says_by_how_much(shed: Reader) -> None:
    two(shed, ago=3)
    page = shed.see("/due")
    assert "4 late" in page.text
    assert "3 days late" in page.text
    assert "never" in page.text


def test_one_can_look_ahead(shed: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    two(shed)
    do(shed, ("lookA1", "lookA2", "alarm"), v_warmA1="24", v_warmA2="24")
    assert "Nothing is due." in shed.see("/due").text
    page = shed.see("/due?days=1")
    assert (date.today() + timedelta(days=1)).isoformat() in page.text
    assert page.markup.count('class="later"') == 4
    tomorrow = date.today() + timedelta(days=1)
    monkeypatch.setattr(clock, "today", lambda: tomorrow)
    assert shed.see("/due?days=everything").status == 200


def test_a_long_list_comes_in_parts(shed: Reader) -> None:
    reader = shed
    put(reader, *(Task(id=f"x{n}", label=f"Thing {n}", kind="thing") for n in range(110)))
    page = reader.see("/due")
    assert "81–110" in page.text
    assert len(re.findall(r'type="checkbox"', page.markup)) == 80
    assert len(re.findall(r'type="checkbox"', reader.see("/due?from=81").markup)) == 30
    assert reader.see("/due?from=9999999999").status == reader.see("/due?from=x").status == 200


# --- forms -----------------------------------------------------------------------------------------------------------


def keep(reader: Reader, **fields: str | list[str]) -> Seen:
    sent = {"do": "set", "key": "k1", "label": "Lid dried", "every": "7", "places": "A1"}
    return reader.post("/due/task", sent | fields)


def test_work_of_ones_own_is_made_for_all_tanks_one_or_the_room(shed: Reader) -> None:
    assert keep(shed, places="all", weekday=["5", "6"], by="Ada").leads_to == "/due/work?kept=Lid+dried"
    assert keep(shed, places="", label="Sweep", key="k2").status == 303
    assert (
        keep(shed, places="a2", label="Hood", key="k3", quantity="kh", unit="°dH", low="3", high="8,5").status
        == 303
    )
    tasks = {one.label: one for one in book(shed).tasks()}
    assert sum(one.label == "Lid dried" for one in book(shed).tasks()) == 2
    assert (tasks["Lid dried"].weekdays, tasks["Lid dried"].by) == ((5, 6), "Ada")
    assert tasks["Sweep"].place == ""
    assert (tasks["Hood"].low, tasks["Hood"].high) == (3.0, 8.5)
    assert "Sat Sun" in shed.see("/due/work").text


def test_all_that_is_wrong_with_a_form_is_told_in_one_pass_and_what_was_typed_stays(shed: Reader) -> None:
    answer = keep(shed, label=" ", every="0", window="x", places="A1, Q9", low="8", high="3", weekday=["2"])
    assert answer.status == 422
    for field in ("label", "every", "window", "places", "high", "quantity"):
        assert f'id="task-{field}-error"' in answer.markup, field
    assert 'value="A1, Q9"' in answer.markup
    assert re.search(r'name="weekday" value="2" checked', answer.markup)
    assert not book(shed).tasks()


def test_a_task_is_changed_in_its_place_and_keeps_when_it_was_done(shed: Reader) -> None:
    two(shed)
    do(shed, ("lookA1",))
    page = shed.see("/due/work?change=lookA1")
    assert 'value="Look"' in page.part("task-form")
    assert keep(shed, task="lookA1", label="Look well", every="2", places="A1").status == 303
    changed = due(shed)["lookA1"]
    assert (changed.task.label, changed.task.every_days, changed.task.kind) == ("Look well", 2.0, "look")
    assert changed.last is not None


def test_work_is_stopped_with_all_that_stands_in_its_row(shed: Reader) -> None:
    two(shed)
    answer = shed.post("/due/task", {"do": "stop", "task": "lookA1", "key": "k"})
    assert answer.leads_to == "/due/work?stopped=Look"
    assert {one.id for one in book(shed).tasks()} == {"warmA1", "warmA2", "alarm"}
    assert shed.post("/due/task", {"do": "stop", "task": "lookA1", "key": "k2"}).status == 422


def test_a_hatch_is_started_timed_and_ended(shed: Reader) -> None:
    answer = shed.post(
        "/due/stores", {"form": "culture", "key": "k", "what": "brine shrimp", "celsius": "24", "salt": "25"}
    )
    assert answer.status == 303
    page = shed.see(answer.leads_to)
    assert "hatches later" in page.text
    assert "not yet" in page.text
    assert "in 24 h" in page.text
    name = re.search(r'name="culture" value="([^"]+)"', page.markup)
    assert name
    shed.post("/due/stores", {"form": "culture-end", "key": "k2", "culture": name[1], "what": "brine shrimp"})
    assert "Nothing grows." in shed.see("/due/stores").text


def test_a_hatch_beyond_its_limits_has_no_time(shed: Reader) -> None:
    shed.post("/due/stores", {"form": "culture", "key": "k", "what": "brine shrimp", "celsius": "35"})
    assert "no time is known for its water" in shed.see("/due/stores").text


def test_a_treatment_is_recorded_with_its_caution_and_says_until_when_nothing_leaves(shed: Reader) -> None:
    page = shed.see("/due/stores")
    assert "by the label and the word of a vet" in page.text
    answer = shed.post(
        "/due/stores",
        {"form": "treatment", "key": "k", "place": "A1", "with": "salt", "days": "3", "withdrawal": "7"},
    )
    assert answer.status == 303
    free = (datetime.now(UTC) + timedelta(days=10)).date().isoformat()
    assert "salt runs" in plain(shed.see("/due/stores").part("treatments")).replace("  ", " ")
    assert free in shed.see("/due/stores").text
    assert "Nothing leaves" in shed.see("/board").text


def test_what_is_wrong_with_a_treatment_is_told_at_its_fields(shed: Reader) -> None:
    answer = shed.post("/due/stores", {"form": "treatment", "key": "k", "place": "A7", "days": "-1"})
    assert answer.status == 422
    for field in ("place", "with", "days"):
        assert f'id="treatment-{field}-error"' in answer.markup, field
    assert not book(shed).events(kinds=("treated",))


def test_spares_are_counted_used_and_short(shed: Reader) -> None:
    shed.post("/due/stores", {"form": "spares", "key": "k", "what": "drippers", "kept": "6", "least": "6"})
    page = shed.see("/due/stores")
    assert "6 kept" not in page.text
    shed.post("/due/stores", {"form": "spares", "key": "k2", "what": "drippers", "kept": "5", "least": "6"})
    assert "5 kept, 6 wanted" in shed.see("/due/stores").text
    assert "Spares are short" in shed.see("/board").text
    assert shed.post("/due/stores", {"form": "spares", "key": "k3", "what": "", "kept": "1.5"}).status == 422
    assert shed.post("/due/stores", {"form": "what", "key": "k4"}).status == 422


# --- paper -----------------------------------------------------------------------------------------------------------


def printed(reader: Reader) -> None:
    two(reader)
    answer = reader.post("/due/paper", {"key": "p1"})
    assert answer.leads_to == "/due/paper?printed=1,2"


def now_text(ahead: timedelta = timedelta()) -> str:
    return (datetime.now() + ahead).strftime("%Y-%m-%dT%H:%M")


def type_in(reader: Reader, sheet: int = 2, **fields: str) -> Seen:
    sent = {"key": "t", "written": now_text(), "sure": ""}
    return reader.post(
        f"/due/paper/{sheet}", sent | {name.replace("_", "-"): one for name, one in fields.items()}
    )


def test_a_printed_round_is_found_by_its_number_and_a_wrong_digit_is_told(shed: Reader) -> None:
    printed(shed)
    assert shed.post("/due/paper", {"key": "p1"}).leads_to == "/due/paper?printed=1,2", (
        "twice sent is once made"
    )
    page = shed.see("/due/paper")
    code = re.search(r'href="/due/paper/2">(2-\d\d)<', page.markup)
    assert code
    assert 'href="/due/paper/2"' in shed.see(f"/due/paper?code={code[1]}").markup
    wrong = code[1][:-1] + str((int(code[1][-1]) + 1) % 10)
    assert "a digit is wrong" in shed.see(f"/due/paper?code={wrong}").text
    row = re.search(r'class="code">(2\.02-\d\d)<', shed.see("/due/paper/2").markup)
    assert row
    assert "/due/paper/2?row=2#row-2" in shed.see(f"/due/paper?code={row[1]}").markup.replace("&amp;", "&")


def test_the_form_has_the_rows_and_columns_of_the_page_in_its_order(shed: Reader) -> None:
    printed(shed)
    page = shed.see("/due/paper/2")
    assert re.findall(r'name="(c\d+-\d+)"', page.markup) == ["c1-1", "c1-2", "c2-1", "c2-2"]
    assert "22 to 26 °C" in page.text
    pdf = shed.see("/due/paper/1-2.pdf")
    assert (pdf.status, pdf.markup[:5]) == (200, "%PDF-")
    assert shed.see("/due/paper/9.pdf").status == 404
    assert "no page of that number" in shed.see("/due/paper/9").text


def test_what_is_typed_back_counts_at_the_time_on_the_sheet_and_once(shed: Reader) -> None:
    printed(shed)
    answer = type_in(shed, c1_1="/", c1_2="24,5", c2_2="/")
    assert answer.leads_to == "/due/paper/2?kept=3&before=0"
    assert type_in(shed, c1_1="/", c1_2="24.5", c2_1="x").leads_to == "/due/paper/2?kept=1&before=2"
    events = book(shed).events(kinds=("task_done",))
    assert len(events) == 4
    assert {one.details["sheet"] for one in events} == {events[0].details["sheet"]}
    assert "typed: 24.5 °C" in shed.see("/due/paper/2").text


def test_a_second_entry_that_says_something_else_is_a_conflict_and_the_first_stands(shed: Reader) -> None:
    printed(shed)
    type_in(shed, c1_2="24")
    answer = type_in(shed, c1_2="25", c2_1="/")
    assert answer.status == 409
    assert 'was typed in before as "24 °C" by keeper; the first stands, "25 °C" was not kept' in answer.text
    assert sorted(
        one.observed[0].value for one in book(shed).events(kinds=("task_done",)) if one.observed
    ) == [24.0]
    assert len(book(shed).events(kinds=("task_done",))) == 2, "all else is kept"


def test_unusual_numbers_ask_once_and_mistakes_keep_what_was_typed(shed: Reader) -> None:
    printed(shed)
    answer = type_in(shed, c1_2="31", c2_1="7", c2_2="x2")
    assert answer.status == 422
    assert 'value="31"' in answer.markup
    assert 'takes no "7"' in answer.text
    assert not book(shed).events(kinds=("task_done",))
    answer = type_in(shed, c1_2="31", c2_1="/")
    assert "31 °C is unusual" in answer.text
    sure = re.search(r'name="sure" value="([^"]*)"', answer.markup)
    assert sure
    assert type_in(shed, c1_2="31", c2_1="/", sure=sure[1]).status == 303


def test_a_sheet_is_refused_for_another_time(shed: Reader) -> None:
    printed(shed)
    for ahead in (timedelta(days=-2), timedelta(hours=2)):
        answer = shed.post("/due/paper/2", {"key": "t", "written": now_text(ahead), "c1-1": "/"})
        assert (answer.status, "sheet 2-" in answer.text) == (422, True)
    answer = shed.post("/due/paper/2", {"key": "t", "written": "tomorrow", "c1-1": "/"})
    assert "cannot be read" in answer.text
    assert not book(shed).events(kinds=("task_done",))


def test_nothing_due_prints_nothing(shed: Reader) -> None:
    answer = shed.post("/due/paper", {"key": "p"})
    assert (answer.status, "nothing is due" in answer.text) == (422, True)


# --- who, when -------------------------------------------------------------------------------------------------------


def test_on_a_shared_tablet_the_initials_say_who_it_was(shed: Reader) -> None:
    people = SettingsBook(shed.path)
    for name in ("Ada Lo", "Bea Moss"):
        people.set_password(name, "four plain words", "keeper")
    two(shed)
    assert do(shed, ("lookA1",), initials="bm").status == 303
    (event,) = book(shed).events(kinds=("task_done",))
    assert (event.who, event.device) == ("Bea Moss", "keeper")
    answer = do(shed, ("lookA2",), key="k2", initials="zz")
    assert answer.status == 422
    assert '"zz" are of nobody in the list. Wanted: AL, BM' in answer.text


def test_the_calendar_has_a_day_for_each_kind_of_work_and_keeps_its_names(shed: Reader) -> None:
    two(shed)
    do(shed, ("lookA1", "lookA2"))
    calendar = Calendar.from_ical(shed.see("/due.ics").markup)
    events = list(calendar.walk("VEVENT"))
    names = [str(one["uid"]) for one in events]
    assert len(set(names)) == len(names)
    looks = sorted(one.decoded("dtstart") for one in events if str(one["summary"]) == "Look (2 tanks)")
    tomorrow = date.today() + timedelta(days=1)
    assert looks[:2] == [tomorrow, tomorrow + timedelta(days=1)]
    warm = [one for one in events if str(one["summary"]) == "Temperature (2 tanks)"]
    assert "Usually 22 to 26 °C." in str(warm[0]["description"])
    again = Calendar.from_ical(shed.see("/due.ics").markup)
    assert [str(one["uid"]) for one in again.walk("VEVENT")] == names


def test_the_board_says_what_is_due_by_zone_and_what_comes_next(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    reader.post("/due/take", {"kind": "look", "key": "k"})
    page = reader.see("/board")
    assert "28 due now" in page.text
    assert "quarantine" in page.text
    assert "and 20 more places" in page.text


def test_quarantine_is_walked_last(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    reader.post("/due/take", {"kind": "look", "key": "k"})
    places = re.findall(r'<th scope="row"><a href="/t/([^"]+)"', reader.see("/due").markup)
    assert {one[0] for one in places[-4:]} == {"Q"}
    assert "Q" not in {one[0] for one in places[:-4]}
    parts = re.findall(r'href="/due/walk/([^"]+)"', reader.see("/due").markup)
    assert parts[-1] == "Q"


# --- away ------------------------------------------------------------------------------------------------------------


def test_the_absence_sheet_gets_a_page_of_what_comes_due_in_the_days_away(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    for kind in ("look", "temperature", "alarm"):
        reader.post("/due/take", {"kind": kind, "key": kind})
    first = date.today() + timedelta(days=1)
    page = reader.see(f"/print/absence?from={first}&to={first + timedelta(days=4)}")
    assert page.markup.count("<article") == 2
    rows = re.findall(r'<tr><th scope="row"><b>([^<]+)</b>.*?</tr>', page.markup.partition("due-days")[2])
    boxes = {
        plain(row[0]): row[1].count('class="box"')
        for row in re.findall(
            r'<tr><th scope="row"><b>([^<]+)</b>(.*?)</tr>', page.markup.partition("due-days")[2]
        )
    }
    assert rows[0] == "Look"
    assert boxes["Look"] == 5
    assert boxes["Temperature"] == 1
    assert "22 to 26 °C" in page.text


@pytest.mark.parametrize(
    "asked", ["from=2026-08-05&to=2026-08-01", "from=soon&to=2026-08-01", "from=2026-08-01"]
)
def test_days_that_are_none_are_told_and_the_sheet_stands_alone(asked: str, tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    page = reader.see(f"/print/absence?{asked}")
    assert "the first and the last day away" in page.text
    assert page.markup.count("<article") == 1
    assert reader.see("/print/absence").markup.count("<article") == 1
