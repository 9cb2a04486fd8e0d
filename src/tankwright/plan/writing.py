"""Put a changed plan on the disk: only over the state it was made from, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path as FilePath
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.plan.editing import plan_hash
from tankwright.units import clip

CHANGED_MEANWHILE: Final = "PLAN-043"
NOT_WRITTEN: Final = "PLAN-044"


def write_plan(path: str | FilePath, text: str, expected_hash: str | None) -> tuple[Finding, ...]:
    """Write a plan's text; () when it is written, findings when it is not.

    `expected_hash` is `plan_hash` of the text the change was made from: when the file holds something else
    by now, nothing is written. None means that no file may be there yet. The text goes to a temporary file
    beside the plan, which then takes its name, so a power cut leaves the old plan or the new one. Never
    raises for what the disk says.
    """
    place = FilePath(path)
    name = clip(place.name or str(path))
    try:
        place = place.resolve()
        present = place.read_bytes().decode("utf-8", "replace") if place.exists() else None
        if present is None and expected_hash is not None:
            return (
                _mistake(CHANGED_MEANWHILE, name, "is no longer there", "the file the change was made from"),
            )
        if present is not None and (expected_hash is None or plan_hash(present) != expected_hash):
            text_of_it = "was changed by somebody else meanwhile" if expected_hash else "is there already"
            return (
                _mistake(CHANGED_MEANWHILE, name, text_of_it, "the file as it was read", "read it again"),
            )
        _replace(place, text)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name or its text cannot be stored"
        return (_mistake(NOT_WRITTEN, name, f"cannot be written: {clip(why)}", "a file you may write"),)
    return ()


def _replace(place: FilePath, text: str) -> None:
    mode = place.stat().st_mode & 0o777 if place.exists() else 0o644
    handle, temporary = tempfile.mkstemp(prefix=f".{place.name[:40]}.", suffix=".new", dir=place.parent)
    written = FilePath(temporary)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        written.chmod(mode)
        written.replace(place)
    except BaseException:
        written.unlink(missing_ok=True)
        raise


def _mistake(code: str, name: str, text: str, wanted: str, attempt: str = "") -> Finding:
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=name, text=text, wanted=wanted, attempt=attempt
    )
