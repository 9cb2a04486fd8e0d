"""The operations of the API in plain words, read off its description: for the page about it and for the docs."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from tankwright.web.api.app import TAGS, described
from tankwright.web.api.described import WHOLE
from tankwright.web.api.shared import PREFIX

HOST: Final = "http://127.0.0.1:9400"
"""Where the app is on its own machine unless it was told another port."""

_STANDS_FOR: Final = {"number": "1", "layer": "air", "name": "A3.air", "entry": "1", "job": "assumptions-1"}
_HEADERS: Final = {
    "If-Match": """'If-Match: "41"'""",
    "Idempotency-Key": '"Idempotency-Key: try-$(date +%s)"',
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Something an operation takes: where it stands (path, query, header, body), what it is, whether it must be."""

    name: str
    place: str
    kind: str
    about: str
    needed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One operation: what it does, what it takes, what it answers, and a line to try it with."""

    method: str
    path: str
    about: str
    given: Sequence[Given]
    answers: Mapping[str, str]
    shape: str
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """Operations about one thing."""

    name: str
    about: str
    operations: Sequence[Operation]


def subjects() -> tuple[Subject, ...]:
    """All operations by subject, in the order of the description.

    >>> [one.name for one in subjects()][:2]
    ['plan', 'changes']
    """
    found: dict[str, list[Operation]] = {name: [] for name in TAGS}
    for path, methods in described()["paths"].items():
        for method, one in methods.items():
            found[one["tags"][0]].append(_operation(method.upper(), path, one))
    return tuple(Subject(name=name, about=TAGS[name], operations=tuple(each)) for name, each in found.items())


def shapes() -> Mapping[str, Mapping[str, Any]]:
    """The shapes of what goes in and comes out, by name, without those of `check --json` and `year --json`."""
    known: dict[str, dict[str, Any]] = described()["components"]["schemas"]
    return {name: one for name, one in sorted(known.items()) if name not in WHOLE}


def kind_of(part: Mapping[str, Any]) -> str:
    """What a value may be, in words.

    >>> kind_of({"anyOf": [{"type": "number"}, {"type": "null"}]}), kind_of({"enum": ["air", "feed"]})
    ('number or null', 'air, feed')
    """
    if "$ref" in part:
        return str(part["$ref"]).rpartition("/")[2]
    if "anyOf" in part:
        return " or ".join(kind_of(one) for one in part["anyOf"])
    if "const" in part or "enum" in part:
        return ", ".join(str(one) for one in part.get("enum", [part.get("const")]))
    kind = part.get("type", "")
    if kind == "array":
        return f"list of {kind_of(part['items'])}"
    named = {"string": "text", "integer": "whole number", "boolean": "true or false"}
    kinds = kind if isinstance(kind, list) else [kind]
    words = " or ".join(named.get(one, one) for one in sorted(kinds, key=lambda one: bool(one == "null")))
    return {"date-time": "date and time", "date": "date"}.get(part.get("format", ""), words) or "object"


def _operation(method: str, path: str, one: Mapping[str, Any]) -> Operation:
    body = one.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema")
    answers = {status: str(answer["description"]) for status, answer in sorted(one["responses"].items())}
    return Operation(
        method=method, path=PREFIX + path, about=" ".join(str(one["description"]).split()),
        given=tuple(_given(one, body)), answers=answers, shape=_shape(one["responses"]),
        example=_curl(method, path, one, body),
    )  # fmt: skip


def _shape(responses: Mapping[str, Any]) -> str:
    done = next(one for status, one in sorted(responses.items()) if status.startswith("2"))
    media, content = next(iter(done["content"].items()))
    return kind_of(content["schema"]) if media == "application/json" else str(media)


def _given(one: Mapping[str, Any], body: Mapping[str, Any] | None) -> Iterator[Given]:
    for part in one.get("parameters", ()):
        yield Given(
            name=part["name"], place=part["in"], kind=kind_of(part["schema"]), about=part.get("description", ""),
            needed=part.get("required", False),
        )  # fmt: skip
    if body is not None:
        shape = _resolved(body)
        for name, part in shape["properties"].items():
            yield Given(
                name=name, place="body", kind=kind_of(part), about=part.get("description", ""),
                needed=name in shape.get("required", ()),
            )  # fmt: skip


def _resolved(part: Mapping[str, Any]) -> Mapping[str, Any]:
    found: Mapping[str, Any] = described()["components"]["schemas"][kind_of(part)] if "$ref" in part else part
    return found


def _curl(method: str, path: str, one: Mapping[str, Any], body: Mapping[str, Any] | None) -> str:
    parameters = one.get("parameters", ())
    for name, value in _STANDS_FOR.items():
        path = path.replace(f"{{{name}}}", value)
    asked = [
        f"{part['name']}={part['schema']['examples'][0]}" for part in parameters
        if part["in"] == "query" and part.get("required")
    ]  # fmt: skip
    words = ["curl"] if method == "GET" else ["curl", "-X", method]
    for part in parameters:
        if part["in"] == "header" and part["name"] in _HEADERS:
            words += ["-H", _HEADERS[part["name"]]]
    if body is not None:
        # a whole plan is no example to send: who tried it would have written over their own
        sent = (
            "@plan.json" if method == "PUT" else shlex.quote(json.dumps(_example(body), ensure_ascii=False))
        )
        words += ["-H", "'Content-Type: application/json'", "-d", sent]
    words.append(shlex.quote(f"{HOST}{PREFIX}{path}" + (f"?{'&'.join(asked)}" if asked else "")))
    return " ".join(words)


def _example(body: Mapping[str, Any]) -> object:
    shape = _resolved(body)
    if shape.get("examples"):
        return shape["examples"][0]
    return {
        name: part["examples"][0] for name, part in shape["properties"].items() if _shown(name, part, shape)
    }


def _shown(name: str, part: Mapping[str, Any], shape: Mapping[str, Any]) -> bool:
    """A key of an example: it must be given, or it is what the example is about."""
    return "examples" in part and (name in shape.get("required", ()) or name in ("along_m", "value"))
