"""The settings: each form saved at once, its error beside its field, and nobody may who may not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.rendering import languages
from tankwright.workspace import passwords
from tankwright.workspace.prices import PriceBook
from tankwright.workspace.settings import Settings, SettingsBook

from ..conftest import OpenDesk, OpenRoom
from .reader import SMALL, Reader, Seen, plain

RIGHT = "four plain words"
LIST = b"item;price;unit;currency;shop;note\nelbow 25 mm;1,20;piece;EUR;<b>Pipes</b>;bend\npipe 50 mm;3,95;m;EUR;;\n"


@pytest.fixture(autouse=True)
def cheap_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    """A password costs a fifth of a second to keep, which is the point of it, but not of these tests."""
    monkeypatch.setattr(passwords, "COST", 2**4)
    monkeypatch.setattr(passwords, "LANES", 1)


@pytest.fixture
def keeper(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def settings_of(reader: Reader) -> Settings:
    return SettingsBook(reader.path).current


def section(page: Seen, name: str) -> str:
    found = re.search(rf'<section id="{name}".*?</section>', page.markup, re.DOTALL)
    assert found
    return found[0]


def prices_of(reader: Reader) -> PriceBook:
    return PriceBook(reader.path)


# --- units, language, name ----------------------------------------------------------------------------------------


def test_units_are_an_edit_of_the_plan(keeper: Reader) -> None:
    assert keeper.send("/settings", change="value", path="/display", typed="US").status == 303
    assert 'display = "US"' in keeper.plan_text
    assert "US gal" in keeper.see("/?layer=layout").text


def test_a_language_without_a_catalogue_is_refused_in_words(keeper: Reader) -> None:
    assert languages() == ("en",)
    assert "English is the only catalogue" in keeper.see("/settings").text
    page = keeper.post("/settings/language", {"language": "../../etc"})
    assert page.status == 422
    assert "there is no such catalogue. Wanted: en" in plain(section(page, "language"))
    assert keeper.post("/settings/language", {"language": "en"}).status == 303


def test_the_name_on_the_network_is_kept_at_once_and_said_to_be(keeper: Reader) -> None:
    answer = keeper.post("/settings/lan-name", {"lan_name": " Fishroom.local "})
    assert (answer.status, answer.leads_to) == (303, "/settings?saved=lan-name")
    assert settings_of(keeper).lan_name == "fishroom.local"
    page = keeper.see(answer.leads_to)
    assert 'value="fishroom.local"' in section(page, "lan-name")
    assert "Saved" in plain(section(page, "lan-name"))
    assert page.markup.count('class="kept"') == 1
    assert keeper.post("/settings/lan-name", {"lan_name": ""}).status == 303
    assert settings_of(keeper).lan_name == ""


@pytest.mark.parametrize("typed", ["two words", "a/b", "-x", "x" * 64, "fish_room", 'a"><b>'])
def test_a_name_no_machine_can_have_stays_in_its_field_beside_its_error(typed: str, keeper: Reader) -> None:
    page = keeper.post("/settings/lan-name", {"lan_name": typed})
    assert page.status == 422
    shown = section(page, "lan-name")
    assert "is no name of a machine" in plain(shown)
    assert 'aria-invalid="true" aria-describedby="lan-name-typed-error"' in shown
    assert typed.replace('"', "&#34;").replace(">", "&gt;").replace("<", "&lt;") in shown
    assert settings_of(keeper).lan_name == ""


# --- people -------------------------------------------------------------------------------------------------------


def test_people_are_taken_in_changed_and_taken_out(keeper: Reader) -> None:
    assert "Nobody yet" in keeper.see("/settings").text
    for name, role in (("Ada", "keeper"), ("Ben <b>", "helper")):
        answer = keeper.post("/settings/add-person", {"name": name, "role": role, "password": RIGHT})
        assert answer.leads_to == "/settings?saved=person"
    page = keeper.see("/settings")
    assert "Ben &lt;b&gt;" in section(page, "people")
    assert "Ben <b>" not in page.markup
    book = SettingsBook(keeper.path)
    assert keeper.post("/settings/role", {"name": "Ben <b>", "role": "looker"}).status == 303
    assert book.current.find("ben <b>").role == "looker"  # type: ignore[union-attr] # or the test fails
    assert keeper.post("/settings/password", {"name": "Ben <b>", "password": "eight more"}).status == 303
    assert book.check_password("Ben <b>", "eight more")
    assert book.check_password("Ben <b>", RIGHT) is None
    assert keeper.post("/settings/take-out", {"name": "Ben <b>"}).status == 303
    assert [one.name for one in book.current.people] == ["Ada"]


def test_the_first_must_be_a_keeper_and_the_last_keeper_stays(keeper: Reader) -> None:
    page = keeper.post("/settings/add-person", {"name": "Ben", "role": "helper", "password": RIGHT})
    assert page.status == 422
    assert "none of them would be the keeper" in plain(section(page, "people"))
    assert 'value="Ben"' in section(page, "people")
    assert RIGHT not in page.markup
    for name, role in (("Ada", "keeper"), ("Ben", "helper")):
        keeper.post("/settings/add-person", {"name": name, "role": role, "password": RIGHT})
    for form, more in (("take-out", {}), ("role", {"role": "looker"})):
        page = keeper.post(f"/settings/{form}", {"name": "Ada", **more})
        assert page.status == 422
        assert "none of them would be the keeper" in plain(page.part("person-1"))
    assert len(settings_of(keeper).people) == 2


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"name": "Ada", "role": "keeper", "password": "short"}, "password is too short or too long. Wanted: at least"),
        ({"name": " ", "role": "keeper", "password": RIGHT}, "is no name"),
        ({"name": "A\x00da", "role": "keeper", "password": RIGHT}, "is no name"),
        ({"name": "Ada", "role": "king", "password": RIGHT}, 'there is no part "king"'),
        ({}, "is no name"),
    ],
)  # fmt: skip
def test_what_cannot_be_taken_in_is_said(sent: dict[str, str], said: str, keeper: Reader) -> None:
    page = keeper.post("/settings/add-person", sent)
    assert page.status == 422
    assert said in plain(section(page, "people"))
    assert settings_of(keeper).people == ()


def test_a_name_in_the_list_is_not_taken_in_twice_so_no_password_is_changed_by_accident(
    keeper: Reader,
) -> None:
    keeper.post("/settings/add-person", {"name": "Ada", "role": "keeper", "password": RIGHT})
    page = keeper.post("/settings/add-person", {"name": "ada", "role": "looker", "password": "another one"})
    assert "name is in the list already" in plain(section(page, "people"))
    assert SettingsBook(keeper.path).check_password("Ada", RIGHT)
    page = keeper.post("/settings/password", {"name": "Zoe", "password": RIGHT})
    assert "name is of nobody in the list" in plain(section(page, "people"))
    assert settings_of(keeper).find("Zoe") is None


def test_what_a_part_may_do_is_set_and_looking_is_never_taken_away(keeper: Reader) -> None:
    assert keeper.post("/settings/deeds", {"role": "helper", "deed": ["enter", "edit"]}).status == 303
    now = settings_of(keeper)
    assert now.deeds["helper"] == {"look", "enter", "edit"}
    assert keeper.post("/settings/deeds", {"role": "helper"}).status == 303
    assert settings_of(keeper).deeds["helper"] == {"look"}
    for sent in ({"role": "keeper"}, {"role": "helper", "deed": ["rule"]}):
        assert keeper.post("/settings/deeds", sent).status == 422
    assert settings_of(keeper).deeds["keeper"] >= {"settings"}


def test_who_may_not_change_settings_neither_sees_nor_sends_them(tmp_path: Path) -> None:
    people = PeopleInMemory()
    people.put("Hal", "helper", RIGHT)
    reader = Reader(tmp_path, SMALL, Access(people, secret=bytes(32)))
    assert reader.see("/settings").leads_to.startswith("/login")
    assert reader.post("/settings/lan-name", {"lan_name": "mine"}).leads_to.startswith("/login")
    reader.post("/login", {"name": "Hal", "password": RIGHT})
    assert reader.see("/settings").status == 403
    for form in ("lan-name", "add-person", "prices", "deeds"):
        assert reader.post(f"/settings/{form}", {"lan_name": "mine"}).status == 403
    assert not (reader.path.parent / "plan.tankwright" / "settings.json").exists()
    page = reader.see("/")
    assert ">Settings<" not in page.markup
    assert 'action="/logout"' in page.markup
    assert 'title="Logged in as Hal"' in page.markup
    assert reader.post("/logout", {}).leads_to == "/login"


def test_alone_on_this_machine_there_is_nothing_to_log_out_of(keeper: Reader) -> None:
    assert "/logout" not in keeper.see("/").markup


# --- price lists --------------------------------------------------------------------------------------------------


def test_a_list_is_added_shown_and_removed(keeper: Reader) -> None:
    answer = keeper.post("/settings/prices", {}, ("../../pipes <b>.csv", LIST))
    assert answer.leads_to == "/settings?saved=prices"
    kept = prices_of(keeper).lists()
    assert [len(one.prices) for one in kept] == [2]
    page = keeper.see(f"/settings?list={kept[0].id}")
    shown = section(page, "prices")
    assert page.row("prices", "item") == ["item", "price", "currency", "for each", "shop", "note"]
    assert page.row("prices", "elbow 25 mm") == [
        "elbow 25 mm",
        "1.20",
        "EUR",
        "piece",
        "<b>Pipes</b>",
        "bend",
    ]
    assert "<b>Pipes" not in shown
    assert "pipes &lt;b&gt;.csv" in shown
    assert "/" not in kept[0].title
    assert keeper.post("/settings/remove-prices", {"list": kept[0].id}).status == 303
    assert prices_of(keeper).lists() == ()
    again = keeper.post("/settings/remove-prices", {"list": kept[0].id})
    assert again.status == 422
    assert "is not there any more" in plain(section(again, "prices"))


def test_files_are_kept_under_names_made_here_and_nowhere_else(keeper: Reader) -> None:
    around = keeper.path.parent.parent
    before = {file for file in around.rglob("*") if file.is_file()}
    for name in ("../../x.csv", "..\\..\\x.csv", "/etc/x.csv", "x\x00.csv", "." * 300 + ".csv", "CON"):
        assert keeper.post("/settings/prices", {}, (name, LIST)).status == 303, name
    made = {file for file in around.rglob("*") if file.is_file()} - before
    folder = keeper.path.parent / "plan.tankwright"
    assert all(file.is_relative_to(folder) for file in made)
    assert all(re.fullmatch(r"[0-9a-f]{16}\.(csv|json)|lock", file.name) for file in made)


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("prices.csv", b"\x89PNG\r\n\x1a\n" + bytes(400), "is a picture, not a table in CSV"),
        ("prices.csv", b"PK\x03\x04" + bytes(400), "is a packed file, such as a spreadsheet, not a table in CSV"),
        ("prices.csv", b"item;price\nel\x00bow;1\n", "is no text, not a table in CSV"),
        ("prices.csv", b"item;price\n" + b"elbow;1\n" * 180_000, "is larger than 1 MB"),
        ("prices.csv", b"item;price\nB\xf6gen;1\n", "is not UTF-8"),
        ("prices.csv", b"", "holds no prices"),
        ("prices.csv", b"<html></html>", "is a web page"),
        ("", b"", "price list is missing"),
        ("prices.csv", b"item;price\nelbow;one\n;2\n", 'line 2: "one" is no price'),
        ("prices.csv", b"item;price\nelbow;one\n;2\n", "line 3 names no thing"),
        ("prices.csv", b"item;price\n<b>;<i>\n", '"<i>" is no price'),
    ],
)  # fmt: skip
def test_what_is_no_price_list_is_said_by_what_it_holds(
    name: str, raw: bytes, said: str, keeper: Reader
) -> None:
    page = keeper.post("/settings/prices", {}, (name, raw))
    assert page.status == 422
    assert said in plain(page.part("price-errors"))
    assert "<i>" not in page.markup
    assert re.search(
        r'<input id="price-file"[^>]*aria-invalid="true" aria-describedby="price-errors"', page.markup
    )
    assert prices_of(keeper).lists() == ()


def test_five_megabytes_are_refused_in_words_before_they_are_read(keeper: Reader) -> None:
    page = keeper.post("/settings/prices", {}, ("prices.csv", bytes(5_000_000)))
    assert page.status == 413
    assert "At most 2.5 MB can be sent at once" in page.text


def test_a_long_list_comes_in_pages(keeper: Reader) -> None:
    raw = b"item;price\n" + b"".join(b"thing %d;1\n" % number for number in range(450))
    keeper.post("/settings/prices", {}, ("long.csv", raw))
    name = prices_of(keeper).lists()[0].id
    assert "Rows 1 to 200 of 450" in keeper.see(f"/settings?list={name}").text
    page = keeper.see(f"/settings?list={name}&from=400")
    assert "Rows 401 to 450 of 450" in page.text
    assert page.row("prices", "thing 449") == ["thing 449", "1", "–", "–", "–", "–"]
    assert len(page.markup.encode()) < 150_000
    for odd in ("from=-1", "from=99999999999", "from=x", "list=../../x"):
        assert keeper.see(f"/settings?list={name}&{odd}").status == 200


@pytest.mark.parametrize("form", ["nothing", "__class__", "language/x"])
def test_a_form_that_is_none_of_ours_changes_nothing(form: str, keeper: Reader) -> None:
    assert keeper.post(f"/settings/{form}", {"x": "y"}).status in (404, 405)


def test_settings_that_cannot_be_read_are_said_and_the_usual_ones_used(keeper: Reader) -> None:
    folder = keeper.path.parent / "plan.tankwright"
    folder.mkdir(exist_ok=True)
    (folder / "settings.json").write_text("{", "utf-8")
    page = keeper.see("/settings")
    assert page.status == 200
    assert "settings.json cannot be read" in page.text


# --- what the script adds -----------------------------------------------------------------------------------------


def test_a_choice_is_saved_as_soon_as_it_is_made(room: OpenRoom, context: OpenDesk) -> None:
    served = room(SMALL)
    desk = context()
    tab = desk.open(f"{served.url}/settings")
    tab.wait_for_selector("html[data-live]")
    tab.check("input[name=deed][value=edit][form=deeds-looker]")
    tab.wait_for_selector("#deeds .kept")
    assert SettingsBook(served.plan_path).current.deeds["looker"] == {"look", "edit"}
    tab.fill("#lan-name-typed", "fishroom.local")
    tab.press("#lan-name-typed", "Enter")
    tab.wait_for_selector("#lan-name .kept")
    assert SettingsBook(served.plan_path).current.lan_name == "fishroom.local"
    desk.watch.expect("answer 422", "status of 422")
    tab.fill("#lan-name-typed", "fish room")
    tab.press("#lan-name-typed", "Enter")
    tab.wait_for_selector("#lan-name-typed-error")
    expect(tab.locator("#lan-name-typed")).to_have_value("fish room")


def test_every_form_works_without_scripts(room: OpenRoom, context: OpenDesk) -> None:
    served = room(SMALL)
    tab = context(scripts=False).open(f"{served.url}/settings")
    tab.fill("#person-name", "Ada")
    tab.fill("#person-password", RIGHT)
    tab.click("text=Take in")
    assert SettingsBook(served.plan_path).check_password("Ada", RIGHT)
    tab.check("input[name=deed][value=edit][form=deeds-helper]")
    tab.click("[aria-label='Save what a helper may do']")
    assert "edit" in SettingsBook(served.plan_path).current.deeds["helper"]
    tab.set_input_files("#price-file", {"name": "pipes.csv", "mimeType": "text/csv", "buffer": LIST})
    tab.click("#prices >> text=Add >> nth=-1")
    tab.click("text=pipes.csv")
    expect(tab.locator("#prices tbody tr")).to_have_count(3)
    tab.click("[aria-label='Remove pipes.csv']")
    expect(tab.locator("text=pipes.csv")).to_have_count(0)
