"""An export is read: all of it is looked at before anything of it is believed, and what is wrong is said."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, get_args
from zipfile import BadZipFile, ZipFile
from zlib import error as ZlibError  # noqa: N812 - it is a class

from tankwright.husbandry.records import KINDS, Account, Event
from tankwright.logbook.codec import FIRST_SEAL, event_of, seal_of
from tankwright.logbook.exchange import EVENTS, FORMAT, MANIFEST, PICTURES, WHAT, Manifest
from tankwright.logbook.keepable import keepable_faults
from tankwright.logbook.outcome import By, NoLogbookError, trouble
from tankwright.logbook.pictures import LARGEST, name_of
from tankwright.logbook.versions import HEAD, KNOWN

NO_EXPORT: Final = "LOG-35"
NEWER_EXPORT: Final = "LOG-36"
_HEAD: Final = 30  # bytes of a zip before the name of the first file in it
_LONGEST_LINE: Final = 20_000_000
_LARGEST_MANIFEST: Final = 50_000_000
_ACCOUNTS: Final = frozenset(get_args(Account))
_TEXTS: Final = (
    "id", "kind", "who", "device", "key", "batch", "place", "stock", "line", "note", "reason", "voids", "hash",
)  # fmt: skip
_NUMBERS: Final = {"serial": 2**63, "happened": 2**57, "recorded": 2**57, "offset": 2**31}
_KEYS: Final = frozenset({*_TEXTS, *_NUMBERS, "plan_revision", "details", "flows", "observed"})
_BROKEN: Final = (BadZipFile, ZlibError, OSError, EOFError, NotImplementedError, RuntimeError, UnicodeError)


def is_export(path: Path) -> bool:
    """True for a file that was begun as the export of a logbook, whole or not as that may be."""
    try:
        with path.open("rb") as file:
            head = file.read(_HEAD + len(EVENTS))
    except OSError:
        return False
    return head[:4] == b"PK\x03\x04" and head[_HEAD:] == EVENTS.encode()


class Export:
    """An export that was looked through and is whole.

    Raises NoLogbookError for one that is cut off, was changed, is of a newer program, or is none at all.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._open() as packed:
            self.manifest = _manifest(packed, path)
            self._check_events(packed)
            self._check_pictures(packed)

    def events(self) -> Iterator[Event]:
        """All its events, in their order. Raises NoLogbookError at the end when it is not the file any more that was
        looked through."""
        hashed = sha256()
        with self._open() as packed:
            for number, line in enumerate(self._lines(packed), 1):
                hashed.update(line)
                yield self._event(number, line, looked_over=True)
        if hashed.hexdigest() != self.manifest.sha256:
            raise NoLogbookError(_fault(self.path, "was changed while it was read", ""))

    def pictures(self) -> Iterator[bytes]:
        """All its pictures."""
        with self._open() as packed:
            for name in self.manifest.pictures:
                yield packed.read(PICTURES + name)

    @contextmanager
    def _open(self) -> Iterator[ZipFile]:
        try:
            with ZipFile(self.path) as packed:
                yield packed
        except _BROKEN as error:
            raise NoLogbookError(
                _fault(self.path, "is cut off, was changed on the way, or is no export", str(error)[:200])
            ) from error

    def _check_events(self, packed: ZipFile) -> None:
        hashed, before, count = sha256(), FIRST_SEAL, 0
        for count, line in enumerate(self._lines(packed), 1):
            hashed.update(line)
            event = self._event(count, line)
            if event.serial != count or seal_of(event, before) != event.hash:
                raise NoLogbookError(
                    _fault(
                        self.path, f"was changed at event {count}: its seal is not that of what it says", ""
                    )
                )
            before = event.hash
        told = self.manifest
        if (count, before, hashed.hexdigest()) != (told.events, told.seal, told.sha256):
            raise NoLogbookError(
                _fault(self.path, "does not hold what it says it holds", f"{count} events of {told.events}")
            )

    def _check_pictures(self, packed: ZipFile) -> None:
        for name in self.manifest.pictures:
            try:
                info = packed.getinfo(PICTURES + name)
            except KeyError as error:
                raise NoLogbookError(_fault(self.path, "lacks a picture", name[:80])) from error
            if info.file_size > LARGEST or name_of(packed.read(info)) != name:
                raise NoLogbookError(_fault(self.path, "holds a picture that is not what it was", name[:80]))

    def _lines(self, packed: ZipFile) -> Iterator[bytes]:
        with packed.open(EVENTS) as lines:
            while line := lines.readline(_LONGEST_LINE):
                yield line

    def _event(self, number: int, line: bytes, *, looked_over: bool = False) -> Event:
        try:
            plain = json.loads(line)
            if looked_over:
                return event_of(plain, plain["hash"])
        except (ValueError, KeyError, TypeError, RecursionError) as error:
            raise NoLogbookError(
                _fault(self.path, f"cannot be read at event {number}", str(error)[:100])
            ) from error
        why = _why_no_event(plain)
        if not why:
            event = event_of(plain, plain["hash"])
            wrong = next(
                keepable_faults([event], By(who=event.who, device=event.device, key=event.key)), None
            )
            if wrong is None:
                return event
            why = wrong.text
        raise NoLogbookError(_fault(self.path, f"holds something at event {number} that is no event", why))


def _manifest(packed: ZipFile, path: Path) -> Manifest:
    try:
        info = packed.getinfo(MANIFEST)
        if info.file_size > _LARGEST_MANIFEST:
            raise ValueError("too large")
        said = json.loads(packed.read(info))
        packed.getinfo(EVENTS)
        if said["what"] != WHAT:
            raise ValueError(str(said["what"])[:80])
        number, version = said["format"], said["version"]
        if type(number) is not int or not isinstance(version, str):
            raise ValueError("it does not say of which version it is")
        if number > FORMAT or version not in KNOWN:
            raise NoLogbookError(
                trouble(NEWER_EXPORT, f"was written by a newer program, version {version[:20]}",
                        subject=path.name, found=version[:20], wanted=f"version {KNOWN[0]} to {HEAD}",
                        remedy="read it with the newer program; nothing was taken in")
            )  # fmt: skip
        return Manifest(
            version=version, events=int(said["events"]), seal=str(said["seal"]),
            sha256=str(said["events_sha256"]), pictures=tuple(str(one) for one in said["pictures"]),
        )  # fmt: skip
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise NoLogbookError(_fault(path, "is no export of a logbook", str(error)[:100])) from error


def _why_no_event(plain: Any) -> str:
    """Why some JSON is no event, in words; "" when it is one. Not whether it may be entered today."""
    if not isinstance(plain, dict) or plain.keys() != _KEYS:
        return "its keys are not those of an event"
    for key in _TEXTS:
        if not isinstance(plain[key], str):
            return f'"{key}" is no text'
    for key, most in _NUMBERS.items():
        if type(plain[key]) is not int or abs(plain[key]) >= most:
            return f'"{key}" is no whole number, or too large'
    if not plain["id"] or plain["kind"] not in KINDS:
        return f'it is of no kind that is known: "{plain["kind"][:40]}"'
    revision = plain["plan_revision"]
    if revision is not None and (type(revision) is not int or abs(revision) >= 2**31):
        return '"plan_revision" is no whole number'
    if not isinstance(plain["details"], Mapping):
        return '"details" is no table'
    return _why_no_flows(plain["flows"]) or _why_not_observed(plain["observed"])


def _why_no_flows(flows: Any) -> str:
    try:
        for stock, place, account, quantity in flows:
            texts = isinstance(stock, str) and isinstance(place, str) and account in _ACCOUNTS
            if (
                not texts
                or type(quantity) is not int
                or abs(quantity) >= 2**63
                or (account == "held") != bool(place)
            ):
                return "what it moves cannot be read"
        return "what it moves does not add up to nothing" if sum(one[3] for one in flows) else ""
    except (TypeError, ValueError):
        return "what it moves cannot be read"


def _why_not_observed(observed: Any) -> str:
    try:
        for quantity, value, unit, low, high, method in observed:
            texts = all(isinstance(one, str) for one in (quantity, unit, method))
            if not texts or not all(one is None or type(one) is float for one in (value, low, high)):
                return "what was read cannot be read again"
    except (TypeError, ValueError):
        return "what was read cannot be read again"
    return ""


def _fault(path: Path, text: str, found: str) -> Any:
    return trouble(
        NO_EXPORT, text, subject=path.name, found=found, wanted="a whole export of a logbook",
        remedy="fetch the file again; nothing was taken in",
    )  # fmt: skip
