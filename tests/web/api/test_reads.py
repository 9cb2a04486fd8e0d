"""What the API tells: the same as the files, the commands and the study say."""

from __future__ import annotations

import gzip
import itertools
import json
import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

import jsonschema
import pytest
from click.testing import CliRunner

from tankwright.cli.main import main
from tankwright.drawing.results import LAYERS
from tankwright.explain.all import workings
from tankwright.finding import Severity
from tankwright.web.api import results
from tankwright.web.api.app import described
from tankwright.web.api.problems import KINDS
from tankwright.workspace.opened import open_plan

from .caller import SMALL, Caller, example

MakePlan = Callable[[str], Path]


@pytest.fixture
def cellar(plan: MakePlan) -> Caller:
    return Caller(plan(example("cellar")))


def test_the_plan_is_told_with_its_number_and_not_again_to_who_has_it(small: Caller) -> None:
    answer = small.get("/plan")
    told = answer.json()
    assert (told["number"], told["text"], told["mistakes"], told["trouble"]) == (1, SMALL, [], None)
    assert answer.headers["etag"] == '"1"'
    for tag in ('"1"', 'W/"1"', '"7", "1"', "*"):
        again = small.get("/plan", headers={"If-None-Match": tag})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", '"1"')
    assert small.get("/plan", headers={"If-None-Match": '"2"'}).status_code == 200


@pytest.mark.parametrize(
    ("pointer", "typed", "toml"),
    [
        ("/title", "Two tanks", '"Two tanks"'),
        ("/rack/0/from_west", "50 cm", '"50 cm"'),
        ("/rack/id=A/from_west", "50 cm", '"50 cm"'),
        ("/rack_kind/low/shelves", "60 cm", '["60 cm"]'),
    ],
)
def test_one_value_is_told_as_typed_and_as_written(
    small: Caller, pointer: str, typed: str, toml: str
) -> None:
    answer = small.get(f"/plan/value?pointer={quote(pointer)}")
    told = answer.json()
    assert (told["typed"], told["toml"], told["number"]) == (typed, toml, 1)
    assert toml in SMALL.splitlines()[told["line"] - 1]
    assert small.get("/plan/value?pointer=/rack/0/nothing").status_code == 404


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_whole_results_are_those_of_the_command(plan: MakePlan, name: str) -> None:
    path = plan(example(name))
    said = CliRunner().invoke(main, ["check", "--json", "--no-assumptions", str(path)])
    of_command = json.loads(said.output)
    answer = Caller(path).get("/results")
    told = answer.json()
    assumed = told.pop("assumptions")
    assert of_command.pop("assumptions") == []
    assert (
        told["faults"] is None
    )  # a state of the plan has one answer for good: faults are tried at any time later
    of_command["findings"] = [one for one in of_command["findings"] if not one["code"].startswith("FAULT-")]
    assert {**told, "faults": None} == {**of_command, "faults": None}
    opened = open_plan(path)
    assert opened.room is not None
    assert [one["key"] for one in assumed] == [one.key for one in opened.room.assumed]
    assert not any(one["tried"] for one in assumed)
    assert answer.headers["content-location"] == "/api/v1/results?number=1"


def test_whole_results_fit_the_schema_of_the_command_as_the_description_has_it(cellar: Caller) -> None:
    text = described()
    schema = {**text["components"]["schemas"]["Results"], "components": text["components"]}
    jsonschema.Draft202012Validator(schema).validate(cellar.get("/results").json())


def test_the_room_stands_where_the_study_has_it(cellar: Caller) -> None:
    told = cellar.get("/room").json()
    room = open_plan(cellar.path).room
    assert room is not None
    assert [one["id"] for one in told["tanks"]] == [one.id for one in room.tanks]
    for rack, known in zip(told["racks"], room.racks, strict=True):
        box = known.box
        assert (rack["id"], rack["corner_m"], rack["opposite_corner_m"]) == (
            known.id, [box.x0, box.y0, box.z0], [box.x1, box.y1, box.z1],
        )  # fmt: skip
        assert rack["length_m"] * rack["depth_m"] == pytest.approx((box.x1 - box.x0) * (box.y1 - box.y0))


def test_findings_can_be_asked_for_by_system_severity_and_place(cellar: Caller) -> None:
    opened = open_plan(cellar.path)
    everything = cellar.get("/findings").json()["findings"]
    assert len(everything) == len(opened.findings) > 10
    for system, severity, place in itertools.product(
        (None, "air", "drain"), (None, "warning", "not computed"), (None, "A3")
    ):
        asked = {"system": system, "severity": severity, "place": place}
        told = cellar.get("/findings", params={name: one for name, one in asked.items() if one}).json()
        wanted = [
            one for one in opened.findings
            if (system is None or one.code.startswith(system.upper() + "-"))
            and (severity is None or one.severity is Severity(severity))
            and (place is None or place in one.places)
        ]  # fmt: skip
        assert [one["code"] for one in told["findings"]] == [one.code for one in wanted]
        assert len(told["words"]) == len(wanted)
        assert not any(re.search(r"\{\w+\}", words) for words in told["words"])


def test_every_working_can_be_asked_for(cellar: Caller) -> None:
    study = open_plan(cellar.path).study
    assert study is not None
    known = workings(study)
    listed = cellar.get("/workings").json()["workings"]
    assert [one["name"] for one in listed] == list(known)
    begins = cellar.get("/workings?begins=A3.").json()["workings"]
    assert [one["name"] for one in begins] == [name for name in known if name.startswith("A3.")]
    for name in [one["name"] for one in begins]:
        told = cellar.get(f"/workings/{quote(name, safe='')}").json()
        assert told["number"]["value"] == pytest.approx(known[name].number.value, nan_ok=True)
        assert (told["formula"], told["source"]) == (known[name].formula, known[name].source)
        assert [one["name"] for one in told["inputs"]] == [one.name for one in known[name].inputs]
    near = cellar.get("/workings/A3.airr")
    assert near.status_code == 404
    assert "A3.air" in near.json()["detail"]


@pytest.mark.parametrize("layer", LAYERS)
def test_a_drawing_is_the_file_the_command_writes(cellar: Caller, layer: str, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    how = ["--layer", layer, "--paper", "A3", "--scale", "1:25", "--out", str(out)]
    assert CliRunner().invoke(main, ["draw", str(cellar.path), *how]).exit_code == 0
    answer = cellar.get(f"/drawings/{layer}?paper=A3&scale=25")
    assert answer.headers["content-type"] == "image/svg+xml"
    assert answer.text == out.read_text("utf-8")


def test_history_is_paged_told_and_compared(small: Caller) -> None:
    for depth in ("45 cm", "50 cm", "55 cm"):
        sent = {"values": [{"pointer": "/rack_kind/low/depth", "typed": depth}]}
        assert small.write("PATCH", "/plan", sent).status_code == 200
    first = small.get("/revisions?limit=3").json()
    assert [one["number"] for one in first["revisions"]] == [4, 3, 2]
    rest = small.get(f"/revisions?limit=3&before={first['next_before']}").json()
    assert ([one["number"] for one in rest["revisions"]], rest["next_before"]) == ([1], None)
    assert small.get("/revisions/1").json()["text"] == SMALL
    assert '"50 cm"' in small.get("/revisions/3").json()["text"]
    assert small.get("/revisions/5").status_code == 404
    compared = small.get("/comparison?a=2&b=4").json()
    assert '-depth = "45 cm"' in compared["text_lines"]
    assert '+depth = "55 cm"' in compared["text_lines"]
    assert compared["comparable"]
    assert small.get("/comparison?a=2&b=9").status_code == 404
    assert small.get("/room?number=2").json()["racks"][0]["depth_m"] == pytest.approx(0.45)


def test_a_plan_without_a_room_says_why_and_never_looks_fine(plan: MakePlan) -> None:
    broken = Caller(plan(SMALL.replace('"100 cm"', '"100 kg"')))
    for path in ("/room", "/workings", "/workings/A1.air", "/drawings/air"):
        told = broken.get(path)
        assert told.status_code == 404
        assert told.json()["mistakes"][0]["found"] == 'length = "100 kg"'
    results = broken.get("/results").json()
    assert results["findings"][0]["found"] == 'length = "100 kg"'
    assert "systems" not in results
    assert broken.get("/findings").json()["findings"][0]["line"] == 13


# --- refusals ---


@pytest.mark.parametrize(
    ("method", "path", "status", "kind"),
    [
        ("GET", "", 404, "not-found"),
        ("GET", "/", 404, "not-found"),
        ("GET", "/nowhere", 404, "not-found"),
        ("POST", "/nowhere", 404, "not-found"),
        ("GET", "/plan/../plan/nothing", 404, "not-found"),
        ("DELETE", "/plan", 405, "wrong-method"),
        ("POST", "/results", 405, "wrong-method"),
        ("GET", "/plan/undo", 405, "wrong-method"),
        ("GET", "/plan/value", 422, "unreadable"),
        ("GET", "/plan/value?pointer=x", 422, "unreadable"),
        ("GET", "/results?number=x", 422, "unreadable"),
        ("GET", "/results?number=99", 404, "not-found"),
        ("GET", "/findings?system=warmth", 422, "unreadable"),
        ("GET", "/drawings/warmth", 422, "unreadable"),
        ("GET", "/drawings/air?paper=A9", 422, "unreadable"),
        ("GET", "/drawings/air?scale=0", 422, "unreadable"),
        ("GET", "/revisions?limit=100000", 422, "unreadable"),
        ("GET", "/entries/1", 404, "not-found"),
        ("GET", "/jobs/..%2f..%2fsecret", 404, "not-found"),
        ("POST", "/jobs", 422, "unreadable"),
    ],
)
def test_every_refusal_is_a_problem_object(
    small: Caller, method: str, path: str, status: int, kind: str
) -> None:
    answer = small.ask(method, path)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    told = answer.json()
    assert (told["type"], told["status"], told["title"]) == (f"/api#{kind}", status, KINDS[kind].title)
    assert told["detail"]


def test_what_can_be_done_is_told_with_405(small: Caller) -> None:
    assert small.ask("DELETE", "/plan").headers["allow"] == "GET, PATCH, PUT"
    assert small.ask("PUT", "/jobs/assumptions-1").headers["allow"] == "DELETE, GET"


def test_a_fault_of_the_program_is_a_problem_object_too(
    small: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("of our own")

    monkeypatch.setattr(small.live, "revisions", fail)
    answer = small.get("/revisions")
    assert (answer.status_code, answer.json()["type"]) == (500, "/api#own-fault")
    assert "of our own" not in answer.text


# --- the description ---


def test_every_operation_is_described_and_every_key_too() -> None:
    text = described()
    operations = [one for path in text["paths"].values() for one in path.values()]
    assert len(operations) >= 30
    for one in operations:
        assert one["summary"]
        assert one["description"].endswith(".")
        assert {"401", "403", "500"} <= set(one["responses"])
        assert all(given.get("description") for given in one.get("parameters", ())), one["operationId"]
    for name, shape in text["components"]["schemas"].items():
        if name in ("Results", "Network", "Severity"):
            continue  # described where `check --json` is
        for key, part in shape.get("properties", {}).items():
            assert part.get("description"), f"{name}.{key}"


def test_the_description_is_served_and_names_no_other_host(small: Caller) -> None:
    answer = small.get("/openapi.json")
    assert answer.json() == json.loads(json.dumps(described()))
    assert answer.json()["servers"] == [{"url": "/api/v1"}]
    assert not re.search(r"https?://(?!json-schema\.org)", answer.text)
    assert small.get("/docs").status_code == 404


def test_whole_results_of_the_cellar_come_at_once_when_they_were_worked_out(
    cellar: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = cellar.get("/results")
    monkeypatch.setattr(results, "_whole", lambda _: pytest.fail("they are made a second time"))
    for _ in range(3):
        again = cellar.get("/results")
        assert again.content == first.content
    assert again.headers["content-encoding"] == "gzip"
    assert len(gzip.compress(again.content)) < 100_000
