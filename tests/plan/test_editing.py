"""One value changed, everything else of the owner's file left alone."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.plan.editing import plan_hash, quoted, set_text, set_value
from tankwright.plan.positions import read_positions
from tankwright.plan.writing import write_plan

GOOD_PLAN = (Path(__file__).parent / "good_plan.toml").read_text(encoding="utf-8")
VALUE_PATHS = [
    path
    for path, span in read_positions(GOOD_PLAN).spans.items()
    if set_value(GOOD_PLAN, path, GOOD_PLAN[span.start : span.end]).text is not None
]


def test_most_values_of_the_plan_can_be_edited() -> None:
    assert len(VALUE_PATHS) > 60


def test_a_value_is_replaced_and_its_comment_kept() -> None:
    edited = set_value(GOOD_PLAN, "tank_kind.long90.outside.0", '"91 cm"').text
    assert edited is not None
    assert 'outside = ["91 cm", "38 cm", "38 cm"]      # length, depth, height\n' in edited


def test_values_in_inline_tables_lists_of_tables_and_dotted_keys_are_reached() -> None:
    for path, new in (
        ("tank_kind.long90.hole.diameter.value", '"30 mm"'),
        ("rack.0.shelf.2.0.gap", '"12 mm"'),
        (("power", "boards", 0, "loads", 0, "power"), '"68 W"'),
        ("feed.drip.program.0.minutes", "60"),
    ):
        edited = set_value(GOOD_PLAN, path, new)
        assert edited.findings == ()
        assert edited.text is not None
        assert len(edited.text.splitlines()) == len(GOOD_PLAN.splitlines())
        assert new in edited.text


@given(st.sampled_from(VALUE_PATHS), st.text(max_size=30))
def test_an_edit_changes_only_its_own_line(path: tuple[str | int, ...], new: str) -> None:
    edited = set_text(GOOD_PLAN, path, new).text
    assert edited is not None
    before, after = GOOD_PLAN.split("\n"), edited.split("\n")
    assert len(before) == len(after)
    changed = [
        number for number, (old, now) in enumerate(zip(before, after, strict=True), start=1) if old != now
    ]
    assert changed in ([], [read_positions(GOOD_PLAN).spans[path].line])
    value: object = tomllib.loads(edited)
    for step in path:
        value = value[step]  # type: ignore[index]
    assert value == new


@given(st.sampled_from(VALUE_PATHS), st.text(max_size=12))
def test_a_text_that_is_not_one_value_changes_nothing(path: tuple[str | int, ...], new: str) -> None:
    edited = set_value(GOOD_PLAN, path, new)
    assert (edited.text is None) == bool(edited.findings)
    if edited.text is not None:
        assert tomllib.loads(edited.text)
        assert read_positions(edited.text).source_of(path) == new


@pytest.mark.parametrize(
    ("path", "new", "code", "said"),
    [
        (
            "tank_kind.long90.outsid",
            '"1 m"',
            "PLAN-040",
            'there is no value "tank_kind.long90.outsid" to change',
        ),
        ("tank_kind.long90", '"1 m"', "PLAN-040", 'there is no value "tank_kind.long90" to change'),
        ("rack.0", "{}", "PLAN-040", 'there is no value "rack.0" to change'),
        ("rack.x.id", '"B"', "PLAN-040", 'there is no value "rack.-1.id" to change'),
        ("title", "54 L", "PLAN-041", '"54 L" is not one value'),
        ("title", '"a"\nb = 1', "PLAN-041", '""a"\\nb = 1" is not one value'),
        ("title", '"a" # remark', "PLAN-041", '""a" # remark" is not one value'),
        ("title", "", "PLAN-041", '"" is not one value'),
    ],
)
def test_an_edit_that_cannot_be_is_answered(path: str, new: str, code: str, said: str) -> None:
    edited = set_value(GOOD_PLAN, path, new)
    assert edited.text is None
    assert (edited.findings[0].code, edited.findings[0].text) == (code, said)


def test_a_near_path_is_proposed() -> None:
    finding = set_value(GOOD_PLAN, "tank_kind.long90.outsid", '"1 m"').findings[0]
    assert finding.attempt == "tank_kind.long90.outside"


def test_a_plan_with_broken_lines_is_not_edited() -> None:
    edited = set_value("a = 5 cm\nb = 1\n", "b", "2")
    assert edited.text is None
    assert [one.code for one in edited.findings] == ["PLAN-042", "PLAN-007"]


@given(st.text())
def test_any_text_is_quoted_so_that_it_reads_back(text: str) -> None:
    assert tomllib.loads(f"v = {quoted(text)}")["v"] == text


# --- on the disk ---


def test_a_plan_is_written_over_the_state_it_was_read_in(tmp_path: Path) -> None:
    path = tmp_path / "cellar.toml"
    path.write_bytes(b"a = 1\r\n")
    path.chmod(0o600)
    assert write_plan(path, "a = 2\r\n", plan_hash("a = 1\r\n")) == ()
    assert path.read_bytes() == b"a = 2\r\n"
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["cellar.toml"]


def test_a_plan_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "cellar.toml"
    path.write_text("a = 3\n")
    findings = write_plan(path, "a = 2\n", plan_hash("a = 1\n"))
    assert [(one.code, one.text) for one in findings] == [
        ("PLAN-043", "was changed by somebody else meanwhile")
    ]
    assert path.read_text() == "a = 3\n"


def test_a_plan_taken_away_meanwhile_is_not_made_anew(tmp_path: Path) -> None:
    findings = write_plan(tmp_path / "cellar.toml", "a = 2\n", plan_hash("a = 1\n"))
    assert [(one.code, one.text) for one in findings] == [("PLAN-043", "is no longer there")]
    assert list(tmp_path.iterdir()) == []


def test_a_new_plan_does_not_replace_one_that_is_there(tmp_path: Path) -> None:
    path = tmp_path / "cellar.toml"
    assert write_plan(path, "a = 1\n", None) == ()
    assert [one.text for one in write_plan(path, "a = 2\n", None)] == ["is there already"]
    assert path.read_text() == "a = 1\n"


def test_a_disk_that_refuses_is_told_and_leaves_no_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    path = tmp_path / "cellar.toml"
    path.write_text("a = 1\n")
    monkeypatch.setattr(Path, "replace", refuse)
    findings = write_plan(path, "a = 2\n", plan_hash("a = 1\n"))
    assert [(one.code, one.text) for one in findings] == [
        ("PLAN-044", "cannot be written: No space left on device")
    ]
    assert path.read_text() == "a = 1\n"
    assert [one.name for one in tmp_path.iterdir()] == ["cellar.toml"]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    findings = write_plan(tmp_path / "none" / "cellar.toml", "a = 1\n", None)
    assert [one.code for one in findings] == ["PLAN-044"]


def test_a_link_to_a_plan_stays_a_link(tmp_path: Path) -> None:
    path, link = tmp_path / "cellar.toml", tmp_path / "link.toml"
    path.write_text("a = 1\n")
    link.symlink_to(path)
    assert write_plan(link, "a = 2\n", plan_hash("a = 1\n")) == ()
    assert link.is_symlink()
    assert path.read_text() == "a = 2\n"
