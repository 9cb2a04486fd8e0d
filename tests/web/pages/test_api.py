"""The page about the API: every operation with a line that does what it says, every refusal by its name."""

from __future__ import annotations

import html
import re
import shlex
import time
from pathlib import Path

import pytest

from tankwright.web.api.app import described
from tankwright.web.api.listing import subjects
from tankwright.web.api.problems import KINDS

from ..api.caller import Caller, example, new_key
from .reader import SMALL, Reader

LINES = [one.example for subject in subjects() for one in subject.operations]


@pytest.fixture
def reader(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def test_every_operation_and_every_refusal_is_on_the_page(reader: Reader) -> None:
    page = reader.see("/api")
    assert page.status == 200
    told = [
        (method, path) for method, path in re.findall(r'method">(\w+)</b> <code>([^<]+)</code>', page.markup)
    ]
    known = [
        (method.upper(), f"/api/v1{path}") for path, ways in described()["paths"].items() for method in ways
    ]
    assert sorted(told) == sorted(known)
    for name, kind in KINDS.items():
        row = re.search(rf'<tr id="{name}">.*?</tr>', page.markup, re.DOTALL)
        assert row is not None, name
        assert str(kind.status) in row[0]
        assert html.escape(kind.title, quote=False) in row[0]


def test_the_lines_name_the_number_of_the_plan_as_it_is_now(reader: Reader) -> None:
    reader.send("/", change="value", path="/title", typed="Other")
    lines = [
        html.unescape(one)
        for one in re.findall(r"<pre[^>]*>(.*?)</pre>", reader.see("/api").markup, re.DOTALL)
    ]
    assert sum('If-Match: "2"' in one for one in lines) == sum("If-Match" in one for one in LINES) > 10
    assert not any('"41"' in one for one in lines)


@pytest.mark.parametrize("line", LINES, ids=lambda line: line.partition("9400")[2][:40] or "line")
def test_a_line_to_try_does_what_it_says(tmp_path: Path, line: str) -> None:
    """Sent as the shell would send it, over the example room whose names the lines use."""
    plan = tmp_path / "plan.toml"
    plan.write_text(example("cellar"), "utf-8")
    caller = Caller(plan)
    if any(one in line for one in ("/undo", "/redo", "/restore", "/entries/1", "jobs/", "/year")):
        line = _prepare(caller, line)
    words = shlex.split(line)
    method = words[words.index("-X") + 1] if "-X" in words else "GET"
    headers = dict(words[place + 1].split(": ", 1) for place, word in enumerate(words) if word == "-H")
    if "If-Match" in headers:
        headers["If-Match"] = f'"{caller.live.snapshot.number}"'
    body = words[words.index("-d") + 1] if "-d" in words else None
    if body == "@plan.json":
        body = '{"text": "title = \\"Cellar\\"\\n"}'
    if "/restore" in line:
        body = '{"number": 1}'
    if "Idempotency-Key" in headers:
        headers["Idempotency-Key"] = new_key()
    assert words[-1].startswith("http://127.0.0.1:9400/api/v1")
    answer = caller.ask(
        method, words[-1].removeprefix("http://127.0.0.1:9400/api/v1"), headers=headers, content=body
    )
    assert answer.status_code in (200, 201, 202), answer.text


def _prepare(caller: Caller, line: str) -> str:
    """Make what the line is about: a step to take back or to do again, an entry, a job. The line with its number."""
    if "/entries" in line:
        headers = {"Idempotency-Key": new_key()}
        stored = caller.ask("POST", "/entries", headers=headers, json={"tank": "A1", "kind": "fed"}).json()
        return line.replace("/entries/1", f"/entries/{stored['id']}")
    if "/year" in line:
        caller.ask("POST", "/jobs", json={"kind": "year"})
        until = time.monotonic() + 60.0
        while caller.get("/year").status_code == 404 and time.monotonic() < until:
            time.sleep(0.1)
    elif "/jobs" in line:
        caller.live.idle.clear()
        caller.ask("POST", "/jobs", json={"kind": "assumptions"})
        caller.ask("DELETE", "/jobs/assumptions-1")
        caller.live.idle.set()
    else:
        caller.write("PATCH", "/plan", {"values": [{"pointer": "/title", "typed": "x"}]})
        if "/redo" in line:
            caller.write("POST", "/plan/undo")
    return line
