"""Pictures kept beside the logbook: typed by what is in them, named by it, so that one is kept once."""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path
from typing import Final

from tankwright.finding import Finding
from tankwright.workspace.disk import write_whole
from tankwright.workspace.journal import not_kept
from tankwright.workspace.outcomes import trouble

NO_PICTURE: Final = "BOOK-05"
NOT_KEPT: Final = "BOOK-01"
LARGEST: Final = 12_000_000
"""Bytes of a picture that are taken; a phone's own is about a third of that, from memory."""

_NAME: Final = re.compile(r"[0-9a-f]{20}\.(jpg|png|webp)")
TYPES: Final = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}


def sort_of(raw: bytes) -> str:
    """The ending of a picture of that content, "" for what is none that is taken.

    Source: the first bytes of a file as ISO/IEC 10918-1 (FF D8 FF), ISO/IEC 15948 and RFC 9649 have them.

    >>> sort_of(bytes([0xFF, 0xD8, 0xFF, 0xE0])), sort_of(b"<svg>")
    ('jpg', '')
    """
    if raw.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if raw.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    return "webp" if raw[:4] == b"RIFF" and raw[8:12] == b"WEBP" else ""


def keep_photo(folder: Path, raw: bytes) -> str | Finding:
    """Keep a picture; its name, or what is wrong with it."""
    if len(raw) > LARGEST:
        return trouble(NO_PICTURE, "picture", "is larger than 12 MB", wanted="a smaller one")
    sort = sort_of(raw)
    if not sort:
        return trouble(
            NO_PICTURE, "picture", "is no picture that can be kept", wanted="a JPEG, PNG or WebP file"
        )
    name = f"{sha256(raw).hexdigest()[:20]}.{sort}"
    try:
        (folder / "photos").mkdir(parents=True, exist_ok=True)
        if not (folder / "photos" / name).exists():
            write_whole(folder / "photos" / name, raw)
    except OSError as error:
        return not_kept(NOT_KEPT, folder, error)
    return name


def photo_at(folder: Path, name: str) -> Path | None:
    """Where the picture of that name stands; None for no name of ours, or one that is gone."""
    if _NAME.fullmatch(name) is None:
        return None
    place = folder / "photos" / name
    return place if place.is_file() else None
