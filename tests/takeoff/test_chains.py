"""Chains of fittings: every one holds together, and where there is none it is said why."""

import math
from dataclasses import replace

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.catalogue.tables import TableError, rows_of
from tankwright.finding import Severity
from tankwright.takeoff.chain_model import Limits, Stub, Used
from tankwright.takeoff.chains import find_chains
from tankwright.takeoff.ends import families, insertion_depth, mates, read_end
from tankwright.takeoff.fittings import BETWEEN, all_fittings, find_fitting, fitting_of

FITTINGS = all_fittings()
JOBS = [
    # the joints of the example rooms and their like: drains, hoses, air rings, drip pipes
    ("50 mm ISO PN6 pipe", "13 mm hose", Limits(bore=0.010)),
    ("40 mm EN 1329 pipe", "13 mm hose", Limits(bore=0.010)),
    ("25 mm ISO PN10 pipe", "20 mm ISO PN10 pipe", Limits()),
    ("50 mm ISO wall", "13 mm hose", Limits(bore=0.009)),
    ("16 mm PE pipe", "3/4 in BSP G male", Limits()),
    ("16 mm PE wall", "4 mm bore tube", Limits()),
    ("2 in sch 40 pipe", "1/2 in hose", Limits(bore=0.009)),
    ("1/2 in sch 40 pipe", "3/4 in GHT male", Limits()),
    ("40 mm UK solvent pipe", "40 mm UK push-fit pipe", Limits()),
    ("40 mm AS/NZS 1260 pipe", "1 1/2 in BSP G male", Limits()),
    ("20 mm AS/NZS 1477 pipe", "13 mm hose", Limits()),
    ("1/2 in BSP G male", "1/2 in NPT female", Limits()),
    ("25 mm ISO pipe", "25 mm PE SDR pipe", Limits(turns=1)),
    ("90 mm ISO PN6 pipe", "50 mm ISO PN6 pipe", Limits(bore=0.040)),
]
ENDS = sorted({end for one in FITTINGS for end in one.ends}, key=lambda end: end.words)


def end(text):
    return read_end(text)


def holds_together(chain, limits):
    """Every joint mates, every step goes on where the one before left off, no limit is broken."""
    assert all(link.mating == mates(link.a, link.b) and link.mating.ok for link in chain.links)
    assert chain.links[0].a == chain.start
    assert chain.links[-1].b == chain.goal
    links = list(chain.links)
    open_end, depth = chain.start, insertion_depth(chain.start)
    for number, step in enumerate(chain.steps):
        link = links.pop(0)
        assert link.a == open_end
        if isinstance(step, Stub):
            assert link.b == step.end
            into = chain.steps[number + 1] if number + 1 < len(chain.steps) else None
            other = into.fitting.depths[into.enter] if into else insertion_depth(chain.goal)
            assert step.length == pytest.approx(depth + other)
            open_end = step.end
        else:
            assert link.b == step.fitting.ends[step.enter]
            open_end, depth = step.fitting.ends[step.leave], step.fitting.depths[step.leave]
            assert step.fitting.kind in BETWEEN
            assert step.enter != step.leave
    assert links.pop(0).a == open_end
    assert not links
    used = [step.fitting for step in chain.steps if isinstance(step, Used)]
    assert all(one.bore >= limits.bore for one in used)
    assert sum(one.turn > 0 for one in used) == chain.turns <= limits.turns
    assert chain.joints <= limits.joints


@pytest.mark.parametrize("cheapest", [False, True])
@pytest.mark.parametrize(("start", "goal", "limits"), JOBS)
def test_every_chain_and_every_alternative_holds_together(start, goal, limits, cheapest):
    found = find_chains(FITTINGS, end(start), end(goal), limits, cheapest=cheapest)
    assert found.best
    assert not found.findings
    for chain in found.all:
        holds_together(chain, limits)
    assert len({chain.words for chain in found.all}) == len(found.all)
    if cheapest:
        costs = [chain.effort + chain.joints for chain in found.all]
        # half a joint at most for each that needs care
        assert all(later >= costs[0] - 0.5 * found.best.joints for later in costs)
    else:
        joints = [chain.joints for chain in found.all]
        assert joints == sorted(joints)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(ENDS), st.sampled_from(ENDS))
def test_what_joins_one_way_joins_the_other_in_as_many_joints(one, other):
    there = find_chains(FITTINGS, one, other, alternatives=0)
    back = find_chains(FITTINGS, other, one, alternatives=0)
    assert (there.best is None) == (back.best is None)
    if there.best:
        assert there.best.joints == back.best.joints
        holds_together(there.best, Limits())
    else:
        assert there.findings[0].severity is Severity.PROBLEM


@settings(max_examples=15, deadline=None)
@given(
    st.sampled_from(ENDS), st.sampled_from(ENDS), st.floats(0.0, 0.05), st.integers(0, 2), st.integers(1, 8)
)
def test_a_tighter_limit_never_opens_a_way(one, other, bore, turns, joints):
    tight = find_chains(FITTINGS, one, other, Limits(bore=bore, turns=turns, joints=joints), alternatives=2)
    if tight.best:
        loose = find_chains(FITTINGS, one, other, Limits(turns=turns, joints=joints), alternatives=0)
        assert loose.best.joints <= tight.best.joints
        for chain in tight.all:
            holds_together(chain, Limits(bore=bore, turns=turns, joints=joints))


def test_ends_that_go_together_need_nothing():
    found = find_chains(FITTINGS, end("20 mm ISO pipe"), end("20 mm ISO socket"))
    assert (found.best.steps, found.best.joints) == ((), 1)
    assert found.best.words == "they go together as they are"


def test_two_sockets_are_joined_by_a_stub_that_fills_both():
    found = find_chains(FITTINGS, end("25 mm ISO socket"), end("25 mm ISO socket"))
    (stub,) = found.best.steps
    assert stub.words == "a stub of 25 mm ISO pipe, 37 mm long"
    assert stub.length == pytest.approx(2 * insertion_depth(end("25 mm ISO socket")))
    assert find_chains(FITTINGS, end("13 mm barb"), end("13 mm barb")).best.steps[0].end.words == "13 mm hose"


def test_there_is_no_direct_forty_to_twenty_and_the_stub_between_is_named():
    # the worked case of the trade: two reducing couplings need 25 mm pipe between them
    only = tuple(find_fitting(f"reducing coupling {pair} mm ISO") for pair in ("40 x 25", "25 x 20"))
    found = find_chains(only, end("40 mm ISO pipe"), end("20 mm ISO pipe"))
    assert found.best.words == (
        "reducing coupling 40 x 25 mm ISO, then a stub of 25 mm ISO pipe, 37 mm long, "
        "then reducing coupling 25 x 20 mm ISO"
    )
    assert found.best.joints == 4


# --- the trap: price alone bends and necks ------------------------------------------------------------

HEAD = "key,kind,ends,turn_deg,bore_mm,depth_mm,take_up_mm,material,effort,source"
TRAP = rows_of(
    [
        HEAD,
        "coupling,coupling,40 mm ISO socket; 40 mm ISO socket,0,35,26,1.5,PVC,3,shop",
        "elbow,elbow,40 mm ISO socket; 40 mm ISO socket,90,35,26,21,PVC,1,shop",
        "to thread,adapter,40 mm ISO socket; 3/4 in BSP R male,0,19,26,5,PVC,0.2,shop",
        "from thread,adapter,40 mm ISO socket; 3/4 in BSP Rp female,0,19,26,5,PVC,0.2,shop",
    ],
    "trap.csv",
    fitting_of,
)
PRICES = {"coupling": 3.0, "elbow": 1.0, "to thread": 0.2, "from thread": 0.2}


@pytest.mark.parametrize("prices", [None, PRICES])
def test_the_cheapest_is_no_elbow_used_as_a_coupling(prices):
    pipe = end("40 mm ISO pipe")
    found = find_chains(TRAP, pipe, pipe, Limits(bore=0.03), cheapest=True, prices=prices)
    assert [chain.fittings for chain in found.all] == [("coupling",)]
    turned = find_chains(TRAP, pipe, pipe, Limits(bore=0.03, turns=1), cheapest=True, prices=prices)
    assert turned.best.fittings == ("elbow",)  # when a turn is allowed, it is what was asked for


@pytest.mark.parametrize("prices", [None, PRICES])
def test_the_cheapest_does_not_neck_below_the_bore(prices):
    pipe = end("40 mm ISO pipe")
    necked = find_chains(TRAP, pipe, pipe, cheapest=True, prices=prices)
    assert necked.best.bore == pytest.approx(0.019)
    assert necked.best.fittings == ("to thread", "from thread")
    wide = find_chains(TRAP, pipe, pipe, Limits(bore=0.03), cheapest=True, prices=prices)
    assert wide.best.bore == pytest.approx(0.035)


def test_the_cheapest_goes_by_price_and_names_what_has_none():
    pipe = end("40 mm ISO pipe")
    found = find_chains(TRAP, pipe, pipe, cheapest=True, prices={"coupling": 3.0})
    assert (found.best.fittings, found.best.price) == (("coupling",), 3.0)
    (note,) = found.findings
    assert (note.code, note.severity) == ("FIT-09", Severity.NOTE)
    assert "to thread" in note.text
    assert find_chains(TRAP, pipe, pipe).best.price is None


def test_a_fitting_without_a_bore_is_left_out_where_one_is_asked_and_named():
    bare = tuple(replace(one, bore=None) if one.key == "coupling" else one for one in TRAP)
    pipe = end("40 mm ISO pipe")
    found = find_chains(bare, pipe, pipe, Limits(bore=0.01))
    assert "coupling" not in found.best.fittings
    assert [one.code for one in found.findings] == ["FIT-08"]


# --- none -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("swapped", [False, True])
def test_the_dead_end_is_named_whichever_end_it_is(swapped):
    pair = [end("125 mm EN 1401 wall"), end("13 mm hose")]
    found = find_chains(FITTINGS, *(reversed(pair) if swapped else pair))
    assert found.best is None
    assert found.dead_end == pair[0]
    (why,) = found.findings
    assert (why.code, why.severity) == ("FIT-05", Severity.PROBLEM)
    assert "nothing in the table goes on 125 mm EN 1401 wall" in why.text
    assert "--fittings" in why.remedy


def test_two_sets_that_do_not_meet_are_told_by_where_they_come_nearest():
    found = find_chains(FITTINGS, end("80 mm AS/NZS 1477 pipe"), end("13 mm hose"))
    assert (found.best, found.dead_end) == (None, None)
    (why,) = found.findings
    assert why.code == "FIT-06"
    assert "80 mm AS/NZS 1477" in why.text
    assert why.reason


@pytest.mark.parametrize(
    ("limits", "told"),
    [
        (Limits(bore=0.012), "the widest that can be had lets through {widest}, of {bore} asked for"),
        (Limits(joints=1), "more joints would do"),
    ],
)
def test_a_limit_in_the_way_is_named_with_what_would_do(limits, told):
    found = find_chains(FITTINGS, end("40 mm EN 1329 pipe"), end("13 mm hose"), limits)
    assert (found.best, found.dead_end) == (None, None)
    (why,) = found.findings
    assert (why.code, told in why.text) == ("FIT-07", True)
    if limits.bore:
        widest = dict(why.numbers)["widest"].value
        assert find_chains(FITTINGS, found.start, found.goal, Limits(bore=widest)).best


def test_where_only_an_elbow_joins_the_two_a_turn_is_offered():
    elbows = tuple(one for one in TRAP if one.kind == "elbow")
    pipe = end("40 mm ISO pipe")
    (why,) = find_chains(elbows, pipe, pipe).findings
    assert "one elbow would do" in why.text
    assert find_chains(elbows, pipe, pipe, Limits(turns=1)).best.turns == 1


def test_nothing_to_buy_leads_nowhere():
    found = find_chains((), end("20 mm ISO pipe"), end("25 mm ISO pipe"))
    assert found.dead_end == end("20 mm ISO pipe")


STARTS = ("1/2 in BSP Rp female", "40 mm EN 1329 socket", "13 mm barb", "50 mm ISO wall")


def plain_graph():
    """The same question as one small graph of ends going in and coming out, written anew: no state, no stub rule."""
    graph = networkx.DiGraph()
    doors = [one.ends for one in FITTINGS if one.kind in BETWEEN and not one.turn]
    plain = {read_end(f"{size} {name} pipe") for name, family in families().items() for size in family.sizes}
    hoses = {read_end(f"{one.size} hose") for one in ENDS if one.form == "barb" and one.system == "hose"}
    tubes = {read_end(f"{one.size} tube") for one in ENDS if one.system == "tube"}
    doors += [(one, one) for one in plain | hoses | tubes]
    for first, second in doors:
        graph.add_edge(("in", first), ("out", second), weight=0)
        graph.add_edge(("in", second), ("out", first), weight=0)
    known = {one for pair in doors for one in pair} | set(ENDS) | set(map(end, STARTS))
    graph.add_weighted_edges_from(
        (("out", one), ("in", other), 1) for one in known for other in known if mates(one, other).ok
    )
    return graph


def test_fewest_joints_are_the_fewest_there_are():
    graph = plain_graph()
    starts = (
        "1/2 in BSP Rp female",
        "40 mm EN 1329 socket",
        "13 mm barb",
        "2 in ASTM plain end",
        "50 mm ISO wall",
    )
    for start in map(end, starts):
        fewest = networkx.single_source_dijkstra_path_length(graph, ("out", start), weight="weight")
        for goal in ENDS[::13]:
            found = find_chains(FITTINGS, start, goal, alternatives=0)
            joints = found.best.joints if found.best else math.inf
            expected = fewest.get(("in", goal), math.inf)
            assert joints == (expected if expected <= Limits().joints else math.inf), (
                start.words,
                goal.words,
            )


# --- the open table ---------------------------------------------------------------------------------


def test_keys_of_the_table_are_each_one_fitting():
    keys = [one.key for one in FITTINGS]
    assert len(set(keys)) == len(keys) > 900


@pytest.mark.parametrize("kind", sorted({one.kind for one in FITTINGS}))
def test_every_fitting_of_a_kind_is_possible(kind):
    for one in (one for one in FITTINGS if one.kind == kind):
        assert one.source, one.key
        assert one.bore, one.key
        thick = [mouth.outer for mouth in one.ends if mouth.outer and mouth.form not in ("wall", "saddle")]
        assert all(one.bore < outer for outer in thick), one.key
        inner = [mouth.inner for mouth in one.ends if mouth.form == "barb" and mouth.inner]
        assert all(one.bore < bore for bore in inner), one.key
        assert (one.turn > 0) == (kind == "elbow"), one.key
        assert all(0 <= length < 0.2 for length in (*one.depths, *one.take_ups)), one.key
        for mouth, depth, take_up in zip(one.ends, one.depths, one.take_ups, strict=True):
            if mouth.form in ("plain end", "male") and kind not in ("cap", "plug", "bulkhead"):
                assert take_up > depth * 0.99, one.key  # what goes in stands out of the middle


@pytest.mark.parametrize(("size", "lay"), [(20, 11), (25, 13.5), (32, 17), (40, 21), (50, 26), (63, 32.5)])
def test_metric_elbows_and_tees_take_half_a_pipe_and_a_millimetre(size, lay):
    # ISO 264 laying lengths and ISO 727-1 socket depths 0.5 d + 6, from memory
    for kind in ("elbow 90", "tee"):
        one = find_fitting(f"{kind} {size} mm ISO")
        assert one.take_ups == pytest.approx([lay / 1000] * len(one.ends))
        assert one.depths == pytest.approx([(0.5 * size + 6) / 1000] * len(one.ends))
        assert one.from_memory
    assert find_fitting(f"elbow 90 {size} mm ISO").turn == pytest.approx(math.pi / 2)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (",coupling,20 mm ISO socket; 20 mm ISO socket,,,,,,,", "key"),
        ("a,gadget,20 mm ISO socket; 20 mm ISO socket,,,,,,,", "no kind of fitting"),
        ("a,coupling,20 mm ISO socket,,,,,,,", "2 ends"),
        ("a,tee,20 mm ISO socket; 20 mm ISO socket,,,,,,,", "3 ends"),
        ("a,coupling,20 mm; 20 mm ISO socket,,,,,,,", "says no standard"),
        ("a,elbow,20 mm ISO socket; 20 mm ISO socket,0,,,,,,", "does not turn"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,200,,,,,,", "turn_deg"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,wide,,,,,", "no number"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,nan,,,,,", "no number"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,-3,,,,,", "bore_mm"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,,1;2;3,,,,", "3 lengths for 2 ends"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,,,-1,,,", "take_up_mm"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,,,,PE,,", "does not hold on PE"),
        ("a,coupling,20 mm ISO socket; 20 mm ISO socket,,,,,,0,", "effort"),
    ],
)
def test_a_fitting_that_cannot_be_is_refused_with_its_line(line, why):
    with pytest.raises(TableError, match=rf"x\.csv:2: .*{why}"):
        rows_of([HEAD, line], "x.csv", fitting_of)
