"""The API keeps what its description promises, whatever is sent: data that fit it and data that do not."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any, Final

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.config import SchemathesisConfig
from schemathesis.core.parameters import ParameterLocation
from schemathesis.generation import GenerationMode

from tankwright.web.access import Access
from tankwright.web.app import create_app
from tankwright.web.serving import shielded
from tankwright.workspace.live import LivePlan

from .caller import SMALL

_TURNS: Final = itertools.count(1)
KNOWN: Final = {"tank": "A1", "rack": "A", "pointer": "/pump/pump/curve"}
_REFUSED: Final = ["2xx", "304", "404", "409", "422"]
CONFIG: Final = SchemathesisConfig.from_dict({
    "generation": {"deterministic": True, "max-examples": 8},
    "checks": {
        # 422 too: what the description allows, a plan may still refuse ("no such tank").
        "positive_data_acceptance": {"expected-statuses": _REFUSED},
        # 428 too: it is the status for a missing If-Match (RFC 6585).
        "missing_required_header": {"expected-statuses": ["400", "422", "428"]},
    },
})  # fmt: skip


class _Stand:
    """An app whose plan is set up when the tests begin."""

    def __init__(self) -> None:
        self.set_up(Path("nowhere/plan.toml"))

    def set_up(self, plan: Path) -> None:
        self.live = LivePlan(plan)
        self._app = shielded(create_app(self.live), Access(), frozenset({"testserver"}))

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        await self._app(scope, receive, send)


STAND: Final = _Stand()
SCHEMA: Final = schemathesis.openapi.from_asgi("/api/v1/openapi.json", STAND, config=CONFIG)


@pytest.fixture(autouse=True)
def _plan(tmp_path: Path) -> None:
    """Each operation has a plan of its own, which all its requests share."""
    plan = tmp_path / "plan.toml"
    plan.write_text(SMALL, "utf-8")
    STAND.set_up(plan)


@SCHEMA.parametrize()
@settings(
    deadline=None,  # the first request of a state works the room out
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
def test_every_operation_keeps_its_promise(case: schemathesis.Case) -> None:
    _mend(case)
    case.validate_response(case.call())


def _mend(case: schemathesis.Case) -> None:
    """Put right what nobody can guess (the newest number, a fresh key, names of this plan) in three of four requests
    that fit the description, and the headers where another part is wrong on purpose: else hardly any write would come
    further than to 400 or 409."""
    assert case.meta is not None
    modes = {place: part.mode for place, part in case.meta.components.items()}
    headers = modes.pop(ParameterLocation.HEADER, GenerationMode.POSITIVE)
    wrong = GenerationMode.NEGATIVE in modes.values()
    turn = next(_TURNS)
    if not wrong and (headers is GenerationMode.NEGATIVE or not turn % 4):
        return
    if "If-Match" in (case.headers or {}):
        case.headers["If-Match"] = f'"{STAND.live.snapshot.number}"'
    if "Idempotency-Key" in (case.headers or {}):
        case.headers["Idempotency-Key"] = f"key-{turn:06d}"
    if not wrong:
        case.body = _named(case.body)


def _named(part: Any) -> Any:
    """The same body about things this plan has."""
    if isinstance(part, list):
        return [_named(one) for one in part]
    if not isinstance(part, dict):
        return part
    return {key: KNOWN.get(key, _named(value)) for key, value in part.items()}
