"""The loops of tagged animals' kinship, plain enough to be compiled: arrays and whole numbers only.

The lists of arguments are long because compiled loops know no objects.
"""

from __future__ import annotations

from typing import Any

Whole = Any  # a flat array, or list, of whole numbers
Floats = Any  # the same of numbers

HEAP_COST = 12
"""How many steps down a list one step through a heap costs, as timed on one machine; it only chooses the faster way."""


def put_parents_first(first_child: Whole, child: Whole, waits: Whole, order: Whole, found: Whole) -> None:
    """Fill `order` with animals whose parents stand before them; `found` gets how many there are.

    `child` lists children, those of animal i from `first_child[i]` on; `waits` is how many known parents an animal has.
    """
    count = 0
    for animal in range(len(waits)):
        if waits[animal] == 0:
            order[count] = animal
            count += 1
    done = 0
    while done < count:
        animal = order[done]
        done += 1
        for place in range(first_child[animal], first_child[animal + 1]):
            young = child[place]
            waits[young] -= 1
            if waits[young] == 0:
                order[count] = young
                count += 1
    found[0] = count


def push(heap: Whole, size: int, value: int) -> int:
    """Put a value into a heap whose greatest stands first; its new size."""
    place = size
    while place > 0:
        above = (place - 1) // 2
        if heap[above] >= value:
            break
        heap[place] = heap[above]
        place = above
    heap[place] = value
    return size + 1


def drop(heap: Whole, size: int) -> int:
    """Take the greatest out of a heap; its new size."""
    size -= 1
    value = heap[size]
    place = 0
    while 2 * place + 1 < size:
        below = 2 * place + 1
        if below + 1 < size and heap[below + 1] > heap[below]:
            below += 1
        if heap[below] <= value:
            break
        heap[place] = heap[below]
        place = below
    heap[place] = value
    return size


def walk_pairs(  # noqa: PLR0913, PLR0917, PLR0912 - a compiled loop has no objects to pass and nothing to call twice
    elder: Whole,
    younger: Whole,
    sires: Whole,
    dams: Whole,
    pair_of: Whole,
    lowest: Whole,
    ancestors: Floats,
    known: Whole,
    inbred: Floats,
    spread: Floats,
    weight: Floats,
    heap: Whole,
) -> None:
    """Fill `inbred` with the inbreeding of the young of each pair of parents, by a walk over the pair's ancestors.

    Parents are numbered so that ancestors come first, pairs ordered by `younger`, their greater number. `pair_of` is
    the pair a parent came from itself, -1 for none; `lowest` the least number among its ancestors; `ancestors` no fewer
    than it has. Pairs that are `known` keep what stands in `inbred`. `spread` gets the variance each parent adds of its
    own.
    """
    ready = 0
    for pair in range(len(younger)):
        late, early = younger[pair], elder[pair]
        while ready <= late:
            own = 1.0
            for parent in (sires[ready], dams[ready]):
                if parent >= 0:
                    own -= 0.25
                    if pair_of[parent] >= 0:
                        own -= 0.25 * inbred[pair_of[parent]]
            spread[ready] = own
            ready += 1
        if known[pair] == 1 or early < 0:
            continue
        weight[late] += 0.5
        weight[early] += 0.5
        end = min(lowest[late], lowest[early])
        total = 0.0
        if (ancestors[late] + ancestors[early]) * HEAP_COST > late - end:
            for place in range(late, end - 1, -1):
                share = weight[place]
                if share == 0.0:
                    continue
                weight[place] = 0.0
                total += share * share * spread[place]
                if sires[place] >= 0:
                    weight[sires[place]] += 0.5 * share
                if dams[place] >= 0:
                    weight[dams[place]] += 0.5 * share
        else:
            size = push(heap, 0, late)
            if early != late:
                size = push(heap, size, early)
            while size > 0:
                place = heap[0]
                size = drop(heap, size)
                share = weight[place]
                weight[place] = 0.0
                total += share * share * spread[place]
                for parent in (sires[place], dams[place]):
                    if parent >= 0:
                        if weight[parent] == 0.0:
                            size = push(heap, size, parent)
                        weight[parent] += 0.5 * share
        own = 0.5 - 0.25 * (
            (inbred[pair_of[late]] if pair_of[late] >= 0 else 0.0)
            + (inbred[pair_of[early]] if pair_of[early] >= 0 else 0.0)
        )
        inbred[pair] = total + own - 1.0


def relate(sires: Whole, dams: Whole, spread: Floats, values: Floats) -> None:
    """Multiply `values` by the table of relationships, in place: up through the parents, then down again."""
    for animal in range(len(values) - 1, -1, -1):
        share = 0.5 * values[animal]
        if sires[animal] >= 0:
            values[sires[animal]] += share
        if dams[animal] >= 0:
            values[dams[animal]] += share
    for animal in range(len(values)):
        made = spread[animal] * values[animal]
        if sires[animal] >= 0:
            made += 0.5 * values[sires[animal]]
        if dams[animal] >= 0:
            made += 0.5 * values[dams[animal]]
        values[animal] = made
