"""The page of the build order: what is done today, ticks from forms, phones and two people at once, its files, and
the values of the plan it hangs on."""

from __future__ import annotations

import csv
import json
import re
from datetime import date
from pathlib import Path
from typing import Final

import httpx
import icalendar
import pytest
from playwright.sync_api import Page, expect

from tankwright.plan.models import Plan
from tankwright.report.build import CAUTION
from tankwright.room.model import Room as LaidRoom
from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.model import Takeoff
from tankwright.web import clock
from tankwright.web.access import Access, PeopleInMemory
from tankwright.workspace.build_marks import BuildMarks

from ..apart import apart
from ..chrome import axe, eventually, none
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..relay import Relay
from ..rooms import Room
from .reader import NO_TANKS, SMALL, Reader, Seen, example, plain

DAY: Final = date(2026, 12, 5)
"""A Saturday, the first day of the mended cellar."""
HEAVIEST: Final = 150_000  # bytes before they are packed
TALL: Final = 72  # dots; "main buttons >= 72 px"
FIRST: Final = "survey:cellar"
BOUNCE: Final = 350  # ms; a second touch within 300 ms is a wet finger's
CUT: Final = (
    "request failed",
    "console error: Failed to load resource",
    "console error: WebSocket connection",
)


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "today", lambda: DAY)


@pytest.fixture
def cellar(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar_mended"))


def marks(of: Reader | Room) -> dict[str, date]:
    """What is done by the file."""
    path = of.path if isinstance(of, Reader) else of.plan_path
    return {task: mark.done_on for task, mark in BuildMarks(path).standing().items()}


def send(reader: Reader, **fields: str) -> Seen:
    return reader.post("/build/mark", {"key": "k1", "task": FIRST, "do": "done", "back": "/build"} | fields)


def ask(reader: Reader, **fields: str) -> tuple[int, dict[str, str]]:
    """A tick as the queue sends it."""

    async def asked() -> httpx.Response:
        transport = httpx.ASGITransport(app=reader._app)
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:9400") as client:
            told = {"key": "k1", "task": FIRST, "do": "done"} | fields
            head = {"origin": "http://127.0.0.1:9400", "accept": "application/json"}
            return await client.post("/build/mark", data=told, headers=head)

    answer = apart(asked())
    return answer.status_code, answer.json()


# --- what is shown ---------------------------------------------------------------------------------------------------


def test_above_all_stand_the_end_with_its_band_what_holds_it_and_the_hours_left(cellar: Reader) -> None:
    page = cellar.see("/build")
    told = plain(page.part("figures"))
    assert re.search(
        r"[A-Z][a-z]{2} \d+ Apr 2027 all done, \w+ \d+ \w+ 2027 to \w+ \d+ \w+ 2027 by how the work goes",
        told,
    )
    assert re.search(r"\d+ hours of work left", told)
    assert re.search(r"\b0 of \d{3} tasks done", told)
    assert "the longest wait: 35 days after “Cycle the filters of quarantine”" in plain(page.part("held"))
    assert CAUTION in page.text


def test_today_says_how_who_and_what_must_be_seen_with_one_tick_each(cellar: Reader) -> None:
    page = cellar.see("/build?tonight=all")
    part = page.part("tonight")
    assert "Today, Sat 5 Dec 2026" in plain(part)
    cards = re.findall(r"<article.*?</article>", part, re.DOTALL)
    assert len(cards) == 9
    assert all(one.count('name="do" value="done"') == 1 for one in cards)
    survey = next(one for one in cards if f'data-task="{FIRST}"' in one)
    assert "Put a long level or a water hose on the floor" in plain(survey)
    assert "Stop and look" in plain(survey)
    assert "1 person" in plain(survey)
    glass = next(one for one in cards if 'data-task="order.pipes"' in one)
    assert "articles" in plain(glass)


def test_not_more_than_some_stand_there_at_once(cellar: Reader) -> None:
    part = cellar.see("/build").part("tonight")
    assert part.count("<article") == 6
    assert "3 more for today" in plain(part)


def test_a_day_without_time_says_what_comes_next(cellar: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "today", lambda: date(2026, 12, 24))
    told = plain(cellar.see("/build").part("tonight"))
    assert "Nothing can be done today. Next, on Sun 27 Dec 2026:" in told


def test_a_task_says_what_comes_before_it_what_it_waits_for_and_what_it_takes(cellar: Reader) -> None:
    page = cellar.see("/build?group=drain")
    task = next(
        one for one in re.findall(r'<li class="task.*?</li>', page.markup, re.DOTALL) if "Then wait" in one
    )
    assert "Before it" in plain(task)
    assert "Then wait" in plain(task)
    assert "solvent cement" in plain(task)
    assert 'href="/build?group=' in task


def test_a_group_is_opened_by_its_address_and_a_strange_one_shows_the_most_urgent(cellar: Reader) -> None:
    assert 'data-task="tanks.' in cellar.see("/build?group=tanks").part("tasks")
    strange, usual = cellar.see("/build?group=nonsense&page=x&from=-3"), cellar.see("/build")
    assert plain(strange.part("tasks")) == plain(usual.part("tasks"))
    assert cellar.see("/build?page=99&from=99").status == 200


@pytest.mark.parametrize("text", ["", NO_TANKS])
def test_a_room_with_nothing_to_build_says_what_will_be_here(tmp_path: Path, text: str) -> None:
    page = Reader(tmp_path, text or 'title = "x"\n').see("/build")
    assert page.status == 200
    assert "Here will be" in page.text or "as soon as the plan can be worked out" in page.text
    assert "/build.ics" not in page.markup


def test_a_calendar_without_a_day_of_work_says_so_and_leads_to_the_fields_that_mend_it(
    tmp_path: Path,
) -> None:
    text = example("cellar_mended").replace('evening = "2 h"', 'evening = "0 h"')
    reader = Reader(tmp_path, text.replace('weekend = "6 h"', 'weekend = "0 h"'))
    page = reader.see("/build")
    assert "There is no calendar. Build: no day of the week has time to work in." in plain(
        page.part("no-calendar")
    )
    assert 'href="#form/build/weekend"' in page.part("no-calendar")
    assert 'id="form/build/weekend"' in page.markup
    assert 'id="timeline-block"' not in page.markup
    assert "Order" in plain(page.part("tasks"))
    assert reader.see("/build.csv").status == reader.see("/build.ics").status == 200
    reader.send("/build", change="value", path="/build/weekend", typed="5 h")
    assert 'id="no-calendar"' not in reader.see("/build").markup


def test_a_hall_is_shown_by_group_and_never_too_heavy(tmp_path: Path) -> None:
    hall = Reader(tmp_path, example("hall"))
    first = hall.see("/build")
    groups = set(re.findall(r"/build\?group=(\w+)", first.part("tasks")))
    assert {"order", "tanks", "racks", "proof"} <= groups
    for address in (
        *(f"/build?group={one}&tonight=all&page=5" for one in groups),
        "/build?group=tanks&from=145",
    ):
        page = hall.see(address)
        assert page.status == 200
        assert len(page.markup.encode()) < HEAVIEST, address
    assert plain(hall.see("/build?group=tanks").part("tasks")).count("How, what before") == 16


# --- ticks -----------------------------------------------------------------------------------------------------------


def test_a_form_ticks_leads_back_and_its_page_offers_to_take_it_back(cellar: Reader) -> None:
    answer = send(cellar)
    assert (answer.status, answer.leads_to) == (303, "/build?done=survey%3Acellar")
    page = cellar.see(answer.leads_to)
    assert "Measure and mark the cellar is done." in plain(page.part("done"))
    assert "1 of 1" in plain(page.part("figures"))
    answer = send(cellar, key="k2", do="undone")
    assert answer.leads_to == "/build?undone=survey%3Acellar"
    assert "Taken back: Measure and mark the cellar" in plain(cellar.see(answer.leads_to).part("undone"))
    assert marks(cellar) == {}
    assert 'id="done"' not in cellar.see("/build?done=survey%3Acellar").markup
    assert 'id="done"' not in cellar.see("/build?done=nonsense").markup


def test_the_way_back_keeps_the_group_and_drops_what_was_done_before(cellar: Reader) -> None:
    answer = send(cellar, back="/build?group=shell&done=order.glass")
    assert answer.leads_to == "/build?group=shell&done=survey%3Acellar"
    assert send(cellar, key="k3", back="https://evil.example/").leads_to == "/?done=survey%3Acellar"


def test_the_plan_is_made_anew_at_once(cellar: Reader) -> None:
    before = plain(cellar.see("/build").part("figures"))
    assert "order.electrician" in cellar.see("/build").part("tonight")
    send(cellar, task="order.electrician", on="2026-11-20")
    page = cellar.see("/build")
    assert 'data-task="order.electrician"' not in page.part("tonight")
    assert plain(page.part("figures")) != before
    shown = cellar.see("/build?group=order").markup
    assert "done on Fri 20 Nov 2026 by keeper" in plain(shown)


def test_a_tick_sent_twice_is_kept_once_and_a_second_note_is_kept_too(cellar: Reader) -> None:
    assert send(cellar).status == send(cellar).status == 303
    assert send(cellar, key="k2").status == 303
    assert len(BuildMarks(cellar.path).all()) == 1
    send(cellar, key="k3", note="shims under two feet <b>")
    page = cellar.see("/build?group=shell")
    assert "shims under two feet &lt;b&gt;" in page.markup
    assert len(BuildMarks(cellar.path).all()) == 2


@pytest.mark.parametrize(("on", "said"), [
    ("2026-12-06", "2026-12-06 is still to come"), ("soon", '"soon" is not a date'), ("1926-12-05", "is long ago"),
])  # fmt: skip
def test_a_day_that_cannot_be_is_told_beside_its_field_and_kept(cellar: Reader, on: str, said: str) -> None:
    answer = send(cellar, on=on, note="with Ada", back="/build?group=shell")
    assert answer.status == 422
    assert f'value="{on}" aria-invalid="true"' in answer.markup
    assert 'value="with Ada"' in answer.markup
    assert said in answer.text
    assert marks(cellar) == {}


def test_a_queue_is_told_what_became_of_its_tick(cellar: Reader) -> None:
    assert ask(cellar) == (200, {"task": FIRST, "done_on": "2026-12-05", "undone": False})
    assert ask(cellar)[0] == 200
    assert len(BuildMarks(cellar.path).all()) == 1
    status, told = ask(cellar, key="k2", task="survey:celar")
    assert status == 422
    assert "there is no task" in told["text"]
    assert ask(cellar, key=" ")[0] == ask(cellar, key="k3", do="eaten")[0] == 422
    assert ask(cellar, key="k4", happened="yesterday")[0] == 422


def test_a_tap_counts_for_the_day_it_was_made_however_late_it_arrives(cellar: Reader) -> None:
    ask(cellar, happened="2026-12-03T12:00:00Z")
    ask(cellar, key="k2", task="survey:laundry", happened="2027-02-03T12:00:00Z")
    assert marks(cellar) == {FIRST: date(2026, 12, 3), "survey:laundry": DAY}


def test_what_is_taken_back_and_sent_again_under_its_old_key_stays_taken_back(cellar: Reader) -> None:
    ask(cellar)
    ask(cellar, key="k2", do="undone")
    ask(cellar)
    assert marks(cellar) == {}
    ask(cellar, key="k3")
    assert marks(cellar) == {FIRST: DAY}


def test_a_folder_that_takes_nothing_is_told_and_may_be_tried_again(cellar: Reader) -> None:
    cellar.live.folder.mkdir(exist_ok=True)
    (cellar.live.folder / "build.jsonl").mkdir()
    assert ask(cellar)[0] == 503
    assert send(cellar).status == 503


def test_a_mark_of_a_task_the_plan_has_no_more_can_be_taken_back(cellar: Reader) -> None:
    ask(cellar)
    cellar.send("/text", change="text", typed=SMALL)
    assert "is no task of this plan any more" in cellar.see("/build").text
    assert ask(cellar, key="k2", do="undone")[0] == 200
    assert marks(cellar) == {}


def test_who_may_only_look_sees_the_plan_without_ticks_and_can_tick_nothing(tmp_path: Path) -> None:
    people = PeopleInMemory()
    people.put("Eve", "looker", "a long password")
    people.put("Bob", "helper", "another long password")
    reader = Reader(tmp_path, example("cellar_mended"), Access(people, secret=b"s" * 32))
    for path in ("/build", "/build.ics", "/build.csv"):
        assert reader.see(path).leads_to.startswith("/login"), "nobody reads it without a log-in"
    reader.post("/login", {"name": "Eve", "password": "a long password"})
    page = reader.see("/build")
    assert page.status == 200
    assert "/build/mark" not in page.markup
    assert send(reader).status == 403
    assert marks(reader) == {}
    reader.post("/login", {"name": "Bob", "password": "another long password"})
    assert send(reader).status == 303
    assert "by Bob" in reader.see("/build?group=shell").text


def test_two_who_tick_at_once_have_ticked_once_and_each_other_task_counts(cellar: Reader) -> None:
    one, other = BuildMarks(cellar.path), BuildMarks(cellar.path)
    ask(cellar)
    assert FIRST in one.standing()
    assert FIRST in other.standing()
    ask(cellar, key="other phone")
    ask(cellar, key="other phone 2", task="survey:laundry")
    assert list(marks(cellar)) == [FIRST, "survey:laundry"]
    assert len(one.all()) == 2


# --- files -----------------------------------------------------------------------------------------------------------


def test_the_calendar_and_the_table_come_as_files(cellar: Reader) -> None:
    calendar = icalendar.Calendar.from_ical(cellar.see("/build.ics").markup)
    assert len(list(calendar.walk("VEVENT"))) > 100
    rows = list(csv.DictReader(cellar.see("/build.csv").markup.splitlines()))
    assert f"0 of {len(rows)} tasks done" in plain(cellar.see("/build").part("figures"))


@pytest.mark.parametrize(("kind", "media"), [("ics", "text/calendar"), ("csv", "text/csv")])
def test_a_file_has_its_type_and_a_name_that_fits_every_disk(rooms: OpenRoom, kind: str, media: str) -> None:
    room = rooms(SMALL.replace('"Two tanks"', '"Ünder <b>/../ \\"x\\""'))
    answer = httpx.get(f"{room.url}/build.{kind}")
    assert answer.headers["content-type"].startswith(media)
    assert answer.headers["content-disposition"] == f'attachment; filename="nder-b-x-build.{kind}"'
    assert httpx.head(f"{room.url}/build.{kind}").status_code == 200


def test_there_is_no_file_of_nothing(tmp_path: Path) -> None:
    reader = Reader(tmp_path, NO_TANKS)
    assert reader.see("/build.ics").status == reader.see("/build.csv").status == 404


# --- what the plan says of it ----------------------------------------------------------------------------------------


def test_each_value_of_the_build_is_a_field_and_what_is_assumed_looks_so(
    tmp_path: Path, cellar: Reader
) -> None:
    page = cellar.see("/build")
    for key, value in (("begin", "2026-12-05"), ("evening", "2 h"), ("weekend", "6 h"), ("hands", "2"),
                       ("one_lifts", "25 kg"), ("temperature", "17 °C"), ("humidity", "60 %")):  # fmt: skip
        assert f'value="{value}"' in page.field(f"/build/{key}")
    (tmp_path / "other").mkdir()
    other = Reader(tmp_path / "other", SMALL).see("/build")
    assert "assumed; type your own" in other.field("/build/evening")


def test_days_without_work_are_read_in_runs_added_and_taken_out(cellar: Reader) -> None:
    assert "Thu 24 Dec 2026 to Sat 26 Dec 2026" in plain(cellar.see("/build").part("days-off"))
    answer = cellar.send(
        "/build", change="days_off", path="/build/not_on", first="2026-12-27", last="2026-12-30"
    )
    assert answer.status == 303
    assert "Thu 24 Dec 2026 to Fri 1 Jan 2027" in plain(cellar.see("/build").part("days-off"))
    cellar.send(
        "/build", change="days_off", path="/build/not_on", first="2026-12-24", last="2027-01-01", off="no"
    )
    assert "not_on" not in cellar.plan_text
    wrong = cellar.send(
        "/build", change="days_off", path="/build/not_on", first="2026-12-24", last="2026-12-20"
    )
    assert wrong.status == 422
    assert "2026-12-20 comes before 2026-12-24" in plain(wrong.part("days-first-error"))


def test_a_delivery_is_added_and_taken_out_and_a_strange_one_is_told(cellar: Reader) -> None:
    cellar.send("/build", change="delivery", path="/build/deliveries", what="moon dust", takes="3 days")
    page = cellar.see("/build")
    assert 'value="moon dust"' in page.part("deliveries")
    assert "is nothing that is ordered" in plain(page.part("findings"))
    cellar.send("/build", change="remove", path="/build/deliveries", index="3")
    assert "moon dust" not in cellar.plan_text
    wrong = cellar.send("/build", change="delivery", path="/build/deliveries", what="glass", takes="3 kg")
    assert wrong.status == 422
    assert 'id="delivery-what-error"' in wrong.markup


def test_a_first_day_that_is_none_is_told_beside_its_field(cellar: Reader) -> None:
    wrong = cellar.send("/build", change="value", path="/build/begin", typed="5 Dec")
    assert wrong.status == 422
    assert "is not a date" in plain(wrong.field("/build/begin"))
    assert "Wanted: year, month and day" in plain(wrong.field("/build/begin"))


def test_parts_are_not_counted_again_when_only_the_building_changes(
    cellar: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    counted: list[str] = []

    def count(plan: Plan, room: LaidRoom) -> Takeoff:
        counted.append(room.title)
        return count_parts(plan, room)

    monkeypatch.setattr("tankwright.takeoff.counting.count_parts", count)
    monkeypatch.setattr("tankwright.web.build_site._COUNTED", [])
    before = plain(cellar.see("/build").part("figures"))
    cellar.send("/build", change="value", path="/build/evening", typed="4 h")
    assert plain(cellar.see("/build").part("figures")) != before
    assert len(counted) == 1
    cellar.send("/build", change="value", path="/rack_kind/three_high/depth", typed="44 cm")
    cellar.see("/build")
    assert len(counted) == 2


# --- in a browser ----------------------------------------------------------------------------------------------------

# A browser has its own clock: what it taps is of the day the server is told it is.
in_a_browser = pytest.mark.usefixtures("_taps_are_of_today")


@pytest.fixture
def _taps_are_of_today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "day_of", lambda _: DAY)


def ready(tab: Page) -> Page:
    tab.wait_for_selector("html[data-live]")
    return tab


def tick(tab: Page, task: str) -> None:
    tab.locator(f'#tonight [data-task="{task}"] .big-tick button').click()


@in_a_browser
def test_a_tick_on_a_phone_is_tall_stays_after_a_reload_and_is_taken_back_in_ten_seconds(
    room: OpenRoom, page: OpenPage
) -> None:
    served = room()
    tab = ready(page(f"{served.url}/build", size="phone"))
    tall = tab.locator(".big-tick button, .task .tick button").evaluate_all(
        "all => all.map((one) => one.getBoundingClientRect().height)"
    )
    assert len(tall) > 8
    assert min(tall) >= TALL
    tick(tab, FIRST)
    expect(tab.locator("#undo-bar")).to_be_visible()
    assert tab.locator("#undo-bar button").bounding_box()["height"] >= TALL  # type: ignore[index] # it is there
    expect(tab.locator(f'#tonight [data-task="{FIRST}"]')).to_have_count(0)
    expect(tab.locator("#figures")).to_contain_text("1 of 1")
    tab.reload()
    ready(tab)
    expect(tab.locator("#figures")).to_contain_text("1 of 1")
    assert marks(served) == {FIRST: DAY}
    none(axe(tab))
    tab.locator("#undo-bar button").click()
    expect(tab.locator("#undo-bar")).to_be_hidden()
    expect(tab.locator(f'#tonight [data-task="{FIRST}"]')).to_have_count(1)
    eventually(tab, lambda: marks(served), {})


@in_a_browser
def test_a_wet_fingers_second_touch_and_a_second_tap_are_one_tick(room: OpenRoom, page: OpenPage) -> None:
    served = room()
    tab = ready(page(f"{served.url}/build", size="phone"))
    tab.locator(f'#tonight [data-task="{FIRST}"] .big-tick button').dblclick()
    eventually(tab, lambda: marks(served), {FIRST: DAY})
    tab.wait_for_timeout(BOUNCE)
    assert len(BuildMarks(served.plan_path).all()) == 1


@in_a_browser
def test_ticks_on_a_cut_line_wait_are_shown_and_are_kept_once(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{served.url}/build"))
    relay.cut()
    tick(tab, FIRST)
    tab.wait_for_timeout(BOUNCE)
    tick(tab, "survey:laundry")
    expect(tab.locator("#saved")).to_have_text("2 ticks wait for the line", use_inner_text=True)
    expect(tab.locator(f'#tonight [data-task="{FIRST}"]')).to_have_class(re.compile("ticked"))
    assert marks(served) == {}
    relay.restore()
    eventually(tab, lambda: marks(served), {FIRST: DAY, "survey:laundry": DAY})
    expect(tab.locator("#saved")).to_have_text("All changes saved", use_inner_text=True)
    expect(tab.locator("#figures")).to_contain_text("2 of 1")
    assert len(BuildMarks(served.plan_path).all()) == 2


@in_a_browser
def test_a_tick_on_one_phone_repaints_the_timeline_of_the_other_and_moves_nothing_typed(
    room: OpenRoom, page: OpenPage
) -> None:
    served = room()
    mine = ready(page(f"{served.url}/build?group=shell", size="phone"))
    theirs = ready(page(f"{served.url}/build?group=shell"))
    theirs.locator(f'#tasks [data-task="{FIRST}"] summary').first.click()
    note = theirs.locator('#tasks [data-task="survey:laundry"] input[name="note"]')
    theirs.locator('#tasks [data-task="survey:laundry"] summary').first.click()
    note.fill("half a no")
    bar = theirs.locator(f'.wide svg [data-place="{FIRST}"]')
    before = bar.inner_html()
    tick(mine, FIRST)
    expect(theirs.locator("#figures")).to_contain_text("1 of 1")
    eventually(theirs, lambda: bar.inner_html() != before, wanted=True)
    expect(note).to_have_value("half a no")
    expect(theirs.locator("#undo-bar")).to_be_hidden()


@in_a_browser
def test_a_day_and_a_note_are_sent_with_the_keyboard_alone(room: OpenRoom, page: OpenPage) -> None:
    served = room()
    tab = ready(page(f"{served.url}/build?group=shell"))
    task = tab.locator(f'#tasks [data-task="{FIRST}"]')
    task.locator("summary").first.focus()
    tab.keyboard.press("Enter")
    day = task.locator('input[name="on"]')
    day.fill("2026-12-01")
    day.press("Tab")
    task.locator('input[name="note"]').focus()
    tab.keyboard.type("with Ada")
    tab.keyboard.press("Enter")
    expect(task).to_contain_text("done on Tue 1 Dec 2026 by keeper")
    expect(task).to_contain_text("with Ada")
    task.get_by_role("button", name="Take it back").focus()
    tab.keyboard.press("Enter")
    expect(task).not_to_contain_text("with Ada")
    eventually(tab, lambda: marks(served), {})


@in_a_browser
def test_a_tick_that_is_refused_is_shown_apart_with_its_reason(room: OpenRoom, context: OpenDesk) -> None:
    served = room()
    desk = context(size="phone")
    desk.watch.expect("answer 422", "console error: Failed to load resource")
    tab = ready(desk.open(f"{served.url}/build?group=shell"))
    field = tab.locator(f'#tasks [data-task="{FIRST}"] form.tick input[name="task"]')
    field.evaluate('one => { one.value = "no.such"; }')
    tab.locator(f'#tasks [data-task="{FIRST}"] form.tick button').click()
    expect(tab.locator("#apart")).to_contain_text('there is no task "no.such" in the plan')
    tab.get_by_role("button", name="Drop it").click()
    expect(tab.locator("#apart")).to_be_hidden()
    assert json.loads(tab.evaluate("JSON.stringify(Object.keys(localStorage))")) == []


@in_a_browser
def test_a_build_without_scripts_is_ticked_by_its_forms(room: OpenRoom, context: OpenDesk) -> None:
    served = room()
    tab = context(scripts=False, size="phone").open(f"{served.url}/build")
    tick(tab, FIRST)
    expect(tab.locator("#done")).to_contain_text("is done.")
    assert marks(served) == {FIRST: DAY}
    tab.locator("#done button").click()
    expect(tab.locator("#undone")).to_contain_text("Taken back")
    assert marks(served) == {}
