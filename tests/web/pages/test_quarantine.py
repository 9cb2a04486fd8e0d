"""Quarantine on its page: shut off, its clock told, opened by days or a reason, tools and washings written down."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest

from tankwright.husbandry.facts import Tally, came
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By
from tankwright.workspace.log import RoomLog

from .reader import SMALL, Reader


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def write(shed: Reader, form: str, **fields: str) -> tuple[int, str]:
    shed._sent += 1
    answer = shed.post(f"/quarantine/{form}", {"key": f"k{shed._sent}", "back": "/quarantine", **fields})
    return answer.status, answer.text


def log_of(shed: Reader) -> RoomLog:
    return RoomLog(shed.path, room=lambda: shed.good.room)


def test_looking_makes_no_logbook(shed: Reader) -> None:
    assert "Nothing is shut off" in shed.see("/quarantine").text
    assert shed.see("/trace?tank=A1").status == 200
    assert not log_of(shed).path.exists()


def test_tanks_are_shut_off_and_told_with_their_days(shed: Reader) -> None:
    assert write(shed, "shut", tanks="A1..A2", days="30")[0] == 303
    page = shed.see("/quarantine")
    assert "A1, A2" in page.text
    assert "0 s of 30 days gone, 30 days to go" in page.text or "30 days to go" in page.text
    assert "<svg" in page.markup
    assert write(shed, "shut", tanks="A2", days="10")[0] == 422, "shut off already"
    layer = shed.see("/?layer=quarantine").text
    assert "of 2 tanks shut off" in layer


@pytest.mark.parametrize(
    ("tanks", "days", "said"),
    [("A9", "30", "has no tank A9"), ("A1", "soon", "is no number of days"), ("A1", "-3", "is no number of days"),
     ("", "30", "names no id"), ("A1,,A2", "30", "empty place")],
)  # fmt: skip
def test_what_cannot_be_read_is_told_and_kept_as_typed(
    shed: Reader, tanks: str, days: str, said: str
) -> None:
    shed._sent += 1
    answer = shed.post("/quarantine/shut", {"key": "k", "back": "/quarantine", "tanks": tanks, "days": days})
    assert answer.status == 422
    assert said in answer.text
    assert f'value="{days}"' in answer.markup
    assert "Nothing is shut off" in shed.see("/quarantine").text


def test_release_needs_its_days_or_a_reason(shed: Reader) -> None:
    write(shed, "shut", tanks="A1", days="30")
    (one,) = log_of(shed).book.quarantines()
    status, text = write(shed, "release", quarantine=one.id, reason=" ")
    assert status == 422
    assert "a reason" in text
    assert log_of(shed).book.quarantines() == (one,)
    assert write(shed, "release", quarantine=one.id, reason="only eggs leave")[0] == 303
    (done,) = log_of(shed).book.quarantines(closed=True)
    assert done.released is not None
    assert done.reason == "only eggs leave"
    assert "Opened early, because: only eggs leave" in shed.see("/quarantine").text
    assert write(shed, "release", quarantine=one.id, reason="again")[0] == 422


def test_an_arrival_begins_the_days_again_and_they_need_no_reason_once_over(shed: Reader) -> None:
    log = log_of(shed)
    place = log.book.place_labelled("A1")
    assert place is not None
    now = log.now()
    opened = {"quarantine": "q", "places": (place.id,), "least_days": 30.0}
    log.book.record(
        [
            Draft(kind="quarantine_opened", happened=now - timedelta(days=50), details=opened),
            Draft(kind="stock_opened", happened=now - timedelta(days=40), stock="s",
                  details={"label": "new", "kind": "group"}),
            came("arrived", "s", place.id, Tally(number=4), now - timedelta(days=40)),
        ],
        By(who="AB"),
    )  # fmt: skip
    page = shed.see("/quarantine")
    assert "fish arrived: A1" in page.text
    assert "it may be opened" in page.text
    assert write(shed, "release", quarantine="q", reason="")[0] == 303


def test_a_net_is_written_down_used_and_told_where_it_went_wet(shed: Reader) -> None:
    write(shed, "shut", tanks="A1", days="30")
    assert write(shed, "tool", label="green net", hours="24", zone="")[0] == 303
    assert write(shed, "tool", label="green net", hours="24", zone="")[0] == 422
    assert write(shed, "tool", label="red net", hours="wet", zone="")[0] == 422
    (net,) = log_of(shed).book.tools()
    for tank in ("A1", "A2"):
        assert write(shed, "used", tool=net.id, tank=tank)[0] == 303
    page = shed.see("/quarantine")
    assert "SHUT-06" in page.markup
    traced = shed.see("/trace?tank=A1&way=on")
    assert "green net was in A1" in traced.text
    assert "A1 could have reached 1 tank" in traced.text
    assert "SHUT-06" in shed.see("/?layer=quarantine").markup


def test_a_washing_stops_the_trace_and_keeps_hands_out_of_the_list_of_nets(shed: Reader) -> None:
    write(shed, "tool", label="green net", hours="24", zone="")
    (net,) = log_of(shed).book.tools()
    write(shed, "used", tool=net.id, tank="A1")
    assert write(shed, "washed")[0] == 303
    assert write(shed, "washed")[0] == 303
    write(shed, "used", tool=net.id, tank="A2")
    assert "nothing that is written down" in shed.see("/trace?tank=A1").text
    assert {one.label for one in log_of(shed).book.tools()} == {"green net", "hands"}
    assert "hands" not in shed.see("/quarantine").part("tools")


def test_a_form_sent_twice_counts_once(shed: Reader) -> None:
    for _ in range(2):
        answer = shed.post(
            "/quarantine/shut", {"key": "one", "back": "/quarantine", "tanks": "A1", "days": "30"}
        )
    assert len(log_of(shed).book.quarantines()) == 1
    assert answer.status == 303


def test_the_order_says_to_wash_after_what_is_shut_off(shed: Reader) -> None:
    log = log_of(shed)
    place = log.book.place_labelled("A2")
    assert place is not None
    log.book.record(
        [
            Draft(
                kind="stock_opened", happened=log.now(), stock="s", details={"label": "old", "kind": "group"}
            ),
            came("found", "s", place.id, Tally(number=4), log.now()),
        ],
        By(who="AB"),
    )
    write(shed, "shut", tanks="A1", days="30")
    order = shed.see("/quarantine").part("order")
    assert re.findall(r'<li class="(wash|stop)">', order) == ["stop", "stop"]
    assert order.index("A2: usual") < order.index("A1: shut off")
    been = shed.see("/quarantine?been=A1").part("order")
    assert re.findall(r'<li class="(wash|stop)">', been) == ["wash", "stop", "stop"]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("group=100&share=5", "test 45 of 100: if 5 or more of them are ill, at least one is found 95 % of the time"),
        ("group=50&share=5", "is no whole number of fish; 2 was taken"),
        ("group=12&share=10", "ask for a number of ill fish"),
        ("group=10&ill=1&misses=50", "no number of fish will do"),
        ("tested=30", "up to 9.5 % could still be ill"),
        ("tested=30&group=40", "up to 2 of the 40 could still be ill"),
        ("tested=5&positive=9", "cannot be worked out"), ("group=many&ill=1", "cannot be worked out"),
        ("group=2.5&ill=1", "counted whole"), ("group=1e999&ill=1", "cannot be worked out"),
        ("group=nan&ill=1", "cannot be worked out"),
    ],
)  # fmt: skip
def test_the_sample_helper_never_says_free(shed: Reader, asked: str, said: str) -> None:
    page = plain_numbers(shed.see(f"/quarantine?{asked}").text)
    assert said in page
    assert "disease-free" not in page


def plain_numbers(text: str) -> str:
    return text.replace("\u202f", " ").replace("\xa0", " ")


def test_no_such_form_and_no_such_tank(shed: Reader) -> None:
    assert write(shed, "nothing")[0] == 404
    assert write(shed, "used", tool="x", tank="A9")[0] == 422
    assert write(shed, "used", tool="x", tank="A1")[0] == 422
    assert write(shed, "cleaned", tool="x")[0] == 422


@pytest.mark.parametrize("asked", ["tank=A9", "tank=A1&since=soon", "tank=A1&since=2999-01-01"])
def test_a_trace_of_what_is_not_there_or_not_yet_is_told(shed: Reader, asked: str) -> None:
    write(shed, "shut", tanks="A1", days="30")
    page = shed.see(f"/trace?{asked}")
    assert page.status == 200
    assert 'class="error"' in page.markup


def test_hands_are_told_apart(shed: Reader) -> None:
    log = log_of(shed)
    first, second = log.book.place_labelled("A1"), log.book.place_labelled("A2")
    assert first is not None
    assert second is not None
    now = log.now()
    log.book.record(
        [
            Draft(kind="tested", happened=now - timedelta(minutes=50), place=first.id),
            Draft(kind="tested", happened=now - timedelta(minutes=40), place=second.id),
        ],
        By(who="AB"),
    )
    page = shed.see("/trace?tank=A1")
    assert "AB worked at A1 and 10 min later at A2" in page.part("hands")
    assert 'id="reached"' not in page.markup
