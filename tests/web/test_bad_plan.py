"""What happens to the plan's file and to the program while pages are open: nothing confirmed is lost, all is said."""

from __future__ import annotations

import errno
import gc
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

import httpx
import pytest

from tankwright.plan.changes import SetValue
from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.made import MadeOnce
from tankwright.web.pages.all import PAGES
from tankwright.workspace import journal, passwords
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.live import LivePlan
from tankwright.workspace.opened import Opened

from .apart import apart
from .conftest import OpenRoom
from .rooms import Process
from .test_bad_input import SMALL, Sender, told


@pytest.fixture
def sender(tmp_path: Path) -> Sender:
    return Sender(tmp_path, SMALL)


def noticed(sender: Sender) -> None:
    """As the server does every half second; what cannot be read is met twice."""
    for _ in range(3):
        sender.live.reread()


# --- the file ------------------------------------------------------------------------------------------------------

Do = Callable[[Path], object]


def _put(content: bytes) -> Do:
    return lambda plan: plan.write_bytes(content)


def _instead(make: Do) -> Do:
    def do(plan: Path) -> None:
        plan.unlink()
        make(plan)

    return do


TAKEN: Final[dict[str, tuple[Do, str]]] = {
    "a folder": (_instead(lambda plan: plan.mkdir()), "cannot be read"),
    "gone": (lambda plan: plan.unlink(), "is no longer there; nothing is written in its place"),
    "a pipe": (_instead(os.mkfifo), "it is no file"),
    "a device": (_instead(lambda plan: plan.symlink_to("/dev/zero")), "it is no file"),
    "a dead link": (_instead(lambda plan: plan.symlink_to("nowhere")), "is no longer there"),
    "a link to itself": (_instead(lambda plan: plan.symlink_to(plan)), "cannot be read"),
    "zero bytes in it": (_put(b"title = 1\0"), "holds zero bytes"),
    "another encoding": (_put('title = "é"'.encode("latin-1")), "is not UTF-8"),
    "too large": (_put(b"#" * 2_100_000), "is larger than 2 MB"),
}


@pytest.mark.parametrize("how", TAKEN)
def test_a_file_taken_away_under_the_open_pages_is_said_and_nothing_is_written_over_it(
    how: str, sender: Sender
) -> None:
    do, words = TAKEN[how]
    assert sender.edit(change="value", path="/title", typed="Before").status_code == 303
    do(sender.plan)
    noticed(sender)
    for page in PAGES:
        answer = sender.ask("GET", page.path.replace("{tank}", "A1"))
        assert answer.status_code == 200
        assert str(sender.plan.parent) not in answer.text
    refused = sender.edit(change="value", path="/rack/0/from_west", typed="61 cm", back="/?at=A")
    assert refused.status_code == 422
    assert words in told(refused) + refused.text
    assert "61 cm" in refused.text, "what was typed is still there"
    entry = {"key": "k", "kind": "looked", "tank": "A1", "back": "/t/A1"}
    assert sender.ask("POST", "/enter", data=entry).status_code == 303, (
        "what was seen at the tanks is not lost by it"
    )
    back = sender.plan
    if back.is_dir():
        back.rmdir()
    else:
        back.unlink(missing_ok=True)
    back.write_text(SMALL.replace("Two tanks", "Put back"), "utf-8")
    noticed(sender)
    assert (
        sender.edit(change="value", path="/rack/0/from_west", typed="61 cm", back="/?at=A").status_code == 303
    )
    assert "Put back" in back.read_text("utf-8")


@pytest.mark.parametrize("broken", ["[[rack\n", "a = = 1\n", "[" * 5000, "[rack_kind.low]\n", "\ufeff[[x\n"])
def test_a_plan_that_no_longer_parses_shows_the_last_good_one_and_each_mistake_at_its_line(
    broken: str, sender: Sender
) -> None:
    sender.plan.write_text(SMALL + broken, "utf-8")
    noticed(sender)
    snapshot = sender.live.snapshot
    assert snapshot.number == 2
    assert snapshot.good is not None
    assert snapshot.good_number == 1
    assert snapshot.read.mistakes
    text = sender.ask("GET", "/text").text
    line = snapshot.read.mistakes[0].line
    assert line == (SMALL + broken).rstrip("\n").count("\n") + 1
    assert f'href="#line-{line}"' in text
    for page in ("/", "/air", "/racks"):
        answer = sender.ask("GET", page)
        assert answer.status_code == 200
    assert 'id="stale"' in sender.ask("GET", "/").text
    refused = sender.edit(change="value", path="/title", typed="Mine", back="/")
    assert refused.status_code == 422
    assert "the plan cannot be edited" in told(refused)
    assert sender.edit(change="undo", key="u").status_code == 303
    assert sender.plan.read_text("utf-8") == SMALL


@pytest.mark.parametrize("what", ["write", "fsync", "mkstemp"])
def test_a_full_disk_refuses_in_words_and_what_was_there_stays(
    what: str, sender: Sender, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert sender.edit(change="value", path="/title", typed="Before").status_code == 303
    before = sender.plan.read_bytes()

    def full(*_: object, **__: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as now:
        if what == "mkstemp":
            now.setattr("tempfile.mkstemp", full)
        else:
            now.setattr(journal.os, what, full)
        refused = sender.edit(change="value", path="/rack/0/from_west", typed="61 cm", back="/?at=A")
        assert refused.status_code == 422
        assert "o space left on device" in told(refused)
        assert sender.plan.read_bytes() == before
    assert (
        sender.edit(change="value", path="/rack/0/from_west", typed="62 cm", back="/?at=A").status_code == 303
    )
    again = LivePlan(sender.plan)
    assert (again.snapshot.number, again.snapshot.text) == (3, sender.plan.read_text("utf-8"))
    left = {one.name for one in sender.plan.parent.iterdir()}
    assert left == {"plan.toml", "plan.tankwright"}


def test_a_history_that_is_garbage_or_gone_loses_the_history_alone(sender: Sender) -> None:
    assert sender.edit(change="value", path="/title", typed="Before").status_code == 303
    (sender.live.folder / "revisions.jsonl").write_bytes(b'\0garbage\n{}\n[1]\n{"number": "x"}\n\xff\n')
    (sender.live.folder / "entries.jsonl").write_bytes(b'{"id": 1}\nnull\n{"id": "x", "kind": [1]}\n')
    (sender.live.folder / "settings.json").write_bytes(b'{"people": 7, "language": "../../x"}')
    noticed(sender)
    for page in PAGES:
        assert sender.ask("GET", page.path.replace("{tank}", "A1")).status_code == 200
    assert sender.edit(change="value", path="/title", typed="After").status_code == 303
    shutil.rmtree(sender.live.folder)
    noticed(sender)
    assert sender.edit(change="value", path="/title", typed="Last").status_code == 303
    assert 'title = "Last"' in sender.plan.read_text("utf-8")


def test_two_servers_on_one_plan_do_not_write_over_each_other(sender: Sender) -> None:
    other = Sender(sender.plan.parent, "")
    assert sender.edit(change="value", path="/title", typed="One").status_code == 303
    late = other.edit(change="value", path="/rack/0/from_west", typed="61 cm", back="/?at=A")
    assert late.status_code == 409, "it stood on the revision before"
    assert other.live.snapshot.number == 2
    assert (
        other.edit(change="value", path="/rack/0/from_west", typed="61 cm", key="2", back="/").status_code
        == 303
    )
    noticed(sender)
    assert (sender.live.snapshot.number, sender.live.snapshot.text) == (3, other.live.snapshot.text)
    both: list[int] = []

    def push(which: Sender, key: str) -> None:
        for turn in range(5):
            fields = {"change": "value", "path": "/title", "typed": f"{key}{turn}", "key": f"{key}{turn}"}
            while (answer := which.edit(**fields)).status_code == 409:
                noticed(which)
            both.append(answer.status_code)

    threads = [threading.Thread(target=push, args=(one, name)) for one, name in ((sender, "a"), (other, "b"))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert both == [303] * 10
    assert LivePlan(sender.plan).snapshot.number == 13


def test_two_people_who_move_one_rack_see_both_places(sender: Sender) -> None:
    assert sender.edit(change="rack", rack="A", along="0.7", key="mine").status_code == 303
    late = sender.edit(change="rack", rack="A", along="0.9", base="1", key="theirs")
    assert late.status_code == 409
    assert "somebody else changed the plan meanwhile" in told(late)
    assert "70 cm" in told(late)
    assert "90 cm" in told(late)
    assert 'from_west = "70 cm"' in sender.plan.read_text("utf-8")


@pytest.mark.parametrize("along", ["99", "-1", "1e300", "nan", "x", "", "2.1"])
def test_a_rack_dragged_out_of_the_room_stays_where_it_was(along: str, sender: Sender) -> None:
    answer = sender.edit(change="rack", rack="A", along=along, key=along)
    assert answer.status_code in (400, 422)
    assert sender.plan.read_text("utf-8") == SMALL
    if answer.status_code == 422:
        assert "would stand outside shed" in told(answer)


def test_a_rack_dragged_onto_another_is_drawn_there_and_said_to_be_a_problem(sender: Sender) -> None:
    second = '\n[[rack]]\nid = "B"\nkind = "low"\nroom = "shed"\nwall = "north"\nfrom_west = "180 cm"\n'
    sender.edit(change="text", typed=SMALL + second, back="/text")
    assert sender.edit(change="rack", rack="B", along="0.6", key="on it").status_code == 303
    good = sender.live.snapshot.good
    assert good is not None
    assert "LAYOUT-03" in {one.code for one in good.findings}


def test_a_file_keeps_its_own_ends_of_lines_whoever_edits_it(sender: Sender) -> None:
    sender.plan.write_bytes(SMALL.replace("\n", "\r\n").encode())
    noticed(sender)
    assert sender.edit(change="value", path="/title", typed="By a field").status_code == 303
    for sent in ("\n", "\r\n"):
        text = SMALL.replace("Two tanks", f"By the text {len(sent)}").replace("\n", sent)
        assert sender.edit(change="text", typed=text, key=f"k{len(sent)}", back="/text").status_code == 303
        assert sender.plan.read_bytes() == text.replace("\r\n", "\n").replace("\n", "\r\n").encode()


def test_a_look_at_the_disk_that_fails_is_not_the_last_one(
    room: OpenRoom, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    served = room(SMALL)
    real, looks = served.live.reread, [0]

    def once_bad() -> bool:
        looks[0] += 1
        if looks[0] == 1:
            raise MemoryError
        return real()

    monkeypatch.setattr(served.live, "reread", once_bad)
    served.plan_path.write_text(SMALL.replace("Two tanks", "Changed outside"), "utf-8")
    end = time.monotonic() + 20
    while served.live.snapshot.number < 2 and time.monotonic() < end:
        time.sleep(0.05)
    assert served.live.snapshot.what == "changed outside"
    assert "looking at the plan's file failed" in caplog.text


# --- the program -----------------------------------------------------------------------------------------------------


def test_a_clock_that_jumps_back_mixes_up_no_revision(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(SMALL, "utf-8")
    now = [datetime(2026, 8, 2, 7, tzinfo=UTC)]
    live = LivePlan(plan, now=lambda: now[0])
    for number, step in enumerate(
        (timedelta(), timedelta(days=-400), timedelta(hours=3), timedelta(days=9000)), 1
    ):
        now[0] += step
        live.edit(SetValue(("title",), f"T{number}"), base=number, key=str(number), who="Ada")
        assert live.snapshot.number == number + 1
    again = LivePlan(plan, now=lambda: datetime(1970, 1, 1, tzinfo=UTC))
    assert [one.number for one in again.revisions()] == [5, 4, 3, 2, 1]
    assert again.undo(base=5, key="u", who="Ada").snapshot.text.count('"T3"') == 1


def test_a_server_started_twice_on_one_port_says_so_and_leaves_the_first_alone(
    process: Callable[..., Process], tmp_path: Path
) -> None:
    first = process()
    words = [sys.executable, "-m", "tankwright", "open", str(first.plan_path), "--no-browser"]
    second = subprocess.run(
        [*words, "--port", str(first.port)], capture_output=True, text=True, timeout=60, check=False
    )
    assert second.returncode == 2
    assert f"port {first.port} is taken" in second.stderr
    assert "Traceback" not in second.stderr
    assert httpx.get(first.url, timeout=20).status_code == 200


def test_a_kill_in_the_middle_of_quick_edits_loses_nothing_that_was_confirmed(
    process: Callable[..., Process],
) -> None:
    program = process()
    edits: list[tuple[int, str]] = []
    entries: list[str] = []

    def push_edits() -> None:
        with httpx.Client(base_url=program.url, timeout=20) as client:
            for turn in range(1, 51):
                wanted = {"values": [{"pointer": "/title", "typed": f"T{turn}"}]}
                headers = {"if-match": f'"{turn}"', "idempotency-key": f"key-of-{turn}"}
                answer = client.patch("/api/v1/plan", json=wanted, headers=headers)
                edits.append((answer.json()["number"], f"T{turn}"))

    def push_entries() -> None:
        with httpx.Client(base_url=program.url, timeout=20, headers={"accept": "application/json"}) as client:
            for turn in range(500):
                fields = {"key": f"e{turn}", "kind": "looked", "tank": "A1"}
                if client.post("/enter", data=fields).status_code == 200:
                    entries.append(f"e{turn}")

    threads = [threading.Thread(target=_until_cut, args=(do,)) for do in (push_edits, push_entries)]
    for thread in threads:
        thread.start()
    end = time.monotonic() + 30
    while len(edits) < 12 and time.monotonic() < end:
        time.sleep(0.01)
    program.kill()
    for thread in threads:
        thread.join(30)
    assert 12 <= len(edits) < 50
    assert entries
    program.restart()
    state = httpx.get(f"{program.url}/api/v1/plan", timeout=20).json()
    assert edits[-1][0] <= state["number"] <= edits[-1][0] + 1, "the one on its way may be whole"
    assert state["text"] == program.plan_path.read_text("utf-8")
    for number, title in edits:
        text = httpx.get(f"{program.url}/api/v1/revisions/{number}", timeout=20).json()["text"]
        assert f'title = "{title}"' in text
    kept = [one.key for one in EntryBook(program.plan_path).all()]
    assert set(entries) <= set(kept)
    assert len(kept) == len(set(kept))
    assert not [one for one in program.plan_path.parent.iterdir() if one.name.endswith(".new")]


def _until_cut(do: Callable[[], None]) -> None:
    try:
        do()
    except (httpx.HTTPError, ValueError):
        return


def test_however_many_edits_only_a_few_states_stay_in_memory(tmp_path: Path) -> None:
    sender = Sender(tmp_path, SMALL)
    for turn in range(40):
        assert sender.edit(change="value", path="/title", typed=f"T{turn}").status_code == 303
        for page in ("/", "/?layer=load", "/text", f"/api/v1/results?number={turn + 1}"):
            assert sender.ask("GET", page).status_code == 200
    gc.collect()
    alive = sum(isinstance(one, Opened) and one.path == sender.plan for one in gc.get_objects())
    assert alive <= 20, f"{alive} of 41 states"


def test_many_threads_that_want_one_thing_get_the_same_one() -> None:
    plan = LivePlan(Path("nowhere") / "plan.toml")
    snapshot = plan.snapshot
    snapshot = replace(snapshot, good=snapshot.read)
    store, got, start = MadeOnce(), [], threading.Barrier(8)

    def want() -> None:
        start.wait()
        got.append(store.keep(snapshot, "thing", lambda _: object()))

    threads = [threading.Thread(target=want) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({id(one) for one in got}) == 1


def test_a_name_nobody_has_costs_one_check_like_a_wrong_password(monkeypatch: pytest.MonkeyPatch) -> None:
    work: list[tuple[Any, ...]] = []
    real = passwords._scrypt

    def counted(password: str, salt: bytes, *cost: int) -> bytes:
        work.append(cost)
        return real(password, salt, 2, *cost[1:])

    people = PeopleInMemory()
    people.put("Ada", "keeper", "four plain words")
    monkeypatch.setattr(passwords, "_scrypt", counted)
    for name in ("Ada", "Nobody"):
        work.clear()
        door = Access(people, secret=b"s" * 32)
        came = apart(door.log_in(name, "a wrong password", "192.168.1.20"))
        assert came.person is None
        assert work == [(passwords.COST, passwords.BLOCK, passwords.LANES)], name
