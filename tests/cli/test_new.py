"""`tankwright new` gives a plan that reads without mistakes and holds, for rooms and tanks of many sizes."""

from __future__ import annotations

import re
import string
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tankwright.finding import Finding, Severity
from tankwright.plan.answers import QUESTIONS, Answers
from tankwright.plan.template import commented_plan
from tankwright.workspace.opened import open_plan, open_text


def problems(text: str, folder: Path) -> list[Finding]:
    path = folder / "new.toml"
    path.write_text(text, encoding="utf-8")
    opened = open_plan(path)
    assert opened.mistakes == ()
    return [item for item in opened.findings if item.severity is Severity.PROBLEM]


FLAGS = [
    (),
    ("--title", 'The "fish" room \\ cellar', "--tanks", "1"),
    ("--display", "US", "--length", "13 ft 2 in", "--width", "10 ft", "--height", "8 ft"),
    ("--tanks", "60", "--length", "10 m", "--width", "5 m", "--height", "3 m"),
    ("--tank-length", "48 in", "--tank-depth", "13 in", "--tank-height", "21 in", "--tanks", "7"),
    ("--tank-length", "30 cm", "--tank-depth", "30 cm", "--tank-height", "30 cm", "--tanks", "40"),
    ("--door-from-west", "0 m", "--door-width", "0,9 m", "--width", "9 ft 1/2 in"),
    ("--length", "2 m", "--width", "2 m", "--tanks", "200"),
    (
        "--water-from-west",
        "0 m",
        "--water-from-south",
        "3 m",
        "--drain-from-west",
        "5 cm",
        "--drain-from-south",
        "2,9 m",
    ),
    (
        "--display",
        "US",
        "--socket-from-west",
        "2 ft",
        "--socket-from-south",
        "9 ft",
        "--drain-from-west",
        "6 ft",
        "--drain-from-south",
        "5 ft",
    ),
]


@pytest.mark.parametrize("flags", FLAGS, ids=lambda flags: " ".join(flags) or "defaults")
def test_a_new_plan_has_no_mistakes_and_no_problems(flags: tuple[str, ...], run) -> None:
    assert run("new", "plan.toml", "--yes", *flags).exit_code == 0
    result = run("check", "plan.toml")
    assert re.search(r"^0 problems", result.output, flags=re.MULTILINE), result.output
    assert result.exit_code == 0


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    room=st.tuples(st.floats(2.0, 25.0), st.floats(2.0, 25.0), st.floats(2.0, 4.0)),
    tank=st.tuples(st.floats(0.2, 1.8), st.floats(0.2, 0.6), st.floats(0.2, 0.7)),
    tanks=st.integers(1, 200),
    imperial=st.booleans(),
    places=st.tuples(*[st.floats(0.0, 1.0)] * 6),
)
def test_no_size_of_room_and_tank_gives_a_plan_with_problems(
    room, tank, tanks, imperial, places, tmp_path
) -> None:
    def said(metres: float) -> str:
        return f"{metres / 0.0254:.0f} in" if imperial else f"{metres:.2f} m"

    length, width, height = map(said, room)
    long, deep, high = map(said, tank)
    west = [said(share * (room[0] - 0.02)) for share in places[:3]]
    south = [said(share * (room[1] - 0.02)) for share in places[3:]]
    answers = Answers(
        water_from_west=west[0], water_from_south=south[0], drain_from_west=west[1], drain_from_south=south[1],
        socket_from_west=west[2], socket_from_south=south[2], length=length, width=width, height=height, tanks=tanks,
        tank_length=long, tank_depth=deep, tank_height=high, display="US" if imperial else "metric",
    )  # fmt: skip
    assert problems(commented_plan(answers), tmp_path) == []


def test_what_is_written_as_a_comment_reads_as_well_once_it_is_none(tmp_path) -> None:
    """Water, fish, warmth: the tables a newcomer fills in later."""
    text = commented_plan(Answers())
    head, life = text.split("# Take the # away, table by table", 1)
    bare = "\n".join(line.removeprefix("# ") for line in life.splitlines()[1:])
    said = head + bare.replace('weather = "my_town.epw"', 'weather = "Greensboro"')
    opened = open_text(tmp_path / "plan.toml", said)
    assert opened.mistakes == ()
    assert opened.room is not None
    assert opened.room.climate is not None
    assert [one.tank for one in opened.room.lives if one.stock is not None] == ["A1"]
    assert len(opened.room.waters) == 1
    assert [one.id for one in opened.room.alarms] == ["floor"]


def test_more_racks_than_letters_get_names_of_two_letters(tmp_path) -> None:
    answers = Answers(length="25 m", width="6 m", tanks=200, tank_length="1.5 m", tank_depth="50 cm")
    answers = Answers(length="25 m", width="6 m", tanks=200, tank_length="20 cm", tank_depth="20 cm")
    text = commented_plan(answers)
    names = re.findall(r'^id = "([A-Z]+)"', text, flags=re.MULTILINE)
    assert len(names) == len(set(names)) > len(string.ascii_uppercase)
    assert problems(text, tmp_path) == []


def test_a_room_without_a_place_for_a_rack_is_written_and_said(tmp_path) -> None:
    text = commented_plan(Answers(length="80 cm", width="80 cm", tank_length="1 m"))
    assert "found no place" in text
    assert problems(text, tmp_path) == []


def test_the_questions_are_asked_again_until_they_can_be_used(run, tmp_path) -> None:
    typed = ["Shed", "14", "4 m"] + [""] * (len(QUESTIONS) - 2)  # a place not said is asked for once
    result = run("new", "plan.toml", typed="\n".join(typed) + "\n")
    assert result.exit_code == 0
    assert '"14" has no unit' in result.output
    assert 'title = "Shed"' in (tmp_path / "plan.toml").read_text(encoding="utf-8")
    assert run("check", "plan.toml", "--no-assumptions").exit_code == 0


def test_a_wrong_flag_is_said_and_nothing_is_written(run, tmp_path) -> None:
    result = run("new", "plan.toml", "--yes", "--length", "14", "--tanks", "many")
    assert result.exit_code == 2
    assert '--length "14": ' in result.output
    assert '--tanks "many": a whole number from 1 to 200 is wanted' in result.output
    assert list(tmp_path.iterdir()) == []


def test_a_plan_that_is_there_is_never_written_over(run, tmp_path) -> None:
    (tmp_path / "plan.toml").write_text("mine", encoding="utf-8")
    assert run("new", "plan.toml", "--yes").exit_code == 2
    assert (tmp_path / "plan.toml").read_text(encoding="utf-8") == "mine"


def test_a_place_that_cannot_be_written_is_said(run) -> None:
    result = run("new", "nowhere/plan.toml", "--yes")
    assert result.exit_code == 2
    assert "could not be written" in result.output


def test_places_are_written_where_they_were_measured(run, tmp_path) -> None:
    flags = ["--water-from-west", "1 m", "--water-from-south", "2 m", "--drain-from-west", "12 in"]
    flags += ["--drain-from-south", "4 in", "--socket-from-west", "3 m", "--socket-from-south", "1,5 m"]
    assert run("new", "plan.toml", "--yes", *flags).exit_code == 0
    opened = open_plan(tmp_path / "plan.toml")
    assert opened.plan is not None
    point, outfall, pump = (
        opened.plan.water_point["tap"],
        opened.plan.outfall["drain"],
        opened.plan.pump["pump"],
    )
    assert point.at is not None
    assert pump.at is not None
    assert [one.value for one in point.at] == [1.0, 2.0]
    assert [one.value for one in outfall.at] == pytest.approx([0.3048, 0.1016])
    assert [one.value for one in pump.at] == [3.0, 1.5]


def test_what_nobody_measured_is_named_in_the_text(run, tmp_path) -> None:
    assert run("new", "plan.toml", "--yes", "--length", "5 m", "--width", "4 m").exit_code == 0
    head = (tmp_path / "plan.toml").read_text(encoding="utf-8").partition("title =")[0]
    assert "# - height of the room" in head
    assert "# - place of the drain" in head
    assert "length of the room" not in head


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (("--drain-from-west", "4.5 m", "--drain-from-south", "1 m"), "outside the room; wanted 0 to 4 m"),
        (("--water-from-west", "1 m"), '--water-from-south "": the other distance is wanted too'),
        (("--socket-from-south", "1 m"), '--socket-from-west "": the other distance is wanted too'),
        (("--socket-from-west", "-1 m", "--socket-from-south", "1 m"), "a distance from a wall of the room is wanted"),
        (("--door-width", "3.9 m"), "the door would reach past the end of its wall; the wall is 4 m long"),
        (("--display", "US", "--length", "10 ft", "--door-from-west", "9 ft"), "the wall is 10 ft long"),
    ],
)  # fmt: skip
def test_a_place_that_cannot_be_is_said_and_nothing_is_written(flags, said, run, tmp_path) -> None:
    result = run("new", "plan.toml", "--yes", *flags)
    assert result.exit_code == 2
    assert said in result.output
    assert list(tmp_path.iterdir()) == []


def test_a_place_is_asked_for_again_until_it_is_inside_the_room(run, tmp_path) -> None:
    typed = ["", "", "", "", "", "", "9 m", "1 m", "", "2 m", "", "", "", "", "", "", ""]
    result = run("new", "plan.toml", typed="\n".join(typed) + "\n")
    assert result.exit_code == 0, result.output
    assert "that is outside the room; wanted 0 to 4 m" in result.output
    assert "the other distance is wanted too, from the south wall" in result.output
    assert 'at = ["1 m", "2 m"]' in (tmp_path / "plan.toml").read_text(encoding="utf-8")


def test_in_us_units_what_is_not_said_is_in_feet_and_inches(run, tmp_path) -> None:
    assert run("new", "plan.toml", "--yes", "--display", "US").exit_code == 0
    assert 'length = "13 ft"' in (tmp_path / "plan.toml").read_text(encoding="utf-8")
