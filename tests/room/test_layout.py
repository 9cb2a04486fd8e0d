import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))


def test_names_that_lead_nowhere_are_said_and_the_rest_is_laid_out():
    size = {"length": "5 m", "width": "4 m", "height": "2.2 m"}
    plan = Plan.model_validate(
        {
            "room": {"cellar": {"size": size}, "loft": {"size": size}},
            "tank_kind": {"cube": {"outside": ["40 cm", "30 cm", "32 cm"], "hole": {"pane": "back"}}},
            "rack_kind": {"two": {"length": "130 cm", "depth": "40 cm", "shelves": ["30 cm", "90 cm"]}},
            "rack": [
                {"id": "A", "kind": "two", "room": "celar", "wall": "north", "from_west": "1 m",
                 "shelf": {"1": [{"kind": "cub", "ids": "A1..A2"}], "7": [{"kind": "cube", "ids": "A3"}],
                           "2": [{"kind": "cube", "ids": "A1, A4"}, {"kind": "zzzzz", "ids": "A5"}]}},
                {"id": "A", "kind": "two", "room": "cellar", "wall": "south"},
                {"id": "B", "kind": "xyzzy", "room": "cellar", "wall": "south"},
                {"id": "C", "kind": "two", "room": "qqqqq", "wall": "south"},
            ],
            "outfall": {"gully": {"room": "cellar", "at": ["1 m", "0 m"], "height": "0 m"},
                        "far": {"room": "nowhere", "at": ["1 m", "0 m"], "height": "0 m"}},
            "drain": {"d": {"to": "guly", "behind": ["A", "Z9"]}, "e": {"to": "nothing like it"}},
            "feed": {"f": {"from": "tap", "outlet": {"kind": "dripper"}}},
            "pump": {"p": {"curve": [["0 kPa", "60 L/min"]]}},
            "air": {"r": {"pump": "q", "around": "celler", "zones": ["mian"], "racks": ["A"]}},
            "power": {"circuits": {"c": {"breaker": "10 A"}}, "boards": [
                {"id": "b", "circuit": "x", "outlets": 2, "rack": "AA", "loads": [
                    {"name": "l", "power": "5 W", "serves": "A1, A77", "pump": "pp"}]}]},
        }
    )  # fmt: skip
    laid = lay_out(plan)
    assert {tank.id for tank in laid.room.tanks} == {"A1", "A2", "A4"}
    assert laid.room.racks[0].room == "cellar"
    assert {one.code for one in laid.findings} >= {
        "LAYOUT-101",
        "LAYOUT-104",
        "LAYOUT-106",
        "LAYOUT-107",
        "LAYOUT-119",
    }
    assert all(one.reason or one.remedy for one in laid.findings)
    attempts = {one.attempt for one in laid.findings if one.code == "LAYOUT-101"}
    assert {'"cellar"', '"cube"', '"gully"', '"main"'} <= attempts
    assert [drain.outfall for drain in laid.room.drains] == ["gully"]
    assert laid.room.feeds == ()


def test_a_plan_without_a_room_gives_no_room_and_says_why():
    laid = lay_out(Plan())
    assert laid.room is None
    assert [one.code for one in laid.findings] == ["LAYOUT-100"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples_are_laid_out_whole_and_the_same_each_time(path):
    plan = Plan.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    laid = lay_out(plan)
    named = sum(len(standing) for rack in plan.rack for standing in rack.shelf.values())
    assert len(laid.room.tanks) >= named
    assert lay_out(plan) == laid
    ids = [tap.id for air in laid.room.airs for tap in air.taps]
    assert len(ids) == len(set(ids))


lengths = st.integers(1, 9000).map(lambda value: f"{value} mm")
walls = st.sampled_from(["north", "south", "east", "west"])
points = st.tuples(lengths, lengths).map(list)
branches = st.fixed_dictionaries({"path": st.lists(points, min_size=1, max_size=3)})


@st.composite
def plans(draw):
    """Plans of any size, however impossible: racks over walls, glass thicker than tanks, holes in the air."""
    maybe = st.none() | lengths
    kind = {
        "outside": [draw(lengths) for _ in range(3)],
        "glass": {"sides": draw(maybe), "base": draw(maybe)},
        "hole": draw(
            st.none()
            | st.fixed_dictionaries(
                {
                    "pane": st.sampled_from(["back", "left", "right", "base"]),
                    "from_left": maybe,
                    "below_rim": maybe,
                    "from_back": maybe,
                    "diameter": maybe,
                }
            )
        ),
        "overflow": draw(
            st.none()
            | st.fixed_dictionaries(
                {
                    "kind": st.sampled_from(["elbow", "standpipe"]),
                    "elbow_reach": maybe,
                    "bore": maybe,
                    "water_below_rim": maybe,
                    "angle": st.none() | st.integers(-400, 400).map(lambda value: f"{value} °"),
                }
            )
        ),
        "substrate": draw(st.none() | st.fixed_dictionaries({"depth": lengths})),
    }
    racks = []
    for number in range(draw(st.integers(0, 4))):
        place = draw(
            st.fixed_dictionaries({"wall": walls, "from_west": maybe, "from_south": maybe, "off_wall": maybe})
            | st.fixed_dictionaries({"at": points, "facing": st.none() | walls})
        )
        shelf = [
            {
                "kind": "k",
                "ids": f"R{number}T1..R{number}T3",
                "end_on": draw(st.booleans()),
                "gap": draw(maybe),
            }
        ]
        racks.append(
            {
                "id": f"R{number}",
                "kind": "r",
                "room": draw(st.sampled_from("ab")),
                "shelf": {"1": shelf},
                **place,
            }
        )
    names = [one["id"] for one in racks]
    drain = {"to": "o", "behind": draw(st.permutations(names)), "path": draw(st.lists(points, max_size=3)),
             "top_height": draw(maybe), "fall": draw(st.none() | st.just("1:60"))}  # fmt: skip
    air = {"pump": "p", "around": draw(st.sampled_from(["a", "b"]) | st.none()),
           "path": draw(st.lists(points, max_size=4)), "closed_ring": draw(st.booleans()),
           "taps": draw(st.none() | st.integers(1, 30)), "tap_every": draw(maybe),
           "branches": draw(st.lists(branches, max_size=2)),
           "open_spare_taps": draw(st.integers(0, 50)), "height": draw(maybe)}  # fmt: skip

    def room():
        return {"size": {key: draw(lengths) for key in ("length", "width", "height")},
                "ceiling_slope": draw(st.none() | st.fixed_dictionaries({"towards": walls, "height": lengths})),
                "doors": [{"wall": draw(walls), "width": draw(lengths)}]}  # fmt: skip

    rack_kind = {
        "length": draw(lengths),
        "depth": draw(lengths),
        "shelves": [draw(lengths)],
        "uprights_at": [draw(lengths)],
    }
    return Plan.model_validate(
        {"room": {"a": room(), "b": room()}, "tank_kind": {"k": kind}, "rack_kind": {"r": rack_kind}, "rack": racks,
         "outfall": {"o": {"room": draw(st.sampled_from("ab")), "at": draw(points), "height": draw(lengths)}},
         "water_point": {"w": {"room": "a", "at": draw(st.none() | points)}},
         "pump": {"p": {"curve": [["0 kPa", "60 L/min"]], "at": draw(st.none() | points), "room": "b"}},
         "drain": {"d": drain}, "air": {"r": air}, "feed": {"f": {"from": "w", "outlet": {"kind": "dripper"}}}}
    )  # fmt: skip


@settings(max_examples=250, deadline=None)
@given(plan=plans())
def test_whatever_sizes_a_plan_gives_it_is_laid_out_and_nothing_raises(plan: Plan) -> None:
    room = lay_out(plan).room
    assert room is not None
    for tank in room.tanks:
        assert tank.inside_area > 0.0
        assert tank.water_volume >= 0.0
        assert tank.rim == tank.box.z1
        assert tank.hole is None or tank.overflow is not None
    for air in room.airs:
        nodes = {name for name, _ in air.nodes}
        assert all({pipe.start, pipe.end} <= nodes and pipe.length > 0.0 for pipe in air.pipes)
        assert {tap.node for tap in air.taps} <= nodes
        used = [tap.tank for tap in air.taps if tap.tank]
        assert len(used) == len(set(used)) <= 12
    for feed in room.feeds:
        nodes = {name for name, _ in feed.nodes}
        assert all({pipe.start, pipe.end} <= nodes and pipe.length > 0.0 for pipe in feed.pipes)
        assert {outlet.node for outlet in feed.outlets} <= nodes
    for drain in room.drains:
        chainages = [node.chainage for node in drain.nodes]
        assert chainages == sorted(set(chainages))
        joined = [name for node in drain.nodes for name in node.tanks]
        assert sorted(joined) == sorted(tank.id for tank in room.tanks if tank.hose)
