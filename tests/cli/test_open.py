"""`tankwright open`: what is served, what is refused, and who is let in from the network."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from tankwright.plan.reading import LARGEST_FILE
from tankwright.web.serving import bind
from tankwright.workspace.settings import SettingsBook

CELLAR = (Path(__file__).parents[2] / "examples" / "cellar.toml").read_text(encoding="utf-8")
PASSWORD = "four plain words"
PATIENCE = (
    30.0  # s for the first page of a program that has just started, while other tests keep the machine busy
)


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What would have been served; nothing is."""
    calls: list[dict[str, Any]] = []

    def serve(plan: Path, bound: Any, names: Any, access: Any, *, no_browser: bool) -> None:
        calls.append({"plan": plan, "port": bound.port, "lan": bound.lan, "names": names, "access": access})
        bound.close()

    monkeypatch.setattr("tankwright.cli.open._serve", serve)
    return calls


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "cellar.toml"
    path.write_text(CELLAR, encoding="utf-8")
    return path


# --- the plan ------------------------------------------------------------------------------------------------------


def test_a_plan_is_served_on_this_machine_alone(run, served, plan: Path) -> None:
    result = run("open", "cellar.toml", "--port", "0")
    assert result.exit_code == 0
    assert result.output.splitlines()[0] == f"cellar.toml is at http://127.0.0.1:{served[0]['port']}/"
    assert "network" not in result.output
    assert served[0]["access"].is_open
    assert not served[0]["lan"]
    assert [path.name for path in plan.parent.iterdir()] == ["cellar.toml"]


@pytest.mark.parametrize("text", ["", "no = = toml", "[room.a]\nsize = 3", "# nothing yet"])
def test_a_plan_that_is_missing_or_has_mistakes_is_served_to_be_mended(
    text: str, run, served, tmp_path: Path
) -> None:
    assert run("open", "new.toml", "--port", "0").exit_code == 0
    (tmp_path / "bad.toml").write_text(text, encoding="utf-8")
    assert run("open", "bad.toml", "--port", "0").exit_code == 0
    assert len(served) == 2


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("folder", None, "is a folder; name the plan in it"),
        ("folder.toml", None, "is a folder; name the plan in it"),
        ("cellar.txt", b"", "the name of a plan ends in .toml"),
        ("cellar", b"", "the name of a plan ends in .toml"),
        ("latin.toml", "title = 'Küche'".encode("latin-1"), "is not UTF-8"),
        ("picture.toml", b"\x89PNG\x00\x01", "is not a text"),
        ("huge.toml", b"#" * (LARGEST_FILE + 1), "huge.toml"),
        ("away/cellar.toml", b"", "there is no folder away"),
        ("x" * 300 + ".toml", b"", "cannot be read: File name too long"),
    ],
)
def test_what_is_no_plan_is_said_plainly(
    name: str, content: bytes | None, said: str, run, served, tmp_path: Path
) -> None:
    if content is None:
        (tmp_path / name).mkdir()
    elif "/" not in name and len(name) < 255:
        (tmp_path / name).write_bytes(content)
    result = run("open", name)
    assert result.exit_code == 2
    assert said in result.output
    assert served == []


def test_a_plan_that_may_not_be_read_is_said_plainly(
    run, served, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    result = run("open", "cellar.toml")
    assert result.exit_code == 2
    assert result.output == "cellar.toml cannot be read: Permission denied\n"


def test_a_port_that_is_taken_and_one_that_is_none_are_said_plainly(run, served, plan: Path) -> None:
    with closing(bind(0)) as other:
        result = run("open", "cellar.toml", "--port", str(other.port))
        assert result.exit_code == 2
        assert f"port {other.port} is taken" in result.output
    for port in ("-1", "65536", "many"):
        assert run("open", "cellar.toml", "--port", port).exit_code == 2
    assert served == []


# --- the network ---------------------------------------------------------------------------------------------------


def test_the_network_wants_a_password_and_without_a_terminal_a_file(run, served, plan: Path) -> None:
    result = run("open", "cellar.toml", "--lan", "--port", "0")
    assert result.exit_code == 2
    assert "--password-file" in result.output
    assert served == []


def test_a_password_is_asked_for_twice_and_kept_as_a_hash(run, served, plan: Path, monkeypatch) -> None:
    monkeypatch.setattr("tankwright.cli.open._has_terminal", lambda: True)
    result = run(
        "open", "cellar.toml", "--lan", "--port", "0", typed=f"short\nshort\n{PASSWORD}\n{PASSWORD}\n"
    )
    assert result.exit_code == 0, result.output
    assert "at least 8 signs" in result.output
    assert "short" not in result.output.replace("too short", "")
    assert PASSWORD not in result.output
    kept = "".join(
        path.read_text("utf-8") for path in (plan.parent / "cellar.tankwright").iterdir() if path.is_file()
    )
    assert PASSWORD not in kept
    book = SettingsBook(plan)
    assert book.check_password("keeper", PASSWORD) is not None
    assert not served[0]["access"].is_open
    again = run("open", "cellar.toml", "--lan", "--port", "0")
    assert again.exit_code == 0, "with somebody in the settings nothing is asked"
    assert "Password" not in again.output


def test_three_passwords_that_will_not_do_are_enough(run, served, plan: Path, monkeypatch) -> None:
    monkeypatch.setattr("tankwright.cli.open._has_terminal", lambda: True)
    result = run("open", "cellar.toml", "--lan", typed="short\nshort\n" * 3)
    assert result.exit_code == 2
    assert served == []


@pytest.mark.parametrize("text", [PASSWORD + "\n", PASSWORD + "\r\n", PASSWORD, PASSWORD + "\nmore\n"])
def test_a_password_comes_from_the_first_line_of_a_file(
    text: str, run, served, plan: Path, tmp_path: Path
) -> None:
    (tmp_path / "password").write_bytes(text.encode())
    result = run("open", "cellar.toml", "--lan", "--port", "0", "--password-file", "password")
    assert result.exit_code == 0
    assert SettingsBook(plan).check_password("keeper", PASSWORD) is not None
    assert "Not encrypted" in result.output


@pytest.mark.parametrize("raw", [b"", b"\n", b"1234567\n", b" " * 9, b"\xff\xfe12345678", b"x" * 1001, None])
def test_a_password_file_that_will_not_do_is_said_plainly(
    raw: bytes | None, run, served, plan: Path, tmp_path: Path
) -> None:
    if raw is not None:
        (tmp_path / "password").write_bytes(raw)
    result = run("open", "cellar.toml", "--lan", "--password-file", "password")
    assert result.exit_code == 2
    assert len(result.output) > 20
    assert served == []


def test_a_name_on_the_network_is_kept_and_printed(run, served, plan: Path, tmp_path: Path) -> None:
    (tmp_path / "password").write_text(PASSWORD, encoding="utf-8")
    words = ("open", "cellar.toml", "--lan", "--port", "0", "--password-file", "password")
    result = run(*words, "--name", "FishRoom.home")
    assert result.exit_code == 0
    port = served[0]["port"]
    assert f"on your network: http://fishroom.home:{port}/" in result.output
    assert f"fishroom.home:{port}" in served[0]["names"]()
    assert SettingsBook(plan).current.lan_name == "fishroom.home"
    assert "http://fishroom.home:" in run(*words).output


@pytest.mark.parametrize("name", ["fish room", "", "http://fishroom", "a:80", "<b>"])
def test_a_name_that_is_none_is_said_plainly(name: str, run, served, plan: Path) -> None:
    result = run("open", "cellar.toml", "--name", name)
    assert result.exit_code == 2
    assert "A name on the network" in result.output
    assert served == []


def test_damaged_settings_are_said_before_anybody_is_locked_out(
    run, served, plan: Path, tmp_path: Path
) -> None:
    (tmp_path / "cellar.tankwright").mkdir()
    (tmp_path / "cellar.tankwright" / "settings.json").write_text("{", encoding="utf-8")
    result = run("open", "cellar.toml", "--lan", "--port", "0")
    assert result.exit_code == 2
    assert "nobody could log in" in result.output
    assert run("open", "cellar.toml", "--port", "0").exit_code == 0


def test_a_folder_that_cannot_be_made_is_said_plainly(run, served, plan: Path, tmp_path: Path) -> None:
    (tmp_path / "password").write_text(PASSWORD, encoding="utf-8")
    (tmp_path / "cellar.tankwright").write_text("mine", encoding="utf-8")
    result = run("open", "cellar.toml", "--lan", "--port", "0", "--password-file", "password")
    assert result.exit_code == 2
    assert (tmp_path / "cellar.tankwright").read_text("utf-8") == "mine"


# --- as a user calls it --------------------------------------------------------------------------------------------


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Callable[..., tuple[subprocess.Popen[str], str]]]:
    started: list[subprocess.Popen[str]] = []

    def start(*words: str) -> tuple[subprocess.Popen[str], str]:
        process = subprocess.Popen(
            [sys.executable, "-m", "tankwright", "open", *words, "--port", "0", "--no-browser"],
            cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        started.append(process)
        assert process.stdout is not None
        line = process.stdout.readline()
        assert " is at http://" in line, process.communicate(timeout=30)
        return process, line.split()[-1].rstrip("/")

    yield start
    for one in started:
        if one.poll() is None:
            one.kill()
            one.communicate(timeout=20)


def stop(process: subprocess.Popen[str], sign: signal.Signals) -> tuple[int, str, str]:
    process.send_signal(sign)
    out, err = process.communicate(timeout=20)
    return process.returncode, out, err


def test_the_room_is_served_and_stops_cleanly(opened, plan: Path) -> None:
    process, url = opened("cellar.toml")
    with httpx.Client(base_url=url, trust_env=False, timeout=PATIENCE) as client:
        room = client.get("/")
        assert room.status_code == 200
        assert "Cellar" in room.text
        assert room.headers["content-security-policy"].startswith("default-src 'self'")
        assert client.get("/", headers={"host": "evil.example"}).status_code == 400
    code, out, err = stop(process, signal.SIGINT)
    assert (code, err) == (0, "")
    assert out.splitlines()[-1] == "Stopped."


def test_no_plan_yet_begins_with_the_first_questions(opened) -> None:
    process, url = opened("new.toml")
    answer = httpx.get(url, trust_env=False, timeout=PATIENCE)
    assert (answer.status_code, answer.headers.get("location")) == (303, "/start")
    assert stop(process, signal.SIGTERM)[0] == 0


def test_on_the_network_nobody_sees_the_room_before_the_log_in(opened, plan: Path, tmp_path: Path) -> None:
    (tmp_path / "password").write_text(PASSWORD, encoding="utf-8")
    process, url = opened("cellar.toml", "--lan", "--password-file", "password")
    with httpx.Client(base_url=url, trust_env=False, timeout=PATIENCE, headers={"origin": url}) as client:
        door = client.get("/air", follow_redirects=True)
        assert door.url.path == "/login"
        assert "Cellar" not in door.text
        form = {"name": "keeper", "password": "a guess of it", "next": "/air"}
        assert client.post("/login", data=form).status_code == 401
        answer = client.post("/login", data=form | {"password": PASSWORD})
        assert (answer.status_code, answer.headers["location"]) == (303, "/air")
        assert "Cellar" in client.get("/").text
    with socket.create_connection(("127.0.0.1", int(url.rpartition(":")[2])), timeout=5):
        assert stop(process, signal.SIGTERM)[0] == 0
