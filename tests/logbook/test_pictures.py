"""Pictures beside the book: by what they hold, never overwritten, nothing but pictures."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from tankwright.finding import Finding
from tankwright.logbook.pictures import LARGEST, TYPES, Pictures, name_of, type_of


def picture(form: str, colour: tuple[int, int, int] = (10, 90, 40)) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (8, 8), colour).save(made, form)
    return made.getvalue()


@pytest.fixture
def pictures(tmp_path: Path) -> Pictures:
    return Pictures(tmp_path / "pictures")


def kept(outcome: str | Finding) -> str:
    assert isinstance(outcome, str), outcome
    return outcome


@pytest.mark.parametrize(("form", "end"), [("JPEG", "jpg"), ("PNG", "png"), ("WEBP", "webp")])
def test_a_picture_is_kept_under_what_it_holds(pictures: Pictures, form: str, end: str) -> None:
    content = picture(form)
    name = kept(pictures.keep(content))
    assert name.endswith(f".{end}")
    assert end in TYPES
    assert pictures.get(name) == content
    assert kept(pictures.keep(content)) == name
    assert list(pictures.names()) == [name]
    assert [one.name for one in pictures.folder.iterdir()] == [name]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>",
        b"<html>",
        b"GIF89a",
        b"%PDF-1.7",
        b"MZ",
        b"RIFF1234AVI ",
    ],
)
def test_what_is_no_picture_is_not_kept(pictures: Pictures, content: bytes) -> None:
    outcome = pictures.keep(content)
    assert isinstance(outcome, Finding)
    assert outcome.code == "LOG-33"
    assert not pictures.folder.exists()
    assert type_of(content) == name_of(content) == ""


def test_a_picture_that_is_too_large_is_not_kept(pictures: Pictures) -> None:
    outcome = pictures.keep(picture("PNG") + bytes(LARGEST))
    assert isinstance(outcome, Finding)
    assert "too large" in outcome.text


@pytest.mark.parametrize(
    "name", ["../secret.jpg", "/etc/passwd", "", ".", "a" * 64 + ".svg", "A" * 64 + ".jpg", "x\x00.jpg"]
)
def test_no_other_file_can_be_had_by_a_name(pictures: Pictures, name: str) -> None:
    (pictures.folder.parent / "secret.jpg").write_bytes(b"\xff\xd8\xff")
    assert pictures.get(name) is None


def test_a_picture_that_was_changed_is_not_shown(pictures: Pictures) -> None:
    name = kept(pictures.keep(picture("PNG")))
    (pictures.folder / name).write_bytes(picture("PNG", (1, 2, 3)))
    assert pictures.get(name) is None


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "pictures").write_text("in the way")
    outcome = Pictures(tmp_path / "pictures").keep(picture("PNG"))
    assert isinstance(outcome, Finding)
    assert outcome.text == "could not be written"
    assert list(Pictures(tmp_path / "pictures").names()) == []
