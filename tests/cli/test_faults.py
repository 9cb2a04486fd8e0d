"""`faults`, `fault` and the faults of `check` on a room of two tanks: answers, exit codes, bad input, a run stopped."""

from __future__ import annotations

import json
import os
import pty
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from tankwright import report
from tankwright.cli.main import main
from tankwright.workspace.fault_store import FaultStore
from tankwright.workspace.fault_work import Asked, kept_faults, with_faults, work_out_faults
from tankwright.workspace.opened import open_plan

SCHEMA = json.loads((Path(report.__file__).parent / "check.schema.json").read_text("utf-8"))
GOOD = (Path(__file__).parents[1] / "plan" / "good_plan.toml").read_text("utf-8")
PLAN = re.sub(r"^(shelf\.2.*|\[pump\.(?s:.*))", "", GOOD, flags=re.MULTILINE)
"""Two tanks on a drip, without air and power: two dozen faults."""

UNSEEN = PLAN.replace('looks = ["06:45", "18:30"]\nlongest_absence = "60 h"\n', "")
MISTAKEN = PLAN.replace('outside = ["90 cm"', 'outside = ["90"')


@pytest.fixture
def plan(run, tmp_path: Path) -> Path:
    """The plan, in the folder the commands run in."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, "utf-8")
    return path


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The JSON of all faults, with what mends them."""
    folder = tmp_path_factory.mktemp("faults")
    (folder / "plan.toml").write_text(PLAN, "utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tankwright.workspace.fault_store.cache_folder", lambda: folder / ".cache")
        shown = CliRunner().invoke(main, ["faults", str(folder / "plan.toml"), "--json", "--workers", "1"])
    assert shown.exit_code == 1
    return json.loads(shown.stdout)


# --- faults -----------------------------------------------------------------------------------------------------


def test_json_lists_every_fault_as_the_schema_of_check_describes_it(whole: Any) -> None:
    jsonschema.validate(whole["faults"], {**SCHEMA["properties"]["faults"], "$defs": SCHEMA["$defs"]})
    jsonschema.validate(whole["findings"], SCHEMA["properties"]["findings"])
    names = [one["fault"] for one in whole["faults"]]
    assert len(set(names)) == len(names)
    assert {"overflow of A1 blocked", "overflow of A2 half blocked", "feed drip stuck open"} <= set(names)


def test_what_does_harm_unseen_goes_before_what_does_not_and_is_a_problem(whole: Any) -> None:
    before = [one["before_anybody_notices"] for one in whole["faults"]]
    assert before == sorted(before, reverse=True)
    problems = {one["code"] for one in whole["findings"] if one["severity"] == "problem"}
    assert problems == {"FAULT-01"}  # nothing is said of fish, so only water on the floor can be told


def test_what_was_tried_is_told_with_what_to_write_in_the_plan(whole: Any) -> None:
    blocked = next(one for one in whole["faults"] if one["fault"] == "overflow of A1 blocked")
    mended = [one for one in blocked["remedies"] if one["removes_the_harm"]]
    assert mended
    assert all(one["write"] for one in mended)


def test_what_could_not_be_simulated_is_said_in_a_plan_that_says_nothing_of_warmth_and_fish(
    whole: Any,
) -> None:
    said = [one for one in whole["findings"] if one["code"] == "FAULT-10"]
    assert all(one["severity"] == "not computed" for one in said)
    assert any("[climate]" in one["text"] for one in said)
    assert any("fish" in one["text"] for one in said)


def test_the_table_shows_the_worst_of_each_kind_and_all_when_asked_and_no_progress_in_a_pipe(
    plan, run
) -> None:
    short = run("faults", "plan.toml", "--no-remedies", "--workers", "1")
    long = run("faults", "plan.toml", "--no-remedies", "--all")
    assert short.exit_code == long.exit_code == 1
    assert short.stderr == ""
    assert "\r" not in short.stdout
    assert "--all" in short.stdout
    assert "overflow of A2 half blocked" not in short.stdout
    assert "overflow of A2 half blocked" in long.stdout
    assert "a screening" in short.stdout


def test_faults_may_all_begin_at_a_stated_time(plan, run) -> None:
    at_noon = json.loads(
        run("faults", "plan.toml", "--at", "12:00", "--json", "--no-remedies", "--workers", "1").stdout
    )
    assert {one["begins_after_midnight_s"] for one in at_noon["faults"]} == {43_200.0}


@pytest.mark.parametrize("at", ["25:00", "noon", "", "12:60", "12", "-1:00", "١٢:٠٠"])
@pytest.mark.parametrize("words", [("faults",), ("fault", "A1")])
def test_a_time_that_is_none_is_told_with_what_is_wanted(at: str, words: tuple[str, ...], run) -> None:
    result = run(words[0], "plan.toml", *words[1:], "--at", at)
    assert result.exit_code == 2
    assert f'"{at}" is not a time of day; wanted "03:00"' in result.stderr


@pytest.mark.parametrize("words", [("faults",), ("fault", "overflow of A1 blocked")])
@pytest.mark.parametrize(
    ("text", "said"), [(MISTAKEN, "PLAN-012"), (None, "PLAN-001"), ("\0", "PLAN-0"), ("", "mistake")]
)
def test_a_plan_that_cannot_be_read_ends_with_2_and_its_mistakes(
    words: tuple[str, ...], text: str | None, said: str, run, tmp_path: Path
) -> None:
    if text is not None:
        (tmp_path / "plan.toml").write_text(text, "utf-8")
    result = run(words[0], "plan.toml", *words[1:])
    assert result.exit_code == 2
    assert said in result.output


def test_a_plan_that_does_not_say_who_looks_is_asked_and_a_gap_assumed(run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(UNSEEN, "utf-8")
    shown = run("faults", "plan.toml", "--no-remedies", "--workers", "1").stdout
    asked = " ".join(shown[shown.index("FAULT-09") :].split())
    assert "24 h is assumed between two looks" in asked
    assert 'write looks = ["07:00", "19:00"] under [people]' in asked


# --- fault ------------------------------------------------------------------------------------------------------


def test_one_fault_is_told_as_a_story_by_its_name_or_a_part_that_only_it_has(plan, run) -> None:
    whole_name = run("fault", "plan.toml", "Overflow of a1  blocked", "--no-remedies")
    assert whole_name.exit_code == 0  # somebody looks before it runs over
    assert "overflow of A1 blocked" in whole_name.stdout
    assert "somebody looks" in whole_name.stdout
    hose = run("fault", "plan.toml", "hose of A1", "--no-remedies")
    assert hose.exit_code == 1
    assert "first harm: water on the floor" in hose.stdout


def test_the_json_of_a_story_has_a_row_for_every_time(plan, run) -> None:
    told = json.loads(run("fault", "plan.toml", "hose of A1", "--json", "--no-remedies").stdout)
    times = told["story"]["water"]["times_s"]
    assert times == sorted(times)
    assert {len(levels) for levels in told["story"]["water"]["level_m"].values()} == {len(times)}
    assert told["story"]["warmth"]["water_c"] == {}  # of a room whose shell is not described nothing is known


def test_a_fault_that_is_not_there_offers_the_nearest(plan, run) -> None:
    result = run("fault", "plan.toml", "overflw of A1 blockd")
    assert result.exit_code == 2
    assert 'no fault of this room is called "overflw of A1 blockd"' in result.stderr
    assert result.stderr.index('"overflow of A1 blocked"') < result.stderr.index('"overflow of A2 blocked"')


def test_a_part_of_a_name_that_several_have_offers_those(plan, run) -> None:
    result = run("fault", "plan.toml", "A2")
    assert result.exit_code == 2
    assert "more than one fault of this room" in result.stderr
    assert all("A2" in line for line in result.stderr.splitlines() if line.startswith("    try"))


@pytest.mark.parametrize("name", ["", " ", "zzz", "\0\x1b[31m", "x" * 5000])
def test_a_name_like_no_other_says_where_the_names_are(name: str, plan, run) -> None:
    result = run("fault", "plan.toml", name)
    assert result.exit_code == 2
    assert "`tankwright faults plan.toml --all`" in result.stderr
    assert "\x1b" not in result.stderr


# --- check ------------------------------------------------------------------------------------------------------


def test_check_says_that_faults_were_not_tried_until_they_were(plan, run) -> None:
    before = run("check", "plan.toml", "--no-assumptions")
    assert "faults   not tried: tankwright faults PLAN" in before.stdout
    assert "FAULT-12" in before.stdout
    run("faults", "plan.toml", "--no-remedies", "--workers", "1")
    after = run("check", "plan.toml", "--no-assumptions")
    assert after.exit_code == 1
    assert "FAULT-12" not in after.stdout
    assert "problem  FAULT-01" in after.stdout
    plan.write_text(PLAN.replace('"4 L/h"', '"5 L/h"'), "utf-8")
    assert "FAULT-12" in run("check", "plan.toml", "--no-assumptions").stdout  # another room, other faults


def test_check_tries_them_when_asked_and_lists_them_as_json(plan, run, monkeypatch) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 1)  # two more processes would start for longer than they work
    untried = json.loads(run("check", "plan.toml", "--no-assumptions", "--json").stdout)
    assert untried["faults"] is None
    assert [one["code"] for one in untried["findings"]].count("FAULT-12") == 1
    tried = run("check", "plan.toml", "--no-assumptions", "--json", "--faults")
    assert tried.exit_code == 1
    whole = json.loads(tried.stdout)
    jsonschema.validate(whole, SCHEMA)
    assert len(whole["faults"]) > 20
    assert {"FAULT-01", "FAULT-10", "FAULT-11"} <= {one["code"] for one in whole["findings"]}


def test_faults_of_which_one_is_missing_do_not_count_as_tried(plan) -> None:
    opened = open_plan(plan)
    assert opened.study is not None
    kept = work_out_faults(opened.study, Asked(workers=1, remedies=False)).faults.outcomes
    again = kept_faults(opened.study)
    assert again is not None
    assert {one.fault for one in again.faults.outcomes} == {one.fault for one in kept}
    (file,) = (plan.parent / ".cache" / "faults").glob("*.jsonl")
    file.write_text("".join(file.read_text("utf-8").splitlines(keepends=True)[1:]), "utf-8")
    assert kept_faults(opened.study) is None
    assert "FAULT-12" in {one.code for one in with_faults(opened, None).findings}


def test_a_room_without_tanks_is_not_said_to_be_untried(check) -> None:
    bare = 'title = "Bare"\n[room.shed]\nsize = { length = "3 m", width = "2 m", height = "2 m" }\n'
    assert "FAULT-12" not in check(bare).stdout


# --- as a process -----------------------------------------------------------------------------------------------


def started(folder: Path, *words: str, **how: Any) -> subprocess.Popen[bytes]:
    env = {**os.environ, "XDG_CACHE_HOME": str(folder / "own")}
    words = (sys.executable, "-m", "tankwright", *words)
    # tests run in the background of a shell are deaf to Ctrl-C, and so would be what they start
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        return subprocess.Popen(words, cwd=folder, env=env, stdout=subprocess.PIPE, **how)
    finally:
        signal.signal(signal.SIGINT, before)


def kept_lines(folder: Path) -> list[str]:
    files = (folder / "own").rglob("*.jsonl")
    return [line for file in files for line in file.read_text("utf-8").splitlines()]


def wait_until(true: Callable[[], bool]) -> None:
    for _ in range(6000):
        if true():
            return
        time.sleep(0.01)
    raise AssertionError("it did not come to that within a minute")


def test_a_run_that_was_stopped_keeps_what_is_done_and_the_next_one_goes_on(plan: Path) -> None:
    words = ("faults", "plan.toml", "--no-remedies", "--workers", "1")
    first = started(plan.parent, *words, stderr=subprocess.PIPE)
    wait_until(lambda: len(kept_lines(plan.parent)) >= 3 or first.poll() is not None)
    first.send_signal(signal.SIGINT)
    out, said = first.communicate(timeout=60)
    assert first.returncode == 130, said
    assert out == b""
    assert b"Traceback" not in said
    assert b"What is done is kept" in said
    done = kept_lines(plan.parent)
    assert 3 <= len(done) < 24
    second = started(plan.parent, *words, stderr=subprocess.PIPE)
    out, said = second.communicate(timeout=120)
    assert second.returncode == 1
    assert said == b""
    every = kept_lines(plan.parent)
    assert every[: len(done)] == done
    names = [json.loads(line)["fault"] for line in every]
    assert len(names) == len(set(names)) == int(re.search(rb"(\d+) faults tried", out)[1])  # type: ignore[index] # it is there


def test_whoever_sits_at_a_terminal_sees_how_far_it_is(plan: Path) -> None:
    mine, its = pty.openpty()
    process = started(plan.parent, "faults", "plan.toml", "--no-remedies", "--workers", "1", stderr=its)
    os.close(its)
    out, _ = process.communicate(timeout=120)
    shown = os.read(mine, 100_000).decode()
    os.close(mine)
    assert re.search(r"faults 1 of \d+", shown)
    assert b"\r" not in out


def test_a_cache_that_cannot_be_written_costs_only_time(plan, run, tmp_path: Path) -> None:
    (tmp_path / ".cache").write_text("in the way", "utf-8")
    assert run("faults", "plan.toml", "--no-remedies", "--workers", "1").exit_code == 1
    assert FaultStore("any").known() == {}
