"""What every endpoint is given: the live plan and what stands beside it, and how a request reaches them."""

from __future__ import annotations

from typing import Annotated, Final, Protocol, cast

from fastapi import Depends, Request

from tankwright.web.made import MadeOnce
from tankwright.web.sockets import Hub
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.jobs import Jobs
from tankwright.workspace.live import LivePlan
from tankwright.workspace.log import RoomLog

PREFIX: Final = "/api/v1"
LARGEST_NUMBER: Final = 999_999  # of a revision; beyond is none of ours
LARGEST_ENTRY: Final = 999_999_999_999  # of an entry, which is numbered with all that happens in the room


class Shared(Protocol):
    """What the app holds for all its routes."""

    @property
    def live(self) -> LivePlan: ...
    @property
    def made_once(self) -> MadeOnce: ...
    @property
    def entries(self) -> EntryBook: ...
    @property
    def log(self) -> RoomLog: ...
    @property
    def jobs(self) -> Jobs: ...
    @property
    def hub(self) -> Hub: ...


def announce(here: Shared) -> None:
    """Have open pages look again after what is no change of the plan: an entry, a job."""
    here.hub.announce(here.live.snapshot.number)


async def shared(request: Request) -> Shared:
    """What this request's app holds."""
    return cast(Shared, request.app.state.shared)


Here = Annotated[Shared, Depends(shared)]
