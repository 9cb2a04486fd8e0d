"""Every write there is needs its right: the routes are read off the app, so that a new one cannot be forgotten."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import httpx
import pytest

from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.app import create_app
from tankwright.web.serving import shielded
from tankwright.workspace import passwords
from tankwright.workspace.live import LivePlan

from .apart import apart
from .pages.reader import SMALL

HOST: Final = "http://127.0.0.1:9400"
PASSWORD: Final = "four plain words"
READS: Final = {"GET", "HEAD"}

# What a reader must be allowed to do for each write; "" is for everybody who is in: it changes only what they see.
NEEDED: Final = {
    "POST /edit": "edit",
    "POST /theme": "",
    "POST /enter": "enter",
    "POST /t/{tank}/photo": "enter",
    "POST /begin": "edit",
    "POST /space/rules": "edit",
    "POST /bring": "edit",
    "POST /bring/say": "edit",
    "POST /bring/take": "edit",
    "POST /bring/back": "edit",
    "POST /lines/set": "enter",
    "POST /settings/{form}": "settings",
    "POST /quarantine/{form}": "enter",
    "POST /work": "look",
    "POST /build/mark": "enter",
    "POST /reading": "enter",
    "POST /due/done": "enter",
    "POST /due/task": "edit",
    "POST /due/take": "edit",
    "POST /due/stores": "enter",
    "POST /due/paper": "enter",
    "POST /due/paper/{number}": "enter",
    "POST /readings.csv": "enter",
    "POST /readings/take-back": "enter",
    "POST /readings/write": "edit",
    "PUT /api/v1/plan": "edit",
    "PATCH /api/v1/plan": "edit",
    "POST /api/v1/plan/moves/rack": "edit",
    "POST /api/v1/plan/moves/tank": "edit",
    "POST /api/v1/plan/elbow": "edit",
    "POST /api/v1/plan/tap": "edit",
    "POST /api/v1/plan/taps": "edit",
    "POST /api/v1/plan/rows": "edit",
    "DELETE /api/v1/plan/rows": "edit",
    "POST /api/v1/plan/begin": "edit",
    "POST /api/v1/plan/undo": "edit",
    "POST /api/v1/plan/redo": "edit",
    "POST /api/v1/plan/restore": "edit",
    "POST /api/v1/entries": "enter",
    "POST /api/v1/entries/{entry}/undo": "enter",
    "POST /api/v1/deeds": "enter",
    "POST /api/v1/jobs": "look",
    "DELETE /api/v1/jobs/{job}": "look",
}
DEEDS: Final = {
    "keeper": {"look", "enter", "edit", "settings"},
    "helper": {"look", "enter"},
    "looker": {"look"},
}


class House:
    """The whole app with three people, one of each part."""

    def __init__(self, folder: Path) -> None:
        self.plan = folder / "plan.toml"
        self.plan.write_text(SMALL, "utf-8")
        self.people = PeopleInMemory()
        for role in DEEDS:
            self.people.put(role, role, PASSWORD)
        self.live = LivePlan(self.plan)
        self.app = create_app(self.live)
        self._outer = shielded(self.app, Access(self.people, secret=b"s" * 32), frozenset({"127.0.0.1:9400"}))
        self.cookies: dict[str, dict[str, str]] = {}

    def log_in(self, name: str) -> None:
        """Get somebody's cookie."""
        came = self.ask("POST", "/login", data={"name": name, "password": PASSWORD})
        assert came.status_code == 303
        self.cookies[name] = dict(came.cookies)

    def ask(self, method: str, path: str, name: str = "", **how: Any) -> httpx.Response:
        """An answer to somebody, or to nobody."""

        async def answer() -> httpx.Response:
            transport = httpx.ASGITransport(app=self._outer)
            async with httpx.AsyncClient(
                transport=transport, base_url=HOST, cookies=self.cookies.get(name)
            ) as client:
                headers = {
                    "origin": HOST,
                    "if-match": '"1"',
                    "idempotency-key": "key-of-a-test",
                }
                return await client.request(method, path, headers=headers, **how)

        return apart(answer())


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    monkeypatch.setattr(passwords, "COST", 2**4)
    monkeypatch.setattr(passwords, "LANES", 1)
    made = House(tmp_path)
    for role in DEEDS:
        made.log_in(role)
    return made


def routes_of(routes: Any, prefix: str = "") -> Iterator[tuple[str, str]]:
    """Every method and path there is, through everything that is mounted or included."""
    for route in routes:
        inner = getattr(route, "original_router", None)
        mounted = getattr(route, "app", None)
        if inner is not None:
            yield from routes_of(inner.routes, prefix)
        elif getattr(route, "methods", None):
            yield from ((method, prefix + route.path) for method in route.methods)
        elif hasattr(mounted, "_built"):
            yield from routes_of(mounted._built().routes, prefix + route.path)
        else:
            assert route.path == "/live" or route.path.startswith("/static/"), f"what is {route.path}?"


def writes(house: House) -> set[str]:
    found = set(routes_of(house.app.routes))
    assert len(found) > 30, "the walk finds them"
    return {f"{method} {path}" for method, path in found if method not in READS}


def test_every_write_of_the_app_is_known_with_its_right(house: House) -> None:
    assert writes(house) == set(NEEDED)


def filled(path: str) -> str:
    return re.sub(r"\{\w+\}", "1", path).replace("/settings/1", "/settings/language")


@pytest.mark.parametrize("role", DEEDS)
def test_a_write_is_refused_to_every_part_that_may_not_do_it_and_to_no_other(role: str, house: House) -> None:
    for write, deed in NEEDED.items():
        method, path = write.split(" ")
        answer = house.ask(method, filled(path), role)
        allowed = not deed or deed in DEEDS[role]
        assert (answer.status_code == 403) is not allowed, (
            f"{role} {write} {answer.status_code} {answer.text}"
        )
        assert answer.status_code < 500
    assert house.plan.read_text("utf-8") == SMALL


def test_nobody_writes_anything(house: House) -> None:
    for write in NEEDED:
        method, path = write.split(" ")
        answer = house.ask(method, filled(path))
        if path.startswith("/api/"):
            assert answer.status_code == 401
        else:
            assert (answer.status_code, answer.headers["location"]) == (303, "/login?next=/")
    assert not (house.live.folder / "logbook.sqlite").exists()


def test_nobody_reads_anything_but_the_log_in(house: House) -> None:
    for method, path in sorted(routes_of(house.app.routes)):
        if method == "GET":
            answer = house.ask(method, filled(path).replace("{path:path}", "air"))
            assert answer.status_code in (303, 401), path
            assert "Two tanks" not in answer.text


@pytest.mark.parametrize("role", ["helper", "looker"])
def test_a_form_that_is_whole_changes_nothing_either(role: str, house: House) -> None:
    fields = {"change": "value", "path": "/title", "typed": "Mine", "base": "1", "key": "k", "back": "/"}
    assert house.ask("POST", "/edit", role, data=fields).status_code == 403
    whole = {"text": SMALL.replace("Two tanks", "Mine")}
    assert house.ask("PUT", "/api/v1/plan", role, json=whole).status_code == 403
    assert house.plan.read_text("utf-8") == SMALL
    assert house.ask("POST", "/edit", "keeper", data=fields).status_code == 303
    assert 'title = "Mine"' in house.plan.read_text("utf-8")


def test_a_part_taken_away_counts_for_the_next_write_of_an_open_page(house: House) -> None:
    fields = {"change": "value", "path": "/title", "typed": "Mine", "base": "1", "key": "k", "back": "/"}
    house.people.put("keeper", "looker", PASSWORD)  # with a new password, so the cookie is void too
    assert house.ask("POST", "/edit", "keeper", data=fields).headers["location"] == "/login?next=/"
    house.log_in("keeper")
    assert house.ask("POST", "/edit", "keeper", data=fields).status_code == 403
    house.people.take_out("helper")
    assert (
        house.ask("POST", "/enter", "helper", data={"key": "k", "kind": "looked", "tank": "A1"}).status_code
        == 303
    )
    assert not (house.live.folder / "logbook.sqlite").exists()


def test_the_settings_are_shown_only_to_who_may_change_them(house: House) -> None:
    assert house.ask("GET", "/settings", "keeper").status_code == 200
    for role in ("helper", "looker"):
        assert house.ask("GET", "/settings", role).status_code == 403
        assert house.ask("GET", "/", role).status_code == 200
