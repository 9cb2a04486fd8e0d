"""The plan's file as it stands on the disk right now: its text, or what is wrong with it."""

from __future__ import annotations

import errno
import glob
import os
import stat
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tankwright.finding import Finding
from tankwright.plan.editing import plan_hash
from tankwright.plan.reading import LARGEST_FILE, read_plan_bytes
from tankwright.units import clip
from tankwright.workspace.disk import why
from tankwright.workspace.outcomes import GONE, NO_TEXT, NOT_STORED, trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class OnDisk:
    """What stands there: a text with its hash, or nothing (`missing`), or something that is no text (`wrong`)."""

    text: str = ""
    hash: str = ""
    missing: bool = False
    wrong: Finding | None = None


def look(place: Path) -> OnDisk:
    """Read the file. Never raises for what is there."""
    name = clip(place.name or str(place))
    try:
        raw = _content(place)
    except FileNotFoundError:
        return OnDisk(missing=True)
    except (OSError, ValueError) as error:
        wrong = trouble(NOT_STORED, name, f"cannot be read: {clip(why(error))}", wanted="a plan file")
        return OnDisk(wrong=wrong)
    wrong_raw = _no_text(raw, name)
    if wrong_raw is not None:
        return OnDisk(wrong=wrong_raw)
    text = raw.decode("utf-8")
    return OnDisk(text=text, hash=plan_hash(text))


def _content(place: Path) -> bytes:
    """What a file holds, a little more than a plan may at most. OSError for what is no file: a pipe put in its place
    would have its reader wait for ever."""
    handle = os.open(place, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        kind = os.fstat(handle).st_mode
        if stat.S_ISDIR(kind):
            raise IsADirectoryError(errno.EISDIR, "it is a folder")
        if not stat.S_ISREG(kind):
            raise OSError(errno.EINVAL, "it is no file")
        with open(handle, "rb", closefd=False) as file:
            return file.read(LARGEST_FILE + 1)
    finally:
        os.close(handle)


def _no_text(raw: bytes, name: str) -> Finding | None:
    """Why these bytes are not the text of a plan file."""
    if len(raw) <= LARGEST_FILE and b"\x00" not in raw:
        try:
            raw.decode("utf-8")
        except UnicodeDecodeError:
            return read_plan_bytes(raw, name).findings[0]
        return None
    return read_plan_bytes(raw, name).findings[0]


def unfit(text: str, name: str) -> Finding | None:
    """Why a text cannot be the text of a plan file; None when it can, mistakes or not."""
    try:
        raw = text.encode("utf-8")
    except UnicodeEncodeError:
        return trouble(NO_TEXT, name, "holds half a letter, which no file can keep", wanted="a text in UTF-8")
    return _no_text(raw, name)


def gone(place: Path) -> Finding:
    """Said when a file that was there is not any more."""
    name = clip(place.name)
    return trouble(
        GONE, name, "is no longer there; nothing is written in its place",
        wanted="the file where it was", attempt="put it back, or restore a revision from the history",
    )  # fmt: skip


def may_not_write(place: Path) -> Finding | None:
    """Why the file cannot be replaced, found out without touching anything; None when it seems it can."""
    name = clip(place.name)
    try:
        if not place.parent.is_dir():
            text = "cannot be written: its folder is not there"
        elif not _may(place.parent, os.W_OK | os.X_OK):
            text = "cannot be written: its folder may only be read"
        elif place.exists() and not _may(place, os.W_OK):
            text = "cannot be written: the file may only be read"
        else:
            return None
    except (OSError, ValueError) as error:
        text = f"cannot be written: {clip(why(error))}"
    return trouble(NOT_STORED, name, text, wanted="a file and a folder you may write")


def _may(place: Path, what: int) -> bool:
    effective = os.access in os.supports_effective_ids  # as the system will decide; elsewhere the best guess
    return os.access(place, what, effective_ids=effective)


def sweep(place: Path) -> None:
    """Take away what a kill in the middle of writing left beside the plan. Only under the folder's lock."""
    pattern = f".{glob.escape(place.name[:40])}.*.new"
    for left in place.parent.glob(pattern):
        with suppress(OSError):
            left.unlink()


def signature(place: Path) -> tuple[int, ...] | None:
    """What changes when the file does, without reading it; None when there is none."""
    try:
        about = place.stat()
    except (OSError, ValueError):
        return None
    return (about.st_dev, about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns)
