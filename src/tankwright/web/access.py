"""Who is asking, and what they may do: people, the signed cookie, and the check of a password.

On this machine alone everyone is the keeper. On the network each has a name, a part and a password.
docs/decisions/0009 says what this keeps out and what it does not.
"""

from __future__ import annotations

import asyncio
import base64
import binascii
import hashlib
import hmac
import os
import secrets
import time
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol

from starlette.types import Scope

from tankwright.web.attempts import Attempts, address_key
from tankwright.web.refusals import header
from tankwright.workspace.passwords import hash_of_nobody, hash_password, password_fits
from tankwright.workspace.settings import USUAL

DAYS: Final = 30
_LIFE: Final = DAYS * 86_400  # s
_LONGEST_NAME: Final = 80
_SCOPE_KEY: Final = "tankwright.person"


def usual_deeds(role: str) -> frozenset[str]:
    """What a part may do where nothing else is set.

    >>> sorted(usual_deeds("helper")), usual_deeds("guest")
    (['enter', 'look'], frozenset())
    """
    return next((frozenset[str](deeds) for part, deeds in USUAL.items() if part == role), frozenset())


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who uses the app. `role` is keeper (changes the plan), helper (writes the logbook) or looker;
    `deeds` what that part may do here, None for the usual."""

    name: str
    role: str
    deeds: frozenset[str] | None = None


KEEPER: Final = Person(name="keeper", role="keeper")


class Known(Protocol):
    """A person as the settings know them (`workspace.settings.Person`)."""

    @property
    def name(self) -> str: ...
    @property
    def role(self) -> str: ...
    @property
    def password_hash(self) -> str: ...


class People(Protocol):
    """Where people are looked up, anew for every request: who is taken out is out at once.
    `workspace.settings.SettingsBook` is one."""

    def find(self, name: str) -> Known | None:
        """The person of that name, whatever its capitals, or None."""


def who(scope: Scope) -> Person | None:
    """Who asks, as the door (`web.login.Door`) found out; None for nobody, and where there is no door.

    >>> who({"type": "http"}) is None
    True
    """
    person = scope.get(_SCOPE_KEY)
    return person if isinstance(person, Person) else None


def marked(scope: Scope, person: Person | None) -> Scope:
    """The scope with its person in it."""
    return {**scope, _SCOPE_KEY: person}


def may(person: Person, deed: str) -> bool:
    """True when this person's part includes the deed: "look", "enter", "edit" or "settings".

    >>> may(KEEPER, "edit"), may(Person(name="Ada", role="helper"), "edit")
    (True, False)
    """
    return deed in (usual_deeds(person.role) if person.deeds is None else person.deeds)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogIn:
    """What came of a try: the cookie's value for who is in; else the seconds to wait, 0 for a wrong pair."""

    person: Person | None = None
    cookie: str = ""
    wait: float = 0.0


class Access:
    """The people, the secret that signs their cookies, and the count of wrong passwords.

    Without `people` everyone is the keeper: for a server that only this machine can reach. `deeds` says what a
    part may do, asked anew for every request too.

    >>> Access().person({"type": "http", "headers": []}).role
    'keeper'
    """

    def __init__(
        self,
        people: People | None = None,
        *,
        secret: bytes = b"",
        deeds: Callable[[str], frozenset[str]] = usual_deeds,
        now: Callable[[], float] = time.time,
        attempts: Attempts | None = None,
    ) -> None:
        if people is not None and len(secret) < 32:
            raise ValueError("a secret of at least 32 bytes signs the cookies")
        self.language: Callable[[], str] = lambda: "en"  # of the page to log in, asked anew for each
        self._people = people
        self._secret = secret
        self._deeds = deeds
        self._now = now
        self._attempts = attempts if attempts is not None else Attempts()
        self._at_once = asyncio.Semaphore(2)  # each check of a password takes 16 MB
        # Cookies know no port: two plans served by one machine must not overwrite each other's.
        self.cookie_name = "tankwright-" + hashlib.sha256(b"cookie name" + secret).hexdigest()[:8]

    @property
    def is_open(self) -> bool:
        """True when everyone is the keeper."""
        return self._people is None

    def person(self, scope: Scope) -> Person | None:
        """Who asks, by the cookie; None for nobody."""
        if self._people is None:
            return KEEPER
        found = (self._read(value) for name, value in cookies(scope) if name == self.cookie_name)
        return next((person for person in found if person is not None), None)

    async def log_in(self, name: str, password: str, address: str) -> LogIn:
        """Try a name and a password from an address. A wrong name takes as long as a wrong password."""
        name = unicodedata.normalize("NFC", name.strip())[:_LONGEST_NAME]
        keys = (f"address {address_key(address)}", f"name {name.casefold()}")
        wait = self._attempts.begin(*keys)
        if wait > 0.0 or self._people is None:
            return LogIn(wait=wait)
        known = self._people.find(name)
        async with self._at_once:
            fits = await asyncio.to_thread(self._fits, password, known)
        if known is None or not fits:
            return LogIn()
        self._attempts.succeed(*keys)
        return LogIn(person=self._as_person(known), cookie=self._write(known))

    def _fits(self, password: str, known: Known | None) -> bool:
        if known is not None and known.password_hash:
            return password_fits(password, known.password_hash)
        password_fits(password, hash_of_nobody())
        return False

    def _as_person(self, known: Known) -> Person:
        return Person(name=known.name, role=known.role, deeds=self._deeds(known.role))

    def _write(self, known: Known) -> str:
        named = _to_text(known.name.encode())
        said = f"{named}.{int(self._now())}.{secrets.token_hex(8)}"
        return f"{said}.{self._signature(said, known)}"

    def _read(self, cookie: str) -> Person | None:
        said, _, signature = cookie.rpartition(".")
        parts = said.split(".")
        if len(parts) != 3 or len(cookie) > 600 or not (parts[1].isascii() and parts[1].isdigit()):
            return None
        try:
            name = base64.urlsafe_b64decode(parts[0] + "=" * (-len(parts[0]) % 4)).decode()
        except (ValueError, binascii.Error):
            return None
        known = self._people.find(name) if self._people is not None else None
        if known is None or not hmac.compare_digest(
            signature.encode(), self._signature(said, known).encode()
        ):
            return None
        age = self._now() - int(parts[1][:15])
        return self._as_person(known) if -60.0 <= age <= _LIFE else None

    def _signature(self, said: str, known: Known) -> str:
        """Over the kept hash too: with a new password every cookie of the old one is void."""
        words = f"log-in|{said}|{known.password_hash}"
        return _to_text(hmac.new(self._secret, words.encode(), hashlib.sha256).digest())


def _to_text(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")


def cookies(scope: Scope) -> Iterable[tuple[str, str]]:
    """The cookies of a request, name and value.

    >>> list(cookies({"headers": [(b"cookie", b"theme=dark; a=b=c")]}))
    [('theme', 'dark'), ('a', 'b=c')]
    """
    for part in (header(scope, b"cookie") or "").replace(",", ";").split(";"):
        name, equals, value = part.strip().partition("=")
        if equals:
            yield name, value


class PeopleInMemory:
    """People who are gone when the program ends: for tests, and for a plan whose folder cannot be written."""

    def __init__(self) -> None:
        self._known: dict[str, _Remembered] = {}

    def find(self, name: str) -> Known | None:
        """The person of that name, whatever its capitals, or None."""
        return self._known.get(name.casefold())

    def put(self, name: str, role: str, password: str) -> None:
        """Take somebody in, or give them a new part and password."""
        self._known[name.casefold()] = _Remembered(
            name=name, role=role, password_hash=hash_password(password)
        )

    def take_out(self, name: str) -> None:
        """Nobody of that name any more."""
        self._known.pop(name.casefold(), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Remembered:
    name: str
    role: str
    password_hash: str


def plan_secret(folder: Path) -> bytes:
    """The secret of a plan's folder, 32 bytes, made when it is not there; only its owner may read the file.

    Raises OSError when the folder cannot be written or the file not be read.
    """
    file = folder / "secret"
    kept = _read_secret(file)
    if kept is None:
        folder.mkdir(parents=True, exist_ok=True)
        unfinished = folder / f".secret.{secrets.token_hex(4)}"
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as out:
            out.write(secrets.token_hex(32) + "\n")
            out.flush()
            os.fsync(out.fileno())
        unfinished.replace(file)
        kept = _read_secret(file)
        if kept is None:
            raise OSError(f"{file} does not keep what was written")
    return kept


def _read_secret(file: Path) -> bytes | None:
    """The kept secret, or None when there is none that can be used; a file others can read is closed to them."""
    try:
        text = file.read_text(encoding="ascii", errors="replace").strip()
        if file.stat().st_mode & 0o077:
            file.chmod(0o600)
        secret = bytes.fromhex(text)
    except (FileNotFoundError, ValueError):
        return None
    return secret if len(secret) == 32 else None
