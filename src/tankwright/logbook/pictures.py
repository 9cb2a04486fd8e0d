"""Pictures beside the book: each under the hash of what it holds, so none is kept twice or overwritten."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Final

from tankwright.finding import Finding
from tankwright.logbook.outcome import trouble

REFUSED: Final = "LOG-33"
LARGEST: Final = 15_000_000
"""Bytes of one picture; a phone's have some four million. Our choice, no source."""

TYPES: Final = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}
"""What is kept and shown, by the end of its name."""

_NAME: Final = re.compile(r"[0-9a-f]{64}\.(jpg|png|webp)")


def type_of(content: bytes) -> str:
    """The end of a picture's name, by what it holds and not by what it was called; "" for what is none that is kept.

    Source: the first bytes of the formats as ISO/IEC 10918-1 (JPEG), ISO/IEC 15948 (PNG) and RFC 9649 (WebP) have them.

    >>> type_of(b"\\x89PNG\\r\\n\\x1a\\n...."), type_of(b"<svg>")
    ('png', '')
    """
    if content.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    return "webp" if content[:4] == b"RIFF" and content[8:12] == b"WEBP" else ""


def name_of(content: bytes) -> str:
    """The name a picture is kept under; "" for what is none.

    >>> name_of(b"\\xff\\xd8\\xff")[-4:], name_of(b"GIF89a")
    ('.jpg', '')
    """
    end = type_of(content)
    return f"{sha256(content).hexdigest()}.{end}" if end else ""


def picture_faults(content: bytes) -> tuple[Finding, ...]:
    """Why something is not kept as a picture."""
    if len(content) > LARGEST:
        return (_refused("is too large", f"{len(content)} bytes", f"at most {LARGEST} bytes"),)
    if not type_of(content):
        return (
            _refused(
                "is no picture that can be kept", f"a file that begins {content[:8]!r}", "JPEG, PNG or WebP"
            ),
        )
    return ()


class Pictures:
    """The pictures of one book.

    >>> folder = tempfile.TemporaryDirectory()
    >>> pictures = Pictures(Path(folder.name) / "pictures")
    >>> name = pictures.keep(b"\\xff\\xd8\\xff a picture")
    >>> pictures.get(str(name)), pictures.get("../plan.toml")
    (b'\\xff\\xd8\\xff a picture', None)
    >>> folder.cleanup()
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, content: bytes) -> str | Finding:
        """Keep a picture and give its name; what keeps it out otherwise. It is on the disk when this returns."""
        faults = picture_faults(content)
        if faults:
            return faults[0]
        name = name_of(content)
        try:
            if (self.folder / name).exists():
                return name
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, unfinished = tempfile.mkstemp(prefix=".", suffix=".unfinished", dir=self.folder)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
                Path(unfinished).replace(self.folder / name)
            except BaseException:
                with suppress(OSError):
                    Path(unfinished).unlink(missing_ok=True)
                raise
        except OSError as error:
            return _refused(
                "could not be written", str(error.strerror), "a disk with room that may be written"
            )
        return name

    def get(self, name: str) -> bytes | None:
        """What a picture holds; None when there is none of that name, or it is not what it was."""
        if not _NAME.fullmatch(name):
            return None
        try:
            content = (self.folder / name).read_bytes()
        except OSError:
            return None
        return content if name_of(content) == name else None

    def names(self) -> Iterator[str]:
        """The names of all pictures, in order."""
        with suppress(OSError):
            yield from sorted(one.name for one in self.folder.iterdir() if _NAME.fullmatch(one.name))


def _refused(text: str, found: str, wanted: str) -> Finding:
    return trouble(
        REFUSED, text, subject="picture", found=found, wanted=wanted, remedy="send another picture"
    )
