"""Who may ask what: the same as on the pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import httpx
import pytest

from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.api.app import described

from ..apart import apart
from .caller import HOST, SMALL, Caller, new_key

PASSWORD = "three tanks and a half"
OPERATIONS = [(method.upper(), path) for path, methods in described()["paths"].items() for method in methods]
ENTERS = {("POST", "/deeds"), ("POST", "/entries"), ("POST", "/entries/{entry}/undo")}
JOBS = {("POST", "/jobs"), ("DELETE", "/jobs/{job}")}


@pytest.fixture
def shared(plan: Callable[[str], Path]) -> Caller:
    people = PeopleInMemory()
    for role in ("keeper", "helper", "looker"):
        people.put(role, role, PASSWORD)
    return Caller(plan(SMALL), Access(people, secret=b"s" * 32))


def needs(method: str, path: str) -> str:
    if (method, path) in ENTERS:
        return "enter"
    return "look" if method == "GET" or (method, path) in JOBS else "edit"


def cookie_of(caller: Caller, role: str) -> str:
    async def log_in() -> str:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=caller.app), base_url=HOST) as client:
            answer = await client.post("/login", data={"name": role, "password": PASSWORD})
        return answer.headers["set-cookie"].partition(";")[0]

    return apart(log_in())


@pytest.mark.parametrize("role", ["", "looker", "helper", "keeper"])
def test_each_part_may_what_it_may_on_the_pages(shared: Caller, role: str) -> None:
    may = {"": set(), "looker": {"look"}, "helper": {"look", "enter"}, "keeper": {"look", "enter", "edit"}}[
        role
    ]
    headers = {"Origin": HOST, "Cookie": cookie_of(shared, role)} if role else {"Origin": HOST}
    for method, path in OPERATIONS:
        place = re.sub(r"\{\w+\}", "1", path.replace("{layer}", "air"))
        how = {"If-Match": '"999"', "Idempotency-Key": new_key(), **headers}
        answer = shared.ask(
            method, place, headers=how, json={} if method in ("POST", "PUT", "PATCH") else None
        )
        told = (method, path, answer.status_code, answer.text[:200])
        if not role:
            assert answer.status_code == 401, told
        elif needs(method, path) in may:
            assert answer.status_code not in (401, 403), told
        else:
            assert answer.status_code == 403, told
        if answer.status_code >= 400:
            assert answer.headers["content-type"] == "application/problem+json", told
    assert shared.path.read_text("utf-8") == SMALL


def test_who_writes_stands_in_the_history(shared: Caller) -> None:
    headers = {
        "Origin": HOST,
        "Cookie": cookie_of(shared, "keeper"),
        "If-Match": '"1"',
        "Idempotency-Key": new_key(),
    }
    sent = {"values": [{"pointer": "/title", "typed": "x"}]}
    assert shared.ask("PATCH", "/plan", json=sent, headers=headers).json()["who"] == "keeper"


def test_a_page_of_another_site_cannot_write(small: Caller) -> None:
    headers = {"If-Match": '"1"', "Idempotency-Key": new_key(), "Origin": "http://evil.example"}
    answer = small.ask("POST", "/plan/undo", headers=headers)
    assert (answer.status_code, answer.headers["content-type"]) == (403, "application/problem+json")
