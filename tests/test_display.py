"""How numbers and findings read."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tankwright.display import (
    SEVERITY_SIGNS,
    SEVERITY_WORDS,
    origin_words,
    render_finding,
    render_mistake,
    render_summary,
    render_working,
    sentence,
    words,
)
from tankwright.explain.model import Input, Working
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known, Origin
from tankwright.report.model import SummaryLine
from tankwright.units import DIMENSIONS


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "us"),
    [
        (0.0042, "length", "4.2 mm", "0.17 in"),
        (0.034, "length", "34 mm", "1 3/8 in"),
        (0.61, "length", "61 cm", "2 ft"),
        (0.97155, "length", "97.2 cm", "3 ft 2 1/4 in"),
        (5.2, "length", "5.2 m", "17 ft 1 in"),
        (-0.03, "length", "−30 mm", "−1 1/8 in"),
        (0.054, "volume", "54 L", "14.3 US gal"),
        (0.0005, "volume", "500 ml", "16.9 US fl oz"),
        (1.5 / 6e4, "flow", "1.5 L/min", "0.396 US gal/min"),
        (4 / 3.6e6, "flow", "4 L/h", "1.06 US gal/h"),
        (80.0, "pressure", "80 Pa", "0.321 in of water"),
        (6000.0, "pressure", "6 kPa", "24.1 in of water"),
        (2.8e5, "pressure", "2.8 bar", "40.6 psi"),
        (4.5e6, "stress", "4.5 MPa", "653 psi"),
        (11e9, "stress", "11 GPa", "1600000 psi"),
        (320.0, "bending_moment", "320 N m", "236 lbf ft"),
        (1900.0, "line_load", "1.9 kN/m", "130 lbf/ft"),
        (3.2e-6, "second_moment", "320 cm⁴", "7.69 in⁴"),
        (68e-6, "section_modulus", "68 cm³", "4.15 in³"),
        (1 / 60, "slope", "1:60", "0.2 in per ft"),
        (0.0, "slope", "level", "level"),
        (-0.01, "slope", "−1 %", "−1 %"),
        (54.04, "mass", "54 kg", "119 lb"),
        (0.25, "mass", "250 g", "8.82 oz"),
        (0.873, "share", "87 %", "87 %"),
        (5400.0, "duration", "90 min", "90 min"),
        (11400.0, "clock", "03:10", "03:10"),
        (0.0005, "mass", "0.5 g", "0.5 g"),
        (0.028349523, "mass", "28.3 g", "1 oz"),
        (0.0893, "hardness", "5 °dH", "89.3 ppm"),
        (12000.0, "duration", "3 h 20 min", "3 h 20 min"),
        (216000.0, "duration", "60 h", "60 h"),
        (864000.0, "duration", "10 days", "10 days"),
        (298.15, "temperature", "25 °C", "77 °F"),
        (71.0, "power", "71 W", "71 W"),
        (0.03, "current", "30 mA", "30 mA"),
        (1.0471975512, "angle", "60°", "60°"),
        (34.0, "number", "34", "34"),
        (0.0090001, "number", "0.009", "0.009"),
    ],
)
def test_a_number_reads_as_people_say_it(value: float, dimension: str, metric: str, us: str) -> None:
    assert (words(Number(value, dimension), "metric"), words(Number(value, dimension), "US")) == (metric, us)


@pytest.mark.parametrize(("value", "said"), [(0.9996, "99.9 %"), (1.0, "100 %"), (1.0004, "100.1 %")])
def test_a_share_is_never_rounded_onto_one_hundred(value: float, said: str) -> None:
    assert words(Number(value, "share")) == said


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "us"),
    [
        (-4.55e-13, "pressure", "0 Pa", "0 psi"),
        (1.4e-14, "flow", "0 L/min", "0 US gal/min"),
        (4e-12, "flow", "0 L/min", "0 US gal/min"),
        (-0.0, "flow", "0 L/min", "0 US gal/min"),
        (-3e-9, "length", "0 mm", "0 in"),
        (2e-10, "mass", "0 kg", "0 lb"),
        (-1e-12, "share", "0 %", "0 %"),
        (-1e-12, "slope", "level", "level"),
        (-1e-9, "duration", "0 s", "0 s"),
    ],
)
def test_what_arithmetic_leaves_over_reads_as_nothing(
    value: float, dimension: str, metric: str, us: str
) -> None:
    assert (words(Number(value, dimension), "metric"), words(Number(value, dimension), "US")) == (metric, us)


@pytest.mark.parametrize(
    ("value", "dimension", "said"),
    [
        (0.0005 / 3.6e6, "flow", "0.0005 L/h"),
        (0.08, "pressure", "0.08 Pa"),
        (1.5e-6, "length", "0.0015 mm"),
        (1e-5, "mass", "0.01 g"),
        (2e-6, "share", "0.0002 %"),
    ],
)
def test_what_is_small_but_real_keeps_its_figures(value: float, dimension: str, said: str) -> None:
    assert words(Number(value, dimension)) == said
    assert words(Number(-value, dimension)) == f"−{said}"


@given(
    value=st.floats(allow_nan=True, allow_infinity=True),
    dimension=st.sampled_from([*DIMENSIONS, "number", "no such thing"]),
    display=st.sampled_from(["metric", "US", "neither"]),
)
def test_nothing_is_never_signed(value: float, dimension: str, display: str) -> None:
    assert not re.match(r"[−-]0(?:[^.\d]|$)", words(Number(value, dimension), display))


@given(
    value=st.floats(allow_nan=True, allow_infinity=True),
    dimension=st.sampled_from([*DIMENSIONS, "number", "no such thing"]),
    display=st.sampled_from(["metric", "US", "neither"]),
)
def test_any_number_can_be_worded(value: float, dimension: str, display: str) -> None:
    assert words(Number(value, dimension), display).strip()


@given(value=st.floats(min_value=1e-4, max_value=1e4), dimension=st.sampled_from(list(DIMENSIONS)))
@example(value=1001.0, dimension="temperature_difference")
def test_no_more_than_three_figures_are_claimed(value: float, dimension: str) -> None:
    said = words(Number(value, dimension))
    first = re.split(r"[ °]", said.removeprefix("1:").removeprefix("−"))[0]
    if dimension == "temperature":  # kept to a tenth of a degree, as a thermometer is read
        assert re.fullmatch(r"\d+(\.\d)?", first)
    elif dimension == "clock":
        assert re.fullmatch(r"[012]\d:[0-5]\d", first)
    elif dimension == "share" and "100." in said:  # just over enough: four, so as not to read as enough
        assert first.startswith("100.")
    else:
        assert len(first.replace(".", "").strip("0")) <= 3


def test_a_sentence_leaves_braces_of_the_owner_alone() -> None:
    assert (
        sentence("tank {x} {0} {} holds {v}", (("v", Number(0.054, "volume")),))
        == "tank {x} {0} {} holds 54 L"
    )


def test_a_mistake_has_the_four_lines_of_the_house() -> None:
    mistake = Finding(
        code="PLAN-012", severity=Severity.PROBLEM, subject="tank A3", line=42,
        text='volume "54" has no unit',
        found='volume = "54"', wanted='a volume with its unit: "54 L", "0.054 m3" or "14 US gal"',
        attempt='volume = "54 L"',
    )  # fmt: skip
    assert render_mistake(mistake, "cellar.toml") == (
        'cellar.toml:42: tank A3: volume "54" has no unit  [PLAN-012]\n'
        '    found   volume = "54"\n'
        '    wanted  a volume with its unit: "54 L", "0.054 m3" or "14 US gal"\n'
        '    try     volume = "54 L"'
    )


def test_a_mistake_without_a_line_names_the_file_alone() -> None:
    mistake = Finding(code="PLAN-001", severity=Severity.PROBLEM, subject="", text="the file is empty")
    assert render_mistake(mistake, "cellar.toml") == "cellar.toml: the file is empty  [PLAN-001]"


def _finding() -> Finding:
    return Finding(
        code="DRAIN-02", severity=Severity.PROBLEM, subject="drain main", text="runs {depth} full",
        numbers=(("depth", Number(0.93, "share")), ("fall", Number(0.01, "slope"))), line=61,
        reason="air cannot pass above the water", remedy="give it more fall than {fall}",
        source="EN 12056-2, from memory", rests_on=("drain.fall", "drain.manning_n"),
    )  # fmt: skip


def test_a_finding_shows_all_its_parts_and_its_assumptions() -> None:
    said = render_finding(_finding(), "cellar.toml")
    assert said.splitlines()[0] == "⊠ problem  DRAIN-02  drain main: runs 93 % full"
    for part in ("give it more fall than 1:100", "EN 12056-2", "cellar.toml:61", "[drain.manning_n]"):
        assert part in said
    assert "\033" not in said


def test_colour_changes_no_word() -> None:
    coloured = render_finding(_finding(), "cellar.toml", color=True)
    assert "\033[31m⊠ problem\033[0m" in coloured
    assert re.sub(r"\033\[\d+m", "", coloured) == render_finding(_finding(), "cellar.toml")


def test_every_severity_has_its_own_sign_and_word() -> None:
    assert len(set(SEVERITY_SIGNS.values())) == len(set(SEVERITY_WORDS.values())) == len(Severity)


def test_a_name_cannot_steer_the_terminal() -> None:
    rude = Finding(
        code="PLAN-099", severity=Severity.NOTE, subject="tank \033[2J", text="is\rhere", found="\a"
    )
    for said in (render_mistake(rude, "x.toml"), render_finding(rude, "x.toml")):
        assert not re.search(r"[\x00-\x09\x0b-\x1f]", said)


def test_long_findings_are_wrapped_but_words_stay_whole() -> None:
    long = Finding(code="AIR-01", severity=Severity.NOTE, subject="air", text="word " * 60, places=("A1",))
    assert max(len(line) for line in render_finding(long, "x.toml").splitlines()) <= 100


def test_a_summary_is_its_title_and_its_lines() -> None:
    lines = [SummaryLine("{n} tanks", (("n", Number(34.0, "number")),)), SummaryLine("all fit")]
    assert render_summary("layout", lines) == "layout\n    34 tanks\n    all fit"


def test_how_a_value_is_known_is_said() -> None:
    measured = Known(2.8e5, Origin.MEASURED, line=31, measured_on=date(2026, 9, 12))
    assert origin_words(measured, "pressure") == "measured on 2026-09-12, line 31"
    assert origin_words(Known(1.0, Origin.GIVEN, line=3)) == "given, line 3"


def test_a_working_shows_formula_inputs_and_source() -> None:
    working = Working(
        name="A3.air", title="air of A3", number=Number(1.5 / 6e4, "flow"), formula="Q = A sqrt(2 dp / rho)",
        inputs=(
            Input(name="bore", number=Number(0.002, "length"), known=Known(0.002, Origin.GIVEN, line=9)),
            Input(name="pressure", number=Number(6000.0, "pressure"), see="air.ring.pressure"),
        ),
        source="common practice, no source", note="a note",
    )  # fmt: skip
    said = render_working(working)
    for part in (
        "air of A3: 1.5 L/min",
        "bore = 2 mm  (given, line 9)",
        "see air.ring.pressure",
        "no source",
    ):
        assert part in said


def test_a_file_that_is_itself_the_trouble_is_named_once() -> None:
    gone = Finding(
        code="PLAN-001", severity=Severity.PROBLEM, subject="gone.toml", text="there is no such file"
    )
    assert render_mistake(gone, "gone.toml") == "gone.toml: there is no such file  [PLAN-001]"
