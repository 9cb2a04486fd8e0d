"""Ends as people write them, and which go together."""

from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.catalogue.pipes import pipe_sizes
from tankwright.catalogue.tables import rows_of
from tankwright.finding import Finding
from tankwright.takeoff.ends import End, families, family_of, insertion_depth, mates, pipe_end, read_end
from tankwright.takeoff.fittings import all_fittings
from tankwright.units import convert

PUBLISHED = Path(__file__).parents[1] / "published"
ENDS = sorted({end for fitting in all_fittings() for end in fitting.ends}, key=lambda end: end.words)


def end(text):
    read = read_end(text)
    assert isinstance(read, End), (text, read)
    return read


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("25 mm ISO socket", "25 mm ISO socket"),
        ("50 mm ISO PN6 pipe", "50 mm ISO plain end"),
        ("50 mm ISO 0.6 MPa", "50 mm ISO plain end"),
        ("DN 50 EN 1452 PN10 spigot", "50 mm ISO plain end"),
        ("50 mm IS 4985 PN6", "50 mm ISO plain end"),
        ("2 in sch 40 pipe", "2 in ASTM plain end"),
        ('1 1/2" schedule 40 socket', "1 1/2 in ASTM socket"),
        ("1-1/2 inch ASTM D1785 socket", "1 1/2 in ASTM socket"),
        ("3/4 in BS 3505 pipe", "3/4 in ASTM plain end"),
        ("20 mm AS/NZS 1477 PN12 pipe", "3/4 in ASTM plain end"),
        ("80 mm AS/NZS 1477 socket", "80 mm AS/NZS 1477 socket"),
        ("40 mm EN 1329", "40 mm EN 1329 plain end"),
        ("40 mm UK solvent socket", "40 mm UK solvent socket"),
        ("40 mm UK push-fit pipe", "40 mm UK push-fit plain end"),
        ("40 mm UK push-fit socket", "40 mm UK push-fit socket"),
        ("40 mm UK compression", "40 mm UK waste compression socket"),
        ("16 mm PE", "16 mm PE plain end"),
        ("16 mm PE barb", "16 mm PE barb"),
        ("32 mm PE SDR 11 compression", "32 mm PE SDR compression socket"),
        ("110 mm EN 1401 socket", "110 mm EN 1401 push-fit socket"),
        ("13 mm hose", "13 mm hose"),
        ("13 mm hose tail", "13 mm barb"),
        ("1/2 in barb", "1/2 in barb"),
        ("½ in hose", "1/2 in hose"),
        ("4/6 mm tube", "4/6 mm tube"),
        ("6 mm x 4 mm air tube", "4/6 mm tube"),
        ("6 mm OD x 4 mm ID tube", "4/6 mm tube"),
        ("1/4 in x 5/32 in tube", "5/32 x 1/4 in tube"),
        ("1/4 in OD tube", "1/4 in OD tube"),
        ("4 mm bore tube", "4 mm bore tube"),
        ("6 mm OD tube", "6 mm OD tube"),
        ("6 mm push-fit tube", "6 mm OD tube push-fit socket"),
        ("1/2 in BSP female", "1/2 in BSP female"),
        ("1/2 BSP F", "1/2 in BSP female"),
        ("G 1/2 male", "1/2 in BSP G male"),
        ("1/2 in BSPP male", "1/2 in BSP G male"),
        ("R 3/4", "3/4 in BSP R male"),
        ("1/2 in BSPT male", "1/2 in BSP R male"),
        ("1/2 in BSPT female", "1/2 in BSP Rc female"),
        ("Rp1/2", "1/2 in BSP Rp female"),
        ("1/2 in NPT male", "1/2 in NPT male"),
        ("3/4 in GHT male", "3/4 in GHT male"),
        ("3/4 in garden hose thread female", "3/4 in GHT female"),
        ("25 mm ISO wall", "25 mm ISO wall"),
    ],
)
def test_an_end_is_read_as_people_write_it(text, words):
    assert end(text).words == words


@pytest.mark.parametrize(
    ("text", "code", "says"),
    [
        ("20 mm", "FIT-02", "no standard"),
        ("20 mm pipe", "FIT-02", "no standard"),
        ("", "FIT-01", "no end"),
        ("pipe", "FIT-01", "size"),
        ("x" * 200, "FIT-01", "no end"),
        ("ISO socket", "FIT-01", "size"),
        ("13 hose", "FIT-01", "bore"),
        ("0 mm hose", "FIT-01", "bore"),
        ("1/0 in hose", "FIT-01", "bore"),
        ("4 mm tube", "FIT-02", "bore or its outside"),
        ("tube", "FIT-01", "size"),
        ("21 mm ISO socket", "FIT-03", "no size of ISO"),
        ("9 in NPT male", "FIT-03", "no size of NPT"),
        ("1/2 in GHT male", "FIT-03", "no size of GHT"),
        ("60 mm UK compression socket", "FIT-03", "no size of UK waste"),
        ("1/2 in BSP", "FIT-04", "outside or inside"),
        ("1/2 in NPT male female", "FIT-04", "outside or inside"),
        ("1/2 in BSP R female", "FIT-04", "always male"),
        ("1/2 in BSP Rp male", "FIT-04", "always female"),
    ],
)
def test_what_is_no_end_says_what_is_missing_and_what_to_try(text, code, says):
    found = read_end(text)
    assert isinstance(found, Finding)
    assert (found.code, says in found.text) == (code, True)
    assert found.wanted or found.attempt
    assert len(found.subject) < 120


def test_a_quarter_inch_tube_is_no_inch_inside():
    assert end("1/4 in OD tube").outer == pytest.approx(0.00635)
    assert end("1/4 in OD tube").inner is None


def test_a_bare_size_is_asked_for_its_standard_with_every_one_that_has_it():
    found = read_end("20 mm")
    for name in ("ISO", "PE SDR", "AS/NZS 1477"):
        assert f'"20 mm {name} pipe"' in found.attempt


@given(st.text(max_size=100))
def test_reading_never_raises(text):
    assert isinstance(read_end(text), End | Finding)
    assert isinstance(pipe_end(text), End | Finding)


@pytest.mark.parametrize("one", ENDS, ids=lambda one: one.words)
def test_every_end_of_the_table_is_read_back_from_its_words(one):
    assert read_end(one.words) == one
    assert insertion_depth(one) >= 0.0


@pytest.mark.parametrize("pipe", pipe_sizes(), ids=lambda pipe: pipe.name)
def test_the_end_of_every_pipe_has_its_family_and_its_bore(pipe):
    cut = pipe_end(pipe.name)
    assert isinstance(cut, End)
    assert (cut.system, cut.size) == family_of(pipe.standard, pipe.size)
    assert (cut.form, cut.inner) == ("plain end", pipe.bore)
    assert cut.size in families()[cut.system].sizes


def test_a_pipe_is_no_socket():
    assert pipe_end("25 mm ISO socket").code == "FIT-04"


# --- families -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "row",
    rows_of((PUBLISHED / "pipe_outer_diameters.csv").read_text("utf-8").splitlines(), "x", dict),
    ids=lambda row: row["size"],
)
def test_inch_pipes_of_two_standards_are_one_family_because_their_limits_overlap(row):
    # ASTM D1785 by a maker's chart, BS 3505 by a maker's page
    least = max(float(row["astm_least"]), float(row["bs_least"]))
    most = min(float(row["astm_most"]), float(row["bs_most"]))
    assert least < most
    listed = convert(families()["ASTM"].sizes[f"{row['size']} in"], "m", "mm")
    assert float(row["astm_least"]) <= listed <= float(row["astm_most"])


@pytest.mark.parametrize("pipe", pipe_sizes(), ids=lambda pipe: pipe.name)
def test_pipes_of_one_family_and_size_are_as_thick_within_their_limits(pipe):
    family, size = family_of(pipe.standard, pipe.size)
    # 0.4 mm: limits of outer diameter are 0.3 mm apart, and the means of two standards lie between
    assert pipe.outer_diameter == pytest.approx(families()[family].sizes[size], abs=0.0004)


def test_a_twenty_of_one_standard_is_no_twenty_of_another():
    texts = ("20 mm ISO {}", "20 mm AS/NZS 1477 {}", "20 mm PE SDR {}", "20 mm PE {}")
    for one, other in product(texts, texts):
        if one != other:
            for form in ("socket", "push-fit socket", "compression socket"):
                assert not mates(end(one.format("pipe")), end(other.format(form))).ok


def test_pipes_as_thick_of_two_standards_stay_apart_and_it_is_said_why():
    mating = mates(end("40 mm ISO pipe"), end("40 mm EN 1329 socket"))
    assert "about as thick, but no source" in mating.never
    assert "26.7 mm" in mates(end("20 mm AS/NZS 1477 pipe"), end("20 mm ISO socket")).never


# --- what goes on what --------------------------------------------------------------------------------

RULES = [
    # one, other, kind, joint, in the words
    ("20 mm ISO pipe", "20 mm ISO socket", "fits", "solvent weld", "cement"),
    ("20 mm EN 1452 PN16 pipe", "20 mm IS 4985 socket", "fits", "solvent weld", "cement"),
    ("3/4 in sch 80 pipe", "20 mm AS/NZS 1477 socket", "fits", "solvent weld", "cement"),
    ("20 mm ISO pipe", "25 mm ISO socket", "never", "", "does not go"),
    ("20 mm ISO pipe", "20 mm ISO pipe", "never", "", "a coupling goes between"),
    ("20 mm ISO socket", "20 mm ISO socket", "never", "", "a stub of pipe goes between"),
    ("16 mm PE pipe", "16 mm PE barb", "fits", "barb", "clip"),
    ("32 mm PE SDR pipe", "32 mm PE SDR compression socket", "fits", "compression", "nut"),
    ("32 mm PE SDR pipe", "32 mm ISO socket", "never", "", "does not hold on PE"),
    ("40 mm UK push-fit pipe", "40 mm UK solvent socket", "never", "", "does not hold on PP"),
    ("40 mm UK push-fit pipe", "40 mm UK compression socket", "fits", "compression", "nut"),
    ("40 mm UK solvent pipe", "40 mm UK compression socket", "fits", "compression", "nut"),
    ("40 mm EN 1329 pipe", "40 mm UK compression socket", "never", "", "does not go"),
    ("40 mm UK solvent pipe", "40 mm UK push-fit socket", "never", "", "43.0 mm"),
    ("13 mm hose", "13 mm barb", "fits", "barb", "clip"),
    ("13 mm hose", "1/2 in barb", "fits", "barb", "clip"),
    ("13 mm hose", "12 mm barb", "never", "", "bores differ"),
    ("13 mm hose", "13 mm hose", "never", "", "both are hoses"),
    ("13 mm barb", "13 mm barb", "never", "", "a piece of hose goes between"),
    ("13 mm hose", "16 mm PE barb", "never", "", "not what"),
    ("4/6 mm tube", "4 mm barb", "fits", "barb", "ridge"),
    ("4/6 mm tube", "6 mm OD tube push-fit socket", "fits", "push-fit", "pushed home"),
    ("4 mm bore tube", "6 mm OD tube push-fit socket", "never", "", "not said"),
    ("1/4 in OD tube", "6 mm OD tube push-fit socket", "never", "", "does not seal"),
    ("1/2 in BSP G male", "1/2 in BSP G female", "fits", "thread", "washer or O-ring"),
    ("1/2 in BSP G male", "1/2 in BSP Rp female", "fits", "thread", "washer or O-ring"),
    ("1/2 in BSP G male", "1/2 in BSP Rc female", "care", "thread", "face meets a washer"),
    ("1/2 in BSP R male", "1/2 in BSP Rp female", "care", "thread", "hand-tight and one or two turns"),
    ("1/2 in BSP R male", "1/2 in BSP Rp female brass", "fits", "thread", "seals on the thread"),
    ("1/2 in BSP R male", "1/2 in BSP Rc female brass", "fits", "thread", "seals on the thread"),
    ("1/2 in BSP R male", "1/2 in BSP G female brass", "care", "thread", "ISO 228"),
    ("1/2 in BSP male", "1/2 in BSP G female", "care", "thread", "parallel (G) or tapered (R)"),
    ("1/2 in BSP R male", "3/4 in BSP Rp female", "never", "", "does not go into"),
    ("1/2 in BSP R male", "1/2 in BSP G male", "never", "", "both threads are male"),
    ("1/2 in NPT male", "1/2 in NPT female", "care", "thread", "split"),
    ("1/2 in NPT male", "1/2 in NPT female brass", "fits", "thread", "seals on the thread"),
    ("1/2 in BSP G male", "1/2 in NPT female", "never", "", "screw together, and leak"),
    ("3/4 in NPT male", "3/4 in BSP Rp female", "never", "", "screw together, and leak"),
    ("1 in BSP R male", "1 in NPT female", "never", "", "jam"),
    ("2 in NPT male", "2 in BSP G female", "never", "", "jam"),
    ("3/4 in GHT male", "3/4 in GHT female", "fits", "thread", "flat washer"),
    ("3/4 in GHT male", "3/4 in NPT female", "never", "", "different threads"),
    ("1/2 in BSP G male", "20 mm ISO socket", "never", "", "a thread goes on a thread only"),
    ("50 mm ISO wall", "50 mm ISO saddle", "fits", "saddle", "drilled"),
    ("50 mm ISO wall", "63 mm ISO saddle", "never", "", "does not sit"),
    ("50 mm ISO pipe", "50 mm ISO saddle", "never", "", "not on an end"),
    ("50 mm ISO wall", "50 mm ISO socket", "never", "", "takes a saddle"),
]


@pytest.mark.parametrize(("one", "other", "kind", "joint", "told"), RULES)
def test_what_goes_on_what(one, other, kind, joint, told):
    mating = mates(end(one), end(other))
    assert (mating.kind, mating.joint) == (kind, joint)
    assert told in f"{mating.how} {mating.warn} {mating.never}"
    assert mating.ok == (not mating.never) == (kind != "never")


@given(st.sampled_from(ENDS), st.sampled_from(ENDS))
def test_it_does_not_matter_which_end_is_named_first(one, other):
    assert mates(one, other) == mates(other, one)


@given(st.sampled_from(ENDS))
def test_nothing_goes_on_its_like(one):
    assert not mates(one, one).ok


def test_no_bsp_thread_goes_on_any_npt_thread():
    bsp = [one for one in ENDS if one.system.startswith("BSP")]
    npt = [one for one in ENDS if one.system == "NPT"]
    assert bsp
    assert npt
    assert not any(mates(one, other).ok for one, other in product(bsp, npt))


def test_no_solvent_weld_touches_polyethylene_or_polypropylene():
    for one, other in product(ENDS, ENDS):
        if mates(one, other).joint == "solvent weld":
            assert not {one.material, other.material} & {"PE", "PP"}
