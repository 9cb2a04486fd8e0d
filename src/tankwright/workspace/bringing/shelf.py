"""Files that were sent to be brought in, kept beside the book with what their owner said of their columns."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Final

from tankwright.units import clip
from tankwright.workspace.log import RoomLog

KEPT: Final = 12
"""Files kept, those brought in last; each can be looked at again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A file and what is said of it. `id` names both together."""

    id: str
    name: str
    content: str
    sheet: str = ""
    said: Mapping[str, str] = field(default_factory=dict)


class Shelf:
    """The files of one book."""

    def __init__(self, log: RoomLog) -> None:
        self.folder: Path = log.folder / "bringing"

    def put(self, name: str, content: bytes) -> Sent:
        """Keep a file. Raises OSError when the disk does not take it."""
        self.folder.mkdir(parents=True, exist_ok=True)
        digest = sha256(content).hexdigest()[:24]
        path = self.folder / f"{digest}.table"
        if not path.exists():
            part = path.with_suffix(".part")
            part.write_bytes(content)
            part.replace(path)
        sent = self._kept(Sent(id="", name=clip(name) or "table", content=digest))
        self._forget()
        return sent

    def say(self, sent: Sent, said: Mapping[str, str], *, sheet: str = "") -> Sent:
        """The same file with something else said of it."""
        return self._kept(Sent(id="", name=sent.name, content=sent.content, sheet=sheet, said=dict(said)))

    def get(self, name: str) -> Sent | None:
        """What was sent under that id; None when it is gone."""
        if not (name.isalnum() and len(name) == 24):
            return None
        try:
            kept = json.loads((self.folder / f"{name}.json").read_text("utf-8"))
            return Sent(id=name, name=str(kept["name"]), content=str(kept["content"]), sheet=str(kept["sheet"]),
                        said={str(key): str(one) for key, one in kept["said"].items()})  # fmt: skip
        except (OSError, ValueError, KeyError, AttributeError):
            return None

    def taken_by(self, sent: Sent, who: str) -> None:
        """Keep who had it brought in: the work is done beside the page that asked for it. Raises OSError."""
        (self.folder / f"{sent.id}.who").write_text(who, "utf-8")

    def taker(self, sent: Sent) -> str:
        """Who had it brought in; "keeper" when nobody is known."""
        try:
            return (self.folder / f"{sent.id}.who").read_text("utf-8") or "keeper"
        except (OSError, ValueError):
            return "keeper"

    def content(self, sent: Sent) -> bytes | None:
        """The file itself; None when it is gone."""
        try:
            return (self.folder / f"{sent.content}.table").read_bytes()
        except OSError:
            return None

    def _kept(self, sent: Sent) -> Sent:
        said = {
            "name": sent.name,
            "content": sent.content,
            "sheet": sent.sheet,
            "said": dict(sorted(sent.said.items())),
        }
        text = json.dumps(said, ensure_ascii=False, sort_keys=True)
        name = sha256(text.encode("utf-8", "replace")).hexdigest()[:24]
        path = self.folder / f"{name}.json"
        part = path.with_suffix(".part")
        part.write_text(text, "utf-8")
        part.replace(path)
        return Sent(id=name, name=sent.name, content=sent.content, sheet=sent.sheet, said=sent.said)

    def _forget(self) -> None:
        tables = sorted(self.folder.glob("*.table"), key=lambda one: one.stat().st_mtime, reverse=True)
        for table in tables[KEPT:]:
            table.unlink(missing_ok=True)
