"""Kills a process in the middle of editing, again and again, and holds what is left against what it confirmed.

Run by test_live_disk.py as a program of its own, so that what it forks has one thread and starts at once.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from pathlib import Path

from tankwright.plan.changes import SetText
from tankwright.workspace.live import Applied, LivePlan


def edit_for_ever(place: Path, tell: int) -> None:
    plan = LivePlan(place)
    while True:
        number = plan.snapshot.number
        outcome = plan.edit(SetText(f"title = '{number}'\n"), base=number, key=f"k{number}", who="child")
        if not isinstance(outcome, Applied) or outcome.number != number + 1:
            os._exit(3)
        os.write(tell, outcome.number.to_bytes(4, "big"))


def edit_and_kill(place: Path, after: float, *, wait: bool) -> int:
    """The newest number that was confirmed before the kill; 0 when none was.

    With `wait` the time counts from the first edit that was confirmed, else from the start.
    """
    hear, tell = os.pipe()
    child = os.fork()
    if not child:
        os.close(hear)
        try:
            edit_for_ever(place, tell)
        finally:
            os._exit(4)
    os.close(tell)
    told = os.read(hear, 4) if wait else b""
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the child ended by itself"
    while piece := os.read(hear, 65536):
        told += piece
    os.close(hear)
    return int.from_bytes(told[-4:], "big") if told else 0


def check(place: Path, confirmed: int) -> None:
    """All confirmed edits are there, at most one more, and nothing half done."""
    plan = LivePlan(place)
    number, text = plan.snapshot.number, plan.snapshot.text
    assert confirmed <= number <= confirmed + 1, (confirmed, number)
    assert text == f"title = '{number - 1}'\n" == place.read_text("utf-8")
    assert [one.number for one in plan.revisions(10_000)] == list(range(number, 0, -1))
    for one in range(max(number - 60, 2), number + 1):
        assert plan.text_at(one) == f"title = '{one - 1}'\n"
    left = {one.name for one in place.parent.iterdir()} - {place.name, plan.folder.name}
    assert not left, left
    again = plan.edit(SetText(text), base=number - 1, key=f"k{number - 1}", who="child")
    assert isinstance(again, Applied)
    assert again.repeated


def main(folder: Path, kills: int) -> None:
    lot = random.Random(20260802)
    place = folder / "plan.toml"
    place.write_text("title = '0'\n", "utf-8")
    confirmed = 1
    for turn in range(kills):
        wait = turn % 5 != 0
        confirmed = max(edit_and_kill(place, lot.random() * 0.03, wait=wait), confirmed)
        if confirmed > 1:
            check(place, confirmed)
            confirmed = LivePlan(place).snapshot.number
    sys.stdout.write(json.dumps({"kills": kills, "confirmed": confirmed}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
