"""An open plan against a simple model of it, step by step, and with many at it at once."""

from __future__ import annotations

import tempfile
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from tankwright.plan.changes import SetText
from tankwright.workspace.live import Applied, Conflict, LivePlan
from tankwright.workspace.revisions import STEPS, delta

from .rooms import ROOM, Clock, applied, conflict, live, noticed, refused, titled

TEXTS = st.sampled_from(
    [
        "a = 1\n",
        "a = 2\n",
        'title = "x"\n',
        'title = "é\U0001f41f"\r\n',
        "",
        "broken = \n",
        "# only a remark",
        ROOM,
    ]
) | st.text(alphabet="ab=\n", max_size=12)
KEYS = st.sampled_from(["", "k1", "k2", "k3", "k4"])


@dataclass
class Model:
    """All texts from number 1, where the steps lead, and which keys were stored."""

    texts: list[str] = field(default_factory=list)
    back: list[int] = field(default_factory=list)
    forth: list[int] = field(default_factory=list)
    keys: dict[str, int] = field(default_factory=dict)
    stored: int = 0

    @property
    def number(self) -> int:
        return len(self.texts)

    def step(self, text: str) -> None:
        if self.texts:
            self.back = [*self.back, self.number][-STEPS:]
        self.forth = []
        self.texts.append(text)


class LiveMachine(RuleBasedStateMachine):
    """Every way a text can change, in any order, with restarts in between."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.place = Path(self.folder.name) / "plan.toml"
        self.clock = Clock()
        self.model = Model()

    def teardown(self) -> None:
        self.folder.cleanup()

    @initialize(text=st.none() | TEXTS)
    def start(self, text: str | None) -> None:
        if text is not None:
            self.place.write_bytes(text.encode())
            self.model.step(text)
        self.open()

    def open(self) -> None:
        self.plan = LivePlan(self.place, now=self.clock)

    def wrote(self, text: str, key: str) -> None:
        self.model.step(text)
        self.keep(key)

    def keep(self, key: str) -> None:
        self.model.stored = self.model.number
        if key:
            self.model.keys[key] = self.model.number

    @rule(text=TEXTS, key=KEYS, late=st.sampled_from([0, 0, 0, 0, -1, 1, 3]))
    def edit(self, text: str, key: str, late: int) -> None:
        before = self.model.number
        outcome = self.plan.edit(SetText(text), base=before + late, key=key, who="Ada")
        if key in self.model.keys:
            assert (applied(outcome).repeated, applied(outcome).number) == (True, self.model.keys[key])
        elif late:
            assert conflict(outcome).theirs == (self.model.texts[-1] if before else "")
        elif before and text == self.model.texts[-1]:
            assert applied(outcome).number == before
            if key:
                self.model.keys[key] = before
        else:
            assert applied(outcome).number == before + 1
            self.wrote(text, key)

    @rule(key=KEYS)
    def undo(self, key: str) -> None:
        self.walk("undo", key)

    @rule(key=KEYS)
    def redo(self, key: str) -> None:
        self.walk("redo", key)

    def walk(self, way: str, key: str) -> None:
        model = self.model
        outcome = getattr(self.plan, way)(base=model.number, key=key, who="Bo")
        source, target = (model.back, model.forth) if way == "undo" else (model.forth, model.back)
        if key in model.keys:
            assert applied(outcome).repeated
        elif not source:
            assert refused(outcome).findings[0].code == "LIVE-03"
        else:
            applied(outcome)
            text = model.texts[source.pop() - 1]
            target.append(model.number)
            del target[:-STEPS]
            model.texts.append(text)
            self.keep(key)

    @precondition(lambda self: self.model.texts)
    @rule(data=st.data(), key=KEYS)
    def restore(self, data: st.DataObject, key: str) -> None:
        model = self.model
        number = data.draw(st.integers(1, model.number))
        outcome = applied(self.plan.restore(number, base=model.number, key=key, who="Ada"))
        if key in model.keys:
            assert outcome.repeated
        elif model.texts[number - 1] == model.texts[-1]:
            assert outcome.number == model.number
            if key:
                model.keys[key] = model.number
        else:
            self.wrote(model.texts[number - 1], key)

    @rule(text=TEXTS)
    def outside(self, text: str) -> None:
        self.place.write_bytes(text.encode())
        assert noticed(self.plan) == (not self.model.texts or text != self.model.texts[-1])
        self.took_in(text)

    @rule(text=TEXTS)
    def outside_and_edit_at_once(self, text: str) -> None:
        self.place.write_bytes(text.encode())
        outcome = self.plan.edit(titled("late"), base=-1, key="", who="Ada")
        assert isinstance(outcome, Conflict)
        self.took_in(text)

    def took_in(self, text: str) -> None:
        if not self.model.texts or text != self.model.texts[-1]:
            self.model.step(text)
            if self.plan.folder.is_dir():
                self.model.stored = self.model.number

    @rule(text=st.none() | TEXTS)
    def restart(self, text: str | None) -> None:
        """Also with a change of the file while nobody watched; what stood in memory only is gone then."""
        if text is not None:
            self.place.write_bytes(text.encode())
        if not self.model.stored:
            self.model = Model()
        else:
            self.model.keys = {
                key: number for key, number in self.model.keys.items() if number in self.keyed(key)
            }
        if self.place.exists():
            now = self.place.read_bytes().decode()
            if not self.model.texts or now != self.model.texts[-1]:
                self.model.step(now)
        if self.model.stored:
            self.model.stored = self.model.number
        self.open()

    def keyed(self, key: str) -> set[int]:
        """Keys of edits that changed nothing are not in the history."""
        return {one.number for one in self.plan.revisions(10_000) if one.key == key}

    @invariant()
    def all_is_as_the_model_says(self) -> None:
        if not hasattr(self, "plan"):
            return
        snapshot, model = self.plan.snapshot, self.model
        text = model.texts[-1] if model.texts else ""
        assert (snapshot.number, snapshot.text) == (model.number, text)
        assert (snapshot.undo_steps, snapshot.redo_steps) == (len(model.back), len(model.forth))
        assert snapshot.trouble is None
        if model.texts:
            assert self.place.read_bytes().decode() == text
        assert [self.plan.text_at(number + 1) for number in range(model.number)] == model.texts
        assert [one.number for one in self.plan.revisions(10_000)] == list(range(model.number, 0, -1))
        assert self.plan.folder.is_dir() == bool(model.stored)
        assert (snapshot.good is snapshot.read) == (snapshot.read.room is not None)


TestLiveMachine = LiveMachine.TestCase
TestLiveMachine.settings = settings(
    max_examples=40, stateful_step_count=25, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="ab\n\U0001f41f", max_size=30), st.text(alphabet="ab\n\U0001f41f", max_size=30))
def test_a_delta_applied_gives_the_new_text(old: str, new: str) -> None:
    start, removed, added = delta(old, new)
    assert old[start : start + len(removed)] == removed
    assert old[:start] + added + old[start + len(removed) :] == new
    assert delta(new, old) == (start, added, removed)


def test_eight_at_once_lose_no_edit(tmp_path: Path) -> None:
    plan = live(tmp_path)
    wins: list[list[tuple[int, str]]] = [[] for _ in range(8)]
    start = threading.Barrier(8)

    def edit(person: int) -> None:
        start.wait()
        for turn in range(12):
            for again in range(200):
                title = f"{person}-{turn}"
                outcome = plan.edit(
                    titled(title), base=plan.snapshot.number, key=f"{title}-{again}", who=str(person)
                )
                if isinstance(outcome, Applied):
                    wins[person].append((outcome.number, title))
                    assert outcome.snapshot.number >= outcome.number
                    break
                assert isinstance(outcome, Conflict)

    with ThreadPoolExecutor(8) as people:
        list(people.map(edit, range(8)))
    won = sorted(win for mine in wins for win in mine)
    assert [number for number, _ in won] == list(range(2, 2 + 8 * 12))
    again = LivePlan(plan.path)
    assert again.snapshot.number == plan.snapshot.number == 97
    for number, title in won:
        text = again.text_at(number)
        assert text is not None
        assert text.startswith(f'title = "{title}"')
        revision = next(one for one in again.revisions(200) if one.number == number)
        assert revision.who == title.split("-")[0]


def test_one_edit_sent_eight_times_at_once_is_done_once(tmp_path: Path) -> None:
    plan = live(tmp_path)
    with ThreadPoolExecutor(8) as senders:
        outcomes = list(
            senders.map(lambda _: applied(plan.edit(titled("a"), base=1, key="k", who="")), range(8))
        )
    assert sorted(one.repeated for one in outcomes) == [False] + [True] * 7
    assert plan.snapshot.number == 2


def test_a_snapshot_is_there_while_an_edit_is_worked_out(tmp_path: Path) -> None:
    plan = live(tmp_path)
    entered, go_on = threading.Event(), threading.Event()
    work_out = plan.shelf.open

    def slow(text: str) -> object:
        entered.set()
        assert go_on.wait(10)
        return work_out(text)

    plan.shelf.open = slow  # type: ignore[method-assign, assignment] # stands for a room that takes long
    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(plan.edit, titled("a"), base=1, key="", who="")
        assert entered.wait(10)
        assert not plan.idle.is_set()
        assert plan.snapshot.number == 1
        assert '"a"' in plan.path.read_text("utf-8"), "it is on the disk before it is worked out"
        second = pool.submit(plan.edit, titled("b"), base=2, key="", who="")
        while '"b"' not in plan.path.read_text("utf-8"):
            assert not second.done()
        go_on.set()
        assert applied(first.result(10)).snapshot.number >= 2
        assert applied(second.result(10)).snapshot.number == 3
    assert plan.idle.is_set()


def test_the_latest_edit_wins_and_the_ones_between_are_not_worked_out(tmp_path: Path) -> None:
    plan = live(tmp_path)
    worked: list[str] = []
    entered, go_on = threading.Event(), threading.Event()
    work_out = plan.shelf.open

    def slow(text: str) -> object:
        worked.append(text.split('"')[1])
        entered.set()
        assert go_on.wait(10)
        return work_out(text)

    plan.shelf.open = slow  # type: ignore[method-assign, assignment] # stands for a room that takes long
    with ThreadPoolExecutor(5) as pool:
        edits = [pool.submit(plan.edit, titled("e1"), base=1, key="", who="")]
        assert entered.wait(10)
        for number in range(2, 6):
            edits.append(pool.submit(plan.edit, titled(f"e{number}"), base=number, key="", who=""))
            while f'"e{number}"' not in plan.path.read_text("utf-8"):
                assert not edits[-1].done()
        go_on.set()
        outcomes = [applied(edit.result(10)) for edit in edits]
    assert worked == ["e1", "e5"]
    assert [one.number for one in outcomes] == [2, 3, 4, 5, 6]
    assert plan.snapshot.number == 6
