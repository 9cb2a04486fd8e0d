"""Entries and jobs through the API: each entry once, each job one."""

from __future__ import annotations

import time
from typing import Any

import httpx
import jsonschema
import pytest

from tankwright.web.api.app import described

from .caller import Caller, new_key


def enter(caller: Caller, sent: dict[str, Any], key: str | None = None) -> httpx.Response:
    return caller.ask("POST", "/entries", json=sent, headers={"Idempotency-Key": key or new_key()})


def take_back(caller: Caller, entry: int, key: str | None = None) -> httpx.Response:
    return caller.ask("POST", f"/entries/{entry}/undo", headers={"Idempotency-Key": key or new_key()})


PH = {"tank": "A1", "kind": "ph", "value": 7.2, "happened": "2026-10-04T20:30:00+02:00"}


def test_an_entry_is_stored_once_and_keeps_the_time_of_the_tap(small: Caller) -> None:
    key = new_key()
    first = enter(small, PH, key)
    assert first.status_code == 201
    assert first.headers["location"] == f"/api/v1/entries/{first.json()['id']}"
    assert first.json()["happened"] == "2026-10-04T18:30:00Z"
    started_again = Caller(small.path)
    again = enter(started_again, PH, key)
    assert again.status_code == 200
    assert again.json() == {**first.json(), "repeated": True}
    assert len(started_again.get("/entries").json()["entries"]) == 1


def test_an_entry_needs_no_number_of_the_plan(small: Caller) -> None:
    """It may have waited in a phone while the plan went on."""
    sent = {"values": [{"pointer": "/title", "typed": "later"}]}
    assert small.write("PATCH", "/plan", sent).status_code == 200
    assert enter(small, PH).status_code == 201


def test_an_entry_is_taken_back_by_one_that_says_so(small: Caller) -> None:
    entry = enter(small, PH).json()["id"]
    key = new_key()
    undone = take_back(small, entry, key)
    assert (undone.json()["undoes"], undone.json()["repeated"]) == (entry, False)
    assert take_back(small, entry, key).json() == {**undone.json(), "repeated": True}
    assert take_back(small, entry).json()["id"] == undone.json()["id"]
    newest, first = small.get("/entries").json()["entries"]
    assert (newest["undoes"], first["taken_back"]) == (entry, True)
    assert small.get(f"/entries/{entry}").json()["taken_back"] is True
    assert take_back(small, entry + 9).status_code == 404


def test_a_time_that_is_still_to_come_is_not_believed_and_that_is_said(small: Caller) -> None:
    told = enter(small, {**PH, "happened": "2150-01-01T00:00:00Z"}).json()
    assert told["happened"] < "2150"
    assert "ahead" in told["said"]


def test_a_key_of_another_entry_is_refused(small: Caller) -> None:
    key = new_key()
    first = enter(small, PH, key)
    assert first.status_code == 201
    others = (
        {**PH, "value": 7.4},
        {**PH, "tank": "A2"},
        {**PH, "note": "drops"},
        {"tank": "A1", "kind": "fed"},
    )
    for other in others:
        answer = enter(small, other, key)
        assert (answer.status_code, answer.json()["type"]) == (422, "/api#key-used")
    assert take_back(small, first.json()["id"], key).json()["type"] == "/api#key-used"


def test_entries_can_be_asked_for_by_tank_and_kind_and_in_pages(small: Caller) -> None:
    ids = [
        enter(small, {"tank": tank, "kind": kind}).json()["id"]
        for tank, kind in (("A1", "fed"), ("A2", "fed"), ("A1", "looked"), ("A1", "fed"))
    ]
    told = small.get("/entries?tank=A1&kind=fed").json()["entries"]
    assert [one["id"] for one in told] == [ids[3], ids[0]]
    page = small.get("/entries?limit=3").json()
    assert ([one["id"] for one in page["entries"]], page["next_before"]) == (ids[:0:-1], ids[1])
    assert small.get(f"/entries?limit=3&before={ids[1]}").json()["next_before"] is None


@pytest.mark.parametrize(
    ("sent", "kind"),
    [
        ({"tank": "A9", "kind": "fed"}, "refused"),
        ({"tank": "A1", "kind": "ph"}, "refused"),
        ({"tank": "A1", "kind": "ph", "value": 72}, "refused"),
        ({"tank": "A1", "kind": "temperature", "value": 24, "unit": "K"}, "refused"),
        ({"tank": "A1", "kind": "note"}, "refused"),
        ({"tank": "A1", "kind": "dead", "value": 1.5}, "refused"),
        ({"tank": "A1", "kind": "danced"}, "unreadable"),
        ({"tank": "A1", "kind": "ph", "value": "7,2"}, "unreadable"),
        ({"tank": "", "kind": "fed"}, "unreadable"),
        ({"tank": "A1", "kind": "fed", "happened": "2026-10-04T20:30:00"}, "unreadable"),
        ({"tank": "A1", "kind": "fed", "happened": "0001-01-01T00:00:00+14:00"}, "unreadable"),
        ({"tank": "A1", "kind": "fed", "happened": 1}, "unreadable"),
        ({"tank": "A1", "kind": "note", "note": "n" * 2001}, "unreadable"),
    ],
)
def test_an_entry_that_cannot_be_is_refused(small: Caller, sent: dict[str, Any], kind: str) -> None:
    answer = enter(small, sent)
    assert (answer.status_code, answer.json()["type"]) == (422, f"/api#{kind}"), answer.text
    assert small.get("/entries").json()["entries"] == []


def test_an_entry_without_a_key_is_refused(small: Caller) -> None:
    assert small.ask("POST", "/entries", json=PH).json()["type"] == "/api#no-key"


def until_done(caller: Caller, job: str) -> dict[str, Any]:
    end = time.monotonic() + 30
    while True:
        told: dict[str, Any] = caller.get(f"/jobs/{job}").json()
        if told["state"] not in ("waiting", "running"):
            return told
        assert time.monotonic() < end, told
        time.sleep(0.05)


def test_the_ranking_of_assumptions_is_a_job_that_shows_how_far_it_is(small: Caller) -> None:
    started = small.ask("POST", "/jobs", json={"kind": "assumptions"})
    assert started.status_code == 202
    assert started.headers["location"] == "/api/v1/jobs/assumptions-1"
    assert (
        small.ask("POST", "/jobs", json={"kind": "assumptions", "number": 1}).json()["id"] == "assumptions-1"
    )
    done = until_done(small, "assumptions-1")
    assert done["state"] == "done"
    assert done["done"] == done["of"] > 0
    untried = small.get("/results").json()["assumptions"]
    assert {one["key"] for one in done["result"]} == {one["key"] for one in untried}
    assert any(one["tried"] for one in done["result"])
    weights = [one["weight"] for one in done["result"]]
    assert weights == sorted(weights, reverse=True)
    assert [one["id"] for one in small.get("/jobs").json()["jobs"]] == ["assumptions-1"]


def test_a_job_can_be_ended(small: Caller) -> None:
    small.live.idle.clear()  # as while an edit is on its way: the job steps aside
    small.ask("POST", "/jobs", json={"kind": "assumptions"})
    ended = small.ask("DELETE", "/jobs/assumptions-1")
    assert ended.json()["state"] == "cancelled"
    small.live.idle.set()
    assert until_done(small, "assumptions-1")["state"] == "cancelled"
    assert small.ask("DELETE", "/jobs/assumptions-9").status_code == 404


def test_a_job_about_no_revision_is_refused(small: Caller) -> None:
    answer = small.ask("POST", "/jobs", json={"kind": "assumptions", "number": 9})
    assert answer.json()["type"] == "/api#not-found"


def test_a_year_is_there_once_it_was_asked_for(small: Caller) -> None:
    refused = small.get("/year")
    assert refused.status_code == 404
    assert "POST /jobs" in refused.json()["detail"]
    started = small.ask("POST", "/jobs", json={"kind": "year"}).json()
    done = until_done(small, started["id"])
    assert (done["state"], done["result"]) == ("done", None)
    told = small.get("/year")
    assert told.status_code == 200
    schema = described()["components"]["schemas"]
    jsonschema.Draft202012Validator({**schema["Year"], "components": {"schemas": schema}}).validate(
        told.json()
    )
    assert told.json()["energy_kwh"] is None
    assert "[climate]" in told.json()["not_computed"][0]["remedy"]


def deed(caller: Caller, sent: dict[str, Any], key: str | None = None) -> httpx.Response:
    return caller.ask("POST", "/deeds", json=sent, headers={"Idempotency-Key": key or new_key()})


TETRAS = {
    "kind": "arrived",
    "tank": "A1",
    "value": 12,
    "label": "Tetras",
    "line": "Creek",
    "species": "Danio rerio",
}


def test_a_deed_is_done_once_and_what_lives_where_follows(small: Caller) -> None:
    assert small.get("/fish").json() == {"at": None, "fish": []}
    key = new_key()
    first = deed(small, TETRAS, key)
    assert first.status_code == 201
    assert [one["kind"] for one in first.json()["events"]] == ["line_opened", "stock_opened", "arrived"]
    again = deed(small, TETRAS, key)
    assert (again.status_code, again.json()["repeated"]) == (200, True)
    moved = deed(small, {"kind": "moved", "tank": "A1", "value": 5, "to": "A2"}).json()["events"][0]
    assert moved["says"] == "5 Tetras moved from A1 to A2"
    assert [(one["account"], one["quantity"], one["tank"]) for one in moved["flows"]] == [
        ("held", -5, "A1"), ("held", 5, "A2"),
    ]  # fmt: skip
    told = small.get("/fish").json()["fish"]
    assert [(one["tank"], one["stock"], one["fish"], one["line"]) for one in told] == [
        ("A1", "Tetras", 7, "Creek"), ("A2", "Tetras", 5, "Creek"),
    ]  # fmt: skip
    assert [one["tank"] for one in small.get("/fish?tank=A2").json()["fish"]] == ["A2"]
    assert small.get("/fish?at=2020-01-01T00:00:00Z").json()["fish"] == []
    assert [one["label"] for one in small.get("/stocks").json()["stocks"]] == ["Tetras"]


def test_a_deed_that_cannot_be_is_refused_with_what_there_was(small: Caller) -> None:
    deed(small, TETRAS)
    answer = deed(small, {"kind": "died", "tank": "A1", "value": 13})
    assert (answer.status_code, answer.json()["type"]) == (422, "/api#refused")
    assert "has 12 and cannot give 13" in answer.json()["mistakes"][0]["text"]
    assert deed(small, {"kind": "danced", "tank": "A1"}).json()["type"] == "/api#unreadable"


def test_events_are_listed_newest_first_with_what_voids_them(small: Caller) -> None:
    deed(small, TETRAS)
    died = deed(small, {"kind": "died", "tank": "A1", "value": 2}).json()["events"][0]
    deed(small, {"kind": "struck", "tank": "A1", "event": died["id"], "reason": "only asleep"})
    newest, *rest = small.get("/events?tank=A1").json()["events"]
    assert (newest["id"], newest["voided"], newest["says"]) == (died["id"], "only asleep", "2 Tetras died")
    assert {one["voided"] for one in rest} == {None}
    assert [one["kind"] for one in small.get("/events?kind=arrived").json()["events"]] == ["arrived"]
    assert len(small.get("/events?stock=Tetras").json()["events"]) == 3
    page = small.get("/events?stock=Tetras&limit=2").json()
    assert (len(page["events"]), page["next_skip"]) == (2, 2)
    assert small.get("/events?tank=Q9").json() == {"events": [], "next_skip": None}
