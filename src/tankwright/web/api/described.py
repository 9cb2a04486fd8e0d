"""What every operation may answer besides its own, and the description of the API made of it (OpenAPI)."""

from __future__ import annotations

import copy
from typing import Any, Final

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from tankwright.web.api.asking import BASE_PATTERN, KEY_PATTERN
from tankwright.web.api.problems import KINDS, MEDIA
from tankwright.web.api.shapes import CHECK_SCHEMA, YEAR_SCHEMA, OldRevision, Problem

_ETAG: Final = {
    "ETag": {"description": "the number of the plan this is of, in quotes", "schema": {"type": "string"}}
}
UNCHANGED: Final[dict[int | str, dict[str, Any]]] = {
    200: {"headers": _ETAG},
    304: {"description": "Not modified: If-None-Match named the state there is", "headers": _ETAG},
}
"""The answers of a read that has an ETag."""


def refusals(*kinds: str) -> dict[int | str, dict[str, Any]]:
    """The documented answers for kinds of refusal, beside those every operation may give."""
    told: dict[int | str, dict[str, Any]] = {}
    for name in ("not-known", "not-allowed", "own-fault", *kinds):
        kind = KINDS[name]
        shape = OldRevision if name == "old-revision" else Problem
        said = f"{kind.title}. {kind.means}"
        before = told.get(kind.status)
        told[kind.status] = {
            "description": f"{before['description']} Or: {said}" if before else said,
            "content": {MEDIA: {"schema": {"$ref": f"#/components/schemas/{shape.__name__}"}}},
        }
    return told


READING: Final = refusals("unreadable")
FINDING: Final = refusals("unreadable", "not-found")
COMPUTED: Final = refusals("unreadable", "not-found", "no-plan", "not-worked-out")
WRITING: Final = {
    **refusals("no-key", "no-number", "not-json", "unreadable", "refused", "key-used", "old-revision", "no-base",
               "too-large", "not-stored"),
    200: {"headers": _ETAG},
}  # fmt: skip
ENTERING: Final = refusals(
    "no-key", "not-json", "unreadable", "refused", "key-used", "too-large", "not-stored"
)

WHOLE: Final = ("Results", "Network", "Year", "Measure")
"""Shapes that are those of `check --json` and `year --json`."""

DESCRIPTION: Final = """\
The reads and edits of the pages, for programs.

- **Revisions.** Every change of the plan names the number it was made from in `If-Match`. When somebody was faster
  it gets 409 with both values, and nothing was done.
- **Once.** Every write has an `Idempotency-Key`. The same key sent again is not done again; it gets the same answer
  with `repeated` true, also after the program was started anew.
- **Refusals** are problem objects (RFC 9457). A mistake says what was found, what is wanted and what to try.
- **Units** are SI and stand at the end of a name (`_m`, `_m3_per_s`) or beside the number. What was not computed is
  null, never 0.
- **Rights** are those of the pages. On this machine alone everyone is the keeper; with `--lan`, post name and
  password to `/login` as a form, send the cookie it gives and the header `Origin` with this app's own address.

Results are a screening: mains near water, loads and glass are for your local code and licensed people.
"""


def describe(api: FastAPI) -> dict[str, Any]:
    """The OpenAPI description of the API."""
    if api.openapi_schema is None:
        made = get_openapi(
            title=api.title, version=api.version, openapi_version=api.openapi_version,
            description=api.description, routes=api.routes, servers=api.servers, tags=api.openapi_tags,
        )  # fmt: skip
        _name_shapes(made)
        _require_headers(made)
        api.openapi_schema = made
    return api.openapi_schema


def _name_shapes(made: dict[str, Any]) -> None:
    shapes = made.setdefault("components", {}).setdefault("schemas", {})
    reference = "#/components/schemas/{model}"
    for model in (Problem, OldRevision):
        told = model.model_json_schema(ref_template=reference, mode="serialization")
        shapes.update(told.pop("$defs", {}))
        shapes[model.__name__] = told
    for name, schema in (("Results", CHECK_SCHEMA), ("Year", YEAR_SCHEMA)):
        whole = copy.deepcopy(schema)
        whole.pop("$schema")
        shapes.update({named.capitalize(): part for named, part in whole.pop("$defs").items()})
        shapes[name] = whole
    for name in WHOLE:
        _lead(shapes[name])
    for name in ("HTTPValidationError", "ValidationError"):
        shapes.pop(name, None)


def _lead(part: object) -> None:
    """References of the schemas of the commands to where their parts stand here."""
    if isinstance(part, dict):
        led = str(part.get("$ref", ""))
        if led.startswith("#/$defs/"):
            part["$ref"] = f"#/components/schemas/{led.removeprefix('#/$defs/').capitalize()}"
        for inner in part.values():
            _lead(inner)
    elif isinstance(part, list):
        for inner in part:
            _lead(inner)


def _require_headers(made: dict[str, Any]) -> None:
    """A missing header has an answer of its own, so the program takes it as optional; a caller must not."""
    patterns = {"If-Match": BASE_PATTERN, "Idempotency-Key": KEY_PATTERN}
    for operations in made["paths"].values():
        for operation in operations.values():
            for one in operation.get("parameters", ()):
                if one["in"] == "header" and one["name"] in patterns:
                    one["required"] = True
                    one["schema"] = {
                        "type": "string", "pattern": patterns[one["name"]],
                        "examples": one["schema"].get("examples", []),
                    }  # fmt: skip
