"""Who is asking: the cookie, the log-in, the slowed guesses, and where nobody is led."""

from __future__ import annotations

import asyncio
import stat
import sys
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import httpx
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from starlette.requests import Request
from starlette.responses import PlainTextResponse

from tankwright.web.access import (
    DAYS,
    KEEPER,
    Access,
    PeopleInMemory,
    Person,
    cookies,
    may,
    plan_secret,
    usual_deeds,
    who,
)
from tankwright.web.attempts import Attempts, address_key
from tankwright.web.guard import Guard
from tankwright.web.login import Door, local_path
from tankwright.workspace import passwords
from tankwright.workspace.settings import Settings, SettingsBook

from .apart import apart

HOST = "http://fishroom.home:9400"
SECRET = bytes(range(32))
RIGHT = "four plain words"


@pytest.fixture(autouse=True)
def cheap_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    """A password costs a fifth of a second to check, which is the point of it, but not of these tests."""
    monkeypatch.setattr(passwords, "COST", 2**4)
    monkeypatch.setattr(passwords, "LANES", 1)


class Clock:
    def __init__(self, start: float = 1_800_000_000.0) -> None:
        self.now = start

    def __call__(self) -> float:
        return self.now


class House:
    """A door around an app that says who it saw, people, and a clock of its own."""

    def __init__(self, *, is_open: bool = False, scheme: str = "http") -> None:
        self.clock = Clock()
        self.people = PeopleInMemory()
        self.people.put("Ada", "keeper", RIGHT)
        self.people.put("Bo", "looker", "other plain words")
        people = None if is_open else self.people
        self.access = Access(people, secret=SECRET, now=self.clock, attempts=Attempts(clock=self.clock))
        hosts = frozenset({"fishroom.home:9400"})
        self.app = Guard(Door(_says_who, self.access), hosts)
        self.base = HOST.replace("http:", f"{scheme}:")

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        client_address = more.pop("client", ("192.168.1.30", 50000))
        cookies = more.pop("cookies", None)

        async def call() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, client=client_address)
            async with httpx.AsyncClient(transport=transport, base_url=self.base, cookies=cookies) as client:
                return await client.request(method, path, **more)

        return apart(call())

    def log_in(self, name: str = "Ada", password: str = RIGHT, **more: Any) -> httpx.Response:
        form = {"name": name, "password": password, "next": more.pop("next", "/air?at=B3")}
        return self.ask("POST", "/login", data=form, headers={"origin": self.base}, **more)

    def seen(self, cookie: str) -> str:
        """Whom the app sees with this cookie; "" when it is not reached."""
        answer = self.ask("GET", "/", cookies={self.access.cookie_name: cookie})
        return answer.text if answer.status_code == 200 else ""


async def _says_who(scope: Any, receive: Any, send: Any) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    person = who(Request(scope).scope)
    await PlainTextResponse(f"{person.name}, {person.role}" if person else "nobody")(scope, receive, send)


def cookie_of(answer: httpx.Response) -> str:
    return answer.headers["set-cookie"].partition("=")[2].partition(";")[0]


# --- who may what ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("role", "deeds"),
    [
        ("keeper", "look enter edit settings"),
        ("helper", "look enter"),
        ("looker", "look"),
        ("", ""),
        ("king", ""),
    ],
)
def test_each_part_may_do_its_own(role: str, deeds: str) -> None:
    for deed in ("look", "enter", "edit", "settings", "", "Look"):
        assert may(Person(name="x", role=role), deed) == (deed in deeds.split())


def test_what_a_part_may_do_is_asked_for_with_every_request() -> None:
    house = House()
    said = {"looker": frozenset({"look", "enter"})}
    house.access = Access(
        house.people, secret=SECRET, now=house.clock, deeds=lambda role: said.get(role, frozenset())
    )
    cookie = cookie_of(house.log_in("Bo", "other plain words"))
    bo = house.access.person(_with(house, cookie))
    assert bo is not None
    assert may(bo, "enter")
    said["looker"] = frozenset()
    bo = house.access.person(_with(house, cookie))
    assert bo is not None
    assert not may(bo, "look")


def test_the_people_of_the_settings_file_log_in(tmp_path: Path) -> None:
    book = SettingsBook(tmp_path / "cellar.toml")
    for name, password, role in (("Ada", RIGHT, "keeper"), ("Bo", "other plain words", "helper")):
        assert isinstance(book.set_password(name, password, role), Settings)
    access = Access(
        book, secret=plan_secret(book.folder), deeds=lambda role: book.current.deeds.get(role, frozenset())
    )
    came = apart(access.log_in("bo", "other plain words", "10.0.0.1"))
    assert came.person == Person(name="Bo", role="helper", deeds=usual_deeds("helper"))
    scope = {"type": "http", "headers": [(b"cookie", f"{access.cookie_name}={came.cookie}".encode())]}
    assert access.person(scope) == came.person
    book.set_deeds("helper", frozenset({"look"}))
    found = access.person(scope)
    assert found is not None
    assert not may(found, "enter")
    book.set_password("Bo", "newer plain words")
    assert access.person(scope) is None


def test_somebody_without_a_password_does_not_get_in() -> None:
    class Odd:
        name, role, password_hash = "Ada", "keeper", ""

    class People:
        def find(self, name: str) -> Odd | None:
            return Odd() if name else None

    access = Access(People(), secret=SECRET)
    for password in ("", "x", RIGHT):
        assert apart(access.log_in("Ada", password, "10.0.0.1")).person is None


def test_on_this_machine_alone_everyone_is_the_keeper() -> None:
    house = House(is_open=True)
    assert house.ask("GET", "/").text == "keeper, keeper"
    assert Access().person({"type": "http", "headers": []}) == KEEPER
    for method, path in (("GET", "/login?next=/air"), ("POST", "/login"), ("POST", "/logout")):
        assert house.ask(method, path).status_code == 303
    assert house.ask("GET", "/login?next=/air").headers["location"] == "/air"


def test_without_a_door_nobody_is_anybody() -> None:
    assert who({"type": "http"}) is None
    assert who({"tankwright.person": "keeper"}) is None


def test_people_without_a_secret_are_refused() -> None:
    with pytest.raises(ValueError, match="secret"):
        Access(PeopleInMemory(), secret=b"short")


# --- logging in --------------------------------------------------------------------------------------------------


def test_the_right_password_leads_on_and_stays_right() -> None:
    house = House()
    answer = house.log_in()
    assert (answer.status_code, answer.headers["location"]) == (303, "/air?at=B3")
    for part in ("HttpOnly", "SameSite=Lax", "Path=/", f"Max-Age={DAYS * 86400}"):
        assert part in answer.headers["set-cookie"].split("; ")
    assert "Secure" not in answer.headers["set-cookie"]
    assert house.seen(cookie_of(answer)) == "Ada, keeper"


def test_a_cookie_got_over_https_never_goes_over_plain_http() -> None:
    answer = House(scheme="https").log_in()
    assert "Secure" in answer.headers["set-cookie"].split("; ")


@pytest.mark.parametrize("name", ["ada", "ADA", " Ada "])
def test_capitals_and_blanks_around_a_name_do_not_matter(name: str) -> None:
    house = House()
    assert house.seen(cookie_of(house.log_in(name))) == "Ada, keeper"


@pytest.mark.parametrize(
    ("name", "password"),
    [
        ("Ada", "four plain word"), ("Ada", ""), ("", RIGHT), ("Bo", RIGHT), ("nobody", RIGHT), ("Ada", RIGHT + " "),
        ("Ada\x00", RIGHT), ("Ada", "x" * 5000), ("A" * 5000, RIGHT), ("Ada", RIGHT.upper()), ("<b>Ada</b>", RIGHT),
    ],
)  # fmt: skip
def test_a_wrong_pair_is_answered_with_the_form_and_no_cookie(name: str, password: str) -> None:
    answer = House().log_in(name, password)
    assert answer.status_code == 401
    assert "set-cookie" not in answer.headers
    assert "do not belong together" in answer.text
    assert 'value="/air?at=B3"' in answer.text
    assert "<b>" not in answer.text
    if password:
        assert password not in answer.text


def test_a_form_of_another_site_cannot_log_anybody_in() -> None:
    form = {"name": "Ada", "password": RIGHT}
    answer = House().ask("POST", "/login", data=form, headers={"origin": "http://evil.example"})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_a_form_that_is_none_is_a_wrong_pair() -> None:
    house = House()
    for body in (b"", b"\xff\xfe", b"a=1&" * 50, b"name=Ada&password=" + b"x" * 30_000):
        assert house.ask("POST", "/login", content=body, headers={"origin": HOST}).status_code == 401
        house.clock.now += 100


# --- guessing ----------------------------------------------------------------------------------------------------


def test_a_wrong_password_twenty_times_takes_longer_and_longer() -> None:
    house = House()
    waits = []
    for _ in range(20):
        answer = house.log_in(password="guess")
        if answer.status_code == 429:
            wait = int(answer.headers["retry-after"])
            assert f"Wait {wait} second" in answer.text
            waits.append(wait)
            house.clock.now += wait - 1
            assert house.log_in(password=RIGHT).status_code == 429, "the right one has to wait as well"
            house.clock.now += 1
            answer = house.log_in(password="guess")
        assert answer.status_code == 401
    assert waits == [2, 4, 8, 16, 32, *[60] * 10]
    house.clock.now += 60
    assert house.log_in().status_code == 303
    assert house.log_in(password="guess").status_code == 401, "counted from the start again"


def test_guesses_at_one_name_from_many_addresses_are_slowed() -> None:
    house = House()
    answers = [house.log_in(password="guess", client=(f"10.0.0.{n}", 1)).status_code for n in range(8)]
    assert answers == [401] * 5 + [429] * 3
    assert house.log_in("Bo", "other plain words", client=("10.0.0.99", 1)).status_code == 303


def test_guesses_at_many_names_from_one_address_are_slowed() -> None:
    house = House()
    answers = [house.log_in(f"name{n}", "guess").status_code for n in range(8)]
    assert answers == [401] * 5 + [429] * 3
    assert house.log_in(client=("192.168.1.31", 1)).status_code == 303


def test_a_log_in_of_ones_own_does_not_clear_the_count_of_another_name() -> None:
    house = House()
    for _ in range(5):
        house.log_in("Ada", "guess")
        house.clock.now += 0.0
    house.clock.now += 2
    assert house.log_in("Bo", "other plain words").status_code == 303
    assert house.log_in("Ada", "guess").status_code == 401
    assert house.log_in("Ada", "guess").status_code == 429


def test_a_header_cannot_claim_another_address() -> None:
    house = House()
    for n in range(5):
        house.log_in(f"name{n}", "guess")
    form = {"name": "Ada", "password": "guess"}
    headers = {"origin": HOST, "x-forwarded-for": "10.9.9.9", "forwarded": "for=10.9.9.9"}
    assert house.ask("POST", "/login", data=form, headers=headers).status_code == 429


def test_many_guesses_at_the_same_moment_are_all_counted() -> None:
    house = House()

    async def together() -> list[Any]:
        return await asyncio.gather(*(house.access.log_in("Ada", "guess", "10.0.0.1") for _ in range(30)))

    tries = apart(together())
    assert sum(one.wait == 0.0 for one in tries) == 5
    assert all(one.person is None for one in tries)


def test_an_hour_of_quiet_forgets_and_the_memory_is_bounded() -> None:
    clock = Clock()
    tries = Attempts(clock=clock, most=50)
    for n in range(500):
        tries.begin(f"name {n}")
    assert len(tries) == 50
    for _ in range(5):
        tries.begin("Ada")
    assert tries.wait("Ada") == 2.0
    clock.now += 3600.0
    assert tries.begin("Ada") == 0.0
    assert tries.wait("Ada") == 0.0


@given(st.lists(st.tuples(st.floats(0, 100), st.booleans()), max_size=60))
def test_no_more_than_five_guesses_in_a_row_come_without_a_wait(steps: list[tuple[float, bool]]) -> None:
    clock = Clock(0.0)
    tries = Attempts(clock=clock)
    in_a_row = 0
    for pause, right in steps:
        clock.now += pause
        left = tries.wait("k")
        assert 0.0 <= left <= 60.0
        assert tries.begin("k") == left
        if left > 0.0:
            continue
        assert in_a_row < 5 or pause > 0.0
        in_a_row = 0 if right else in_a_row + 1
        if right:
            tries.succeed("k")


@pytest.mark.parametrize(
    "address", ["", "x", "fe80::1%eth0", "1.2.3.4", "::ffff:1.2.3.4", "testclient", "1.2.3.4.5"]
)
def test_any_address_has_a_key(address: str) -> None:
    assert isinstance(address_key(address), str)


def test_all_addresses_of_one_machine_s_network_count_as_one() -> None:
    assert address_key("2001:db8::1") == address_key("2001:db8::ffff:1") != address_key("2001:db8:0:1::1")


# --- the cookie --------------------------------------------------------------------------------------------------


def test_a_cookie_lasts_thirty_days() -> None:
    house = House()
    cookie = cookie_of(house.log_in())
    house.clock.now += DAYS * 86400 - 1
    assert house.seen(cookie) == "Ada, keeper"
    house.clock.now += 2
    assert house.seen(cookie) == ""


def test_a_cookie_from_the_future_is_none() -> None:
    house = House()
    cookie = cookie_of(house.log_in())
    house.clock.now -= 3600
    assert house.seen(cookie) == ""


def test_a_new_password_a_new_part_and_leaving_count_at_once() -> None:
    house = House()
    cookie, bo = cookie_of(house.log_in()), cookie_of(house.log_in("Bo", "other plain words"))
    house.people.put("Ada", "keeper", RIGHT)
    assert house.seen(cookie) == "", "even the same one, hashed anew"
    assert house.seen(bo) == "Bo, looker"
    house.people.take_out("Bo")
    assert house.seen(bo) == ""


def test_a_cookie_changed_anywhere_is_none() -> None:
    house = House()
    cookie = cookie_of(house.log_in("Bo", "other plain words"))
    for place in range(len(cookie)):
        for sign in "A.0-":
            if cookie[place] != sign:
                changed = cookie[:place] + sign + cookie[place + 1 :]
                assert house.access.person(_with(house, changed)) is None, (place, sign)
    for cut in range(len(cookie)):
        assert house.access.person(_with(house, cookie[:cut])) is None


def _with(house: House, cookie: str) -> dict[str, Any]:
    raw = f"{house.access.cookie_name}={cookie}".encode("latin-1")
    return {"type": "http", "headers": [(b"cookie", raw)]}


@given(st.text(st.characters(min_codepoint=32, max_codepoint=255), max_size=100))
@example("...")
@example("QWRh.9999999999999999999999.ab.cd")
@example("QWRh.\u00b2.ab.cd")
def test_no_other_cookie_is_anybody_and_none_raises(cookie: str) -> None:
    house = House()
    assert house.access.person(_with(house, cookie)) is None
    assert house.access.person({"type": "http", "headers": [(b"cookie", cookie.encode("latin-1"))]}) is None


def test_a_cookie_of_another_plan_is_none_and_does_not_hide_ours() -> None:
    house, other = House(), House()
    other.access = Access(other.people, secret=bytes(32), now=other.clock)
    assert other.access.cookie_name != house.access.cookie_name
    ours = cookie_of(house.log_in())
    name = house.access.cookie_name
    scope = {"type": "http", "headers": [(b"cookie", f"{name}=stale; {name}={ours}; theme=dark".encode())]}
    assert house.seen(ours) == "Ada, keeper"
    assert house.access.person(scope) == Person(name="Ada", role="keeper", deeds=usual_deeds("keeper"))
    assert other.access.person(_with(other, ours)) is None


def test_logging_out_takes_the_cookie_back_and_a_link_cannot_do_it() -> None:
    house = House()
    answer = house.ask("POST", "/logout", headers={"origin": HOST})
    assert (answer.status_code, answer.headers["location"]) == (303, "/login")
    assert "Max-Age=0" in answer.headers["set-cookie"]
    assert house.ask("GET", "/logout").status_code == 405


def test_cookies_are_read_from_one_header_or_many() -> None:
    scope = {"headers": [(b"cookie", b"a=1; b=2"), (b"cookie", b"c=3"), (b"cookie", b"nothing")]}
    assert list(cookies(scope)) == [("a", "1"), ("b", "2"), ("c", "3")]


# --- nobody ------------------------------------------------------------------------------------------------------


def test_nobody_gets_static_files_and_the_log_in_and_is_led_there_from_everywhere_else() -> None:
    house = House()
    assert house.ask("GET", "/static/look.css").text == "nobody"
    page = house.ask("GET", "/login?next=/tank/B3")
    assert page.status_code == 200
    assert 'value="/tank/B3"' in page.text
    assert house.ask("HEAD", "/login").content == b""
    for path in ("/", "/tank/B3", "/static", "/staticfile", "/static/../settings", "/LOGIN", "/openapi.json"):
        answer = house.ask("GET", path)
        assert answer.status_code == 303, path
        assert answer.headers["location"].startswith("/login?next=/")


def test_after_the_log_in_one_is_where_one_wanted_to_be() -> None:
    house = House()
    answer = house.ask("GET", "/tank/B%203?layer=air&at=A%26B")
    assert answer.headers["location"] == "/login?next=/tank/B%25203%3Flayer%3Dair%26at%3DA%2526B"
    page = house.ask("GET", answer.headers["location"])
    assert 'value="/tank/B%203?layer=air&amp;at=A%26B"' in page.text


def test_a_form_of_nobody_leads_back_to_the_page_it_stood_on() -> None:
    house = House()
    headers = {"origin": HOST, "referer": HOST + "/air?at=B3"}
    assert house.ask("POST", "/edit", headers=headers).headers["location"] == "/login?next=/air%3Fat%3DB3"
    headers["referer"] = "http://evil.example/air"
    assert house.ask("POST", "/edit", headers=headers).headers["location"] == "/login?next=/"


def test_the_api_tells_nobody_in_its_own_words() -> None:
    answer = House().ask("GET", "/api/v1/plan")
    assert answer.status_code == 401
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["title"] == "Nobody is logged in"


def test_a_socket_of_nobody_is_refused() -> None:
    house = House()
    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> Any:
        return {"type": "websocket.connect"}

    def scope(*headers: tuple[bytes, bytes]) -> Any:
        return {
            "type": "websocket", "path": "/live", "scheme": "ws", "extensions": {"websocket.http.response": {}},
            "headers": [(b"host", b"fishroom.home:9400"), (b"origin", HOST.encode()), *headers],
        }  # fmt: skip

    apart(house.app(scope(), receive, send))
    assert sent[0]["status"] == 401
    sent.clear()
    cookie = f"{house.access.cookie_name}={cookie_of(house.log_in())}".encode()
    apart(house.app(scope((b"cookie", cookie)), receive, send))
    assert sent == [{"type": "websocket.accept"}]


def test_the_log_in_page_shows_nothing_of_the_room_and_runs_no_script() -> None:
    text = House().ask("GET", "/login").text
    assert "<script" not in text
    assert "style=" not in text
    assert 'autocomplete="current-password"' in text
    assert "not encrypted" in text
    assert "not encrypted" not in House(scheme="https").ask("GET", "/login").text


@pytest.mark.parametrize("theme", ["dark", "light", '"><script>', ""])
def test_the_log_in_page_follows_the_reader_s_theme(theme: str) -> None:
    text = House().ask("GET", "/login", cookies={"theme": theme}).text
    assert ("data-theme=" in text) == (theme in ("dark", "light"))
    assert "<script" not in text


# --- where to go on to -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "//evil.example", "/\\evil.example", "\\\\evil.example", "\\/evil.example", "https://evil.example",
        "https:evil.example", "https:/evil.example", "javascript:alert(1)", "data:text/html,x", "evil.example", "",
        " /air", "/ /evil.example", "/\t/evil.example", "/\n/evil.example", "\t//evil.example",
        "/air\r\nSet-Cookie: a=b", "/é", "/\x00", "///evil.example",
        "/login", "/login?next=/login", "/login/", "/logout", "/" + "x" * 2000, "/a\\b", "?at=B3", "#x", ".", "//",
    ],
)  # fmt: skip
def test_an_address_elsewhere_or_of_the_log_in_itself_becomes_the_room(text: str) -> None:
    assert local_path(text) == "/"
    assert House().log_in(next=text).headers["location"] == "/"


@pytest.mark.parametrize(
    "text",
    [
        "/", "/air", "/air?at=B3&layer=air", "/tank/B%203#why", "/%2f%2fevil.example", "/%5cevil.example", "/?u=//x",
        "/a//b",
    ],
)  # fmt: skip
def test_an_address_of_ours_is_kept(text: str) -> None:
    assert local_path(text) == text
    assert urlsplit(urljoin(HOST + "/login", text)).netloc == "fishroom.home:9400"


@given(st.text(max_size=30) | st.text("/\\.:@?#%25fevil\t\n ", max_size=30))
def test_whatever_is_asked_for_stays_on_this_host(text: str) -> None:
    led_to = local_path(text)
    # as a browser reads it: tabs and line ends dropped, a backslash taken for a slash
    read = "".join(sign for sign in led_to if sign not in "\t\r\n").replace("\\", "/")
    assert read.startswith("/")
    assert not read.startswith("//")
    assert urlsplit(urljoin(HOST + "/login", read)).netloc == "fishroom.home:9400"


# --- the secret --------------------------------------------------------------------------------------------------


def test_the_secret_is_made_once_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    folder = tmp_path / "cellar.tankwright"
    made = plan_secret(folder)
    assert len(made) == 32
    assert plan_secret(folder) == made
    assert [one.name for one in folder.iterdir()] == ["secret"]
    if sys.platform != "win32":
        assert stat.S_IMODE((folder / "secret").stat().st_mode) == 0o600
    assert plan_secret(tmp_path / "other") != made


@pytest.mark.parametrize("text", ["", "abc", "zz" * 32, "ab" * 31, "ab" * 33, "\x00é"])
def test_a_damaged_secret_is_made_anew(text: str, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text(text, encoding="utf-8")
    made = plan_secret(tmp_path)
    assert len(made) == 32
    assert plan_secret(tmp_path) == made


@pytest.mark.parametrize("mode", [0o644, 0o666])
def test_a_secret_others_could_read_is_closed_to_them(mode: int, tmp_path: Path) -> None:
    made = plan_secret(tmp_path)
    (tmp_path / "secret").chmod(mode)
    assert plan_secret(tmp_path) == made
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600


def test_a_folder_that_is_a_file_is_an_error_to_be_said(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    with pytest.raises(OSError, match="taken"):
        plan_secret(tmp_path / "taken")
