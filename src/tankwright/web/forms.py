"""Forms as they arrive: their fields, or a plain no for a body that is no form."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

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


async def fields_of(request: Request, *, most: int, longest: int) -> dict[str, str]:
    """The fields of a form without files, each a text that can be stored; of several of one name the last."""
    async with form_of(request, most=most, longest=longest) as form:
        return {name: whole(value) for name, value in form.items() if not isinstance(value, UploadFile)}


def whole(text: str) -> str:
    """A text with a mark in the place of each half letter, which no file and no page can hold.

    >>> whole("pH \\ud83d"), whole("pH 🐟")
    ('pH ?', 'pH 🐟')
    """
    return text.encode("utf-8", "replace").decode("utf-8")
