"""What the disk may do to an open plan: refuse, be full, be torn, be taken away, be cut off at any instant."""

from __future__ import annotations

import errno
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tankwright.workspace import disk, ledger
from tankwright.workspace.live import LivePlan

from .rooms import TITLED, applied, live, noticed, put, refused, titled

CHILD = Path(__file__).with_name("kill_child.py")


def names(folder: Path) -> list[str]:
    return sorted(place.name for place in folder.iterdir())


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder whose rights count also for a test that root runs."""
    folder = Path(tempfile.mkdtemp(prefix="tankwright-"))
    me = os.geteuid()
    try:
        if me == 0:
            os.chown(folder, 65534, 65534)
            os.seteuid(65534)
        yield folder
    finally:
        folder.chmod(0o755)
        for below in folder.iterdir():
            below.chmod(0o755)
        os.seteuid(me)
        shutil.rmtree(folder)


def test_a_folder_that_may_only_be_read_gives_a_clear_no(open_folder: Path) -> None:
    plan = live(open_folder)
    open_folder.chmod(0o555)
    said = refused(plan.edit(titled("a"), base=1, key="", who="Ada")).findings[0]
    assert (said.code, said.text) == ("LIVE-02", "cannot be written: its folder may only be read")
    assert names(open_folder) == ["plan.toml"]
    assert plan.snapshot.number == 1


def test_a_file_that_may_only_be_read_gives_a_clear_no(open_folder: Path) -> None:
    plan = live(open_folder)
    plan.path.chmod(0o444)
    assert "file may only be read" in refused(put(plan, "a = 1")).findings[0].text
    assert names(open_folder) == ["plan.toml"]


def test_a_file_that_may_not_be_read_is_said(open_folder: Path) -> None:
    plan = live(open_folder)
    plan.path.chmod(0o000)
    assert noticed(plan)
    assert plan.snapshot.trouble is not None
    assert "permission" in plan.snapshot.trouble.text


def test_a_plan_with_a_history_can_be_looked_at_where_nothing_may_be_written(open_folder: Path) -> None:
    plan = live(open_folder)
    applied(plan.edit(titled("a"), base=1, key="", who="Ada"))
    plan.path.write_text(TITLED, "utf-8")
    (plan.folder / "lock").unlink()
    plan.folder.chmod(0o555)
    (plan.folder / "revisions.jsonl").chmod(0o444)
    open_folder.chmod(0o555)
    looked = LivePlan(plan.path)
    assert (looked.snapshot.number, looked.snapshot.what) == (3, "changed outside")
    assert looked.text_at(2) == TITLED.replace("first", "a")
    refused(looked.undo(base=3, key="", who="Ada"))


def test_a_folder_that_is_not_there_gives_a_clear_no(tmp_path: Path) -> None:
    plan = LivePlan(tmp_path / "nowhere" / "plan.toml")
    assert "its folder is not there" in refused(plan.begin(TITLED, who="", key="")).findings[0].text
    assert names(tmp_path) == []


@pytest.mark.parametrize("name", ["a" * 300 + ".toml", "a\x00b.toml", "", "con\n.toml"])
def test_a_name_no_file_can_have_raises_nothing(name: str, tmp_path: Path) -> None:
    plan = LivePlan(tmp_path / name if name else Path())
    outcome = put(plan, TITLED)
    assert plan.snapshot.number == (1 if name.startswith("con") else 0)
    assert type(outcome).__name__ == ("Applied" if name.startswith("con") else "Refused")


def test_a_file_where_the_folder_should_be_gives_a_clear_no(tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.folder.write_text("mine", "utf-8")
    assert refused(plan.edit(titled("a"), base=1, key="", who="")).findings[0].code == "LIVE-02"
    assert plan.path.read_text("utf-8") == TITLED


def full(*_: Any, **__: Any) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("where", ["tankwright.workspace.journal._write", "tankwright.plan.writing._replace"])
def test_a_full_disk_refuses_and_leaves_nothing_of_it(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    before = (plan.folder / "revisions.jsonl").read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(where, full)
        assert "o space left" in refused(plan.edit(titled("b"), base=2, key="k", who="")).findings[0].text
    assert (plan.folder / "revisions.jsonl").read_bytes() == before
    assert "a" in plan.path.read_text("utf-8")
    outcome = applied(plan.edit(titled("b"), base=2, key="k", who=""))
    assert (outcome.number, outcome.repeated) == (3, False)
    assert LivePlan(plan.path).snapshot.text == TITLED.replace("first", "b")


class Killed(BaseException):
    """Stands for a kill at one known instant: nothing after it runs."""


def dies(*_: Any, **__: Any) -> Any:
    raise Killed


@pytest.mark.parametrize(
    ("instant", "stands"),
    [
        ("tankwright.workspace.journal._write", "a"),
        ("tankwright.workspace.ledger.write_plan", "b"),
        ("tankwright.workspace.ledger.sync_folder", "b"),
        ("tankwright.workspace.revisions.RevisionStore.confirm", "b"),
    ],
)
def test_a_kill_between_two_steps_leaves_all_of_an_edit_or_nothing(
    instant: str, stands: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    with monkeypatch.context() as patch:
        patch.setattr(instant, dies)
        with pytest.raises(Killed):
            plan.edit(titled("b"), base=2, key="k", who="Ada")
    for again in (LivePlan(plan.path), LivePlan(plan.path), plan):
        noticed(again)
        assert again.snapshot.text == again.path.read_text("utf-8") == TITLED.replace("first", stands)
        assert again.snapshot.number == (3 if stands == "b" else 2)
        assert again.snapshot.trouble is None
    outcome = applied(plan.edit(titled("b"), base=2, key="k", who="Ada"))
    assert (outcome.number, outcome.repeated) == (3, stands == "b")
    assert names(tmp_path) == ["plan.tankwright", "plan.toml"]


def test_a_kill_while_the_first_plan_is_begun_is_finished_at_the_next_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path, None)
    with monkeypatch.context() as patch:
        patch.setattr(ledger, "write_plan", dies)
        with pytest.raises(Killed):
            plan.begin(TITLED, who="Ada", key="b")
    assert not plan.path.exists()
    again = LivePlan(plan.path)
    assert (again.snapshot.number, again.path.read_text("utf-8")) == (1, TITLED)
    assert applied(again.begin(TITLED, who="Ada", key="b")).repeated


def test_what_a_kill_left_beside_the_plan_is_swept_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(ledger, "write_plan", dies)
        with pytest.raises(Killed):
            plan.edit(titled("b"), base=1, key="", who="")
    (tmp_path / ".plan.toml.x1.new").write_text("half", "utf-8")
    (tmp_path / ".other.toml.x1.new").write_text("not mine", "utf-8")
    assert LivePlan(plan.path).snapshot.number == 2
    assert names(tmp_path) == [".other.toml.x1.new", "plan.tankwright", "plan.toml"]


def test_an_unfinished_edit_never_overwrites_what_somebody_wrote_since(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(ledger, "write_plan", dies)
        with pytest.raises(Killed):
            plan.edit(titled("b"), base=1, key="", who="")
    plan.path.write_text(TITLED.replace("first", "by hand"), "utf-8")
    again = LivePlan(plan.path)
    assert (again.snapshot.number, again.snapshot.what) == (3, "changed outside")
    assert "by hand" in again.path.read_text("utf-8")
    assert again.text_at(2) == TITLED.replace("first", "b")


def test_a_file_put_back_after_a_finished_edit_is_a_change_from_outside(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    plan.path.write_text(TITLED, "utf-8")
    again = LivePlan(plan.path)
    assert (again.snapshot.number, again.snapshot.text, again.snapshot.what) == (3, TITLED, "changed outside")


@pytest.mark.parametrize("torn", [b'{"number":3,"at":"2026', b"\x00\x00\x00", b"{", b'{"number":3}'])
def test_a_torn_last_line_is_dropped_and_written_over(torn: bytes, tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    history = plan.folder / "revisions.jsonl"
    with history.open("ab") as file:
        file.write(torn)
    again = LivePlan(plan.path)
    assert again.snapshot.number == 2
    assert applied(again.edit(titled("b"), base=2, key="", who="")).number == 3
    for line in history.read_bytes().splitlines():
        json.loads(line)
    assert LivePlan(plan.path).text_at(3) == TITLED.replace("first", "b")


def test_damaged_lines_cost_their_own_texts_only(tmp_path: Path) -> None:
    plan = live(tmp_path, "a = 0\n")
    for number in range(1, 10):
        applied(put(plan, f"a = {number}\n"))
    history = plan.folder / "revisions.jsonl"
    lines = history.read_bytes().splitlines(keepends=True)
    place = next(index for index, line in enumerate(lines) if b'"number":5' in line)
    lines[place] = b"garbage, not JSON\n"
    history.write_bytes(b"".join(lines))
    again = LivePlan(plan.path)
    assert (again.snapshot.number, again.snapshot.text) == (10, "a = 9\n")
    assert [again.text_at(number) for number in (1, 4, 5, 6)] == ["a = 0\n", "a = 3\n", None, None]
    assert refused(again.restore(6, base=10, key="", who="")).findings[0].code == "LIVE-04"
    assert again.compare(1, 6) is None
    applied(put(again, "a = 10\n"))
    assert LivePlan(plan.path).text_at(11) == "a = 10\n"


def test_a_history_that_is_taken_away_goes_on_from_the_newest_number(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="k", who=""))
    shutil.rmtree(plan.folder)
    assert applied(plan.edit(titled("b"), base=2, key="", who="")).number == 3
    assert applied(plan.edit(titled("a"), base=1, key="k", who="")).repeated
    assert LivePlan(plan.path).text_at(2) == TITLED.replace("first", "a")


@pytest.mark.parametrize("content", [b"", b"[]\n", b'{"number":0}\n{"number":"x"}\n{"done":"x"}\n', b"\n\n"])
def test_a_history_of_something_else_raises_nothing(content: bytes, tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.folder.mkdir()
    (plan.folder / "revisions.jsonl").write_bytes(content)
    again = LivePlan(plan.path)
    assert again.snapshot.text == TITLED
    assert (
        applied(again.edit(titled("a"), base=again.snapshot.number, key="", who="")).snapshot.undo_steps == 1
    )


def test_two_processes_share_numbers_keys_and_conflicts(tmp_path: Path) -> None:
    one, other = live(tmp_path), LivePlan(tmp_path / "plan.toml")
    applied(one.edit(titled("a"), base=1, key="k", who="Ada"))
    assert type(other.edit(titled("b"), base=1, key="l", who="Bo")).__name__ == "Conflict"
    assert other.snapshot.number == 2
    assert applied(other.edit(titled("a"), base=1, key="k", who="Ada")).repeated
    applied(other.edit(titled("b"), base=2, key="l", who="Bo"))
    assert one.reread()
    assert (one.snapshot.number, one.snapshot.who) == (3, "Bo")
    assert [item.kind for item in one.revisions()] == ["edit", "edit", "begin"]
    applied(one.undo(base=3, key="", who="Ada"))
    assert noticed(other)
    assert other.snapshot.redo_steps == 1


def test_what_only_one_process_saw_gives_way_to_what_another_wrote_down(tmp_path: Path) -> None:
    one, other = live(tmp_path), LivePlan(tmp_path / "plan.toml")
    one.path.write_text(TITLED.replace("first", "by hand"), "utf-8")
    assert noticed(one)
    assert noticed(other)
    applied(other.edit(titled("b"), base=2, key="", who="Bo"))
    assert noticed(one)
    assert one.snapshot.number == 3
    applied(one.edit(titled("c"), base=3, key="", who="Ada"))
    numbers = [item.number for item in LivePlan(one.path).revisions()]
    assert numbers == [4, 3, 2, 1]


def test_a_folder_somebody_holds_for_long_gives_a_clear_no(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    hold: Callable[..., Any] = disk.held
    monkeypatch.setattr(ledger, "held", lambda folder: hold(folder, 0.05))
    with disk.held(plan.folder):
        said = refused(plan.edit(titled("b"), base=2, key="", who="")).findings[0]
        assert "held by another program" in said.text
        assert not plan.reread()
        assert LivePlan(plan.path).snapshot.number == 2
    assert applied(plan.edit(titled("b"), base=2, key="", who="")).number == 3


def test_a_kill_at_any_instant_loses_nothing_confirmed(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, str(CHILD), str(tmp_path), "25"],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    told = json.loads(ran.stdout)
    assert told["kills"] == 25
    assert told["confirmed"] > 20, "at least one edit a kill, but for each fifth kill"
