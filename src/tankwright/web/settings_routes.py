"""What the page of the settings sends: each form is saved at once, or comes back with its error beside its field."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.datastructures import UploadFile
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.finding import Finding
from tankwright.web.access import may, who
from tankwright.web.forms import form_of, whole
from tankwright.web.page import FieldError
from tankwright.web.rendering import languages
from tankwright.web.shared import Shared
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.prices import LARGEST
from tankwright.workspace.settings import NOT_SO, Settings

_LONGEST: Final = 2000
_VERBS: Final = ("is ", "are ", "holds ", "has ", "names ", "cannot ", "was ", "does ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A form of the settings: its fields, all values of those that come many times, the file, and who sent it."""

    fields: Mapping[str, str]
    many: Sequence[tuple[str, str]]
    file: bytes | None
    file_name: str
    who: str

    def get(self, name: str) -> str:
        """A field's value as typed, "" when the form has none."""
        return self.fields.get(name, "")


Came = Settings | Sequence[Finding]
"""What came of a form: the settings as they are now, or the findings that say why not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One form: which field its error stands beside, what was typed there, and what it does."""

    field: Callable[[Sent], str]
    typed: Callable[[Sent], str]
    do: Callable[[Shared, Sent], Settings | Finding | Sequence[Finding]]


def _language(shared: Shared, sent: Sent) -> Settings | Finding:
    known = languages()
    if sent.get("language") not in known:
        return trouble(NOT_SO, "language", "there is no such catalogue", wanted=", ".join(known))
    return shared.settings.set_language(sent.get("language"))


def _deeds(shared: Shared, sent: Sent) -> Settings | Finding:
    chosen = frozenset(value for name, value in sent.many if name == "deed")
    return shared.settings.set_deeds(sent.get("role"), chosen | {"look"})  # who may not look need not log in


def _add_person(shared: Shared, sent: Sent) -> Settings | Finding:
    if shared.settings.find(sent.get("name")) is not None:
        return trouble(
            NOT_SO, "name", "is in the list already", wanted="another name, or a new password there"
        )
    return shared.settings.set_password(sent.get("name"), sent.get("password"), sent.get("role"))


def _set_password(shared: Shared, sent: Sent) -> Settings | Finding:
    if shared.settings.find(sent.get("name")) is None:
        return trouble(NOT_SO, "name", "is of nobody in the list", wanted="somebody of the list")
    return shared.settings.set_password(sent.get("name"), sent.get("password"))


def _add_prices(shared: Shared, sent: Sent) -> Sequence[Finding]:
    if sent.file is None or not (sent.file or sent.file_name):
        return (trouble(NOT_SO, "price list", "is missing", wanted="a file, chosen before it is sent"),)
    made = shared.prices.add(sent.file, title=sent.file_name, who=sent.who)
    return made if isinstance(made, tuple) else ()


def _remove_prices(shared: Shared, sent: Sent) -> Sequence[Finding]:
    gone = shared.prices.remove(sent.get("list"))
    return () if gone else (trouble(NOT_SO, "price list", "is not there any more"),)


def _of(name: str) -> Callable[[Sent], str]:
    return lambda _: name


FORMS: Final[Mapping[str, Form]] = {
    "language": Form(field=_of("language"), typed=lambda sent: sent.get("language"), do=_language),
    "lan-name": Form(
        field=_of("lan-name"), typed=lambda sent: sent.get("lan_name"),
        do=lambda shared, sent: shared.settings.set_lan_name(sent.get("lan_name")),
    ),
    "deeds": Form(field=lambda sent: f"deeds:{sent.get('role')}", typed=_of(""), do=_deeds),
    "add-person": Form(field=_of("person"), typed=lambda sent: sent.get("name"), do=_add_person),
    "role": Form(
        field=lambda sent: f"person:{sent.get('name')}", typed=_of(""),
        do=lambda shared, sent: shared.settings.set_role(sent.get("name"), sent.get("role")),
    ),
    "password": Form(field=lambda sent: f"person:{sent.get('name')}", typed=_of(""), do=_set_password),
    "take-out": Form(
        field=lambda sent: f"person:{sent.get('name')}", typed=_of(""),
        do=lambda shared, sent: shared.settings.take_out(sent.get("name")),
    ),
    "prices": Form(field=_of("prices"), typed=lambda sent: sent.file_name[:80], do=_add_prices),
    "remove-prices": Form(field=_of("remove-prices"), typed=_of(""), do=_remove_prices),
}  # fmt: skip
"""Every form of the settings, by the last part of its address."""


def add_settings_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /settings/<form>` for each of `FORMS`; needs the right to change settings."""

    @app.post("/settings/{form}", include_in_schema=False)
    async def _settings(request: Request, form: str) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "settings"):
            return PlainTextResponse("Your name may not change the settings.", 403)
        if form not in FORMS:
            return PlainTextResponse("There is no such form.", 404)
        sent = await _read(request, person.name)
        return await to_thread.run_sync(_answer, shared, request, FORMS[form], sent)


async def _read(request: Request, who_sent: str) -> Sent:
    async with form_of(request, most=50, longest=100_000, files=1) as form:
        many = [(name, whole(value)) for name, value in form.multi_items() if isinstance(value, str)]
        fields = {name: value[:_LONGEST] for name, value in many}
        upload = next((value for _, value in form.multi_items() if isinstance(value, UploadFile)), None)
        raw = None if upload is None else await upload.read(LARGEST + 1)
        name = whole(upload.filename or "") if upload is not None else ""
        return Sent(fields=fields, many=many, file=raw, file_name=name, who=who_sent)


def _answer(shared: Shared, request: Request, form: Form, sent: Sent) -> Response:
    came = form.do(shared, sent)
    wrong = () if isinstance(came, Settings) else (came,) if isinstance(came, Finding) else tuple(came)
    field = form.field(sent)
    if not wrong:
        # the part after "#" leads to the form; a name in it is anybody's, so it is only ever a query
        return RedirectResponse("/settings?" + urlencode({"saved": field}), 303)
    errors = {
        field if number == 0 else f"{field}:{number}": FieldError(
            typed=form.typed(sent), text=_words(one), wanted=one.wanted, sent=_without_password(sent)
        )
        for number, one in enumerate(wrong)
    }
    return shared.page(request, "/settings", errors, 422)


def _without_password(sent: Sent) -> Mapping[str, str]:
    return {name: value for name, value in sent.fields.items() if name != "password"}


def _words(finding: Finding) -> str:
    """The finding as a sentence.

    >>> _words(trouble("SET-03", "password", "is too short or too long"))
    'password is too short or too long'
    """
    between = " " if finding.text.startswith(_VERBS) else ": "
    return f"{finding.subject}{between}{finding.text}"
