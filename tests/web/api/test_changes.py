"""Changes through the API: upon a revision, done once, refused with what would do."""

from __future__ import annotations

import itertools
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from .caller import SMALL, Caller, new_key

TITLE = "/title"


def value(pointer: str, typed: str, **more: str) -> dict[str, Any]:
    return {"values": [{"pointer": pointer, "typed": typed, **more}]}


def plan_on_disk(caller: Caller) -> dict[str, Any]:
    return tomllib.loads(caller.path.read_text("utf-8"))


# --- what a change does ---


@pytest.mark.parametrize(
    ("method", "path", "sent", "where", "stands"),
    [
        ("PATCH", "/plan", value("/rack_kind/low/depth", "0,5 m"), ("rack_kind", "low", "depth"), "0.5 m"),
        ("POST", "/plan/moves/rack", {"rack": "A", "along_m": 0.2}, ("rack", 0, "from_west"), "20 cm"),
        ("POST", "/plan/moves/tank", {"tank": "A1", "from_left_m": 0.1},
         ("rack", 0, "shelf", "1", 0, "from_left"), "10 cm"),
        ("POST", "/plan/elbow", {"tank": "A1", "angle_deg": 35}, ("tank", "A1", "overflow", "angle"), "35 deg"),
        ("POST", "/plan/tap", {"tank": "A2", "opening_share": 0.6}, ("tank", "A2", "air_opening"), "60 %"),
        ("POST", "/plan/taps", {"taps": [{"tank": "A1", "opening_share": 0.25}]},
         ("tank", "A1", "air_opening"), "25 %"),
        ("POST", "/plan/rows", {"pointer": "/pump/pump/curve", "toml": '["22 kPa", "1 L/min"]'},
         ("pump", "pump", "curve", 2, 0), "22 kPa"),
        ("POST", "/plan/begin", {"system": "feed"}, ("feed", "drip", "from"), "tap"),
        ("PUT", "/plan", {"text": SMALL.replace("Two tanks", "Zwei")}, ("title",), "Zwei"),
    ],
)  # fmt: skip
def test_a_change_stands_in_the_file_and_is_told(
    small: Caller, method: str, path: str, sent: Any, where: tuple[str | int, ...], stands: str
) -> None:
    answer = small.write(method, path, sent)
    assert answer.status_code == 200, answer.text
    told = answer.json()
    assert (told["number"], told["repeated"], told["who"], told["mistakes"]) == (2, False, "keeper", [])
    assert answer.headers["etag"] == '"2"'
    found: Any = plan_on_disk(small)
    for step in where:
        found = found[step]
    assert found == stands
    assert "# the owner's remark" in small.path.read_text("utf-8")
    assert small.get("/plan").json()["what"] == told["what"]


def test_an_island_is_moved_to_a_corner_and_a_row_taken_out(small: Caller) -> None:
    island = SMALL.replace('wall = "north"\nfrom_west = "50 cm"', 'at = ["50 cm", "50 cm"]\nfacing = "south"')
    assert small.write("PUT", "/plan", {"text": island}).status_code == 200
    moved = small.write("POST", "/plan/moves/rack", {"rack": "A", "at_m": [0.6, 0.7]})
    assert moved.status_code == 200, moved.text
    assert plan_on_disk(small)["rack"][0]["at"] == ["60 cm", "70 cm"]
    gone = small.write("DELETE", "/plan/rows?pointer=/rack&index=0")
    assert gone.status_code == 200, gone.text
    assert "rack" not in plan_on_disk(small)


def test_several_values_are_one_step_and_all_or_none(small: Caller) -> None:
    both = {
        "values": [{"pointer": TITLE, "typed": "Shed"}, {"pointer": "/rack_kind/low/depth", "typed": "45 cm"}]
    }
    assert small.write("PATCH", "/plan", both).json()["number"] == 2
    assert plan_on_disk(small)["title"] == "Shed"
    assert small.write("POST", "/plan/undo").json()["number"] == 3
    assert small.path.read_text("utf-8") == SMALL
    wrong = {
        "values": [{"pointer": TITLE, "typed": "Barn"}, {"pointer": "/rack_kind/low/depth", "typed": "45 L"}]
    }
    refused = small.write("PATCH", "/plan", wrong)
    assert refused.status_code == 422
    assert refused.json()["mistakes"][0]["found"] == '"45 L"'
    assert small.path.read_text("utf-8") == SMALL


def test_a_measured_value_keeps_its_day_and_a_table_is_written_as_toml(small: Caller) -> None:
    day = value("/rack_kind/low/depth", "41 cm", measured="2026-09-12")
    assert small.write("PATCH", "/plan", day).status_code == 200
    assert '{ value = "41 cm", measured = 2026-09-12 }' in small.path.read_text("utf-8")
    raw = {"values": [{"pointer": "/rack_kind/low/shelves", "toml": '["60 cm", "110 cm"]'}]}
    assert small.write("PATCH", "/plan", raw).status_code == 200
    assert plan_on_disk(small)["rack_kind"]["low"]["shelves"] == ["60 cm", "110 cm"]


def test_undo_redo_and_restore_walk_through_the_history(small: Caller) -> None:
    for title in ("one", "two"):
        small.write("PATCH", "/plan", value(TITLE, title))
    assert small.write("POST", "/plan/undo").status_code == 200
    assert plan_on_disk(small)["title"] == "one"
    assert small.write("POST", "/plan/redo").status_code == 200
    assert plan_on_disk(small)["title"] == "two"
    assert small.write("POST", "/plan/restore", {"number": 1}).status_code == 200
    assert small.path.read_text("utf-8") == SMALL
    nothing = small.write("POST", "/plan/redo")
    assert nothing.status_code == 422
    assert nothing.json()["mistakes"][0]["code"] == "LIVE-03"


def test_the_first_plan_is_written_over_number_nought(tmp_path: Path) -> None:
    empty = Caller(tmp_path / "new.toml")
    assert empty.get("/plan").json()["number"] == 0
    assert empty.get("/results").json()["type"] == "/api#no-plan"
    made = empty.write("PUT", "/plan", {"text": SMALL})
    assert (made.status_code, made.json()["number"]) == (200, 1)
    assert empty.path.read_text("utf-8") == SMALL


def test_a_text_with_mistakes_is_kept_and_they_are_told(small: Caller) -> None:
    broken = SMALL.replace('"100 cm"', '"100 kg"')
    told = small.write("PUT", "/plan", {"text": broken})
    assert told.status_code == 200
    [mistake] = told.json()["mistakes"]
    line = 1 + broken[: broken.index("100 kg")].count("\n")
    assert (mistake["found"], mistake["line"]) == ('length = "100 kg"', line)
    now = small.get("/plan").json()
    assert (now["number"], now["good_number"]) == (2, 1)
    results = small.get("/results")
    assert results.headers["content-location"] == "/api/v1/results?number=1"
    assert small.get("/room?number=2").json()["type"] == "/api#not-worked-out"


def test_a_file_that_is_gone_is_brought_back_and_nothing_else_is_written(small: Caller) -> None:
    small.path.unlink()
    small.live.reread()
    state = small.get("/plan")
    assert state.json()["trouble"]["code"] == "LIVE-01"
    assert state.headers["etag"] == '"1-LIVE-01"'
    assert small.write("PATCH", "/plan", value(TITLE, "x")).status_code == 422
    assert not small.path.exists()
    headers = {"If-Match": state.headers["etag"], "Idempotency-Key": new_key()}
    back = small.ask("POST", "/plan/restore", json={"number": 1}, headers=headers)
    assert back.status_code == 200
    assert small.path.read_text("utf-8") == SMALL


# --- upon a revision ---


@pytest.mark.parametrize(
    ("headers", "status", "kind"),
    [
        ({}, 428, "no-base"),
        ({"Idempotency-Key": "0123456789"}, 428, "no-base"),
        ({"If-Match": '"1"'}, 400, "no-key"),
        ({"If-Match": '"1"', "Idempotency-Key": "short"}, 400, "no-key"),
        ({"If-Match": '"1"', "Idempotency-Key": "k" * 81}, 400, "no-key"),
        ({"If-Match": '"1"', "Idempotency-Key": "with a blank"}, 400, "no-key"),
        ({"If-Match": "1", "Idempotency-Key": "0123456789"}, 400, "no-number"),
        ({"If-Match": "*", "Idempotency-Key": "0123456789"}, 400, "no-number"),
        ({"If-Match": 'W/"1"', "Idempotency-Key": "0123456789"}, 400, "no-number"),
        ({"If-Match": '"1", "2"', "Idempotency-Key": "0123456789"}, 400, "no-number"),
        ({"If-Match": '"-1"', "Idempotency-Key": "0123456789"}, 400, "no-number"),
    ],
)
def test_a_write_says_upon_what_and_under_which_key(
    small: Caller, headers: dict[str, str], status: int, kind: str
) -> None:
    answer = small.ask("PATCH", "/plan", json=value(TITLE, "x"), headers=headers)
    assert (answer.status_code, answer.json()["type"]) == (status, f"/api#{kind}")
    assert answer.headers["content-type"] == "application/problem+json"
    assert small.path.read_text("utf-8") == SMALL


def test_an_old_revision_gets_both_values_and_changes_nothing(small: Caller) -> None:
    small.write("PATCH", "/plan", value("/rack_kind/low/depth", "45 cm"))
    late = small.write("PATCH", "/plan", value("/rack_kind/low/depth", "50 cm"), base=1)
    assert late.status_code == 409
    told = late.json()
    assert (told["yours"], told["theirs"], told["number"]) == ("50 cm", "45 cm", 2)
    assert late.headers["etag"] == '"2"'
    assert plan_on_disk(small)["rack_kind"]["low"]["depth"] == "45 cm"


def test_an_old_text_gets_both_texts(small: Caller) -> None:
    small.write("PUT", "/plan", {"text": SMALL + "# theirs\n"})
    told = small.write("PUT", "/plan", {"text": SMALL + "# mine\n"}, base=1).json()
    assert (told["yours"], told["theirs"]) == (SMALL + "# mine\n", SMALL + "# theirs\n")


def test_a_change_made_in_an_editor_is_a_revision_like_any(small: Caller) -> None:
    small.path.write_text(SMALL.replace("Two tanks", "By hand"), "utf-8")
    late = small.write("PATCH", "/plan", value(TITLE, "mine"), base=1)
    assert late.status_code == 409
    assert late.json()["theirs"] == "By hand"
    assert small.write("PATCH", "/plan", value(TITLE, "mine"), base=2).status_code == 200


def test_three_programs_at_once_lose_nothing(small: Caller) -> None:
    """Each adds its remarks, and sends them again upon the newest revision whenever it came too late."""
    rounds, late = 8, itertools.count()

    def work(name: str) -> list[int]:
        made = []
        for turn in range(rounds):
            key = new_key()
            while True:
                now = small.get("/plan").json()
                text = now["text"] + f"# {name} {turn}\n"
                answer = small.write("PUT", "/plan", {"text": text}, base=now["number"], key=key)
                if answer.status_code == 200:
                    made.append(answer.json()["number"])
                    break
                assert answer.status_code == 409, answer.text
                next(late)
        return made

    names = ("Ada", "Bea", "Cis")
    with ThreadPoolExecutor(3) as pool:
        numbers = [number for made in pool.map(work, names) for number in made]
    assert sorted(numbers) == list(range(2, 2 + 3 * rounds))
    lines = small.path.read_text("utf-8").splitlines()
    assert [lines.count(f"# {name} {turn}") for name in names for turn in range(rounds)] == [1] * 3 * rounds
    assert small.get("/plan").json()["number"] == 1 + 3 * rounds


# --- done once ---


def test_a_key_sent_twice_is_done_once_and_answered_alike(small: Caller) -> None:
    key = new_key()
    first = small.write("PATCH", "/plan", value(TITLE, "once"), base=1, key=key)
    small.write("PATCH", "/plan", value(TITLE, "later"))
    again = small.write("PATCH", "/plan", value(TITLE, "once"), base=1, key=key)
    assert (first.status_code, again.status_code) == (200, 200)
    assert again.json() == {**first.json(), "repeated": True}
    assert again.headers["etag"] == first.headers["etag"]
    assert plan_on_disk(small)["title"] == "later"


@pytest.mark.parametrize(
    ("method", "path", "sent"),
    [
        ("PATCH", "/plan", value(TITLE, "kept")),
        ("PUT", "/plan", {"text": SMALL + "# more\n"}),
        ("POST", "/plan/moves/rack", {"rack": "A", "along_m": 0.3}),
        ("POST", "/plan/undo", None),
        ("POST", "/plan/restore", {"number": 1}),
    ],
)
def test_a_key_is_known_after_a_restart(small: Caller, method: str, path: str, sent: Any) -> None:
    small.write("PATCH", "/plan", value("/rack_kind/low/depth", "45 cm"))
    key = new_key()
    first = small.write(method, path, sent, base=2, key=key)
    assert (first.status_code, first.json()["number"]) == (200, 3)
    started_again = Caller(small.path)
    again = started_again.write(method, path, sent, base=2, key=key)
    assert again.status_code == 200, again.text
    assert again.json() == {**first.json(), "repeated": True}
    assert started_again.get("/plan").json()["number"] == 3


@pytest.mark.parametrize(
    ("method", "path", "sent"),
    [
        ("PATCH", "/plan", value(TITLE, "other")),
        ("PATCH", "/plan", value("/rack_kind/low/depth", "46 cm")),
        ("POST", "/plan/undo", None),
        ("POST", "/plan/restore", {"number": 1}),
    ],
)
def test_a_key_of_another_change_is_refused(small: Caller, method: str, path: str, sent: Any) -> None:
    key = new_key()
    assert small.write("PATCH", "/plan", value(TITLE, "first"), key=key).status_code == 200
    other = small.write(method, path, sent, key=key)
    assert (other.status_code, other.json()["type"]) == (422, "/api#key-used")
    assert plan_on_disk(small)["title"] == "first"


def test_a_change_that_was_refused_leaves_its_key_free(small: Caller) -> None:
    key = new_key()
    small.write("PATCH", "/plan", value("/rack_kind/low/depth", "45 cm"))
    assert small.write("PATCH", "/plan", value(TITLE, "x"), base=1, key=key).status_code == 409
    assert small.write("PATCH", "/plan", value(TITLE, "x"), base=2, key=key).json()["repeated"] is False


def test_a_change_of_nothing_makes_no_revision(small: Caller) -> None:
    key = new_key()
    for repeated in (False, True):
        told = small.write("PATCH", "/plan", value(TITLE, "Two tanks"), key=key).json()
        assert (told["number"], told["repeated"]) == (1, repeated)


# --- what cannot be ---

BAD = [
    ("PATCH", "/plan", value("/rack_kind/low/depth", "45 L"), "refused", "45 L"),
    ("PATCH", "/plan", value("/nowhere/at/all", "1"), "refused", ""),
    ("PATCH", "/plan", value("no pointer", "1"), "unreadable", "no pointer"),
    ("PATCH", "/plan", {"values": []}, "unreadable", ""),
    ("PATCH", "/plan", {"values": [{"pointer": TITLE}]}, "unreadable", ""),
    ("PATCH", "/plan", {"values": [{"pointer": TITLE, "typed": "a", "toml": '"a"'}]}, "unreadable", ""),
    ("PATCH", "/plan", {"values": [{"pointer": TITLE, "toml": '"a" # "b'}]}, "refused", ""),
    ("PATCH", "/plan", {"values": [{"pointer": TITLE, "toml": '"a"\n[x]'}]}, "refused", ""),
    ("PATCH", "/plan", value(TITLE, "a", measured="12.9.2026"), "unreadable", "12.9.2026"),
    ("PATCH", "/plan", value(TITLE, "a", extra="b"), "unreadable", "b"),
    ("PATCH", "/plan", [1, 2], "unreadable", ""),
    ("PUT", "/plan", {"text": 12}, "unreadable", "12"),
    ("POST", "/plan/moves/rack", {"rack": "Z", "along_m": 1}, "refused", ""),
    ("POST", "/plan/moves/rack", {"rack": "A", "along_m": 2.5}, "refused", "2.5 m"),
    ("POST", "/plan/moves/rack", {"rack": "A", "along_m": -0.1}, "unreadable", "-0.1"),
    ("POST", "/plan/moves/rack", {"rack": "A", "at_m": [1, 1]}, "refused", ""),
    ("POST", "/plan/moves/rack", {"rack": "A"}, "unreadable", ""),
    ("POST", "/plan/moves/rack", {"rack": "A", "along_m": "1 m"}, "unreadable", "1 m"),
    ("POST", "/plan/moves/tank", {"tank": "A9", "from_left_m": 0.1}, "refused", ""),
    ("POST", "/plan/elbow", {"tank": "A1", "angle_deg": 1000}, "unreadable", "1000"),
    ("POST", "/plan/tap", {"tank": "A1", "opening_share": 1.5}, "unreadable", "1.5"),
    ("POST", "/plan/tap", {"tank": "A9", "opening_share": 0.5}, "refused", ""),
    ("POST", "/plan/rows", {"pointer": "/pump/pump/curve", "toml": "22 kPa"}, "refused", ""),
    ("DELETE", "/plan/rows?pointer=/rack&index=7", None, "refused", ""),
    ("POST", "/plan/begin", {"system": "heat"}, "unreadable", "heat"),
    ("POST", "/plan/restore", {"number": 99}, "refused", ""),
    ("POST", "/plan/restore", {"number": 0}, "unreadable", "0"),
]


@pytest.mark.parametrize(("method", "path", "sent", "kind", "found"), BAD)
def test_what_cannot_be_is_refused_with_what_would_do(
    small: Caller, method: str, path: str, sent: Any, kind: str, found: str
) -> None:
    answer = small.write(method, path, sent)
    assert answer.status_code == 422, answer.text
    told = answer.json()
    assert told["type"] == f"/api#{kind}"
    assert set(told["mistakes"][0]) == {
        "code",
        "severity",
        "subject",
        "text",
        "found",
        "wanted",
        "try",
        "line",
    }
    assert told["mistakes"][0]["text"]
    assert found in told["mistakes"][0]["found"]
    assert small.path.read_text("utf-8") == SMALL


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (b"{", 400),
        (b'{"values": [{"pointer": "/title", "typed": "\\ud800"}]}', 422),
        (b"\xff\xfe", 400),
        (b"[" * 100_000, 400),
        (b'{"values": NaN}', 422),
        (b'{"text": "' + b"a" * 2_400_000 + b'"}', 422),
        (b" " * 2_600_000, 413),
    ],
    ids=["torn", "half a letter", "no utf-8", "deep", "no number", "long text", "too much"],
)
def test_a_body_that_is_none_is_a_problem_not_a_fault(small: Caller, sent: bytes, status: int) -> None:
    headers = {"If-Match": '"1"', "Idempotency-Key": new_key(), "Content-Type": "application/json"}
    answer = small.ask("PUT", "/plan", content=sent, headers=headers)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == status
    assert small.path.read_text("utf-8") == SMALL
