"""`tankwright chain` as it is typed."""

import json
import subprocess
import sys


def test_a_chain_is_shown_with_its_joints_and_alternatives(run):
    result = run("chain", "40 mm EN 1329 pipe", "13 mm hose", "--bore", "10 mm")
    assert result.exit_code == 0
    assert result.output.startswith("Best: 4 joints, bore 10 mm\n")
    assert "Or 1: " in result.output
    assert "hold the two parts together" in result.output


def test_a_care_is_shown_with_the_chain_it_belongs_to(run):
    result = run("chain", "1/2 in BSP R male", "25 mm ISO pipe")
    assert "! a tapered male thread can split a plastic female one" in result.output


def test_json_has_every_chain_with_its_steps_and_joints(run):
    result = run("chain", "25 mm ISO socket", "20 mm ISO pipe", "--json", "--cheapest")
    told = json.loads(result.output)
    assert told["chains"][0]["steps"] == [
        {"fitting": "reducing bush 25 x 20 mm ISO", "kind": "reducing bush"}
    ]
    assert told["chains"][0]["links"][0] == {
        "ends": ["25 mm ISO socket", "25 mm ISO plain end"],
        "joint": "solvent weld",
        "takes": ["solvent cement"],
    }
    assert (told["dead_end"], told["findings"]) == (None, [])


def test_no_chain_says_which_end_is_dead_and_exits_with_one(run):
    result = run("chain", "125 mm EN 1401 wall", "13 mm hose")
    assert result.exit_code == 1
    assert "FIT-05" in result.output
    told = json.loads(run("chain", "125 mm EN 1401 wall", "13 mm hose", "--json").output)
    assert (told["chains"], told["dead_end"]) == ([], "125 mm EN 1401 wall")


def test_every_mistake_typed_is_told_at_once(run):
    result = run("chain", "20 mm", "13 hose", "--bore", "10")
    assert result.exit_code == 2
    for code in ("FIT-02", "FIT-01", "PLAN-012"):
        assert code in result.output


def test_what_cannot_be_a_bore_is_refused(run):
    for bore in ("-5 mm", "5 kg", "nan mm", "wide"):
        assert run("chain", "20 mm ISO pipe", "13 mm hose", "--bore", bore).exit_code == 2


def test_ends_must_be_two(run):
    result = run("chain", "20 mm ISO pipe")
    assert result.exit_code == 2
    assert "give two ends" in result.output


def test_the_list_has_every_fitting_and_a_shop_alone_only_its_own(run, tmp_path):
    assert len(run("chain", "--list").output.splitlines()) > 900
    (tmp_path / "SHOP.csv").write_text("key,price\ncoupling 50 mm ISO,1.20\n", "utf-8")
    listed = run("chain", "--list", "--fittings", "SHOP.csv", "--only", "--json")
    assert json.loads(listed.output) == [
        {"key": "coupling 50 mm ISO", "kind": "coupling", "ends": ["50 mm ISO socket"] * 2}
    ]


def test_a_shops_prices_decide_what_is_cheapest(run, tmp_path):
    (tmp_path / "SHOP.csv").write_text("key,price\nunion 50 mm ISO,1\ncoupling 50 mm ISO,9\n", "utf-8")
    result = run("chain", "50 mm ISO pipe", "50 mm ISO pipe", "--fittings", "SHOP.csv", "--cheapest")
    assert "1.00 by the table" in result.output
    assert "union 50 mm ISO" in result.output.split("Or 1")[0]


def test_a_shops_table_with_mistakes_is_not_used(run, tmp_path):
    (tmp_path / "SHOP.csv").write_text("key,kind,ends\nx,gadget,13 mm hose\n\ny,coupling,20 mm\n", "utf-8")
    result = run("chain", "50 mm ISO pipe", "13 mm hose", "--fittings", "SHOP.csv")
    assert result.exit_code == 2
    assert "SHOP.csv:2: " in result.output
    assert "SHOP.csv:4: " in result.output
    assert run("chain", "50 mm ISO pipe", "13 mm hose", "--fittings", "NONE.csv").exit_code == 2


def test_the_search_is_loaded_only_when_it_runs():
    code = "import sys, tankwright.takeoff.chains; print('networkx' in sys.modules)"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "False"
