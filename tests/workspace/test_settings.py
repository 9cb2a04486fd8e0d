"""Settings: written whole, read anew, people with passwords that nobody can read back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tankwright.finding import Finding
from tankwright.workspace import passwords
from tankwright.workspace.settings import Settings, SettingsBook

WORDS = "four plain words"


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same function at a cost that lets many tests run."""
    monkeypatch.setattr(passwords, "COST", 2**4)
    monkeypatch.setattr(passwords, "LANES", 1)


def book(folder: Path) -> SettingsBook:
    return SettingsBook(folder / "plan.toml")


def good(outcome: Settings | Finding) -> Settings:
    assert isinstance(outcome, Settings), outcome
    return outcome


def wrong(outcome: Settings | Finding, code: str = "SET-03") -> Finding:
    assert isinstance(outcome, Finding)
    assert outcome.code == code
    return outcome


def test_looking_makes_no_folder_and_finds_the_usual_settings(tmp_path: Path) -> None:
    of = book(tmp_path)
    assert of.current == Settings()
    assert of.check_password("Ada", WORDS) is None
    assert list(tmp_path.iterdir()) == []


def test_what_is_set_is_there_after_a_restart_and_in_another_process(tmp_path: Path) -> None:
    of, other = book(tmp_path), book(tmp_path)
    good(of.set_language("de"))
    assert other.current.language == "de"
    good(other.set_lan_name("Fishroom.local"))
    assert of.current.lan_name == book(tmp_path).current.lan_name == "fishroom.local"
    good(of.set_lan_name(""))
    assert other.current.lan_name == ""


def test_a_password_opens_for_its_person_alone(tmp_path: Path) -> None:
    of = book(tmp_path)
    good(of.set_password("Ada", WORDS, "keeper"))
    good(of.set_password("Bo", "another four words", "helper"))
    person = of.check_password("ada", WORDS)
    assert person is not None
    assert (person.name, person.role) == ("Ada", "keeper")
    for name, password in (("Ada", "another four words"), ("Cy", WORDS), ("", ""), ("Ada", "x" * 5000)):
        assert of.check_password(name, password) is None
    text = (of.folder / "settings.json").read_text("utf-8")
    assert WORDS not in text
    assert "scrypt" not in repr(of.current)
    assert (of.folder / "settings.json").stat().st_mode & 0o077 == 0


def test_two_hashes_of_one_password_differ_and_carry_their_cost(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    one, other = passwords.hash_password(WORDS), passwords.hash_password(WORDS)
    assert one != other
    assert one.split("$")[:4] == ["scrypt", "16384", "8", "5"]
    assert passwords.password_fits(WORDS, one)
    assert not passwords.password_fits(WORDS + " ", one)


def test_a_letter_composed_in_two_ways_is_one_password() -> None:
    assert passwords.password_fits("cafe\u0301 in town", passwords.hash_password("caf\u00e9 in town"))


@pytest.mark.parametrize(
    "kept", ["", "x", "scrypt$1$2$3$4$5", "scrypt$16$8$1$!!$!!", "scrypt$-1$8$1$AA==$AA=="]
)
def test_a_damaged_hash_opens_for_nobody(kept: str) -> None:
    assert not passwords.password_fits(WORDS, kept)


def test_a_new_password_keeps_the_part_and_a_new_part_the_password(tmp_path: Path) -> None:
    of = book(tmp_path)
    good(of.set_password("Ada", WORDS, "keeper"))
    good(of.set_password("Bo", WORDS, "helper"))
    good(of.set_password("bo", "another four words"))
    found = of.find("Bo")
    assert found is not None
    assert found.role == "helper"
    good(of.set_role("BO", "looker"))
    assert of.check_password("bo", "another four words") == of.find("Bo")
    assert len(of.current.people) == 2


def test_a_keeper_stays(tmp_path: Path) -> None:
    of = book(tmp_path)
    wrong(of.set_password("Bo", WORDS, "helper"))
    good(of.set_password("Ada", WORDS, "keeper"))
    good(of.set_password("Bo", WORDS, "helper"))
    wrong(of.set_role("Ada", "helper"))
    wrong(of.take_out("Ada"))
    good(of.take_out("Bo"))
    assert good(of.take_out("Ada")).people == ()


@pytest.mark.parametrize(
    ("name", "password", "role"),
    [("", WORDS, "keeper"), ("A\nb", WORDS, "keeper"), ("x" * 81, WORDS, "keeper"), ("Ada", "short", "keeper"),
     ("Ada", " " * 9, "keeper"), ("Ada", "x" * 1001, "keeper"), ("Ada", WORDS, "king")],
)  # fmt: skip
def test_a_person_that_cannot_be_is_refused(name: str, password: str, role: str, tmp_path: Path) -> None:
    wrong(book(tmp_path).set_password(name, password, role))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "name", ["two words", "-x", "x-", "a..b", "a" * 64, "x/../y", "<b>", "a." * 130 + "b"]
)
def test_what_is_no_name_of_a_machine_is_refused(name: str, tmp_path: Path) -> None:
    wrong(book(tmp_path).set_lan_name(name))


def test_what_a_part_may_do_can_be_set_but_for_the_keeper(tmp_path: Path) -> None:
    of = book(tmp_path)
    assert good(of.set_deeds("helper", frozenset({"look", "enter", "edit"}))).may("helper", "edit")
    assert not book(tmp_path).current.may("looker", "enter")
    assert book(tmp_path).current.may("keeper", "settings")
    wrong(of.set_deeds("keeper", frozenset()))
    wrong(of.set_deeds("helper", frozenset({"fly"})))
    wrong(of.set_language("../x"))
    wrong(of.set_role("nobody", "helper"))


@pytest.mark.parametrize(
    "content",
    [b"{", b"[]", b"\xff", b'{"people": [{}]}', b'{"people": [{"name": "A", "role": "king", "password": ""}]}',
     b'{"language": 3}', b"[" * 100_000, b'{"deeds": []}'],
)  # fmt: skip
def test_damaged_settings_are_said_and_never_written_over(content: bytes, tmp_path: Path) -> None:
    of = book(tmp_path)
    of.folder.mkdir()
    place = of.folder / "settings.json"
    place.write_bytes(content)
    assert of.current == Settings()
    assert of.trouble is not None
    assert of.trouble.code == "SET-02"
    assert place.read_bytes() == content
    good(of.set_language("de"))
    assert of.trouble is None
    kept = [one for one in of.folder.iterdir() if one.name.startswith("settings.damaged")]
    assert [one.read_bytes() for one in kept] == [content]
    assert json.loads(place.read_text("utf-8"))["language"] == "de"


def test_a_folder_that_cannot_be_made_gives_a_clear_no(tmp_path: Path) -> None:
    wrong(SettingsBook(tmp_path / "nowhere" / "plan.toml").set_language("de"), "SET-01")
