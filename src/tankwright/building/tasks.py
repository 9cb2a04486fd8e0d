"""Every task of building a room, from the order to the first fish, each with what must come before it."""

from __future__ import annotations

from dataclasses import replace

from tankwright.building.model import Task
from tankwright.building.tasks_pipes import pipe_tasks
from tankwright.building.tasks_power import power_tasks
from tankwright.building.tasks_proof import proof_tasks
from tankwright.building.tasks_racks import rack_tasks
from tankwright.building.tasks_shared import Work
from tankwright.building.tasks_shell import order_tasks, shell_tasks
from tankwright.building.tasks_tanks import tank_tasks
from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.takeoff.model import Takeoff


def tasks_of(plan: Plan, room: Room, takeoff: Takeoff | None = None) -> tuple[Task, ...]:
    """The tasks, in the usual order of the trade: shell and floor, racks, tanks, pipes, power, proof, fish.

    With a takeoff each names the articles that were counted for its places.
    """
    work = Work(plan=plan, room=room, takeoff=takeoff)
    built = (
        *order_tasks(work), *shell_tasks(work), *rack_tasks(work), *tank_tasks(work), *pipe_tasks(work),
        *power_tasks(work),
    )  # fmt: skip
    known = {task.id for task in built}
    # what comes before may not be there at all: a room without a floor to paint, a rack without an order
    real = tuple(replace(task, after=tuple(one for one in task.after if one.task in known)) for task in built)
    return (*real, *proof_tasks(work, real))
