"""The first run: only what was answered is drawn, mistakes stand beside their fields, one button writes the plan."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from playwright.sync_api import expect

from tankwright.display import words
from tankwright.finding import Number, Severity
from tankwright.plan.answers import QUESTIONS, answers_from, usual_answers
from tankwright.plan.reading import read_plan_text
from tankwright.plan.template import commented_plan
from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.first_run import SAMPLE_TITLE, sample_plan
from tankwright.workspace import passwords
from tankwright.workspace.opened import open_text

from ..chrome import Size, axe, eventually
from ..conftest import OpenDesk, OpenRoom
from .reader import SMALL, Reader, Seen, plain

ROOM = {"length": "5 m", "width": "3,6 m"}
DOOR = {"door_from_west": "40 cm", "door_width": "80 cm"}
WATER = {"water_from_west": "0 m", "water_from_south": "2 m"}
DRAIN = {"drain_from_west": "4.9 m", "drain_from_south": "10 cm"}
SOCKET = {"socket_from_west": "0.1 m", "socket_from_south": "1 m"}
TANKS = {"tanks": "24", "tank_length": "60 cm", "tank_depth": "30 cm", "tank_height": "32 cm"}


@pytest.fixture
def new(tmp_path: Path) -> Reader:
    return Reader(tmp_path, "")


def asked(*answers: dict[str, str]) -> str:
    return "/start?" + urlencode({name: text for one in answers for name, text in one.items()})


def value_of(page: Seen, name: str) -> str:
    found = re.search(rf'<input id="{name}"[^>]*? value="([^"]*)"', page.markup)
    assert found
    return found[1]


def drawn(page: Seen) -> dict[str, bool]:
    """Which of the parts of a room are in the drawing."""
    picture = re.search(r'<figure class="drawing".*?</figure>', page.markup, re.DOTALL)
    svg = picture[0] if picture else ""
    return {
        "room": 'data-place="room"' in svg,
        "door": re.search(r"<path[^>]*\bd=\"[^\"]*[Aa]", svg) is not None,
        "water": "water in" in svg,
        "drain": ">drain<" in svg,
        "outlet": "power outlet" in svg,
        "tanks": 'data-place="A1"' in svg,
    }


# --- the drawing grows --------------------------------------------------------------------------------------------


def test_without_a_plan_every_page_leads_to_the_questions(new: Reader) -> None:
    for address in ("/", "/air", "/settings", "/history"):
        assert (new.see(address).status, new.see(address).leads_to) == (303, "/start")


def test_before_an_answer_nothing_is_drawn_and_every_usual_value_is_shown_as_assumed(new: Reader) -> None:
    page = new.see("/start")
    assert not any(drawn(page).values())
    assert "The room is drawn here as soon as its length and its width are there." in page.text
    for name, _ in QUESTIONS:
        assert value_of(page, name) == ""
        usual = usual_answers()[name]
        assert f'id="{name}"' in page.markup
        if usual:
            assert re.search(rf'<input id="{name}"[^>]*placeholder="{re.escape(usual)}"', page.markup)


def test_the_drawing_holds_what_was_answered_and_no_more(new: Reader) -> None:
    names = ("room", "door", "water", "drain", "outlet", "tanks")
    answers: dict[str, str] = {}
    for step, more in enumerate((ROOM, DOOR, WATER, DRAIN, SOCKET)):
        answers |= more
        shown = drawn(new.see(asked(answers)))
        assert [name for name in names if shown[name]] == list(names[: step + 1])
    shown = drawn(new.see(asked(answers, TANKS)))
    assert shown["tanks"]
    assert shown["door"]


def test_half_a_place_is_not_drawn_and_not_a_mistake_while_one_still_answers(new: Reader) -> None:
    page = new.see(asked(ROOM, {"water_from_west": "1 m"}))
    assert not drawn(page)["water"]
    assert "error" not in page.part("place-water")


def test_nothing_typed_is_lost(new: Reader) -> None:
    typed = {
        "title": 'Anna\'s "cellar"',
        "length": "5 m",
        "width": "wide",
        "tanks": "many",
        "door_width": "80",
    }
    page = new.see(asked(typed))
    assert value_of(page, "width") == "wide"
    assert value_of(page, "tanks") == "many"
    assert value_of(page, "title") == "Anna&#39;s &#34;cellar&#34;"


def test_a_mistake_stands_beside_its_field_and_the_rest_is_still_drawn(new: Reader) -> None:
    page = new.see(
        asked(ROOM, DOOR, {"height": "2", "drain_from_west": "7 m", "drain_from_south": "1 m", "tanks": "0"})
    )
    assert plain(page.part("height-error")).endswith('"2" has no unit; try "2 m"')
    assert plain(page.part("drain_from_west-error")).endswith("that is outside the room; wanted 0 to 5 m")
    assert plain(page.part("tanks-error")).endswith("a whole number from 1 to 200 is wanted")
    for name in ("height", "drain_from_west", "tanks"):
        assert re.search(
            rf'<input id="{name}"[^>]*aria-invalid="true" aria-describedby="{name}-error"', page.markup
        )
    assert drawn(page)["door"]
    assert not drawn(page)["tanks"]
    assert not drawn(page)["drain"]


def test_the_summary_is_what_the_plan_would_come_to(new: Reader) -> None:
    answers = ROOM | DOOR | DRAIN | TANKS
    page = new.see(asked(answers))
    opened = open_text(Path("plan.toml"), commented_plan(answers_from(answers)))
    assert opened.room is not None
    assert opened.study is not None
    assert opened.study.load is not None
    fits = len(opened.room.tanks)
    assert fits < 24
    figures = plain(page.part("figures"))
    assert f"{fits} of 24 tanks fit" in figures
    water = sum(tank.water_volume for tank in opened.room.tanks)
    assert f"{words(Number(water, 'volume'))} water" in figures
    assert f"{words(Number(opened.study.load.total, 'mass'))} weight" in figures
    shown = plain(page.part("findings"))
    warnings = sum(one.severity is Severity.WARNING for one in opened.findings)
    assert f"{warnings} warnings" in shown
    assert opened.findings[0].subject in shown
    assert (
        "Stands on what is assumed: height of the room, place of the water, place of the power outlet."
        in shown
    )


def test_in_us_units_what_is_assumed_and_what_is_told_are_in_feet(new: Reader) -> None:
    page = new.see(
        asked({"display": "US", "length": "16 ft", "width": "12 ft", "tanks": "10", "tank_height": "9"})
    )
    assert 'placeholder="8 ft"' in page.markup
    assert plain(page.part("tank_height-error")).endswith('try "9 in"')
    page = new.see(asked({"display": "US", "length": "16 ft", "width": "12 ft", "tanks": "10"}))
    assert "US gal" in plain(page.part("figures"))


@pytest.mark.parametrize(
    "typed",
    [
        "<b>5 m</b>", "x" * 5000, "\x00", "-1 m", "1e400 m", "nan m", "5 L", "０.５ m", "4 m; rm", "4 m\n4 m",
        "9999999 m",
    ],
)  # fmt: skip
def test_nothing_typed_anywhere_breaks_the_page(typed: str, new: Reader) -> None:
    for name, _ in (*QUESTIONS, ("display", "")):
        page = new.see(asked(ROOM | TANKS | {name: typed}))
        assert page.status == 200
        assert "<b>5 m</b>" not in page.markup
        answer = new.post("/begin", ROOM | TANKS | {name: typed, "key": "k"})
        if answer.status == 303:  # a title may be nearly anything
            assert name == "title"
            assert new.live.snapshot.read.plan is not None
            return
        assert answer.status == 422
        assert new.live.snapshot.number == 0


# --- the plan is written ------------------------------------------------------------------------------------------


def test_one_button_writes_the_plan_and_leads_to_the_room(new: Reader) -> None:
    answers = {"title": "Shed", **ROOM, **DOOR, **WATER, **DRAIN, **SOCKET, **TANKS}
    answer = new.post("/begin", answers | {"key": "one"})
    assert (answer.status, answer.leads_to) == (303, "/")
    assert new.plan_text == commented_plan(answers_from(answers))
    plan = read_plan_text(new.plan_text, "plan.toml").plan
    assert plan is not None
    assert plan.title == "Shed"
    assert [one.value for one in plan.outfall["drain"].at] == [4.9, 0.1]
    assert new.see("/").status == 200
    assert new.live.snapshot.who == "keeper"


def test_pressing_twice_writes_once(new: Reader) -> None:
    for _ in range(2):
        assert new.post("/begin", ROOM | {"key": "same"}).leads_to == "/"
    assert new.live.snapshot.number == 1


def test_what_was_not_answered_is_named_in_the_plan(new: Reader) -> None:
    page = new.see(asked(ROOM))
    assert "Written as assumed, and named in the plan: height of the room, place of the door" in page.text
    new.post("/begin", ROOM | {"key": "k"})
    assert "# Not measured yet, taken as usual:\n# - height of the room\n" in new.plan_text


def test_answers_that_will_not_do_come_back_with_all_that_was_typed_and_nothing_is_written(
    new: Reader,
) -> None:
    page = new.post("/begin", {"length": "5 m", "water_from_west": "1 m", "title": "Shed", "key": "k"})
    assert page.status == 422
    assert value_of(page, "title") == "Shed"
    assert value_of(page, "length") == "5 m"
    assert "this is wanted before a plan can be written" in plain(page.part("width-error"))
    assert "the other distance is wanted too" in plain(page.part("water_from_south-error"))
    assert not new.path.exists()


def test_a_plan_that_came_to_be_meanwhile_is_not_written_over(new: Reader) -> None:
    new.path.write_text(SMALL, "utf-8")
    answer = new.post("/begin", ROOM | {"key": "k"})
    assert answer.status == 422
    assert new.plan_text == SMALL
    new.live.reread()
    again = new.see("/start")
    assert "This room has its plan" in again.text
    assert 'action="/begin"' not in again.markup


def test_the_sample_room_says_on_every_page_that_it_is_invented(new: Reader) -> None:
    assert new.post("/begin", {"sample": "1", "key": "k"}).leads_to == "/"
    assert new.plan_text == sample_plan()
    assert new.plan_text.startswith("# A SAMPLE ROOM, INVENTED.")
    for address in ("/", "/air", "/drain", "/text", "/history", "/settings"):
        page = new.see(address)
        assert f"{SAMPLE_TITLE}</a>" in page.part("bar")
        assert SAMPLE_TITLE in re.findall(r"<title>(.*?)</title>", page.markup)[0]


def test_the_sample_room_holds(tmp_path: Path) -> None:
    opened = open_text(tmp_path / "plan.toml", sample_plan())
    assert opened.mistakes == ()
    assert [one for one in opened.findings if one.severity is Severity.PROBLEM] == []
    assert opened.room is not None
    assert len(opened.room.tanks) == 24


def test_who_only_looks_is_told_to_wait_and_cannot_begin(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "COST", 2**4)
    people = PeopleInMemory()
    people.put("Lea", "looker", "four plain words")
    reader = Reader(tmp_path, "", Access(people, secret=bytes(32)))
    assert reader.post("/login", {"name": "Lea", "password": "four plain words"}).status == 303
    page = reader.see("/start")
    assert "No plan yet" in page.text
    assert "Log out" in page.text
    assert 'action="/begin"' not in page.markup
    assert reader.post("/begin", ROOM | {"key": "k"}).status == 403
    assert not reader.path.exists()


# --- what the script adds -----------------------------------------------------------------------------------------


def answers_in(url: str) -> dict[str, str]:
    return {name: texts[0] for name, texts in parse_qs(urlsplit(url).query).items()}


def test_the_drawing_grows_while_one_types_and_back_takes_one_answer_away(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room("")
    tab = context().open(served.url)
    tab.wait_for_selector("html[data-live]")
    tab.fill("#length", "5 m")
    tab.fill("#width", "4 m")
    tab.wait_for_selector(".drawing svg.plan")
    tab.fill("#tanks", "8")
    tab.wait_for_selector(".drawing [data-place=A1]")
    wanted = {"display": "metric", "length": "5 m", "width": "4 m", "tanks": "8"}
    eventually(tab, lambda: answers_in(tab.url), wanted)
    expect(tab.locator("#tanks")).to_have_value("8")
    tab.fill("#width", "4")
    tab.wait_for_selector("#width-error")
    expect(tab.locator(".drawing")).to_have_count(0)
    tab.go_back()
    tab.wait_for_selector(".drawing [data-place=A1]")
    expect(tab.locator("#width")).to_have_value("4 m")
    tab.go_back()
    tab.wait_for_selector(".drawing [data-place=A1]", state="detached")
    expect(tab.locator("#tanks")).to_have_value("")
    tab.go_forward()
    tab.wait_for_selector(".drawing [data-place=A1]")
    tab.reload()
    expect(tab.locator("#tanks")).to_have_value("8")
    tab.click("text=Write this plan")
    tab.wait_for_url(f"{served.url}/")
    eventually(tab, lambda: served.live.snapshot.number, 1)


def test_enter_draws_and_does_not_write(room: OpenRoom, context: OpenDesk) -> None:
    served = room("")
    tab = context().open(served.url)
    tab.wait_for_selector("html[data-live]")
    tab.fill("#length", "5 m")
    tab.fill("#width", "4 m")
    tab.press("#width", "Enter")
    tab.wait_for_selector(".drawing svg.plan")
    assert served.live.snapshot.number == 0


def test_without_scripts_a_button_draws_and_another_writes(room: OpenRoom, context: OpenDesk) -> None:
    served = room("")
    tab = context(scripts=False).open(served.url)
    tab.fill("#length", "5 m")
    tab.fill("#width", "4 m")
    tab.press("#width", "Enter")
    expect(tab.locator(".drawing [data-place=room]")).to_have_count(1)
    expect(tab.locator("#length")).to_have_value("5 m")
    tab.fill("#tanks", "8")
    tab.click("text=Draw it")
    expect(tab.locator("#figures")).to_contain_text("8 of 8", use_inner_text=True)
    tab.go_back()
    expect(tab.locator("#figures")).to_have_count(0)
    tab.fill("#tanks", "9")
    tab.click("text=Write this plan")
    expect(tab).to_have_url(f"{served.url}/")
    good = served.live.snapshot.good
    assert good is not None
    assert good.room is not None
    assert len(good.room.tanks) == 9


@pytest.mark.parametrize("size", ["desktop", "phone"])
@pytest.mark.parametrize(
    "asked_for", ["", urlencode(ROOM | DOOR | TANKS), urlencode(ROOM | {"height": "2", "tanks": "x"})]
)
def test_everyone_can_read_the_questions(
    asked_for: str, size: Size, room: OpenRoom, context: OpenDesk
) -> None:
    tab = context(size=size).open(f"{room('').url}/start?{asked_for}")
    tab.wait_for_selector("html[data-live]")
    assert axe(tab) == []
    tab.emulate_media(color_scheme="dark")
    assert axe(tab, "color-contrast", "link-in-text-block") == []
    assert not tab.evaluate("document.documentElement.scrollWidth > innerWidth")
