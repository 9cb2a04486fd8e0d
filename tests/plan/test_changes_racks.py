"""What racks and floors are built of, changed from a page: written as TOML, nothing lost, refused in words."""

from __future__ import annotations

import pytest

from tankwright.plan.changes import SetValue
from tankwright.plan.changes_racks import AddSag, AddVoid, SetJoists, TakeBearers
from tankwright.plan.editing import EditResult
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text

ROOM = '[room.r]\nsize = { length = "3 m", width = "2 m", height = "2.4 m" }\n'
KIND = '\n[rack_kind.low]\nlength = "1 m"\ndepth = "40 cm"\nshelves = ["30 cm", "80 cm"]\n'
RACK = '\n[[rack]]\nid = "A"\nkind = "low"\nroom = "r"\nwall = "north"\nfrom_west = "50 cm"\n'
SAID = ROOM + KIND + 'made_of = "45x95 C24 uprights, 45x70 C24 bearers and 18 mm plywood"\n' + RACK


def plan_of(result: EditResult) -> Plan:
    assert result.text is not None, [one.text for one in result.findings]
    read = read_plan_text(result.text, "plan.toml")
    assert read.findings == ()
    assert read.plan is not None
    return read.plan


def refused(result: EditResult) -> str:
    assert result.text is None
    (finding,) = result.findings
    assert finding.subject
    assert finding.wanted
    return finding.text


# --- bearers ---------------------------------------------------------------------------------------------------------


def test_taking_bearers_writes_out_all_that_a_sentence_said() -> None:
    timber = plan_of(TakeBearers("low", "45x120 C24").apply(SAID)).rack_kind["low"].timber
    assert timber is not None
    assert (timber.uprights, timber.bearers, timber.board) == ("45x95 C24", "45x120 C24", "18 mm plywood")


def test_writing_a_sentence_out_alone_changes_nothing_of_it() -> None:
    timber = plan_of(TakeBearers("low").apply(SAID)).rack_kind["low"].timber
    assert timber is not None
    assert (timber.uprights, timber.bearers, timber.board) == ("45x95 C24", "45x70 C24", "18 mm plywood")


def test_bearers_that_stand_in_a_table_are_changed_there_and_nothing_else() -> None:
    before = SAID.replace(
        "made_of", 'timber = { uprights = "a", bearers = "45x70 C24", bearers_under = 3 }\nmade_of'
    )
    after = TakeBearers("low", "45x95 C24").apply(before).text
    assert after == before.replace('bearers = "45x70 C24"', 'bearers = "45x95 C24"')


def test_tubes_become_a_table_of_steel() -> None:
    kind = plan_of(TakeBearers("low", "40 mm x 40 mm x 2 mm S235").apply(ROOM + KIND + RACK)).rack_kind["low"]
    assert kind.timber is None
    assert kind.steel is not None
    assert kind.steel.bearers == "40 mm x 40 mm x 2 mm S235"


def test_a_section_of_the_owners_own_is_taken_by_its_name() -> None:
    own = SAID + '\n[section.old_beam]\nwide = "70 mm"\nthin = "45 mm"\n'
    timber = plan_of(TakeBearers("low", "old_beam").apply(own)).rack_kind["low"].timber
    assert timber is not None
    assert timber.bearers == "old_beam"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (TakeBearers("high", "45x95 C24"), '"high" is no kind of rack of this plan'),
        (TakeBearers("low", "a plank"), '"a plank" is no section'),
    ],
)
def test_bearers_that_cannot_be_are_refused(change: TakeBearers, said: str) -> None:
    assert refused(change.apply(SAID)) == said


def test_nothing_can_be_written_out_where_nothing_is_said() -> None:
    assert refused(TakeBearers("low").apply(ROOM + KIND)) == "says nothing of what it is built of"


# --- one of some numbers ---------------------------------------------------------------------------------------------


def test_one_of_some_numbers_is_typed_and_written_as_a_number() -> None:
    table = TakeBearers("low").apply(SAID).text
    assert table is not None
    damp = ("rack_kind", "low", "timber", "service_class")
    timber = plan_of(SetValue(damp, "3").apply(table)).rack_kind["low"].timber
    assert timber is not None
    assert timber.service_class == 3
    (finding,) = SetValue(damp, "4").apply(table).findings
    assert finding.wanted == "1, 2 or 3"
    assert finding.text.endswith("is not one of the numbers it takes")


# --- sags ------------------------------------------------------------------------------------------------------------


def sag(**fields: str) -> AddSag:
    return AddSag(**({"rack": "A", "shelf": "1", "bearer": "front", "sag": "3"} | fields))


def test_a_sag_is_added_with_its_day_and_read_back() -> None:
    plan = plan_of(sag(sag="2,5", measured="2026-11-20", days="60").apply(SAID))
    (reading,) = plan.rack[0].sag
    assert reading.sag.value == pytest.approx(0.0025)
    assert reading.sag.measured_on is not None
    assert reading.sag.measured_on.isoformat() == "2026-11-20"
    assert reading.days is not None
    assert reading.days.value == pytest.approx(60 * 86400)


def test_a_second_sag_stands_behind_the_first() -> None:
    first = sag().apply(SAID).text
    assert first is not None
    plan = plan_of(sag(shelf="2", bearer="back", sag="1/8 in").apply(first))
    assert [(one.shelf, one.bearer) for one in plan.rack[0].sag] == [(1, "front"), (2, "back")]
    assert plan.rack[0].sag[1].sag.value == pytest.approx(0.0254 / 8)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"shelf": "low"}, "is no shelf"),
        ({"bearer": "left"}, "is no bearer"),
        ({"sag": ""}, "wants a sag"),
        ({"sag": "deep"}, "is not a number with a unit"),
        ({"measured": "yesterday"}, "is no day"),
        ({"rack": "Z"}, "is no rack of this plan"),
    ],
)
def test_a_sag_that_cannot_be_is_refused(fields: dict[str, str], said: str) -> None:
    assert said in refused(sag(**fields).apply(SAID))


# --- floors ----------------------------------------------------------------------------------------------------------


def joists(**fields: str) -> SetJoists:
    return SetJoists(
        **({"room": "r", "section": "45x195 C24", "every": "40 cm", "run": "north-south"} | fields)
    )


def test_joists_are_written_and_read_back() -> None:
    said = plan_of(joists(span="1.9 m").apply(SAID)).room["r"].joists
    assert said is not None
    assert said.span is not None
    assert (said.section, said.every.value, said.run, said.span.value) == (
        "45x195 C24", pytest.approx(0.4), "north-south", pytest.approx(1.9),
    )  # fmt: skip


def test_something_hollow_is_written_and_read_back() -> None:
    change = AddVoid(room="r", name="hatch", at=("1 m", "50 cm"), size=("60 cm", "2 ft"))
    (void,) = plan_of(change.apply(SAID)).room["r"].voids
    assert void.name == "hatch"
    assert [one.value for one in (*void.at, *void.size)] == pytest.approx([1.0, 0.5, 0.6, 0.6096])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (joists(section=" "), "has joists without a section"),
        (joists(run="up"), "has joists that run nowhere"),
        (joists(every=""), "wants a distance of its joists"),
        (joists(room="attic"), '"attic" is no room of this plan'),
        (
            AddVoid(room="r", name="", at=("1 m", "1 m"), size=("1 m", "1 m")),
            "has something hollow without a name",
        ),
        (
            AddVoid(room="r", name="pit", at=("1 m", ""), size=("1 m", "1 m")),
            "wants a corner of what is hollow",
        ),
        (
            AddVoid(room="loft", name="pit", at=("1 m", "0 m"), size=("1 m", "1 m")),
            '"loft" is no room of this plan',
        ),
    ],
)
def test_a_floor_that_cannot_be_is_refused(change: SetJoists | AddVoid, said: str) -> None:
    assert refused(change.apply(SAID)) == said


def test_a_change_says_what_it_is_in_one_line() -> None:
    changes = (
        TakeBearers("low", "45x120 C24"), sag(), joists(), AddVoid(room="r", name="pit", at=("", ""), size=("", "")),
    )  # fmt: skip
    for change in changes:
        told = change.says(SAID)
        assert "low" in told or "A" in told or "r" in told
        assert "\n" not in told
        assert 0 < len(told) <= 120
