"""What a clumsy or a hostile sender types: nothing raises, nothing becomes markup, nothing typed is lost unsaid."""

from __future__ import annotations

import asyncio
import html
import re
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Final

import httpx
import pytest
from playwright.sync_api import expect

from tankwright.web import app as app_of_pages
from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.app import create_app
from tankwright.web.pages.all import PAGES
from tankwright.web.serving import shielded
from tankwright.workspace import passwords
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.live import LivePlan

from .conftest import OpenDesk, OpenRoom
from .markup import marked_plan
from .pages.reader import SMALL
from .rooms import EXAMPLE, EXAMPLES

HOST: Final = "http://127.0.0.1:9400"
FORM: Final = "application/x-www-form-urlencoded"
CELLAR: Final = (EXAMPLES / f"{EXAMPLE}.toml").read_text("utf-8")
MARKUP: Final = (
    '"\'><img src=x data-hit onerror=alert(1)><svg data-hit onload=alert(1)><a data-hit href="javascript:alert(1)">'
    "{{ 7 * 7 }}{% raw %}%(n)s %s 100 %</textarea></script></style><i data-hit>"
)


class Sender:
    """Somebody who sends what no page would."""

    def __init__(self, folder: Path, plan_text: str, access: Access | None = None) -> None:
        self.plan = folder / "plan.toml"
        if plan_text:
            self.plan.write_text(plan_text, "utf-8")
        self.live = LivePlan(self.plan)
        self._app = shielded(create_app(self.live), access or Access(), frozenset({"127.0.0.1:9400"}))

    def ask(
        self, method: str, path: str, headers: dict[str, str] | None = None, **how: Any
    ) -> httpx.Response:
        """An answer, also to what makes the app fail."""

        async def answer() -> httpx.Response:
            transport = httpx.ASGITransport(app=self._app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=HOST) as client:
                return await client.request(method, path, headers={"origin": HOST} | (headers or {}), **how)

        with ThreadPoolExecutor(1) as pool:  # a browser of the same run keeps a loop going in this thread
            return pool.submit(asyncio.run, answer()).result()

    def edit(self, **fields: str) -> httpx.Response:
        """A form of the plan upon its newest number."""
        usual = {"base": str(self.live.snapshot.number), "key": fields.get("typed", "key"), "back": "/"}
        return self.ask("POST", "/edit", data=usual | fields)


@pytest.fixture
def sender(tmp_path: Path) -> Sender:
    return Sender(tmp_path, SMALL)


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Sender:
    return Sender(tmp_path_factory.mktemp("plan"), CELLAR)


class _Hits(HTMLParser):
    """Counts the elements that came from a text, as a browser would find them."""

    def __init__(self) -> None:
        super().__init__()
        self.hits: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = {name for name, _ in attrs}
        links = [value or "" for name, value in attrs if name in ("href", "src", "action")]
        if (
            "data-hit" in names
            or "onerror" in names
            or any("javascript" in one.split("/")[0] for one in links)
        ):
            self.hits.append(tag)


def no_markup(answer: httpx.Response) -> None:
    assert answer.status_code < 500
    assert "Traceback" not in answer.text
    if answer.headers.get("content-type", "").startswith("text/html"):
        parser = _Hits()
        parser.feed(answer.text)
        assert parser.hits == []
    else:
        assert answer.headers["x-content-type-options"] == "nosniff"


def told(answer: httpx.Response) -> str:
    """All that the page says is wrong."""
    found = re.findall(r'<(\w+) class="error[^>]*>(.*?)</\1>', answer.text, re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", " ".join(text for _, text in found)))


# --- markup -------------------------------------------------------------------------------------------------------

EDITS: Final = (
    {"change": "value", "path": "/title", "typed": MARKUP},
    {"change": "value", "path": "/rack/0/from_west", "typed": MARKUP, "back": "/?at=A"},
    {"change": "value", "path": f"/{MARKUP}", "typed": MARKUP},
    {"change": "raw", "path": "/rack/0/from_west", "typed": MARKUP, "back": "/?at=A"},
    {"change": "add", "path": "/feed/drip/program", "typed": MARKUP, "back": "/feed"},
    {"change": "program", "path": "/feed/drip/program", "start": MARKUP, "minutes": MARKUP, "days": MARKUP,
     "back": "/feed"},
    {"change": "point", "path": "/pump/main/curve", "pressure": MARKUP, "flow": MARKUP, "back": "/air"},
    {"change": "rack", "rack": MARKUP, "along": "1"},
    {"change": "rack", "rack": "A", "along": MARKUP},
    {"change": "tank", "tank": MARKUP, "from_left": "1"},
    {"change": "elbow", "tank": "A1", "typed": MARKUP, "back": "/?at=A1"},
    {"change": "elbow", "tank": MARKUP, "typed": "1"},
    {"change": "tap", "tank": "A1", "typed": MARKUP, "back": "/?at=A1"},
    {"change": "taps", "openings": f"{MARKUP}=5", "shut": MARKUP, "back": "/air"},
    {"change": "dump", "drain": "main", "kind": "hose", "tank": MARKUP, "typed": MARKUP, "back": "/drain"},
    {"change": "dump", "drain": MARKUP, "kind": MARKUP, "typed": MARKUP, "back": "/drain"},
    {"change": "begin", "system": MARKUP, "back": "/air"},
    {"change": "restore", "number": MARKUP, "back": "/history"},
    {"change": MARKUP},
    {"change": "value", "path": "/title", "typed": MARKUP, "base": "999"},
    {"change": "text", "typed": MARKUP, "base": "999", "back": "/text"},
    {"change": "value", "path": "/title", "typed": "x", "back": f"/{MARKUP}"},
)  # fmt: skip


@pytest.mark.parametrize(
    "fields", EDITS, ids=lambda fields: "-".join(fields[name][:12] for name in fields)[:40]
)
def test_no_field_of_an_edit_comes_back_as_markup(fields: dict[str, str], cellar: Sender) -> None:
    no_markup(cellar.edit(**fields))
    for page in ("/", "/text", "/history"):
        no_markup(cellar.ask("GET", page))


def test_no_field_of_an_entry_comes_back_as_markup(cellar: Sender) -> None:
    for name in ("key", "kind", "tank", "value", "note", "happened", "undoes", "back", "page"):
        for kind in ("note", "ph", "undo"):
            fields = {"key": f"k{name}{kind}", "kind": kind, "tank": "A1", "back": "/t/A1", name: MARKUP}
            no_markup(cellar.ask("POST", "/enter", data=fields))
    cellar.ask("POST", "/enter", data={"key": "m", "kind": "note", "tank": "A1", "note": MARKUP})
    for page in ("/t/A1", "/t/A1/test", "/t/A1/entries", "/t/A1?done=m", f"/t/{'%3Cb%20data-hit%3E'}"):
        answer = cellar.ask("GET", page)
        no_markup(answer)
        assert "<b data-hit" not in answer.text


def test_no_answer_of_the_first_run_comes_back_as_markup(tmp_path: Path) -> None:
    nobody_yet = Sender(tmp_path, "")
    names = ("title", "length", "width", "tanks", "door_width", "display", "key", "sample")
    for name in names:
        fields = {"length": "4 m", "width": "3 m", name: MARKUP}
        no_markup(nobody_yet.ask("GET", "/start", params=fields))
        no_markup(nobody_yet.ask("POST", "/begin", data=fields))
    for page in ("/", "/text", "/racks"):
        no_markup(nobody_yet.ask("GET", page))


def test_no_field_of_the_settings_comes_back_as_markup(
    sender: Sender, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "COST", 2**4)
    monkeypatch.setattr(passwords, "LANES", 1)
    forms = (
        "language",
        "lan-name",
        "deeds",
        "add-person",
        "role",
        "password",
        "take-out",
        "prices",
        "remove-prices",
    )
    every = {
        "language": MARKUP,
        "lan_name": MARKUP,
        "role": MARKUP,
        "deed": MARKUP,
        "name": MARKUP,
        "list": MARKUP,
    }
    for form in forms:
        no_markup(sender.ask("POST", f"/settings/{form}", data=every | {"password": "four plain words"}))
        no_markup(sender.ask("GET", "/settings", params={"saved": MARKUP, "list": MARKUP, "from": MARKUP}))
    short = MARKUP[:70]
    keeper = {"name": "Ada", "password": "four plain words", "role": "keeper"}
    assert sender.ask("POST", "/settings/add-person", data=keeper).status_code == 303
    named = {"name": short, "password": "four plain words", "role": "looker"}
    assert sender.ask("POST", "/settings/add-person", data=named).status_code == 303
    no_markup(sender.ask("GET", "/settings"))
    rows = (
        f"item,price,note\n{'x' * 20}{short.replace(',', '').replace(chr(34), '')},1,<b data-hit>\n".encode()
    )
    sent = sender.ask(
        "POST", "/settings/prices", files={"file": (MARKUP.replace('"', ""), rows, "text/html")}
    )
    assert sent.status_code == 303, sent.text
    listed = re.search(r"list=([0-9a-f]{16})", sender.ask("GET", "/settings").text)
    assert listed
    page = sender.ask("GET", f"/settings?list={listed[1]}")
    no_markup(page)
    assert "<b data-hit" not in page.text


def test_no_name_of_a_plan_becomes_markup_in_a_refusal(tmp_path: Path) -> None:
    plan = marked_plan()
    sender = Sender(tmp_path, plan.plan)
    rack = plan.texts["rack.A"]
    for fields in (
        {"change": "rack", "rack": rack, "along": "99"},
        {"change": "rack", "rack": rack, "along": "0.2", "base": "0"},
        {"change": "value", "path": "/rack/0/from_west", "typed": "5 parsecs", "back": "/"},
    ):
        answer = sender.edit(**fields)
        assert answer.status_code in (409, 422)
        assert "<b data-hit" not in answer.text
        assert "<i data-hit" not in answer.text


def test_the_page_to_log_in_shows_nothing_as_markup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", 2**4)
    sender = Sender(tmp_path, SMALL, Access(PeopleInMemory(), secret=b"s" * 32))
    no_markup(sender.ask("GET", "/login", params={"next": MARKUP, "name": MARKUP}))
    no_markup(sender.ask("POST", "/login", data={"name": MARKUP, "password": MARKUP, "next": MARKUP}))


# --- numbers and texts that are none ---------------------------------------------------------------------------------

ODD: Final = (
    "", "5 parsecs", "12 kg", "1e308 m", "1e400", "nan", "inf", "-5 cm", "١٢ cm", "²", "9" * 400, "\x00", "a\x00b",
    "\ufeff15 cm", "\u202e15 cm", "15 cm\r\n[x]", "\\u0000", "'''", '"""\n', "[" * 3000, "{a=" * 2000, "x" * 100_000,
)  # fmt: skip


@pytest.mark.parametrize("typed", ODD, ids=lambda text: repr(text[:12]))
def test_an_odd_value_is_refused_beside_its_field_and_stays_typed_or_reads_as_a_person_would(
    typed: str, sender: Sender
) -> None:
    answer = sender.edit(change="value", path="/rack/0/from_west", typed=typed, back="/?at=A", key="k")
    before = SMALL.split('from_west = "50 cm"')
    now = sender.plan.read_text("utf-8")
    if answer.status_code == 303:  # nothing takes the key out; a mark of the byte order is no letter
        assert typed.strip("\ufeff") in ("", "15 cm")
        assert sender.live.snapshot.read.plan is not None
    else:
        assert answer.status_code == 422
        assert now == 'from_west = "50 cm"'.join(before)
        assert told(answer)


@pytest.mark.parametrize("typed", ODD, ids=lambda text: repr(text[:12]))
def test_an_odd_text_is_kept_as_it_is_or_refused_and_the_last_good_drawing_stays(
    typed: str, sender: Sender
) -> None:
    answer = sender.edit(change="text", typed=typed, back="/text", key="k")
    assert answer.status_code in (303, 422)
    if answer.status_code == 303:
        assert sender.plan.read_bytes().decode("utf-8") == typed.replace("\r\n", "\n")
    page = sender.ask("GET", "/")
    assert page.status_code == 200
    assert 'id="drawing"' in page.text
    assert sender.live.snapshot.good is not None
    if sender.live.snapshot.number > 1:
        assert sender.edit(change="undo", key="u").status_code == 303
        assert sender.plan.read_text("utf-8") == SMALL


def test_a_name_that_is_a_path_is_a_name(sender: Sender) -> None:
    for name in (
        "../../x",
        "..",
        ".",
        "/etc/passwd",
        "a/b",
        "a\\b",
        "x" * 200,
        "Süd 1",
        "%2F",
        "a%2Fb",
        "CON",
    ):
        text = SMALL.replace('id = "A"', f"id = '{name}'").replace('"A1..A2"', f"['{name}1', 'B']")
        assert sender.edit(change="text", typed=text, key=name).status_code == 303
        for page in ("/", "/racks", "/?at=" + httpx.QueryParams({"a": name})["a"]):
            assert sender.ask("GET", page).status_code == 200
        for path in (f"/t/{name}1", f"/t/{name}1/test", f"/t/{name}1/entries", f"/{name}"):
            assert sender.ask("GET", path).status_code in (200, 404)
        entry = {"key": name + "1", "kind": "looked", "tank": f"{name}1", "back": f"/t/{name}1"}
        assert sender.ask("POST", "/enter", data=entry).status_code in (303, 404, 422)
    beside = {one.name for one in sender.plan.parent.iterdir()}
    assert beside == {"plan.toml", "plan.tankwright"}, "no name leads anywhere on the disk"


def test_the_half_letters_of_a_program_do_not_reach_a_page(sender: Sender) -> None:
    for charset in ("undefined", "punycode", "unicode_escape", "idna", "utf-16", "nope"):
        body = (
            b'--B\r\nContent-Disposition: form-data; name="change"\r\n\r\nvalue\r\n'
            b'--B\r\nContent-Disposition: form-data; name="typed"\r\n\r\n\\ud800x\r\n--B--\r\n'
        )
        kind = f"multipart/form-data; boundary=B; charset={charset}"
        for path in (
            "/edit",
            "/enter",
            "/begin",
            "/theme",
            "/work",
            "/settings/language",
            "/settings/prices",
        ):
            answer = sender.ask("POST", path, {"content-type": kind}, content=body)
            assert answer.status_code in (303, 400, 422), f"{charset} {path} {answer.status_code}"
    broken = (
        "multipart/form-data",
        "multipart/form-data; boundary=B",
        FORM,
        "text/plain",
        "application/json",
    )
    for kind in broken:
        answer = sender.ask("POST", "/edit", {"content-type": kind}, content=b"\xff\xfe%%%=&&\x00")
        assert answer.status_code == 400
        assert "cannot be read" in answer.text


@pytest.mark.parametrize("base", ["", "x", "-1", "1.5", "9" * 5000, "١"])
def test_a_form_without_a_number_of_the_plan_is_told_so_in_words(base: str, sender: Sender) -> None:
    answer = sender.edit(change="value", path="/title", typed="x", base=base)
    assert answer.status_code == 400
    assert 'This form cannot be read: the form has no "base"' in answer.text


@pytest.mark.parametrize("theme", ["中", "\r\nSet-Cookie: a=b", "dark; Domain=evil", '"', "x" * 9000])
def test_a_theme_there_is_none_of_is_no_theme(theme: str, sender: Sender) -> None:
    answer = sender.ask("POST", "/theme", data={"theme": theme, "back": "//evil.example"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert answer.headers.get_list("set-cookie") == [
        'theme=""; HttpOnly; Max-Age=31536000; Path=/; SameSite=lax'
    ]


@pytest.mark.parametrize("back", ["//evil.example", "/\\evil.example", "/\t/evil.example", "https://evil.example",
                                  "javascript:alert(1)", "/\r\nSet-Cookie: a=b", "/login", "/logout"])  # fmt: skip
def test_no_form_leads_out_of_the_app(back: str, sender: Sender) -> None:
    forms = (
        ("/edit", {"change": "value", "path": "/title", "typed": f"T{len(back)}", "base": "1", "key": back}),
        ("/enter", {"key": f"k{len(back)}", "kind": "looked", "tank": "A1", "page": back}),
        ("/theme", {"theme": "dark"}),
        ("/work", {"do": "cancel"}),
    )
    for path, fields in forms:
        answer = sender.ask("POST", path, data=fields | {"back": back})
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/")
        assert not answer.headers["location"].startswith(("//", "/\\"))
        assert "set-cookie" not in answer.headers or path == "/theme"


# --- a form gone back to ---------------------------------------------------------------------------------------------


def test_a_form_gone_back_to_and_filled_in_anew_is_not_taken_for_the_old_one(sender: Sender) -> None:
    form = {"change": "value", "path": "/title", "base": "1", "key": "one key of one page"}
    assert sender.edit(**form, typed="First").status_code == 303
    assert sender.edit(**form, typed="First").status_code == 303, "sent twice is done once"
    assert sender.live.snapshot.number == 2
    second = sender.edit(**form, typed="Second")
    assert second.status_code == 409
    assert "somebody else changed the plan meanwhile" in told(second)
    assert "Second" in told(second)
    assert 'title = "First"' in sender.plan.read_text("utf-8")


def test_an_entry_gone_back_to_and_typed_anew_is_another_entry(sender: Sender) -> None:
    form = {"key": "onekey", "kind": "ph", "tank": "A1", "back": "/t/A1/test"}
    first = sender.ask("POST", "/enter", data=form | {"value": "7.0"})
    assert sender.ask("POST", "/enter", data=form | {"value": "7,0"}).headers == first.headers
    other = sender.ask("POST", "/enter", data=form | {"value": "7.2"})
    assert other.status_code == 303
    assert other.headers["location"] != first.headers["location"]
    assert [one.value for one in EntryBook(sender.live.path).all()] == [7.0, 7.2]


# --- what no field of a page can show ---------------------------------------------------------------------------------


def test_a_refusal_whose_field_is_not_on_the_page_is_told_above_it(sender: Sender) -> None:
    sender.edit(change="text", typed=SMALL + "[[broken", back="/text")
    answer = sender.edit(change="value", path="/rack/0/from_west", typed="61 cm", back="/?at=A")
    assert answer.status_code == 422
    assert 'id="untold"' in answer.text
    assert "the plan cannot be edited: it has broken lines" in told(answer)
    assert "61 cm" in told(answer)
    assert 'id="stale"' in answer.text, "and the drawing is said to be of the last good plan"
    assert 'id="untold"' not in sender.ask("GET", "/?at=A").text


def test_a_fault_of_the_program_is_told_in_words_and_shows_nothing_of_its_insides(
    sender: Sender, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> str:
        raise RuntimeError(f"secret of {sender.plan}")

    monkeypatch.setattr(app_of_pages, "render", fails)
    for accept in ("text/html", "*/*"):
        answer = sender.ask("GET", "/", {"accept": accept})
        assert answer.status_code == 500
        assert "A fault of the program" in answer.text
        assert "secret" not in answer.text
        assert str(sender.plan.parent) not in answer.text
        assert answer.headers["content-security-policy"]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_a_page_can_be_asked_for_without_its_body(page: Any, sender: Sender) -> None:
    path = page.path.replace("{tank}", "A1")
    assert sender.ask("HEAD", path).status_code == sender.ask("GET", path).status_code


def test_what_an_address_does_not_do_is_told_plainly(sender: Sender) -> None:
    for method in ("PUT", "DELETE", "PATCH"):
        answer = sender.ask(method, "/air")
        assert answer.status_code == 405
        assert "Not in this way" in answer.text
    for path in ("/nowhere", "/t/%0D%0A/entries", "/t/", "/static/x", "/%E0%A4%A", "/" + "a" * 5000):
        assert sender.ask("GET", path).status_code == 404, path


# --- in the browser -----------------------------------------------------------------------------------------------


def test_a_paste_too_large_to_send_stays_on_its_page_and_is_told(room: OpenRoom, context: OpenDesk) -> None:
    served = room()
    desk = context()
    desk.watch.expect("413")
    tab = desk.open(f"{served.url}/text")
    tab.wait_for_selector("html[data-live]")
    tab.locator("#text").evaluate("(field) => { field.value = '# ' + 'x'.repeat(3000000); }")
    tab.locator("#text").evaluate("(field) => field.form.requestSubmit()")
    tab.wait_for_selector(".banner[role=alert]")
    said = tab.locator(".banner[role=alert]").first.inner_text()
    assert "At most 2.5 MB" in said
    assert len(said) < 400
    assert tab.locator("#text").evaluate("(field) => field.value.length") == 3_000_002
    expect(tab.locator("h1")).to_have_text("The plan as text", use_inner_text=True)
    assert served.live.snapshot.number == 1


def test_what_waits_for_another_plan_under_this_address_is_left_alone(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room()
    desk = context()
    tab = desk.open(f"{served.url}/")
    tab.wait_for_selector("html[data-live]")
    book = tab.locator("body").get_attribute("data-book")
    assert book
    left = """(place) => localStorage.setItem(place, JSON.stringify([{shown: "", owner: "x", until: 0, fields: {
        change: "value", path: "/title", typed: "Of another plan", base: "1", key: "other", back: "/"}}]))"""
    tab.evaluate(left, "tankwright.pending.0123456789")
    tab.reload()
    tab.wait_for_selector("html[data-live]")
    tab.wait_for_timeout(700)
    assert served.live.snapshot.number == 1
    tab.evaluate(left, f"tankwright.pending.{book}")
    tab.reload()
    tab.wait_for_selector("html[data-live]")
    tab.wait_for_function("() => document.body.dataset.number === '2'")
    assert 'title = "Of another plan"' in served.plan_path.read_text("utf-8")
