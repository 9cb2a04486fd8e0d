"""What is set for a plan beside the plan itself: `settings.json` with language, name on the LAN, people, their parts.

Units are not here: they are the plan's own `display`.
"""

from __future__ import annotations

import json
import re
import secrets
import unicodedata
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock
from typing import Any, Final, Literal, get_args

from tankwright.finding import Finding
from tankwright.units import clip
from tankwright.workspace.disk import BusyError, folder_of, held, settled, why, write_json
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.passwords import LONGEST, SHORTEST, hash_of_nobody, hash_password, password_fits
from tankwright.workspace.plan_file import signature

Role = Literal["keeper", "helper", "looker"]
Deed = Literal["look", "enter", "edit", "settings"]
NOT_KEPT: Final = "SET-01"
DAMAGED: Final = "SET-02"
NOT_SO: Final = "SET-03"
ROLES: Final[tuple[Role, ...]] = get_args(Role)
DEEDS: Final[tuple[Deed, ...]] = get_args(Deed)
USUAL: Final[Mapping[Role, frozenset[Deed]]] = {
    "keeper": frozenset(DEEDS),
    "helper": frozenset({"look", "enter"}),
    "looker": frozenset({"look"}),
}
_MOST_PEOPLE: Final = 200
_LONGEST_NAME: Final = 80
_LARGEST: Final = 1_000_000
_LANGUAGE: Final = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})?")
_LABEL: Final = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who uses the app: keeper (changes the plan), helper (makes entries) or looker."""

    name: str
    role: Role
    password_hash: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All settings. `deeds` says what each part may do; a keeper may always do everything."""

    language: str = "en"
    lan_name: str = ""
    people: tuple[Person, ...] = ()
    deeds: Mapping[Role, frozenset[Deed]] = field(default_factory=lambda: dict(USUAL))

    def may(self, role: str, deed: str) -> bool:
        """True when that part includes that deed.

        >>> Settings().may("helper", "enter"), Settings().may("helper", "edit"), Settings().may("guest", "look")
        (True, False, False)
        """
        allowed: frozenset[Deed] = next((self.deeds[one] for one in ROLES if one == role), frozenset())
        return deed in allowed

    def find(self, name: str) -> Person | None:
        """The person of that name, whatever its capitals."""
        wanted = _folded(name)
        return next((one for one in self.people if _folded(one.name) == wanted), None)

    def all_initials(self) -> Mapping[str, str]:
        """Everybody's initials by their name: the first letters of its words; with a number where others have the
        same.

        >>> people = [Person(name=name, role="helper") for name in ("Ada Lo", "anna Lee", "Bo")]
        >>> list(Settings(people=tuple(people)).all_initials().values())
        ['AL', 'AL2', 'B']
        """
        found: dict[str, str] = {}
        for one in self.people:
            letters = "".join(word[0] for word in one.name.split() if word[0].isalnum())[:3].upper() or "?"
            taken = set(found.values())
            numbered = (f"{letters}{number}" for number in range(2, len(self.people) + 2))
            found[one.name] = letters if letters not in taken else next(n for n in numbered if n not in taken)
        return found

    def initialled(self, initials: str) -> Person | None:
        """The person with these initials, whatever their capitals."""
        wanted = initials.strip().upper()
        name = next((name for name, one in self.all_initials().items() if one == wanted), None)
        return None if name is None else self.find(name)


class SettingsBook:
    """The settings of one plan, for many threads and processes. Looked up anew whenever the file changed."""

    def __init__(self, plan: Path) -> None:
        self.folder = folder_of(settled(plan))
        self._file = self.folder / "settings.json"
        self._lock = Lock()
        self._seen: object = ()
        self._settings = Settings()
        self._trouble: Finding | None = None

    @property
    def current(self) -> Settings:
        """The settings as they stand in the file; where it is missing or damaged, the usual ones."""
        with self._lock:
            return self._read()

    @property
    def trouble(self) -> Finding | None:
        """What is wrong with the file, if anything is: then nobody but this machine's own user gets in."""
        with self._lock:
            self._read()
            return self._trouble

    def find(self, name: str) -> Person | None:
        """The person of that name, whatever its capitals."""
        return self.current.find(name)

    def set_language(self, language: str) -> Settings | Finding:
        """Choose the language of the pages, such as "en" or "pt-BR"."""
        if not _LANGUAGE.fullmatch(language):
            return _no("language", f'"{clip(language)}" is no language', '"en", "de" or "pt-BR"')
        return self._change(lambda now: replace(now, language=language))

    def set_lan_name(self, name: str) -> Settings | Finding:
        """Say under which name this machine is found on the LAN; "" for none.

        >>> SettingsBook(Path("plan.toml")).set_lan_name("two words").code
        'SET-03'
        """
        name = name.strip().lower()
        labels = name.split(".")
        if name and (len(name) > 253 or not all(_LABEL.fullmatch(label) for label in labels)):
            return _no("name on the LAN", f'"{clip(name)}" is no name of a machine', '"fishroom.local"')
        return self._change(lambda now: replace(now, lan_name=name))

    def set_deeds(self, role: str, deeds: frozenset[str]) -> Settings | Finding:
        """Say what a part may do; the keeper's cannot be taken away."""
        part = next((one for one in ROLES if one == role), None)
        if part is None or part == "keeper":
            return _no("part", f'what a "{clip(role)}" may do cannot be set', "helper or looker")
        chosen = frozenset(deed for deed in DEEDS if deed in deeds)
        if len(chosen) != len(deeds):
            return _no("part", "there is no such deed", ", ".join(DEEDS))
        return self._change(lambda now: replace(now, deeds={**now.deeds, part: chosen}))

    def set_password(self, name: str, password: str, role: str = "") -> Settings | Finding:
        """Take somebody in, or give them a new password; and a new part, when one is named."""
        name = unicodedata.normalize("NFC", name.strip())
        if not name or len(name) > _LONGEST_NAME or not name.isprintable():
            return _no("name", f'"{clip(name)}" is no name', f"a name of at most {_LONGEST_NAME} letters")
        if not SHORTEST <= len(password) <= LONGEST or not password.strip():
            return _no("password", "is too short or too long", f"at least {SHORTEST} signs")
        part = next((one for one in ROLES if one == role), None)
        if role and part is None:
            return _no("part", f'there is no part "{clip(role)}"', ", ".join(ROLES))
        kept = hash_password(password)

        def change(now: Settings) -> Settings | Finding:
            known = now.find(name)
            person = Person(name=name, role=part or (known.role if known else "looker"), password_hash=kept)
            return _with(now, name, person)

        return self._change(change)

    def set_role(self, name: str, role: str) -> Settings | Finding:
        """Give somebody another part."""
        part = next((one for one in ROLES if one == role), None)
        if part is None:
            return _no("part", f'there is no part "{clip(role)}"', ", ".join(ROLES))

        def change(now: Settings) -> Settings | Finding:
            known = now.find(name)
            if known is None:
                return _no("name", f'there is nobody called "{clip(name)}"', "somebody of the list")
            return _with(now, known.name, replace(known, role=part))

        return self._change(change)

    def take_out(self, name: str) -> Settings | Finding:
        """Nobody of that name any more."""
        return self._change(lambda now: _with(now, name, None))

    def check_password(self, name: str, password: str) -> Person | None:
        """The person when name and password belong together. A wrong name takes as long as a wrong password."""
        person = self.find(name)
        if person is None or not person.password_hash:
            password_fits(password, hash_of_nobody())
            return None
        return person if password_fits(password, person.password_hash) else None

    def _change(self, change: Callable[[Settings], Settings | Finding]) -> Settings | Finding:
        with self._lock, ExitStack() as stack:
            try:
                self.folder.mkdir(exist_ok=True)
                stack.enter_context(held(self.folder))
                changed = change(self._read())
                if isinstance(changed, Finding):
                    return changed
                if self._trouble is not None:
                    # never written over: what cannot be read may still be mended by hand
                    self._file.replace(self._file.with_name(f"settings.damaged-{secrets.token_hex(4)}.json"))
                write_json(self._file, _written(changed))
            except OSError as error:
                busy = isinstance(error, BusyError)
                said = "is held by another program" if busy else f"cannot be written: {clip(why(error))}"
                return trouble(NOT_KEPT, clip(self.folder.name), said, wanted="a folder you may write")
            self._seen = ()
            return self._read()

    def _read(self) -> Settings:
        seen = signature(self._file)
        if seen == self._seen:
            return self._settings
        self._trouble = None
        self._settings = Settings()
        try:
            with self._file.open("rb") as file:
                self._settings = _settings(json.loads(file.read(_LARGEST)))
        except FileNotFoundError:
            pass
        except (OSError, ValueError, RecursionError, KeyError, TypeError, AttributeError) as error:
            told = why(error) if isinstance(error, OSError) else str(error)
            said = f"cannot be read: {clip(told, 80)}"
            self._trouble = trouble(
                DAMAGED, self._file.name, said, wanted="the settings as they were written"
            )
        self._seen = seen
        return self._settings


def _with(now: Settings, name: str, person: Person | None) -> Settings | Finding:
    """The settings with that person in, or out; somebody who may change settings has to stay."""
    wanted = _folded(name)
    others = tuple(one for one in now.people if _folded(one.name) != wanted)
    people = others if person is None else (*others, person)
    if len(people) > _MOST_PEOPLE:
        return _no("people", "are too many", f"at most {_MOST_PEOPLE}")
    if people and not any(one.role == "keeper" for one in people):
        return _no("people", "none of them would be the keeper", "a keeper first, and one who stays")
    return replace(now, people=people)


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", name.strip()).casefold()


def _no(subject: str, text: str, wanted: str) -> Finding:
    return trouble(NOT_SO, subject, text, wanted=wanted)


def _written(settings: Settings) -> dict[str, Any]:
    return {
        "language": settings.language,
        "lan_name": settings.lan_name,
        "deeds": {role: [deed for deed in DEEDS if deed in settings.deeds[role]] for role in ROLES},
        "people": [
            {"name": one.name, "role": one.role, "password": one.password_hash} for one in settings.people
        ],
    }


def _settings(value: Any) -> Settings:
    """The settings of a file; ValueError, KeyError, TypeError or AttributeError for what is none."""
    if not isinstance(value, dict):
        raise TypeError("it is no table")
    language, lan_name = value.get("language", "en"), value.get("lan_name", "")
    if not isinstance(language, str) or not isinstance(lan_name, str):
        raise TypeError("language and name on the LAN are texts")
    people = tuple(
        Person(
            name=str(one["name"]), role=ROLES[ROLES.index(one["role"])], password_hash=str(one["password"])
        )
        for one in value.get("people", [])
    )
    told = value.get("deeds", {})
    deeds = {role: frozenset(deed for deed in DEEDS if deed in told.get(role, USUAL[role])) for role in ROLES}
    return Settings(
        language=language, lan_name=lan_name, people=people, deeds={**deeds, "keeper": USUAL["keeper"]}
    )
