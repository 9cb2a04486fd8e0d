"""What faults mean: before anybody notices a problem, within an absence a warning, unknown never fine."""

from __future__ import annotations

from dataclasses import replace

from tankwright.display import render_finding
from tankwright.faults.judging import CODES, RULES, WORDS, cure_words, judge_faults, not_tried
from tankwright.faults.model import Faults, Harm, HarmKind, Outcome, Tried
from tankwright.finding import Number, Severity
from tankwright.report.faults import fault_rows, harm_line, json_faults, summary_faults, verdict
from tankwright.room.model import Room

HOUR = 3600.0
ROOM = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
NOTHING = Outcome(
    fault="overflow of A1 half blocked", group="overflow half blocked", clock=0.0, season="usual", first=None,
    seen=12 * HOUR, told="", gap=12 * HOUR, absence=60 * HOUR, floor=0.0, floor_absence=0.0, depth=0.0, finite=True,
    tanks=(), tanks_absence=(), fish=0.0,
)  # fmt: skip


def harm(
    hours: float, kind: HarmKind = "floor", *, early: float | None = None, late: float | None = None
) -> Harm:
    time = hours * HOUR
    return Harm(
        time=time,
        kind=kind,
        where="A1",
        earliest=time if early is None else early * HOUR,
        latest=time if late is None else late * HOUR,
    )


SPILLS = replace(
    NOTHING, fault="overflow of A1 blocked", group="overflow blocked", first=harm(3.0), floor=0.008, finite=False,
    floor_absence=0.024, tanks=("A1",), tanks_absence=("A1",),
)  # fmt: skip
LATER = replace(NOTHING, fault="room heating fails", group="room heating fails", first=harm(20.0, "cold"))


def faults(*outcomes: Outcome, stated: bool = True) -> Faults:
    return Faults(outcomes=outcomes, stated_gap=stated)


def codes(*outcomes: Outcome) -> dict[str, Severity]:
    return {one.code: one.severity for one in judge_faults(ROOM, faults(*outcomes))}


def test_harm_before_anybody_notices_is_a_problem_and_within_an_absence_a_warning() -> None:
    assert codes(SPILLS, LATER) == {
        "FAULT-01": Severity.PROBLEM,
        "FAULT-04": Severity.WARNING,
        "FAULT-11": Severity.WARNING,
    }
    assert codes(NOTHING) == {}


def test_harm_just_at_the_look_is_noticed_in_time() -> None:
    at_look = replace(SPILLS, first=harm(12.0), finite=True)
    assert codes(at_look) == {"FAULT-01": Severity.WARNING}
    assert codes(replace(at_look, absence=None)) == {}


def test_every_kind_of_harm_has_a_code_words_and_a_rule() -> None:
    assert set(CODES) <= set(WORDS)
    assert set(CODES.values()) <= set(RULES)
    for kind, code in CODES.items():
        assert codes(replace(SPILLS, first=harm(1.0, kind), finite=True)) == {code: Severity.PROBLEM}


def test_a_plan_without_looks_is_asked_for_them() -> None:
    (finding,) = judge_faults(ROOM, faults(NOTHING, stated=False))
    assert finding.code == "FAULT-09"
    assert "looks" in finding.remedy
    assert finding.rests_on == ("people.look_gap",)


def test_what_could_not_be_simulated_is_said_and_never_fine() -> None:
    every = replace(faults(NOTHING), failed=(("pane of A1 fails", "the tank has no water"),))
    (finding,) = judge_faults(ROOM, every)
    assert (finding.code, finding.severity) == ("FAULT-10", Severity.NOT_COMPUTED)
    assert "pane of A1 fails" in finding.subject
    unknown = replace(NOTHING, not_computed=(("tank A1", "no fish are described"),))
    assert verdict(unknown) == "not known in full"
    assert verdict(NOTHING) == "no harm while followed"


def test_each_reason_why_something_is_not_known_is_told_once_with_how_many_faults_it_hits() -> None:
    fish, shell = ("tank A1", "no fish are described"), ("warmth", "no shell is described")
    findings = judge_faults(
        ROOM, faults(replace(NOTHING, not_computed=(fish, shell)), replace(LATER, not_computed=(shell,)))
    )
    told = [(one.subject, dict(one.numbers)["count"].value) for one in findings if one.code == "FAULT-10"]
    assert told == [("tank A1", 1.0), ("warmth", 2.0)]


def test_a_room_whose_faults_nobody_tried_is_not_fine_and_says_what_to_run() -> None:
    finding = not_tried(394)
    assert finding.severity is Severity.NOT_COMPUTED
    assert finding.code in RULES
    assert "394 faults" in render_finding(finding, "plan.toml")
    assert "tankwright faults PLAN" in finding.remedy


def test_where_only_the_litres_shrink_the_litres_are_told() -> None:
    told = cure_words((tried(replace(SPILLS, floor=0.001)),))
    assert told is not None
    assert "{less} on the floor when it is noticed, not {litres}" in told[0]


def test_alike_faults_make_one_finding_that_names_the_soonest() -> None:
    second = replace(SPILLS, fault="overflow of A2 blocked", first=harm(1.0), tanks=("A2",))
    findings = judge_faults(ROOM, faults(SPILLS, second))
    spilling = next(one for one in findings if one.code == "FAULT-01")
    assert spilling.value == Number(HOUR, "duration")
    assert spilling.limit == Number(12 * HOUR, "duration")
    assert set(spilling.places) == {"A1", "A2"}
    text = render_finding(spilling, "plan.toml")
    assert "overflow of A2 blocked" in text
    assert "after 60 min" in text


def test_a_band_is_told_with_the_time() -> None:
    line = harm_line(replace(SPILLS, first=harm(3.0, "oxygen", early=2.0, late=float("inf"))))
    assert "{early} at the least" in line.text
    assert dict(line.numbers)["early"] == Number(2 * HOUR, "duration")
    assert "early" not in dict(harm_line(SPILLS).numbers)


def tried(after: Outcome, cost: int = 1, words: str = "a second way out {above} over the lip") -> Tried:
    return Tried(
        fault=SPILLS.fault, words=words, numbers=(("above", Number(0.01, "length")),), attempt="", cost=cost,
        before=SPILLS, after=after,
    )  # fmt: skip


def test_the_cheapest_change_that_removes_the_harm_goes_before_one_that_only_delays_it() -> None:
    delays = tried(replace(SPILLS, first=harm(11.0)), cost=0, words="a shorter program")
    removes = tried(replace(NOTHING, fault=SPILLS.fault))
    in_vain = tried(SPILLS, cost=0, words="nothing new")
    assert delays.helps
    assert not in_vain.helps
    told = cure_words((in_vain, delays, removes))
    assert told is not None
    assert told[0].startswith("a second way out")
    assert "no harm is left" in told[0]
    assert cure_words((in_vain,)) is None


def test_a_remedy_keeps_its_numbers_apart_from_those_of_the_finding() -> None:
    findings = judge_faults(ROOM, faults(SPILLS), {"overflow blocked": (tried(NOTHING),)})
    finding = next(one for one in findings if one.code == "FAULT-01")
    assert "{cure_above}" in finding.remedy
    assert dict(finding.numbers)["cure_above"] == Number(0.01, "length")


def test_rows_and_json_tell_the_same() -> None:
    every = faults(SPILLS, LATER, NOTHING)
    rows = fault_rows(every, {"overflow blocked": (tried(NOTHING),)})
    assert [row.verdict for row in rows] == [
        "before anybody notices",
        "in the longest absence",
        "no harm while followed",
    ]
    whole = json_faults(ROOM, every, judge_faults(ROOM, every), {"overflow blocked": (tried(NOTHING),)})
    first = whole["faults"][0]  # type: ignore[index] # a list
    assert first["first_harm"]["time_s"] == 3 * HOUR
    assert first["floor_when_noticed_l"] == 8.0
    assert first["remedies"][0]["removes_the_harm"] is True
    assert whole["faults"][2]["first_harm"] is None  # type: ignore[index] # a list
    assert summary_faults(every)[0].numbers[1] == ("before", Number(1.0, "number"))
