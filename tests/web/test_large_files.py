"""Files of the size phones and spreadsheets have get through; larger ones are told of, and nothing of them is kept."""

from __future__ import annotations

from pathlib import Path

from tankwright.logbook.pictures import LARGEST
from tankwright.workspace.bringing.tables import MOST_BYTES

from .test_bad_input import CELLAR, Sender

PHOTO = b"\xff\xd8\xff" + b"0" * 8_000_000


def send(sender: Sender, path: str, field: str, content: bytes) -> int:
    data = {"key": "k1", "note": "fin rot, left side"}
    return sender.ask("POST", path, data=data, files={field: ("a.jpg", content, "image/jpeg")}).status_code


def test_a_picture_as_a_phone_takes_it_is_kept(tmp_path: Path) -> None:
    sender = Sender(tmp_path, CELLAR)
    assert send(sender, "/t/A3/photo", "photo", PHOTO) == 303
    (kept,) = (tmp_path / "plan.tankwright" / "pictures").iterdir()
    assert kept.read_bytes() == PHOTO
    assert sender.ask("GET", f"/photo/{kept.name}").content == PHOTO


def test_a_picture_larger_than_any_is_not(tmp_path: Path) -> None:
    sender = Sender(tmp_path, CELLAR)
    for more in (1, 1_000_000):
        content = PHOTO + b"0" * (LARGEST + more - len(PHOTO))
        assert send(sender, "/t/A3/photo", "photo", content) in {413, 422}
    assert not (tmp_path / "plan.tankwright" / "pictures").exists()


def test_a_large_body_is_let_in_nowhere_else(tmp_path: Path) -> None:
    sender = Sender(tmp_path, CELLAR)
    for path in ("/enter", "/edit", "/t/A3/fish", "/bring/say", "/lines/set"):
        assert send(sender, path, "photo", PHOTO) == 413, path


def test_a_table_of_many_rows_gets_through(tmp_path: Path) -> None:
    sender = Sender(tmp_path, CELLAR)
    table = b"Date,Tank,pH\n" + b"2026-08-02,A3,7.2\n" * 200_000
    assert 2_500_000 < len(table) < MOST_BYTES
    answer = sender.ask(
        "POST", "/bring", data={"key": "k"}, files={"table": ("tests.csv", table, "text/csv")}
    )
    assert answer.status_code == 303
    assert "of=" in answer.headers["location"]
