"""Forms as they arrive: their fields, or a plain no for a body that is no form."""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from hashlib import sha256

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request


@asynccontextmanager
async def form_of(request: Request, *, most: int, longest: int, files: int = 0) -> AsyncIterator[FormData]:
    """The form a request carries: at most so many fields of so many bytes each and so many files, which are closed
    behind it. HTTPException 400 for a body that cannot be read as one."""
    try:
        form = await request.form(max_files=files, max_fields=most, max_part_size=longest)
    except UnicodeError:  # of an alphabet its sender named and nobody can read
        raise HTTPException(400, "its letters cannot be read") from None
    try:
        yield form
    finally:
        await form.close()


class Fields(dict[str, str]):
    """The fields of a form by name; a page that shows a form again finds "" where its sender left one out."""

    def __missing__(self, name: str) -> str:
        return ""


async def fields_of(request: Request, *, most: int, longest: int) -> Fields:
    """The fields of a form without files, each a text that can be stored; of several of one name the last."""
    async with form_of(request, most=most, longest=longest) as form:
        texts = ((name, value) for name, value in form.items() if not isinstance(value, UploadFile))
        return Fields((name, whole(value)) for name, value in texts)


def whole(text: str) -> str:
    """A text with a mark in the place of each half letter, which no file and no page can hold.

    >>> whole("pH \\ud83d"), whole("pH 🐟")
    ('pH ?', 'pH 🐟')
    """
    return text.encode("utf-8", "replace").decode("utf-8")


def key_with(key: str, said: Mapping[str, str]) -> str:
    """The key a form is done under once: its own together with what it says. Whoever goes back to a form that was
    sent, types something else into it and sends it again means another thing under the same hidden key.

    >>> key_with("k", {"typed": "7"}) == key_with("k", {"typed": "8"}), key_with("", {"typed": "7"})
    (False, '')
    """
    if not key.strip():
        return ""
    told = sha256(key.encode("utf-8", "replace"))
    for name, text in sorted(said.items()):
        told.update(f"\0{len(name)} {name}{len(text)} {text}".encode("utf-8", "replace"))
    return told.hexdigest()[:32]
