"""Our networks in the reference solvers, as the command shows them."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from tankwright.systems.drain_model import DrainCase
from tankwright.verify.files import reference_files
from tankwright.verify.run_epanet import Comparison
from tankwright.verify.run_swmm import DrainComparison
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("cellar", "cellar_mended", "garage", "hall")


@pytest.mark.parametrize("name", NAMES)
def test_every_network_of_an_example_agrees_with_epanet(name: str) -> None:
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    files = [file for file in reference_files(study) if file.program == "EPANET"]
    assert files
    for file in files:
        answer = file.compare()
        assert isinstance(answer, Comparison), answer
        assert answer.compared > 0
        assert answer.share_of_largest_flow <= 1e-6, f"{file.name}: {answer.where}"


@pytest.mark.parametrize("name", NAMES)
def test_every_drain_of_an_example_agrees_with_swmm(name: str) -> None:
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    files = [file for file in reference_files(study) if file.program == "SWMM"]
    assert files
    for file in files:
        answer = file.compare()
        assert isinstance(answer, DrainComparison), answer
        assert isinstance(file.case, DrainCase)
        largest = max(segment.flow for segment in file.case.segments)
        # SWMM steps through time and still swings by up to 1.1 % when its run ends
        assert answer.flow_difference <= 0.015 * largest + 1e-9
        # SWMM holds depths to 0.03 mm at the least, and draws a drop's edge down where ours is critical
        assert answer.depth_difference <= 2e-3, f"{file.name}: {answer.depth_at}"


def test_the_files_are_written_and_the_differences_shown(run, tmp_path) -> None:
    result = run("verify", str(EXAMPLES / "cellar.toml"), "--into", "reference")
    assert result.exit_code == 0
    written = sorted(path.name for path in (tmp_path / "reference").iterdir())
    assert {"air_ring.inp", "feed_drip.inp"} <= set(written)
    for name in written:
        assert name in result.output
        assert "[TITLE]" in (tmp_path / "reference" / name).read_text(encoding="utf-8")
    assert len(re.findall(r"EPANET [\d.]+: \d+ flows, largest difference", result.output)) == 2
    assert "of the largest flow" in result.output
    assert re.search(r"SWMM \d+: \d+ segments, largest difference of flow", result.output)
    assert f"Wrote {len(written)} files into reference" in result.output


def test_without_the_solvers_the_files_are_written_and_it_says_how_to_install_them(
    run, tmp_path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("epanet", "epanet.toolkit", "swmm", "swmm.toolkit"):
        monkeypatch.setitem(sys.modules, name, None)
    result = run("verify", str(EXAMPLES / "cellar.toml"), "--into", "reference")
    assert result.exit_code == 0
    assert "not compared: EPANET is not installed here" in result.output
    assert "not compared: SWMM is not installed here" in result.output
    assert "pip install owa-epanet" in result.output
    assert "pip install swmm-toolkit" in result.output
    assert "largest difference" not in result.output
    assert (tmp_path / "reference" / "air_ring.inp").is_file()


def test_a_room_without_pipes_has_nothing_to_compare(run, tmp_path) -> None:
    (tmp_path / "plan.toml").write_text(
        '[room.shed]\nsize = { length = "3 m", width = "3 m", height = "2.2 m" }\n', encoding="utf-8"
    )
    result = run("verify", "plan.toml")
    assert result.exit_code == 0
    assert "no air, feed or drain to compare" in result.output
    assert not (tmp_path / "plan-reference").exists()
